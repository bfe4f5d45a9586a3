"""A rig is a walk of the rope over places.

The rope begins at its standing end, turns on a sheave at every place between, and ends at the puller.
Straight pulls, changes of direction, every simple tackle with its standing end on either side, spread
anchors and lead blocks are all walks; nothing is special-cased. Tackle on tackle is two walks: the
first ends at the grip, where the second rope's blocks are made fast to it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from optimiser.site.model import Hitch


class PlaceKind(StrEnum):
    """What a place is. The grip is a point on another rope; a hand stands only in drawings."""

    LOAD = "load"
    ANCHOR = "anchor"
    PULLER = "puller"
    GRIP = "grip"
    HAND = "hand"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Somewhere a rope ends or turns: the load, an anchor at a strap height, or a puller.

    `name` is the anchor's or puller's; `height` the strap's. The grip is a point on another rope: a hitch,
    a rope grip or a knot on its hauling part.
    """

    kind: PlaceKind
    name: str = ""
    height: float = 0.0

    def __str__(self) -> str:
        """The notation used in listings and in JSON: `load`, `NAME@HEIGHT m`, or the puller's name."""
        if self.kind in (PlaceKind.LOAD, PlaceKind.GRIP):
            return self.kind
        return f"{self.name}@{self.height:g} m" if self.kind is PlaceKind.ANCHOR else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """One way to lead a steering line: from a hitch of the load to a place at an anchor."""

    place: Place
    hitch: Hitch


LOAD = Place(PlaceKind.LOAD)
GRIP = Place(PlaceKind.GRIP)

Walk = tuple[Place, ...]
"""Places from the standing end to the puller."""


def parts(walk: Sequence[Place]) -> int:
    """Parts of line that pull on the load: the segments that end there, the standing part included."""
    return sum((a.kind is PlaceKind.LOAD) + (b.kind is PlaceKind.LOAD) for a, b in segments(walk))


def segments(walk: Sequence[Place]) -> Iterator[tuple[Place, Place]]:
    """The straight runs of rope, from the standing end to the puller."""
    return pairwise(walk)


def trees(walk: Sequence[Place]) -> tuple[str, ...]:
    """The walk without its strap heights: what distinguishes one setup from another."""
    return tuple(place.name or place.kind for place in walk)


def by_rope(nodes: Walk) -> tuple[Walk, ...]:
    """The walks of a rig's ropes out of all its nodes: the first of two ends at the grip."""
    first = next((i for i, place in enumerate(nodes) if place.kind is PlaceKind.GRIP), None)
    return (nodes,) if first is None else (nodes[: first + 1], nodes[first + 1 :])


def notation(walk: Sequence[Place]) -> str:
    """The walk in one line, from the standing end to the puller."""
    return " > ".join(str(place) for place in walk)
