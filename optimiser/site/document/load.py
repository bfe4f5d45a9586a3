"""The load and the points a line may be made fast to."""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from catalogue.gear import MadeTo
from catalogue.ground import Motion
from optimiser.site.document.part import Fault, HitchKind, Name, Part, Title
from optimiser.site.document.quantity import (
    CertainShare,
    Coordinate,
    Corner,
    Length,
    LengthOrNone,
    Quantity,
    Rating,
    Size,
    Weight,
)
from optimiser.site.model import Hitch, Load


def rated(rating: Quantity | str, corner: Corner) -> float | None:
    """A rating in N, or None where it is unknown."""
    return None if isinstance(rating, str) else rating.at(corner)


class HitchPoint(Part):
    """An eye, ring, axle or bollard of the load that a line may be made fast to."""

    name: Name
    """Your name for it, such as "bow ring"."""
    ahead: Coordinate
    """How far it lies ahead of the load's reference point, in the direction of travel."""
    left: Coordinate
    """How far it lies to the left of it; to the right is negative."""
    height: LengthOrNone
    """Its height above the ground."""
    rating: Rating
    """What it stands, or "unknown"."""
    eye: Size | None = None
    """Clear width of its hole, if a pin must go through it."""
    kind: HitchKind | None = None
    """What it is: an eye (a closed eye, ring or link), a hook, or a bar that a shackle can be closed
    round. Left out: taken for an eye, and only what holds on one is made fast to it."""

    def faults(self) -> Iterator[Fault]:
        if self.eye is not None and self.kind not in (None, "eye"):
            yield "eye", f'a {self.kind} has no hole; leave it out, or say kind = "eye"'

    def hitch(self, corner: Corner) -> Hitch:
        """The hitch point in SI."""
        return Hitch(
            name=self.name,
            ahead=self.ahead.at(corner),
            left=self.left.at(corner),
            height=self.height.at(corner),
            rating=rated(self.rating, corner),
            eye=None if self.eye is None else self.eye.at(corner),
            kind=MadeTo.EYE if self.kind is None else MadeTo(self.kind),
        )


class LoadPart(Part):
    """What is hauled."""

    name: Title = "load"
    """What it is, for headings."""
    weight: Weight
    """Its weight with all that is in it: "260 kg", or a range "220..300 kg"."""
    lightest: Weight | None = None
    """How light it can be made, by emptying it or taking off what comes off. Left out: it stays as heavy
    as it is, and no answer says to lighten it."""
    rests_on: Literal["wheels", "skids", "belly"]
    """What it moves on. On wheels it rolls, on skids, a sledge or its own belly it slides."""
    wheel_radius: Length | None = None
    """Radius of the wheels; only for a load on wheels."""
    axle_share: CertainShare | None = None
    """Largest share of the weight on one axle, for climbing a step. All of it if left out."""
    length: Length
    """Its length, so that the blocks do not run into the anchor."""
    overhang: LengthOrNone
    """How far it reaches ahead of its reference point (the point the path is the path of)."""
    bridle: bool = False
    """True if two hitch points may be joined by two legs to one ring."""
    bridle_leg: Length | None = None
    """Length of such a leg; 1.5 m if left out."""
    hitch: Annotated[list[HitchPoint], Field(min_length=1, max_length=12)]
    """The points a line may be made fast to."""

    @property
    def motion(self) -> Motion:
        """How it goes over the ground."""
        return Motion.ROLLING if self.rests_on == "wheels" else Motion.SLIDING

    def faults(self) -> Iterator[Fault]:
        if self.rests_on == "wheels" and self.wheel_radius is None:
            yield "wheel_radius", 'missing: a load on wheels needs it (such as "0.15 m")'
        if self.rests_on != "wheels":
            for key in ("wheel_radius", "axle_share"):
                if getattr(self, key) is not None:
                    yield key, f"the load rests on its {self.rests_on}, so it has no wheels"
        if self.overhang.interval.high > self.length.interval.high:
            yield "overhang", "the load cannot reach further ahead than it is long"
        if self.lightest is not None and self.lightest.interval.high >= self.weight.interval.low:
            yield "lightest", f"must be less than the weight, '{self.weight.text}'"
        if self.bridle and len(self.hitch) < 2:
            yield "bridle", "a bridle needs two hitch points; there is one [[load.hitch]]"
        if self.bridle_leg is not None and not self.bridle:
            yield "bridle_leg", "only used with bridle = true"

    def load(self, corner: Corner) -> Load:
        """The load in SI."""
        return Load(
            name=self.name,
            weight=self.weight.at(corner),
            lightest=None if self.lightest is None else self.lightest.at(corner),
            wheel_radius=None if self.wheel_radius is None else self.wheel_radius.at(corner),
            axle_share=1.0 if self.axle_share is None else self.axle_share.at(corner),
            overhang=self.overhang.at(corner),
            length=self.length.at(corner),
            hitches=tuple(hitch.hitch(corner) for hitch in self.hitch),
            may_bridle=self.bridle,
            bridle_leg=1.5 if self.bridle_leg is None else self.bridle_leg.at(corner),
        )
