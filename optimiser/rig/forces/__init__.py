"""Computes forces, lengths and limits of many walks at every station at once; travel and strokes."""
