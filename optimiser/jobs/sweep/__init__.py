"""Answers which setup is best while one or two numbers of the site file are varied."""
