"""Looks up the least price of something that stands a given force."""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate
from math import inf

import numpy as np

from optimiser.mechanics.arrays import Array


class Ladder:
    """The least that a thing costs, by the force on it."""

    def __init__(self, rungs: Sequence[tuple[float, float]]) -> None:
        """`rungs`: (what it stands [N], what it costs)."""
        ordered = sorted(rungs)
        self.strengths = [strength for strength, _ in ordered]
        costs = [cost for _, cost in reversed(ordered)]
        self.least = [*reversed(list(accumulate(costs, min))), inf]

    def __call__(self, force: float) -> float:
        return self.least[bisect_left(self.strengths, force)]

    def each(self, forces: Array) -> Array:
        """The same for many forces at once."""
        return np.array(self.least)[np.searchsorted(self.strengths, forces)]
