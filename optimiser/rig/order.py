"""Orders setups: what counts, in which sequence, rounded once so that ties are ties.

By default margin first, in bands and only up to "enough", then resets, then rope. Every count is
turned so that less is better.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import floor, inf
from typing import Protocol, TypeVar, assert_never

from optimiser.rig.ground.standing import MARK
from optimiser.site.counts import USUAL, Count, counts_of
from optimiser.site.model import Preferences

BAND = 0.1
T = TypeVar("T")


class Ranked(Protocol):
    """What setups, and rigs on the way to become one, are ranked by, besides their margin."""

    @property
    def resets(self) -> int: ...

    @property
    def rope_needed(self) -> float:
        """m."""

    @property
    def parts(self) -> int:
        """Parts of line that pull on the load."""

    @property
    def pull(self) -> float:
        """Worst pull at the hauling end, N."""

    @property
    def marked_down(self) -> bool:
        """Whether the puller stands where a rope that parts may reach it."""


@dataclass(frozen=True, slots=True)
class Key:
    """Everything a setup is ranked by. Margin is as it is; the bands are the order's."""

    margin: float
    resets: int
    rope: float
    parts: int
    pull: float
    mark: float = 0.0  # how much lower the margin counts (`optimiser.rig.ground.standing`)

    @staticmethod
    def of(rig: Ranked, margin: float, *, pulls: bool = True) -> "Key":
        """The key of a rig that reaches `margin`. `pulls`: whether its pull counts; it is worked out for
        that alone."""
        mark = MARK if rig.marked_down else 0.0
        pull = rig.pull if pulls else 0.0
        return Key(margin, rig.resets, rig.rope_needed, rig.parts, pull, mark)


@dataclass(frozen=True)
class Order:
    """How setups are ordered, and beyond what they are left out: resets, and m of rope needed. `enough`:
    more margin is no better; `comfort`: less pull than that, N, is no better."""

    names: tuple[Count, ...]
    enough: float
    band: float = BAND
    most_resets: float = inf
    most_rope: float = inf
    comfort: float = 0.0

    @staticmethod
    def of(preferences: Preferences, names: Sequence[str] | None = None) -> "Order":
        """The order of the preferences, or another sequence of counts; the default ones that are not
        named follow in their own order, so that the order is total on what matters. Raises ValueError
        for a name that is no count."""
        named = counts_of(names or preferences.order)
        rest = tuple(n for n in USUAL if n not in named)
        return Order(named + rest, preferences.enough)

    def allows(self, resets: int, rope: float) -> bool:
        """Whether a setup keeps within what may be spent."""
        return resets <= self.most_resets and rope <= self.most_rope + 1e-9

    @cached_property
    def bands(self) -> int:
        """Number of the highest band."""
        return self.band_of(self.enough)

    def band_of(self, margin: float) -> int:
        """The band a margin falls into, counted only up to enough."""
        return floor(min(margin, self.enough) / self.band + 1e-6)

    def counted(self, name: Count, key: Key) -> float:
        """One count, less is better, rounded."""
        match name:
            case Count.MARGIN:
                return float(round(key.mark / self.band) - self.band_of(key.margin))
            case Count.RESETS:
                return float(key.resets)
            case Count.ROPE:
                return round(key.rope, 3)
            case Count.PARTS:
                return float(key.parts)
            case Count.PULL:
                return round(max(key.pull, self.comfort), 3)
            case _:
                assert_never(name)

    def sort(self, rig: Ranked, margin: float) -> tuple[float, ...]:
        """The sort key of a rig that reaches `margin`; its pull is worked out only where it counts."""
        return self.sortable(Key.of(rig, margin, pulls=Count.PULL in self.names))

    def sortable(self, key: Key) -> tuple[float, ...]:
        """The counts in order: less is better."""
        return tuple(self.counted(name, key) for name in self.names)

    def as_good(self, other: Key, best: Key) -> bool:
        """Whether a rig is as good as the best: its margin at most a band lower, with no more resets. Only
        where margin comes first, since it is what bands are of."""
        if self.names[0] is not Count.MARGIN:
            return False
        mine, its = (min(key.margin, self.enough) - key.mark for key in (best, other))
        return mine - its <= self.band + 1e-9 and other.resets <= best.resets

    def as_good_as_first(self, rigs: Sequence[T], of: Callable[[T], tuple[Key, bool]]) -> list[T]:
        """Those after the first that are as good as it, and rated like it. `of`: what a rig is ordered by,
        and whether all of it is rated."""
        read = [of(rig) for rig in rigs]
        return [
            rig
            for rig, (key, rated) in zip(rigs[1:], read[1:], strict=True)
            if rated == read[0][1] and self.as_good(key, read[0][0])
        ]

    def least_as_good(self, best: tuple[float, ...]) -> tuple[float, ...]:
        """The sort key beyond which nothing is as good as what has the sort key `best`."""
        if self.names[0] is not Count.MARGIN:
            return best
        resets = best[1] if self.names[1] is Count.RESETS else inf
        return (best[0] + 1.0, resets, *(inf for _ in self.names[2:]))

    def beaten(self, key: Key, by: Key) -> bool:
        """Whether another is better on every count of margin, resets and rope."""
        mine = (self.counted(n, key) for n in USUAL)
        other = (self.counted(n, by) for n in USUAL)
        return all(o < m for m, o in zip(mine, other, strict=True))
