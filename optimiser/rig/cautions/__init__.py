"""Cautions of a setup: texts and limits in data, the checks that call for them in code."""
