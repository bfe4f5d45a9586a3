"""Adds money to the search's bounds: a partial walk that costs more than there is, is dropped."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.partial import SLACK, Bound, Partial
from optimiser.search.buying.money.purse import Purse

NEAR = 1e-12


@dataclass(frozen=True, kw_only=True)
class PricedTables(Tables):
    """Tables of a kit of which only a part can be bought."""

    purse: Purse

    @cached_property
    def sheaves(self) -> int:
        most = min(purse.most_sheaves for purse in self.purse.limits)
        return min(super().sheaves, most)

    @cached_property
    def tau_most(self) -> Array:
        most = [purse.tau_most(self.sheaves + 2) for purse in self.purse.limits]
        return np.asarray(np.min(most, axis=0))

    def strong_rope(self, purse: Purse, needed: Array, pull: Array) -> Array:
        """The least that a rope of that length [m] costs which stands the pull [N] with the least margin."""
        puller = self.scene.puller
        force = pull * puller.dynamic * (self.floor - NEAR) * (1.0 - 1e-9)
        return purse.strong_rope(needed, force, puller.fixture)


class PricedGrower(Grower):
    """Grows walks whose least cost stays within the purse."""

    t: PricedTables

    def __init__(self, tables: PricedTables) -> None:
        super().__init__(tables)
        self.purse = tables.purse

    def bound(self, walks: Partial, *, complete: bool) -> Bound:
        return self._affordable(walks, super().bound(walks, complete=complete), complete=complete)

    def _priced(self, walks: Partial, bound: Bound, least: Array) -> Bound:
        return self._affordable(walks, super()._priced(walks, bound, least), complete=False)

    def _affordable(self, walks: Partial, bound: Bound, *, complete: bool) -> Bound:
        """No margin where the rope, the sheaves and the straps it takes cost too much."""
        margin = bound.margin
        sheaves = self.sheaves(walks, complete=complete)
        straps = self._strapped(walks, complete=complete)
        for purse in self.purse.limits:
            spent = self.ropes(purse, bound)
            more = np.full(len(walks), float(max(sheaves - purse.owned.sheave_count, 0)))
            for needed, each in (
                (more, purse.sheave),
                (np.maximum(straps - purse.owned_straps, 0), purse.strap),
            ):
                if needed.any():
                    spent = spent + needed * min(each, 1e15)
            margin = np.where(purse.covers(spent), margin, 0.0)
        return replace(bound, margin=margin)

    def ropes(self, purse: Purse, bound: Bound) -> Array:
        """The least that a rope costs which is long enough and stands the pull."""
        assert bound.pull is not None
        return self.t.strong_rope(purse, bound.rope, bound.pull * (1.0 - SLACK))

    def sheaves(self, walks: Partial, *, complete: bool) -> int:
        """The fewest sheaves in all."""
        return walks.depth - 1 if complete else walks.depth
