"""Answers what is the least to buy, and what the next steps of money bring."""
