"""Finds where the stages of a way down end: fewest stages, changes where the load rests, then the margin.

Whatever holds over a stretch also holds over a part of it, so going as far down as any hold can, stage after
stage, takes the fewest. Between that place and the highest from which the stages left still get down, a stage
may end anywhere; it rather ends where the load rests by itself than where it has to be chocked.
"""

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optimiser.search.stages.finder import Caps, Finder, at_band
from optimiser.search.stages.shortest_chain import backward, forward

MOST_STAGES = 99


@dataclass(frozen=True, slots=True)
class Descent:
    """Marks between which each stage goes, from the top down. Where the last is not 0 no hold goes on from
    there. `rests`: changes of stage at which the load rests."""

    marks: tuple[int, ...]
    rests: int = 0

    @property
    def links(self) -> tuple[tuple[int, int], ...]:
        """(lower mark, upper mark) of each stage, from the top down."""
        return tuple((low, high) for high, low in pairwise(self.marks))


def descend(finder: Finder[Caps], floor: float, note: Callable[[Descent], None]) -> None:
    """Finds the stages. `note` gets every better plan on the way; raises TimeUp."""
    caps = Caps(floor)
    plain = backward(finder, caps, MOST_STAGES)
    best = Descent(tuple(plain))
    note(best)
    stages = len(plain) - 1
    if plain[-1] != 0 or stages < 2:
        return
    rests = _Rests(finder)
    found = _within(finder, caps, stages, rests)
    while found is not None and found.rests >= best.rests:
        best = found
        note(best)
        band = _band(finder, caps, best)
        if band is None:
            return
        caps = at_band(caps, band + 1)
        found = _within(finder, caps, stages, rests)


def _within(finder: Finder[Caps], caps: Caps, stages: int, rests: "_Rests") -> Descent | None:
    """A plan of so many stages within limits; None where there is none."""
    upward = forward(finder, caps, stages)
    if upward[-1] != finder.track.end:
        return None
    marks, count = [finder.track.end], 0
    for left in range(min(stages, len(upward) - 1) - 1, 0, -1):
        low = finder.earliest(marks[-1], caps)
        calm = rests.lowest(low, min(upward[left], marks[-1] - 1))
        count += calm is not None
        marks.append(low if calm is None else calm)
    return Descent((*marks, 0), count)


def _band(finder: Finder[Caps], caps: Caps, plan: Descent) -> int | None:
    """The band of the least margin of a plan; None where no stage can have more than is enough."""
    bands = [
        band
        for low, high in plan.links
        if not finder.needs_nothing(low, high)
        and (band := finder.top_band(low, high, caps)) is not None
    ]
    most = finder.bands
    return None if not bands or min(bands) >= most else min(bands)


class _Rests:
    """Marks at which the load rests by itself: where it does at the stations on both sides."""

    def __init__(self, finder: Finder[Caps]) -> None:
        track = finder.track
        stations = track.scenes[0].stations
        calm = stations.held_back <= 0.0
        before = np.searchsorted(stations.at, track.marks + 1e-9, side="right") - 1
        after = np.searchsorted(stations.at, track.marks - 1e-9, side="left")
        last = len(calm) - 1
        both = calm[np.clip(before, 0, last)] & calm[np.clip(after, 0, last)]
        self._marks = np.flatnonzero(both).tolist()

    def lowest(self, low: int, high: int) -> int | None:
        """The lowest such mark from one mark to another; None where there is none."""
        place = bisect_left(self._marks, low)
        if place < len(self._marks) and self._marks[place] <= high:
            return int(self._marks[place])
        return None
