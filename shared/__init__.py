"""What the other packages stand on: units, errors, sources, listings, files."""
