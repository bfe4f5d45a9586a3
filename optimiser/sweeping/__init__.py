"""The best setup while one or two numbers of the site file are varied."""

from optimiser.sweeping.axes import Axis, axis
from optimiser.sweeping.results import Boundary, Cell, Sweep
from optimiser.sweeping.run import sweep

__all__ = ["Axis", "Boundary", "Cell", "Sweep", "axis", "sweep"]
