"""Reports the nearest misses of a site where nothing works (see `optimiser.jobs.why.misses.nearest`)."""

from optimiser.jobs.why.misses.nearest import nearest_misses

__all__ = ["nearest_misses"]
