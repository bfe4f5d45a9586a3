"""Prints answers as words, tables, Markdown, CSV, JSON and notebook pages."""
