"""The rules a site's preferences may switch off: those of the search, under the same names."""

from optimiser.search.rules import RULES

__all__ = ["RULES"]
