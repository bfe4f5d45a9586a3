"""What pulls: people, a hand winch or a vehicle. Each kind makes its own `Puller`."""

from collections.abc import Iterator, Mapping
from math import dist, pi
from typing import Annotated, Literal

from pydantic import Field

from catalogue.book import load_catalogue
from catalogue.gear import MadeTo
from catalogue.pullers import PulledBy, PullerKind
from optimiser.mechanics.values import Factor, Vec
from optimiser.site.document.load import rated
from optimiser.site.document.part import (
    Fault,
    FootingId,
    HandWinchId,
    HitchKind,
    Name,
    Part,
)
from optimiser.site.document.quantity import (
    AngleLimit,
    Corner,
    GrippingWeight,
    Growth,
    LengthOrNone,
    LongerIsBetter,
    Pull,
    Quantity,
    Rating,
    Share,
    Size,
    Traction,
)
from optimiser.site.model import Anchor, Puller
from optimiser.site.roaming.runs import Runs

LEVEL = 0.01
"""Rise over run up to which a run counts as level."""


class People(Runs):
    """People who walk away with the bare rope in their hands."""

    kind: Literal["people"]
    count: Annotated[int, Field(ge=1, le=50)]
    """How many haul. Leave out whoever tends the load and the chocks."""
    footing: FootingId | None = None
    """What they stand on, by the catalogue's id: it says what one person hauls steadily."""
    per_head: Pull | None = None
    """Instead: what one of them hauls steadily."""
    hand_height: LengthOrNone | None = None
    """How high they hold the rope; 0.9 m if left out."""

    @property
    def usual_body(self) -> tuple[float, float]:
        return (0.0, 0.6)

    def faults(self) -> Iterator[Fault]:
        yield from super().faults()
        if (self.footing is None) == (self.per_head is None):
            yield "footing", "give either a footing of the catalogue or per_head, the pull of one"

    def puller(self, corner: Corner, anchors: Mapping[str, Anchor], start: Vec) -> Puller:
        """The people in SI."""
        kind = load_catalogue().pullers["people"]
        if self.per_head is not None:
            each, source = self.per_head.at(corner), "site"
        else:
            assert self.footing is not None
            footing = load_catalogue().footings[self.footing]
            each, source = footing.per_person, footing.person_source
        return Puller(
            name=self.name,
            kind=PulledBy(self.kind),
            **self.standing(corner),
            height=0.9 if self.hand_height is None else self.hand_height.at(corner),
            purchase=None,
            limit=self.count * each,
            limit_factors=(
                Factor(name="people", value=float(self.count), unit="", source="site"),
                Factor(name="steady haul of one", value=each, unit="N", source=source),
            ),
            hitch_rating=None,
            hitch_eye=None,
            needs_termination=False,
            angle_limit=kind.angle_limit,
            rise_limit=kind.rise_limit,
            dynamic=kind.dynamic,
        )


