"""Raising the load one corner at a time onto wheels, skids or blocking.

from optimiser import read_site
from optimiser.levering import lever

answer = lever(read_site("site.toml"))
for step in answer.steps:
    print(step.corner, step.hand)
"""

from optimiser.levering.answer import lever
from optimiser.levering.results import CornerShare, Levering, Step

__all__ = ["CornerShare", "Levering", "Step", "lever"]
