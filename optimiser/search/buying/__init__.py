"""Searches with priced stock: what can be paid for, and the least that does."""