class HandWinch(Part):
    """A hand winch (lever hoist, wire puller) made fast to one of the anchors."""

    kind: Literal["hand winch"]
    name: Name
    """Your name for it."""
    id: HandWinchId | None = None
    """The catalogue's id of one like it, for what is not given here."""
    anchor: Annotated[str, Field(min_length=1, max_length=40)]
    """The name of the tree or anchor it is made fast to."""
    height: LengthOrNone
    """How high on that anchor."""
    rating: Rating | None = None
    """What it may pull, or "unknown"; the catalogue's with an id."""
    pull: Pull | None = None
    """What you can pull with it, if that is less."""
    purchase: LongerIsBetter | None = None
    """How much it hauls before it is run out for a new grip; the catalogue's with an id."""
    eye: Size | None = None
    """Clear width of the eye at its line's end, if it has one; left out: it has a hook there."""
    dynamic: Growth | None = None
    """Factor on all loads for jerks. The catalogue's if left out."""

    def faults(self) -> Iterator[Fault]:
        if self.rating == "unknown" and self.pull is None:
            yield "pull", "missing: with an unknown rating, say what is to be pulled with it"
        if self.id is None:
            if self.rating is None:
                yield (
                    "rating",
                    'missing: what it may pull (such as "8 kN"), or the id of one like it',
                )
            if self.purchase is None:
                yield "purchase", 'missing: how much it hauls before a new grip (such as "1.5 m")'

    def puller(self, corner: Corner, anchors: Mapping[str, Anchor], start: Vec) -> Puller:
        """The winch in SI. `start` is where the load lies: it pulls away from there."""
        pullers = load_catalogue().pullers
        kind = None if self.id is None else pullers[self.id]
        roughest = max(other.dynamic for other in pullers.values() if other.kind == self.kind)
        anchor = anchors[self.anchor]
        rating, source = self._rating(corner, kind)
        factors: list[Factor] = []
        if rating is not None:
            factors.append(Factor(name="rating", value=rating, unit="N", source=source))
        if self.pull is not None:
            pull = self.pull.at(corner)
            factors.append(Factor(name="pull", value=pull, unit="N", source="site"))
        away = (anchor.position[0] - start[0], anchor.position[1] - start[1])
        far = dist(away, (0.0, 0.0))
        return Puller(
            name=self.name,
            kind=PulledBy(self.kind),
            position=anchor.position,
            height=self.height.at(corner),
            heading=(away[0] / far, away[1] / far, 0.0) if far > 0 else (1.0, 0.0, 0.0),
            run=0.0,
            purchase=self._purchase(corner, kind),
            limit=min(factor.value for factor in factors),
            limit_factors=tuple(factors),
            hitch_rating=rating,
            hitch_eye=None if self.eye is None else self.eye.at(corner),
            needs_termination=True,
            angle_limit=pi,  # it hangs free and turns into the line by itself
            rise_limit=pi / 2,
            anchor=self.anchor,
            dynamic=_at(self.dynamic, corner, roughest if kind is None else kind.dynamic),
        )

    def _rating(self, corner: Corner, kind: PullerKind | None) -> tuple[float | None, str]:
        if self.rating is not None:
            return rated(self.rating, corner), "site"
        assert kind is not None  # without an id the rating must be given
        return kind.wll, dict(kind.value_sources).get("wll", kind.source)

    def _purchase(self, corner: Corner, kind: PullerKind | None) -> float | None:
        return kind.purchase if self.purchase is None and kind else _at(self.purchase, corner, 0.0)


