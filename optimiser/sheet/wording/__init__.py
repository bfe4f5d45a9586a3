"""The sentences of a page: steps, gear, dangers."""
