"""Endings of the files that a sheet can be written to."""

KINDS = (".html", ".pdf", ".svg", ".png")
