"""Bounds and searches the space of tackle on tackle."""
