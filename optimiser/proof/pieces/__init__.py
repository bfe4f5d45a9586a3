"""Reads again from the site's own figures what hangs where and what it stands."""
