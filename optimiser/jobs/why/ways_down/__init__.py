"""Puts one reeving for the way down to every check, and finds what would cure it."""
