"""The nearest misses of a site where nothing works (see `optimiser.explain.nearest`)."""

from optimiser.explain.nearest import nearest_misses

__all__ = ["nearest_misses"]
