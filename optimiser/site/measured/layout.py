"""Puts places that readings lead to into a document, as coordinates: where they were found, or elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import dist
from typing import Any

from optimiser.mechanics.values import Vec
from optimiser.site.document.made_of import MadePart
from optimiser.site.document.part import point
from optimiser.site.document.quantity import Quantity, Worse
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.measured.left_open import MADE, ROOMS, STANDING
from optimiser.site.measured.spots import Spots
from shared.units import Dimension, Interval

DECIMALS = 6
"""Places are kept to a micrometre: far below any reading, above what differs from machine to machine."""


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Which places of a document readings lead to: `read` as it was written; `ends`: names that stand where
    coordinates may."""

    read: SiteDocument
    spots: Spots
    ends: Mapping[Key, str]

    def moved(self, document: SiteDocument, at: Mapping[str, Vec]) -> SiteDocument:
        """A document of the same places, other values perhaps, with those that were not given at other
        coordinates [m]; `at` by name, the rest where they were given."""
        moved = self.put_into(document, {**self.spots.given, **at})
        made = [
            _carried(before, after) if _named(written) else after
            for written, before, after in zip(
                self.read.made, document.made, moved.made, strict=True
            )
        ]
        return moved.model_copy(update={"made": made})

    def put_into(self, document: SiteDocument, at: Mapping[str, Vec]) -> SiteDocument:
        """The document with coordinates for all its places that were not given."""
        path, spots = document.path, self.spots
        legs = [
            leg.model_copy(update={"to": _coordinates(at[end])}) if written.measured else leg
            for leg, written, end in zip(path.leg, self.read.path.leg, spots.bends[1:], strict=True)
        ]
        measured = self.read.path.start is None
        start = _coordinates(at[spots.bends[0]]) if measured else path.start
        changes: dict[str, Any] = {"path": path.model_copy(update={"start": start, "leg": legs})}
        for section in STANDING:
            things = list(getattr(document, section))
            for number, written in enumerate(getattr(self.read, section)):
                update = {}
                if written.name not in spots.nowhere and written.at is None:
                    update["at"] = _coordinates(at[written.name])
                if (section, number, "towards") in self.ends:
                    update["towards"] = _coordinates(at[self.ends[section, number, "towards"]])
                if section == "puller":
                    update |= self._points(("puller", number), written, ROOMS, at)
                if update:
                    things[number] = things[number].model_copy(update=update)
            changes[section] = things
        changes["made"] = [
            made.model_copy(update=self._points(("made", number), written, MADE, at))
            for number, (made, written) in enumerate(
                zip(document.made, self.read.made, strict=True)
            )
        ]
        return document.model_copy(update=changes)

    def _points(
        self, table: Key, written: Any, keys: Sequence[str], at: Mapping[str, Vec]
    ) -> dict[str, Any]:
        """The points of what a puller may stand on, or where anchors may be made, as coordinates, where any
        of them is named. `keys`: of lists of points in the table."""
        out: dict[str, Any] = {}
        for key in keys:
            points = list(getattr(written, key, None) or ())
            if any(isinstance(place, str) for place in points):
                named = (self.ends.get((*table, key, i)) for i in range(len(points)))
                out[key] = [
                    place if name is None else _coordinates(at[name])
                    for place, name in zip(points, named, strict=True)
                ]
        return out


def _named(made: MadePart) -> bool:
    """Whether a row or an area of spots goes by names of marks."""
    return any(isinstance(each, str) for each in (*(made.row or ()), *(made.area or ())))


def _carried(before: MadePart, after: MadePart) -> MadePart:
    """The same spots, as many as before and in their order, where the ends of their row or the corners of
    their area have moved: each goes as those do that are near it."""
    spots = list(after.spots)
    for there, here, points in (
        (before.row, after.row, before.along_row),
        (before.area, after.area, before.in_area),
    ):
        if there is not None and here is not None:
            moves = [
                (point(old), [b - a for a, b in zip(point(old), point(new), strict=True)])
                for old, new in zip(there, here, strict=True)
            ]
            spots += [_coordinates(_gone(at, moves)) for at in points]
    return after.model_copy(update={"spots": spots, "row": None, "area": None, "every": None})


def _gone(at: Vec, moves: Sequence[tuple[Vec, Sequence[float]]]) -> Vec:
    """A spot gone along with some points, with each by the inverse of its distance from it: between two of
    them evenly."""
    near = [1.0 / max(dist(at, old), 1e-6) for old, _ in moves]
    x, y, z = (
        at[axis]
        + sum(share * way[axis] for share, (_, way) in zip(near, moves, strict=True)) / sum(near)
        for axis in range(3)
    )
    return x, y, z


def _coordinates(at: Vec) -> list[Quantity]:
    return [_certain(round(value, DECIMALS) + 0.0) for value in at]


def _certain(value: float) -> Quantity:
    return Quantity(
        text=f"{value:.3f} m",
        interval=Interval(low=value, high=value, stated=value),
        dimension=Dimension.LENGTH,
        worse=Worse.NEITHER,
    )
