"""One question each: rank, stages, buy, lower, hold, why, ranges, sweep, lever."""
