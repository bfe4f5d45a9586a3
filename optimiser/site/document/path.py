"""The path: where the load goes, over what, leg by leg."""

from collections.abc import Iterator
from math import atan, dist, hypot, sin
from typing import Annotated

from pydantic import Field

from catalogue.book import load_catalogue
from catalogue.ground import Motion, Surface
from optimiser.mechanics.values import Vec
from optimiser.site.document.part import (
    EdgeProtected,
    Fault,
    Part,
    Point,
    PointOrName,
    SurfaceId,
    point,
)
from optimiser.site.document.quantity import (
    Angle,
    Corner,
    Factor,
    Growth,
    Length,
    Quantity,
    StepHeight,
)
from optimiser.site.document.readings import Rise, Slope, Turn
from optimiser.site.model import Leg

SHORTEST = 0.05
"""m: a shorter leg is a slip of the pen."""
LONGEST = 1000.0
"""m of path in all: beyond it this is no job for one rope and a few blocks."""
STEEPEST = 3.0
"""Rise over going: a steeper leg is a lift, which is out of scope."""
STEEPEST_LEG = atan(STEEPEST)
"""The same as a slope, rad."""
LEG_READINGS = ("length", "slope", "rise", "turn", "bearing")
"""What a leg may have instead of the point it leads to."""


class PathLeg(Part):
    """A straight piece of the path, from where the one before ends: to a point, or so long and so steep."""

    to: PointOrName | None = None
    """Where the leg ends: x, y in plan and z up, or the name of a mark. Left out: give its length."""
    length: Length | None = None
    """Instead: its length by a tape on the ground."""
    slope: Slope | None = None
    """With the length: how steep it is, "12 deg" up or "5 deg down"."""
    rise: Rise | None = None
    """Instead of the slope: how much higher it ends than it starts."""
    turn: Turn | None = None
    """How far the path turns where the leg begins: "15 deg left". Left out: it goes straight on."""
    bearing: Angle | None = None
    """Instead of the turn: the way it goes by the compass, clockwise from north."""
    surface: SurfaceId | None = None
    """What it goes over, by the catalogue's id."""
    resistance: Factor | None = None
    """Force to keep it moving on the level / force on the ground, if you know better than the
    catalogue: a number, a range ("0.3..0.4"), or a percentage."""
    apparent_weight: Factor | None = None
    """Share of the weight that rests on the ground (partly afloat: 0.4). 1 if left out."""
    breakout: Growth | None = None
    """Factor on the weight over the first metre (stuck in silt: 1.5). 1 if left out."""
    step: StepHeight | None = None
    """Height of a lip at the start of the leg that the wheels must climb."""
    edge_protected: EdgeProtected = False
    """What lies wherever a line would rub on this leg's ground: true, or the id of an edge protector of the
    catalogue such as "log-bark-20". At a crest both legs that meet there need it. What you would lay there
    but do not have lying yet belongs under [[gear]]."""

    @property
    def measured(self) -> bool:
        """Whether it ends where readings say, not at given coordinates."""
        return not isinstance(self.to, list)

    def faults(self) -> Iterator[Fault]:
        if self.surface is None and self.resistance is None:
            yield "surface", "missing: name a surface of the catalogue, or give a resistance"
        by_length = {key: getattr(self, key) is not None for key in LEG_READINGS}
        if self.to is None and self.length is None:
            given = any(by_length.values())
            yield (
                "length" if given else "to",
                "missing: where the leg ends, x, y in plan and z up; or its length and slope"
                if not given
                else 'missing: its length by a tape on the ground (such as length = "6.5 m")',
            )
        if self.to is not None and any(by_length.values()):
            key = next(key for key, given in by_length.items() if given)
            yield key, "give either where the leg ends, or its length and slope, not both"
        elif self.length is not None and (self.slope is None) == (self.rise is None):
            both = self.slope is not None
            yield (
                "slope",
                "give either the slope or the rise, not both"
                if both
                else 'missing: how steep it is (such as slope = "12 deg", or rise = "0.8 m"; level: "0 deg")',
            )
        if self.turn is not None and self.bearing is not None:
            yield "bearing", "give either the turn or the bearing, not both"
        if self.slope is not None and abs(self.slope.at("stated")) > STEEPEST_LEG:
            yield "slope", f"'{self.slope.text}' is a lift, which is out of scope"
        if self.rise is not None and self.length is not None and not self._lies():
            yield (
                "rise",
                f"'{self.rise.text}' on a length of {self.length.text} is a lift, which is out of scope",
            )

    def _lies(self) -> bool:
        assert self.rise is not None
        assert self.length is not None
        return abs(self.rise.at("stated")) < sin(STEEPEST_LEG) * self.length.at("stated")

    def leg(self, start: Vec, motion: Motion, corner: Corner) -> Leg:
        """The leg in SI. `start`: where the one before ends."""
        surface = None if self.surface is None else resolved(self.surface, motion)
        high, low = _resistance(self.resistance, surface, corner)
        laid = self.edge_protected
        return Leg(
            start=start,
            end=point(self.to),
            surface=surface.name if surface is not None else f"resistance {high:g}",
            motion=motion,
            resistance=high,
            resistance_low=low,
            resistance_least=None if self.resistance is None else self.resistance.other(corner),
            apparent=_or_one(self.apparent_weight, corner),
            breakout=_or_one(self.breakout, corner),
            step=0.0 if self.step is None else self.step.at(corner),
            edge_protected=laid is not False,
            protector=load_catalogue().protectors[laid] if isinstance(laid, str) else None,
        )


