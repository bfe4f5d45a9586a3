"""Finds the best walks of a rope over places, and proves that none better exists."""
