"""Mechanics as pure functions over SI floats or numpy arrays: one place for each formula."""
