"""Answers as words, tables, Markdown, CSV, JSON and notebook pages."""
