"""How wrong the guesses may be: worst ends of ranges, break-evens, what to measure, samples."""
