"""Bounds of rigs with each choice of ropes at hand: of two ropes the lengths decide, and the grip on the
first; of one rope nothing but the rope itself, which the filler chooses.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np

from optimiser.mechanics.arrays import Mask, Numbers
from optimiser.rig.order import Order
from optimiser.search.bounds.partial import Bound

Keep = Callable[[Bound], Mask]
Choice = TypeVar("Choice")


@dataclass(frozen=True, slots=True)
class RopeBounds(Generic[Choice]):
    """Bounds on n rigs with each choice of ropes. `each` (choices * n,): those of the first choice come
    first."""

    choices: tuple[Choice, ...]
    each: Bound

    @property
    def count(self) -> int:
        """n."""
        return len(self.each.margin) // max(len(self.choices), 1)

    def hopeful(self, keep: Keep) -> Mask:
        """(n,) which may be of use with any ropes."""
        return np.asarray(keep(self.each).reshape(len(self.choices), -1).any(axis=0))

    def able(self, number: int, keep: Keep) -> tuple[Choice, ...]:
        """The ropes with which one of them may be of use."""
        kept = keep(self.each.pick(self._rigs(np.array([number])).ravel()))
        return tuple(choice for choice, on in zip(self.choices, kept, strict=True) if on)

    def pick(self, index: Numbers | Mask) -> "RopeBounds[Choice]":
        return RopeBounds(self.choices, self.each.pick(self._rigs(index).ravel()))

    def best(self, order: Order) -> Bound:
        """The bound of the ropes that come first by the order, rig by rig."""
        if len(self.choices) == 1:
            return self.each
        rig = np.tile(np.arange(self.count), len(self.choices))
        ranked = np.lexsort([*reversed(self.each.columns(order)), rig])
        return self.each.pick(ranked[:: len(self.choices)])

    def _rigs(self, index: Numbers | Mask) -> Numbers:
        """(choices, k) where the bounds of some rigs are."""
        return np.arange(len(self.each.margin)).reshape(len(self.choices), -1)[:, index]