class Vehicle(Runs):
    """A car, tractor or quad that drives away with the line."""

    kind: Literal["vehicle"]
    pull: Pull | None = None
    """What it pulls on the level in line with its run, if you know it."""
    weight: GrippingWeight | None = None
    """Its weight with driver and ballast; needed where it drives uphill."""
    driven_share: Share | None = None
    """Share of that weight on its driven wheels (all wheels driven: 1)."""
    footing: FootingId | None = None
    """What its wheels stand on, by the catalogue's id."""
    traction: Traction | None = None
    """Instead: pull / weight on the driven wheels."""
    hitch_height: LengthOrNone
    """Height of its hitch above the ground."""
    hitch_rating: Rating
    """What its hitch or recovery eye stands, or "unknown"."""
    hitch_eye: Size | None = None
    """Clear width of that eye, if a pin must go through it."""
    hitch_kind: HitchKind | None = None
    """What the hitch is: an eye (a closed eye, ring or link), a hook, or a bar that a shackle can be
    closed round. Left out: taken for an eye, and only what holds on one is made fast to it."""
    angle_limit: AngleLimit | None = None
    """Largest angle of the line to its run, in plan. The catalogue's if left out."""
    rise_limit: AngleLimit | None = None
    """Largest angle of the line above or below its run. The catalogue's if left out."""
    dynamic: Growth | None = None
    """Factor on all loads for jerks. The catalogue's if left out."""

    @property
    def usual_body(self) -> tuple[float, float]:
        return (4.5, 2.0)

    def faults(self) -> Iterator[Fault]:
        yield from super().faults()
        if self.hitch_eye is not None and self.hitch_kind not in (None, "eye"):
            yield "hitch_eye", f'a {self.hitch_kind} has no hole; leave it out, or say "eye"'
        if self.footing is not None and self.traction is not None:
            yield "traction", "give either a footing of the catalogue or the traction, not both"
        grip = self.footing is not None or self.traction is not None
        parts = {"weight": self.weight is not None, "driven_share": self.driven_share is not None}
        if self.pull is None:
            for key, given in parts.items():
                if not given:
                    yield key, "missing: needed to work out the pull, as no pull is given"
            if not grip:
                yield "footing", "missing: needed to work out the pull, as no pull is given"
        if self.weight is None and self.pull is not None and self.climbs(LEVEL):
            yield "weight", "missing: it drives uphill, which costs pull by its weight"

    def puller(self, corner: Corner, anchors: Mapping[str, Anchor], start: Vec) -> Puller:
        """The vehicle in SI."""
        kind = load_catalogue().pullers["vehicle"]
        traction, source = self._traction(corner)
        weight = None if self.weight is None else self._weighs(corner)
        driven = None
        limits: list[float] = []
        factors: list[Factor] = []
        if self.pull is not None:
            limits.append(self.pull.at(corner))
            factors.append(Factor(name="pull", value=limits[0], unit="N", source="site"))
        if weight is not None and self.driven_share is not None and traction is not None:
            share = self.driven_share.at(corner)
            driven = weight * share
            limits.append(driven * traction)
            factors += [
                Factor(name="weight", value=weight, unit="N", source="site"),
                Factor(name="share on driven wheels", value=share, unit="", source="site"),
                Factor(name="traction", value=traction, unit="", source=source),
            ]
        return Puller(
            name=self.name,
            kind=PulledBy(self.kind),
            **self.standing(corner),
            height=self.hitch_height.at(corner),
            purchase=None,
            limit=min(limits),
            limit_factors=tuple(factors),
            hitch_rating=rated(self.hitch_rating, corner),
            hitch_eye=None if self.hitch_eye is None else self.hitch_eye.at(corner),
            hitch_kind=MadeTo.EYE if self.hitch_kind is None else MadeTo(self.hitch_kind),
            needs_termination=True,
            weight=weight,
            driven_weight=driven,
            traction=traction if driven is not None else None,
            angle_limit=_at(self.angle_limit, corner, kind.angle_limit),
            rise_limit=_at(self.rise_limit, corner, kind.rise_limit),
            dynamic=_at(self.dynamic, corner, kind.dynamic),
        )

    def worse_the_other_way(self) -> frozenset[str]:
        """Its weight gives the grip, and the pull which that leaves uphill is in proportion to it; but
        where the pull is stated without a grip, its weight only costs pull uphill."""
        grip = self.footing is not None or self.traction is not None
        return frozenset() if grip and self.driven_share is not None else frozenset({"weight"})

    def _weighs(self, corner: Corner) -> float:
        assert self.weight is not None
        turned: dict[Corner, Corner] = {"worst": "best", "best": "worst"}
        other = turned.get(corner, corner) if self.worse_the_other_way() else corner
        return self.weight.at(other)

    def _traction(self, corner: Corner) -> tuple[float | None, str]:
        if self.traction is not None:
            return self.traction.at(corner), "site"
        if self.footing is None:
            return None, ""
        footing = load_catalogue().footings[self.footing]
        return footing.traction, footing.source


AnyPuller = Annotated[People | HandWinch | Vehicle, Field(discriminator="kind")]


def _at(stated: Quantity | None, corner: Corner, otherwise: float) -> float:
    return otherwise if stated is None else stated.at(corner)
