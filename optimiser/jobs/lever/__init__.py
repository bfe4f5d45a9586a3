"""Answers how to raise the load one corner at a time onto wheels, skids or blocking."""
