"""Searches the walks that let a load down, and fills them with gear."""
