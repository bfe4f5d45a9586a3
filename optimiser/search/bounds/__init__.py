"""Bounds what a partial walk can still reach at best: rows of forces, prices, uses of pieces."""
