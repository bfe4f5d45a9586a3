"""What anchors that people make are made of, so that their strength is worked out, and where they may be."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice
from math import atan, dist, radians
from typing import Annotated, Any, Literal

from pydantic import Field

from catalogue.book import load_catalogue
from optimiser.mechanics.anchor import built
from optimiser.mechanics.anchor.anchorage import groups
from optimiser.mechanics.published import number, row, tables
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.site import making
from optimiser.site.anchors import RatedAnchor
from optimiser.site.document.load import rated
from optimiser.site.document.part import Fault, Name, Part, PointOrName, SpeciesId, point
from optimiser.site.document.quantity import (
    Angle,
    Corner,
    GrippingWeight,
    Length,
    LongerIsBetter,
    Positive,
    Rating,
    Traction,
)
from optimiser.site.model import AnchorKind, Directions
from optimiser.site.roaming.outline import misshapen
from optimiser.site.roaming.rooms import BUMP, Area, Body, off_plane
from shared.words import did_you_mean

System = Literal["1", "1-1", "1-1-1", "2-1", "3-2-1"]
PicketSoil = Literal["loam", "clay and gravel", "river clay or sand"]
LogSoil = Literal["loam", "rock or hardpan", "fine-grained wet or sandy"]
AT_THE_GROUND = (making.AT_THE_GROUND,)
MOST_SPOTS = 40
"""Spots of one place, so that a row typed in millimetres is no long wait."""
MOST_TRIED = 5000
"""Spots of the box round an area that are tried, so that one typed in millimetres is no long wait."""
NO_RATING = AnchorStrength(capacity=None, unit="N", factors=(), governs="no rating known")


class _Pickets(Part):
    pickets: Literal["wood", "steel"]
    """Wood of 3 in by 5 ft at least, or steel of 25 mm by 1.5 m."""
    soil: PicketSoil
    """What they are driven into, never dug before."""

    def as_anchor(self, system: str) -> dict[str, Any]:
        """What makes an anchor of some pickets, by the names of its values."""
        steel = self.pickets == "steel"
        return {
            "kind": AnchorKind.PICKET_HOLDFAST,
            "heights": AT_THE_GROUND,
            "girth": making.girth_of_pickets(system=system, steel=steel),
            "strength": built.holdfast(system=system, steel=steel, soil=self.soil),
            "directions": Directions(
                up=radians(number("anchorage", "picket_lean").value), aside=_aside()
            ),
            "making": making.holdfast(system=system, steel=steel),
        }


class HoldfastPart(_Pickets):
    """Pickets driven in line behind each other and lashed together."""

    system: System
    """Pickets in each group from the load backwards."""


class DeadmanPart(Part):
    """A log buried square to the pull, with a sling that comes up to the ground along a trench."""

    log_diameter: LongerIsBetter
    """Thickness of the log at its thin end, over the bark."""
    log_length: Length
    """Length of the log: at most five times its thickness."""
    depth: Length
    """How deep its middle lies: 3 to 7 ft (0.92 to 2.13 m)."""
    run: Positive
    """The trench of the sling rises 1 in this: 1 for steep pulls (45 degrees), up to 4, which holds more."""
    soil: LogSoil
    """What it is buried in."""
    species: SpeciesId = "unknown"
    """Species of the log; "unknown" is taken for the weakest."""
    sling: Rating
    """What the sling or chain round the log is rated for as it is used, or "unknown"."""

    def faults(self) -> Iterator[Fault]:
        if not 1.0 <= self.run.at("stated") <= 4.0:
            yield "run", f"the published table goes from 1 to 4, got '{self.run.text}'"

    def as_anchor(self, corner: Corner) -> dict[str, Any]:
        """What makes an anchor of it, by the names of its values. ValueError beyond the tables."""
        long, deep, run = (q.at("stated") for q in (self.log_length, self.depth, self.run))
        thick = self.log_diameter.at(corner)
        strength = built.deadman(
            diameter=thick, length=long, depth=deep, run=run, soil=self.soil,
            wood=load_catalogue().species[self.species], sling=rated(self.sling, corner),
        )  # fmt: skip
        return {
            "kind": AnchorKind.BURIED_LOG,
            "heights": AT_THE_GROUND,
            "girth": None,
            "strength": strength,
            "directions": Directions(up=atan(1.0 / run), aside=_aside()),
            "making": making.deadman(diameter=thick, length=long, depth=deep, run=run),
        }


class RestingPart(Part):
    """A boulder or a parked vehicle: what holds is its weight, by friction on its own ground."""

    weight: GrippingWeight
    """Its weight."""
    ground: str | None = None
    """A boulder's: "dry clay", "moist clay" or "dry rock". A vehicle's: a footing of the catalogue."""
    friction: Traction | None = None
    """Instead of the ground: friction over weight."""
    foot: Length
    """How long it stands on the ground along the pull: a boulder's bed, a vehicle's wheelbase."""
    tall: Length
    """How high it stands."""
    slope: Angle | None = None
    """How steeply the ground under it falls towards the pull. Left out: it is level."""
    chocked: Literal["all wheels", "one axle"] | None = None
    """Which wheels of a vehicle are chocked and braked."""

    def faults(self) -> Iterator[Fault]:
        if (self.ground is None) == (self.friction is None):
            yield "ground", "give either the ground it stands on, or a friction"
        if self.slope is not None and not 0.0 <= self.slope.at("stated") < 0.7854:
            yield "slope", f"from 0 to less than 45 degrees, got '{self.slope.text}'"

    def faults_as(self, kind: str) -> Iterator[Fault]:
        """What does not fit that kind of anchor."""
        vehicle = kind == "parked vehicle"
        if vehicle and self.chocked is None:
            yield "chocked", 'missing: "all wheels" or "one axle"; without chocks it rolls'
        if not vehicle and self.chocked is not None:
            yield "chocked", "only a parked vehicle has wheels to chock"
        if self.ground is not None:
            words = list(load_catalogue().footings) if vehicle else _boulder_grounds()
            if self.ground not in words:
                near = did_you_mean(self.ground[:80], words) or f"; there are {', '.join(words)}"
                yield "ground", f"nothing is known of '{self.ground[:40]}'{near}"

    def as_anchor(self, kind: AnchorKind, height: float, corner: Corner) -> dict[str, Any]:
        """What makes an anchor of it, by the names of its values. `height`: of its highest strap, m."""
        vehicle = kind is AnchorKind.PARKED_VEHICLE
        friction, source = self._grips(vehicle, corner)
        rise = radians(number("anchorage", "resting_rise").value)
        strength = built.by_weight(
            weight=self.weight.at(corner), held=0.5 if self.chocked == "one axle" else 1.0,
            friction=friction, friction_source=source, half_foot=self.foot.at(corner) / 2.0,
            height=height, centre=self.tall.at(corner) / 2.0,
            slope=0.0 if self.slope is None else self.slope.at(corner), rise=rise,
        )  # fmt: skip
        return {
            "strength": strength,
            "directions": Directions(up=rise, aside=_aside() if vehicle else None),
            "making": making.vehicle(chocked=self.chocked) if self.chocked else None,
        }

    def _grips(self, vehicle: bool, corner: Corner) -> tuple[float, str]:
        """Friction over weight, and the key of its source."""
        if self.friction is not None:
            return self.friction.at(corner), "site"
        assert self.ground is not None
        if vehicle:
            footing = load_catalogue().footings[self.ground]
            return footing.traction, footing.source
        place = _boulder_grounds().index(self.ground)
        entry = tables("anchorage")["boulder_friction"]
        return row("anchorage", "boulder_friction")[place], str(entry["sources"][place])


class PicketsOwned(_Pickets):
    """Holdfasts that may be made of pickets at hand."""

    systems: Annotated[list[System], Field(min_length=1, max_length=5)]
    """Which ones: pickets in each group from the load backwards."""
    owned: Annotated[int, Field(ge=1, le=100)]
    """Pickets at hand."""


class LogsOwned(DeadmanPart):
    """Logs at hand that may be buried."""

    owned: Annotated[int, Field(ge=1, le=20)] = 1
    """Such logs at hand."""


class VehiclesOwned(RestingPart):
    """Vehicles at hand that may be parked as anchors."""

    girth: Length | None = None
    """What a strap has to go round, such as an axle. Left out: it has an eye, and needs no strap."""
    height: Length
    """Height of the eye or axle above the ground."""
    owned: Annotated[int, Field(ge=1, le=5)] = 1
    """Such vehicles at hand."""

    def faults(self) -> Iterator[Fault]:
        yield from super().faults()
        yield from self.faults_as("parked vehicle")


class MadePart(Part):
    """Spots where an anchor may be made, and of what. One that is not used is not made."""

    name: Name
    """Your name for the place, such as "meadow"."""
    spots: Annotated[list[PointOrName], Field(max_length=30)] = Field(default=[])
    """Spots on the ground where one may be made: x, y in plan and z up, each; or the name of a mark, to which
    [[reading]] entries lead."""
    row: Annotated[list[PointOrName], Field(min_length=2, max_length=2)] | None = None
    """Instead of spots, or besides: a straight row from one point to another, such as behind a crest; or from
    one mark to another by their names."""
    area: Annotated[list[PointOrName], Field(min_length=3, max_length=12)] | None = None
    """Instead of spots, or besides: a piece of ground by its corners, in their order round it, or by the
    names of the marks at them."""
    every: Length | None = None
    """How far apart the spots of the row, or of the area, are looked at."""
    holdfast: PicketsOwned | None = None
    """Pickets at hand."""
    deadman: LogsOwned | None = None
    """Logs at hand."""
    vehicle: VehiclesOwned | None = None
    """Vehicles at hand."""

    def faults(self) -> Iterator[Fault]:
        if not self.spots and self.row is None and self.area is None:
            yield "spots", "missing: spots where one may be made, or a row or an area of them"
        if (self.row is None and self.area is None) != (self.every is None):
            what = "a row needs both its two ends (row)"
            if self.area is not None:
                what = "an area needs both its corners (area)"
            yield "every", f"{what} and how far apart its spots are (every)"
        elif self._corners and off_plane(self._corners) > BUMP:
            yield "area", "its corners do not lie in one plane: name spots one by one, or a row"
        elif self._corners and (wrong := misshapen(self._corners)) is not None:
            yield "area", wrong
        elif (many := len(self.spots) + self._in_row + len(self.in_area)) > MOST_SPOTS:
            yield "every", f"that is {many} spots, {MOST_SPOTS} at most: take them further apart"
        elif self._corners and not self.in_area:
            yield "every", "no spot lies in the area: take them closer together"
        if self.holdfast is None and self.deadman is None and self.vehicle is None:
            yield "holdfast", "missing: what is made there (holdfast, deadman or vehicle)"

    @property
    def _in_row(self) -> int:
        """How many spots the row has."""
        ends = _known(self.row)
        if not ends or self.every is None:
            return 0
        begin, end = ends
        return max(int(dist(begin, end) / self.every.at("stated") + 1e-9), 0) + 1

    @property
    def _corners(self) -> tuple[Vec, ...]:
        """The corners of the area, m; empty where there is none, or marks are still to be placed."""
        return _known(self.area)

    @property
    def in_area(self) -> tuple[Vec, ...]:
        """The spots of the area, m, row by row along its first side: no more than one too many."""
        if self.every is None or not self._corners or misshapen(self._corners) is not None:
            return ()
        ground = Area(
            points=self._corners,
            spacing=self.every.at("stated"),
            body=Body(length=0.0, width=0.0, run=0.0),
        )
        tried = islice(ground.spots(), MOST_TRIED)
        every = (ground.spot(stand)[0] for stand in tried)
        return tuple(islice((at for at in every if ground.holds(at)), MOST_SPOTS + 1))

    @property
    def points(self) -> tuple[Vec, ...]:
        """The spots, m, those of the row and the area last; of too many the first of them only."""
        return (*map(point, self.spots), *self.along_row, *self.in_area)

    @property
    def along_row(self) -> tuple[Vec, ...]:
        """The spots of the row, m."""
        out: list[Vec] = []
        if (ends := _known(self.row)) and self.every is not None:
            begin, end = ends
            long = max(dist(begin, end), 1e-9)
            for i in range(min(self._in_row, MOST_SPOTS + 1)):
                share = i * self.every.at("stated") / long
                x, y, z = (a + share * (b - a) for a, b in zip(begin, end, strict=True))
                out.append((x, y, z))
        return tuple(out)

    @property
    def spot_names(self) -> tuple[str, ...]:
        """The spots by name."""
        many = len(self.points)
        return (self.name,) if many == 1 else tuple(f"{self.name} {i + 1}" for i in range(many))

    @property
    def stock(self) -> tuple[tuple[str, int], ...]:
        """What the anchors are made of and how many there are, and room for one at each spot."""
        owned = [
            (f"{what} of {self.name}", part.owned)
            for what, part in (
                ("pickets", self.holdfast), ("logs", self.deadman), ("vehicles", self.vehicle)
            )
            if part is not None
        ]  # fmt: skip
        return (*owned, *((spot, 1) for spot in self.spot_names))

    def anchors(self, corner: Corner) -> Iterator[RatedAnchor]:
        """Every anchor that may be made, in SI. ValueError beyond the tables."""
        for spot, at in zip(self.spot_names, self.points, strict=True):
            for kind, name, takes, made in self._kinds(corner):
                plain = RatedAnchor(
                    name=f"{name} at {spot}", position=at, kind=kind, heights=AT_THE_GROUND,
                    girth=None, strength=NO_RATING, radius=0.0, top=0.5,
                    uses=((f"{takes[0]} of {self.name}", takes[1]), (spot, 1)),
                )  # fmt: skip
                yield replace(plain, **made)

    def _kinds(
        self, corner: Corner
    ) -> Iterator[tuple[AnchorKind, str, tuple[str, int], dict[str, Any]]]:
        """Kind, name, what it takes and how many of it, and the values of each kind of anchor."""
        if self.holdfast is not None:
            for system in self.holdfast.systems:
                made = self.holdfast.as_anchor(system)
                takes = ("pickets", sum(groups(system)))
                yield AnchorKind.PICKET_HOLDFAST, f"{system} pickets", takes, made
        if self.deadman is not None:
            made = self.deadman.as_anchor(corner)
            yield AnchorKind.BURIED_LOG, "buried log", ("logs", 1), made
        if self.vehicle is not None:
            kind, high = AnchorKind.PARKED_VEHICLE, self.vehicle.height.at("stated")
            girth = None if self.vehicle.girth is None else self.vehicle.girth.at("stated")
            made = self.vehicle.as_anchor(kind, high, corner)
            made |= {"heights": (high,), "girth": girth}
            yield kind, "parked vehicle", ("vehicles", 1), made


def _known(points: list[Any] | None) -> tuple[Vec, ...]:
    """Points, m; () where there are none, or readings still have to lead to one of them."""
    if not points or any(isinstance(each, str) for each in points):
        return ()
    return tuple(map(point, points))


class PairPart(Part):
    """Two trees between which a sling may be tied, with a shackle that runs on it: they share the pull."""

    trees: Annotated[list[Name], Field(min_length=2, max_length=2)] | None = None
    """The names of the two trees."""
    within: Length | None = None
    """Instead of the names: every two trees that stand no further apart than this."""
    height: Length | None = None
    """How high the sling is tied on both. Left out: as low as a strap may go on both."""
    angle: Angle | None = None
    """Angle between the legs with the shackle in the middle. Left out: 60 degrees."""

    def faults(self) -> Iterator[Fault]:
        if (self.trees is None) == (self.within is None):
            yield (
                "trees",
                "give either the names of two trees, or how far apart they may stand (within)",
            )
        if self.trees is not None and self.trees[0] == self.trees[1]:
            yield "trees", f"'{self.trees[0]}' cannot share with itself"
        least, most = (number("shared", key).value for key in ("angle_least", "angle_most"))
        if self.angle is not None and not least - 1e-9 <= self.angle.at("stated") <= most + 1e-9:
            yield (
                "angle",
                f"from 20 to 120 degrees, got '{self.angle.text}': beyond 120 degrees each leg carries more "
                "than the whole pull, so that two trees stand less than one",
            )

    def chosen(self, at: dict[str, Vec]) -> list[tuple[str, str]]:
        """The pairs by the trees' names, the nearest first. `at`: where each tree stands, m."""
        if self.trees is not None:
            one, other = self.trees
            return [(one, other)]
        assert self.within is not None
        most = self.within.at("stated")
        apart = {two: dist(at[two[0]], at[two[1]]) for two in combinations(at, 2)}
        near = [two for two, far in apart.items() if far <= most + 1e-9]
        return sorted(near, key=lambda two: apart[two])


def _boulder_grounds() -> list[str]:
    return list(tables("anchorage")["boulder_friction"]["grounds"])


def _aside() -> float:
    return radians(number("anchorage", "pull_aside").value)
