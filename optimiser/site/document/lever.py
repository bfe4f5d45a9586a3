"""Raising the load corner by corner: what stands where, the bar, and the blocks."""

from collections.abc import Iterator
from math import radians
from typing import Annotated

from pydantic import Field

from optimiser.site.document.load import rated
from optimiser.site.document.part import Fault, Name, Part
from optimiser.site.document.quantity import (
    Amount,
    Angle,
    AngleLimit,
    Coordinate,
    Corner,
    Length,
    Pull,
    Quantity,
    Rating,
    Weight,
    Worse,
)
from optimiser.site.lever import Corner as Support
from optimiser.site.lever import LeverJob
from shared.units import Dimension

CentreHeight = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, worse=Worse.HIGH, least=0.0)]
MOST_LAYERS = 12
"""More layers than this are no blocking but a tower."""
SPARE_TILT = radians(5.0)
"""Further tilt a load must stand at every moment, if nothing else is said (choice)."""
CLEARANCE = 0.01
"""m that a corner is raised above its blocks so that the next one goes in (choice)."""


class CornerPart(Part):
    """One place the load stands on."""

    name: Name
    """Your name for it, such as "front left"."""
    ahead: Coordinate
    """How far ahead it is, from any one point of the load."""
    left: Coordinate
    """How far to the left of that point; to the right is negative."""
    weighed: Weight | None = None
    """What it carries, if you have weighed it with the load level."""


class LeverPart(Part):
    """Raising the load one corner at a time. Corners as a rectangle, or one by one."""

    length: Length | None = None
    """Distance between the front and the rear corners."""
    width: Length | None = None
    """Distance between the left and the right corners."""
    corner: Annotated[list[CornerPart], Field(min_length=3, max_length=4)] | None = None
    """Instead of these two: the three or four corners, in order round the load."""
    centre_ahead: Coordinate | None = None
    """How far the centre of gravity lies ahead of the rear corners (or of your point)."""
    centre_left: Coordinate | None = None
    """How far it lies to the left of the right corners (or of your point)."""
    centre_height: CentreHeight
    """How high it lies above the corners' feet. Guess it high."""
    bar_length: Length
    """Length of the bar."""
    fulcrum: Length
    """From the bar's tip under the load to the fulcrum."""
    bar_rating: Rating = "unknown"
    """The load its tip stands, or "unknown"."""
    hand: Pull | None = None
    """The most force on the bar's end; a published figure if left out."""
    bite: Length
    """How far one bite of the bar lifts."""
    block: Length
    """Thickness of one layer of blocking."""
    raise_by: Length
    """How high every corner is to be raised."""
    clearance: Length | None = None
    """Room above the blocks for the next one to go in; 1 cm if left out."""
    ground_rises_ahead: Angle | None = None
    """Slope of the ground under the load, rising ahead; falling is negative. 0 if left out."""
    ground_rises_left: Angle | None = None
    """The same to the left."""
    spare_tilt: AngleLimit | None = None
    """Further tilt the load must stand at every moment; 5 degrees if left out."""

    def faults(self) -> Iterator[Fault]:
        if self.corner is None:
            for key in ("length", "width"):
                if getattr(self, key) is None:
                    yield key, 'missing: distance between the corners (such as "1.2 m")'
        elif self.length is not None or self.width is not None:
            yield "corner", "give either the corners, or length and width, not both"
        centre = (self.centre_ahead, self.centre_left)
        weighed = [c.weighed is not None for c in self.corner or ()]
        if any(weighed):
            if not all(weighed):
                yield "corner", "weigh every corner, or none"
            elif any(part is not None for part in centre):
                yield "centre_ahead", "follows from the weighed corners; leave it out"
        else:
            for key, part in zip(("centre_ahead", "centre_left"), centre, strict=True):
                if part is None:
                    yield key, "missing: where is the centre of gravity? (or weigh the corners)"
        if self.fulcrum.interval.high >= self.bar_length.interval.low:
            yield "fulcrum", "the bar ends before its fulcrum"
        layers = self.raise_by.at("stated") / self.block.at("stated")
        if layers > MOST_LAYERS:
            yield "raise_by", f"{layers:.0f} layers of blocks; at most {MOST_LAYERS} are planned"
        for key in ("ground_rises_ahead", "ground_rises_left"):
            slope = getattr(self, key)
            if slope is not None and abs(slope.at("stated")) > radians(30.0):
                yield key, "more than 30 degrees: nothing is raised on blocks there"
        yield from self._shape()

    def _shape(self) -> Iterator[Fault]:
        """Corners must go round the load one after the other, without a dent."""
        if self.corner is None:
            return
        names = [c.name.casefold() for c in self.corner]
        if len(set(names)) < len(names):
            yield "corner", "every corner needs a name of its own"
        points = [(c.ahead.at("stated"), c.left.at("stated")) for c in self.corner]
        turns = []
        for i, (x, y) in enumerate(points):
            (ax, ay), (bx, by) = points[i - 1], points[(i + 1) % len(points)]
            turns.append((x - ax) * (by - y) - (bx - x) * (y - ay))
        if not (all(t > 1e-4 for t in turns) or all(t < -1e-4 for t in turns)):
            yield "corner", "name the corners in order round the load; none may lie inside"

    def job(self, corner: Corner) -> LeverJob:
        """The job in SI."""
        centre = None
        if self.centre_ahead is not None and self.centre_left is not None:
            centre = (self.centre_ahead.at(corner), self.centre_left.at(corner))
        return LeverJob(
            corners=self._supports(corner),
            centre=centre,
            height=self.centre_height.at(corner),
            bar=self.bar_length.at(corner),
            nose=self.fulcrum.at(corner),
            bar_rating=rated(self.bar_rating, corner),
            hand=None if self.hand is None else self.hand.at(corner),
            bite=self.bite.at(corner),
            block=self.block.at(corner),
            wanted=self.raise_by.at(corner),
            clearance=CLEARANCE if self.clearance is None else self.clearance.at(corner),
            rise_ahead=_or_level(self.ground_rises_ahead, corner),
            rise_left=_or_level(self.ground_rises_left, corner),
            spare_tilt=SPARE_TILT if self.spare_tilt is None else self.spare_tilt.at(corner),
        )

    def _supports(self, corner: Corner) -> tuple[Support, ...]:
        if self.corner is not None:
            return tuple(
                Support(
                    name=c.name,
                    ahead=c.ahead.at(corner),
                    left=c.left.at(corner),
                    weighed=None if c.weighed is None else c.weighed.at(corner),
                )
                for c in self.corner
            )
        assert self.length is not None
        assert self.width is not None
        long, wide = self.length.at(corner), self.width.at(corner)
        return (
            Support(name="front left", ahead=long, left=wide),
            Support(name="rear left", ahead=0.0, left=wide),
            Support(name="rear right", ahead=0.0, left=0.0),
            Support(name="front right", ahead=long, left=0.0),
        )


def _or_level(slope: Quantity | None, corner: Corner) -> float:
    return 0.0 if slope is None else slope.at(corner)
