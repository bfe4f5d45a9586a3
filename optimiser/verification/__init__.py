"""The parts of the checker behind `optimiser.verify`: plain Python, apart from the search."""
