"""Answers how wrong the guesses may be: corners of ranges, break-even values, samples."""
