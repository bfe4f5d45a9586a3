"""Prints what was read on a site: places, lengths and slopes, pulls, and what can be checked of them."""
