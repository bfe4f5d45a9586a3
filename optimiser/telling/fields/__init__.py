"""Describes the fields that several answers share, each once."""