class Path(Part):
    """Where the load goes: a start and at least one leg."""

    start: Point | None = None
    """Where the load's reference point lies at first: x, y in plan and z up. It may be left out where legs
    are given by their length: all places then count from there, x along the first leg, y to its left."""
    leg: Annotated[list[PathLeg], Field(min_length=1, max_length=200)]
    """The legs in the order of the haul. A path of one point is no path."""

    @property
    def measured(self) -> bool:
        """Whether any of it is where readings say."""
        return any(leg.measured for leg in self.leg)

    def faults(self) -> Iterator[Fault]:
        if self.measured:
            return  # looked at once all places are found
        if self.start is None:
            yield (
                "start",
                "missing: where the load's reference point lies at first: x, y in plan and z up",
            )
            return
        yield from self.shape_faults()

    def shape_faults(self) -> Iterator[Fault]:
        """What is wrong with the way it runs, where every place of it is known."""
        here, total = point(self.start), 0.0
        for number, leg in enumerate(self.leg, 1):
            end = point(leg.to)
            length, going = dist(here, end), hypot(end[0] - here[0], end[1] - here[1])
            total += length
            if length < SHORTEST:
                yield (
                    f"leg.{number - 1}.to",
                    (
                        f"the leg is {length:.2f} m long: it must end at least {SHORTEST:g} m from "
                        "where it starts"
                    ),
                )
            elif abs(rise := end[2] - here[2]) > STEEPEST * going:
                yield (
                    f"leg.{number - 1}.to",
                    (
                        f"the leg rises {rise:.2f} m over {going:.2f} m: that is a lift, "
                        "which is out of scope"
                    ),
                )
            here = end
        if total > LONGEST:
            yield "leg", f"the path is {total:.0f} m long; more than {LONGEST:.0f} m is not planned"

    def legs(self, motion: Motion, corner: Corner) -> tuple[Leg, ...]:
        """The legs in SI."""
        legs: list[Leg] = []
        start = point(self.start)
        for leg in self.leg:
            legs.append(leg.leg(start, motion, corner))
            start = legs[-1].end
        return tuple(legs)


def resolved(surface: str, motion: Motion) -> Surface:
    """The surface of that id; "shingle" under a load that slides is "shingle-sliding"."""
    surfaces = load_catalogue().surfaces
    named = surfaces[surface]
    if named.motion is not motion and motion is Motion.SLIDING:
        return surfaces.get(f"{surface}-sliding", named)
    return named


def _resistance(
    stated: Quantity | None, surface: Surface | None, corner: Corner
) -> tuple[float, float]:
    """Resistance to the haul, and the least that may be counted on to hold the load."""
    if stated is None:
        assert surface is not None  # a leg names one or the other
        return surface.likely, surface.low
    least = stated.interval.low
    return stated.at(corner), least if surface is None else min(least, surface.low)


def _or_one(factor: Quantity | None, corner: Corner) -> float:
    return 1.0 if factor is None else factor.at(corner)
