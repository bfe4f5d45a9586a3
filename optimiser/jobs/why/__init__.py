"""Answers why a rig works or does not, and finds the smallest change that cures it."""
