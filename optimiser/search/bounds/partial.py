"""Keeps partial walks of one depth in arrays, with the bounds on what they may still become."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import assert_never

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground.standing import MARK
from optimiser.rig.order import Key, Order
from optimiser.site.counts import Count

SLACK = 1e-6
"""Relative slack of a bound against rounding."""
ROUNDING = 1e-9
"""m by which two sums of the same lengths may differ."""


@dataclass(frozen=True)
class Partial:
    """n partial walks of one depth. K rows."""

    path: Numbers  # (n, depth) places from the puller backwards, without the puller
    gained: Array  # (n, K)
    used: Array  # (n, K) greatest use per newton of pull: margin = 1 / (use * pull)
    rope: Array  # (n,) m of rope so far at the stretch's start
    travel: Array  # (n,) m so far
    loads: npt.NDArray[np.int64]  # (n,) visits to the load so far
    run: npt.NDArray[np.int64]  # (n,) anchors in a row at the end
    marked: Mask  # (n,) whether the parts so far mark the setup down
    # What edges leave of the tension at the last place, (n, K) or (n, 1): the most, the least, and the
    # least at the place before.
    most: Array
    least: Array
    came: Array

    def __len__(self) -> int:
        return len(self.path)

    @property
    def depth(self) -> int:
        return self.path.shape[1]

    def pick(self, index: npt.NDArray[np.int64] | Mask | slice) -> "Partial":
        return Partial(**{f.name: getattr(self, f.name)[index] for f in fields(self)})

    @staticmethod
    def join(parts: list["Partial"]) -> "Partial":
        return Partial(
            **{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Partial)}
        )


@dataclass(frozen=True)
class Wanted:
    """What each of n walks must still reach to be of use."""

    margin: Array  # at least
    pull: Array  # at the hauling end, N, at most; inf: any

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Wanted)
            and np.array_equal(self.margin, other.margin)
            and np.array_equal(self.pull, other.pull)
        )

    def pick(self, index: Mask) -> "Wanted":
        return Wanted(self.margin[index], self.pull[index])


@dataclass(frozen=True)
class Bound:
    """The best each of n walks can be, each count by itself; None: no bound."""

    margin: Array
    resets: Array
    rope: Array
    parts: Array | None = None  # fewest parts of rope at the load
    pull: Array | None = None  # least pull at the hauling end, N
    marked: Mask | None = None  # marked down whatever is still to come

    def __len__(self) -> int:
        return len(self.margin)

    def key(self, number: int) -> Key:
        """What one of the walks is ranked by at best, as it is: of figures that were worked out exactly,
        but for what rounding of lengths may take."""
        parts, pull, marked = (None if c is None else c[number] for c in self._counts()[3:])
        return Key(
            margin=float(self.margin[number]),
            resets=int(self.resets[number]),
            rope=float(self.rope[number]) - ROUNDING,
            parts=0 if parts is None else int(parts),
            pull=0.0 if pull is None else float(pull) * (1.0 - SLACK),
            mark=MARK if marked else 0.0,
        )

    def columns(self, order: Order) -> list[Array]:
        """Counts in the order's sequence, less is better; counts without a bound are -inf."""
        return [self._column(name, order) for name in order.names]

    def _column(self, name: Count, order: Order) -> Array:
        match name:
            case Count.MARGIN:
                capped = np.minimum(self.margin * (1 + SLACK), order.enough)
                return self._lowered(order) - np.floor(capped / order.band + 1e-6)
            case Count.RESETS:
                return self.resets
            case Count.ROPE:
                return np.round(self.rope - 1e-3, 3)
            case Count.PARTS:
                return self._unsaid if self.parts is None else self.parts
            case Count.PULL if self.pull is None:
                return self._unsaid
            case Count.PULL:
                least = np.maximum(self.pull * (1 - SLACK) - 1e-3, order.comfort)
                return np.asarray(np.round(least, 3))
            case _:
                assert_never(name)

    @property
    def _unsaid(self) -> Array:
        """(n,) a count of which nothing is said."""
        return np.full(len(self), -np.inf)

    def _lowered(self, order: Order) -> Array:
        """(n,) bands by which the margin counts less."""
        if self.marked is None:
            return np.zeros(len(self))
        return np.where(self.marked, float(round(MARK / order.band)), 0.0)

    def hopeful(self, order: Order, limit: tuple[float, ...] | None, floor: float) -> Mask:
        """Which can still be at least as good as `limit` and reach the least margin."""
        out = self.margin * (1 + SLACK) >= floor
        out &= (self.resets <= order.most_resets) & (self.rope <= order.most_rope + 1e-6)
        if limit is None:
            return out
        better = np.zeros(len(out), dtype=bool)
        equal = np.ones(len(out), dtype=bool)
        for column, wanted in zip(self.columns(order), limit, strict=True):
            better |= equal & (column < wanted)
            equal &= column == wanted
        return out & (better | equal)

    def better(self, order: Order, than: tuple[float, ...], floor: float) -> Mask:
        """Which can still be better than a sort key, and reach the least margin."""
        columns = np.array(self.columns(order)).reshape(len(order.names), len(self))
        level = (columns == np.array(than)[:, None]).all(axis=0)
        return self.hopeful(order, than, floor) & ~level

    def wanted(self, order: Order, limit: tuple[float, ...] | None, floor: float) -> "Wanted":
        """What hopeful walks must still reach to be of use. More than `floor`, or any pull at all, only
        for those that are no better than `limit` on what weighs more."""
        margin, pull = np.full(len(self), floor), np.full(len(self), np.inf)
        even = np.ones(len(self), dtype=bool)
        for name, last in zip(order.names, limit or (), strict=limit is not None):
            if name is Count.MARGIN:
                least = np.maximum(floor, (self._lowered(order) - last) * order.band)
                margin = np.where(even, least, margin)
            elif name is Count.PULL:
                pull = np.where(even, last * (1 + SLACK) + 2e-3, pull)
            even &= self._column(name, order) >= last
        return Wanted(margin, pull)

    def pick(self, index: npt.NDArray[np.int64] | Mask | slice) -> "Bound":
        return Bound(*(None if c is None else c[index] for c in self._counts()))  # type: ignore[arg-type]

    @staticmethod
    def join(bounds: Sequence["Bound"]) -> "Bound":
        """Of all walks of several; what has no bound in some has none in any."""
        if not bounds:
            return Bound(np.zeros(0), np.zeros(0), np.zeros(0))
        columns = zip(*(bound._counts() for bound in bounds), strict=True)
        return Bound(
            *(None if any(c is None for c in few) else np.concatenate(few) for few in columns)  # type: ignore[arg-type]
        )

    def _counts(self) -> tuple[Array | Mask | None, ...]:
        return (self.margin, self.resets, self.rope, self.parts, self.pull, self.marked)
