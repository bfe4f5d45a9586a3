"""Finds what comes nearest where nothing works."""
