"""Writes the sentences of a page: steps, gear, dangers."""
