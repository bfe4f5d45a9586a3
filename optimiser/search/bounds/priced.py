"""Prices the pull still wanted in metres of travel: the Lagrangian part of the bounds."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.search.bounds.bound_rows import Tables


@dataclass(frozen=True)
class Priced:
    """Least cost of further parts less their priced gain: exponent e of the tension, sheaves left r."""

    tables: Tables
    cost: Array

    @cached_property
    def part(self) -> Array:
        """(Q, E, K) least over places of cost - price * tau * gain."""
        t = self.tables
        exponents = range(t.nodes + 2)
        if not len(t.anchors):
            return np.zeros((len(t.multipliers), len(exponents), len(t.need)))
        gain = np.stack([t.gain_at(exponent)[t.anchors] for exponent in exponents])
        worth = t.multipliers[:, None, None, None] * gain[None]
        return np.asarray((self.cost[t.anchors][None, None, :, None] - worth).min(axis=2))

    @cached_property
    def rest(self) -> Array:
        """(Q, E, B + 2, K) the same summed over at most r further parts that begin at exponent e."""
        t = self.tables
        q, e, k = self.part.shape
        out = np.zeros((q, e, t.nodes + 3, k))
        free = np.minimum(self.part, 0.0)
        for first in range(e):
            for many in range(1, t.nodes + 3):
                out[:, first, many] = free[:, first : first + many].sum(axis=1)
                if first + many > e:
                    short = many - (e - first)
                    out[:, first, many] += short * free[:, -1]
        return out
