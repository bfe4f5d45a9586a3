"""Trees, other anchors and obstacles."""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from math import pi
from typing import Annotated, Any, Literal

from pydantic import Field

from catalogue.book import load_catalogue
from optimiser.mechanics.values import AnchorStrength, Factor
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.document.load import rated
from optimiser.site.document.made_of import AT_THE_GROUND, DeadmanPart, HoldfastPart, RestingPart
from optimiser.site.document.part import (
    Fault,
    Name,
    Part,
    Point,
    RootingId,
    SoilId,
    SpeciesId,
    point,
)
from optimiser.site.document.quantity import (
    Cavity,
    Corner,
    Length,
    LengthOrNone,
    LongerMayBeWorse,
    Quantity,
    Rating,
    Size,
    Thickness,
)
from optimiser.site.model import AnchorKind, Obstacle

TALL = 30.0
"""m: how far up a stem of unknown height stands in a line's way; no line gets there."""
SLIM = 0.1
"""m: the half-width a ring or picket is taken to have if no width is given."""

Heights = Annotated[list[LengthOrNone], Field(min_length=1, max_length=12)]


def spread(lowest: float, highest: float, count: int) -> tuple[float, ...]:
    """`count` strap heights from `lowest` to `highest`, both included, to the centimetre, m."""
    if count == 1 or highest - lowest < 0.01:
        return (lowest,)
    step = (highest - lowest) / (count - 1)
    between = (round(lowest + step * place, 2) for place in range(1, count - 1))
    inside = (height for height in between if lowest < height < highest)
    return (lowest, *dict.fromkeys(inside), highest)


class _Strapped(Part):
    """Something a strap may go round between two heights, or at heights named one by one."""

    name: Name
    """Your name for it, such as "split oak"."""
    at: Point | None = None
    """Where it stands on the ground: x, y in plan and z up. Left out: [[reading]] entries lead to it."""
    strap_lowest: LengthOrNone | None = None
    """Lowest place a strap may go, above the ground there."""
    strap_highest: LengthOrNone | None = None
    """Highest place a strap may go. Low is strong; high keeps the rope off the crest."""
    strap_heights: Heights | None = None
    """Instead of these two: the heights one by one."""

    def faults(self) -> Iterator[Fault]:
        low, high = self.strap_lowest, self.strap_highest
        if self.strap_heights is not None:
            if low is not None or high is not None:
                yield "strap_heights", "give either these, or strap_lowest and strap_highest"
            return
        if low is None:
            yield "strap_lowest", 'missing: lowest place for a strap (such as "0.3 m")'
        if high is None:
            yield "strap_highest", 'missing: highest place for a strap (such as "1.5 m")'
        if low is not None and high is not None and low.interval.low > high.interval.low:
            yield "strap_highest", f"'{high.text}' lies below strap_lowest, '{low.text}'"

    def heights(self, count: int) -> tuple[float, ...]:
        """The candidate strap heights, from the lowest up, m."""
        if self.strap_heights is not None:
            return tuple(sorted({height.at("stated") for height in self.strap_heights}))
        assert self.strap_lowest is not None
        assert self.strap_highest is not None
        return spread(self.strap_lowest.at("stated"), self.strap_highest.at("stated"), count)


class TreePart(_Strapped):
    """A sound, living, single-stemmed tree. Any other kind of tree belongs under [[obstacle]]."""

    diameter: Thickness | None = None
    """Thickness of the stem at breast height (1.3 m), over the bark."""
    girth: Thickness | None = None
    """Instead of the diameter: the tape round the stem at breast height."""
    species: SpeciesId
    """Its species by the catalogue's id, or "unknown", which is taken for the weakest."""
    soil: SoilId | None = None
    """The soil it stands in. Left out or "unknown": the weakest is taken."""
    rooting: RootingId | None = None
    """How deep it roots. Left out or "unknown": the weakest is taken."""
    tree_height: LongerMayBeWorse | None = None
    """Its height. Left out: it is reckoned as a short tree."""
    hollow: Cavity | None = None
    """Diameter of a cavity in the stem, if it has one."""
    sound: bool = True
    """False for a dead, decayed, cracked or leaning one: it is refused as an anchor."""
    fork: bool = False
    """True if the strap would hold a fork: it is refused as an anchor."""
    limb: bool = False
    """True if the strap would hold a limb: it is refused as an anchor."""

    def faults(self) -> Iterator[Fault]:
        yield from super().faults()
        instead = "list it under [[obstacle]], so that lines still keep clear of it"
        if not self.sound:
            yield "sound", f"what a dead or damaged tree holds cannot be computed; {instead}"
        if self.fork:
            yield (
                "fork",
                (
                    "what a fork holds cannot be computed: it splits long before a stem breaks; "
                    f"strap the single stem below it, or {instead}"
                ),
            )
        if self.limb:
            yield "limb", f"what a limb holds cannot be computed; strap the stem, or {instead}"
        if (self.diameter is None) == (self.girth is None):
            yield (
                "diameter",
                (
                    'missing: give the diameter (such as "0.35 m") or the girth'
                    if self.girth is None
                    else "give either the diameter or the girth, not both"
                ),
            )
        if self.tree_height is not None:
            yield from self._heights_on_the_stem(self.tree_height)

    def _heights_on_the_stem(self, height: Quantity) -> Iterator[Fault]:
        tops = [self.strap_highest] if self.strap_heights is None else self.strap_heights
        if any(top is not None and top.interval.high >= height.interval.low for top in tops):
            key = "strap_highest" if self.strap_heights is None else "strap_heights"
            yield key, f"a strap cannot go above the top of the tree ('{height.text}')"

    def stem(self, corner: Corner) -> tuple[float, float]:
        """Diameter over bark, m: what it is to hold with, and what is to go round it. At the worst that
        is the thin and the thick end of a range."""
        stated, per = (self.diameter, 1.0) if self.diameter is not None else (self.girth, pi)
        assert stated is not None
        thin, thick = stated.at(corner), stated.other(corner)
        return thin / per, (thin if thick is None else thick) / per

    def strength_at(self, diameter: float, corner: Corner) -> float | None:
        """The moment, N·m, that the tree would stand with a sound stem of another diameter [m]; None where
        that is no tree's."""
        from optimiser.mechanics.anchor.tree import anchor_strength  # start-up time

        try:
            return anchor_strength(
                diameter=diameter,
                species=load_catalogue().species[self.species],
                height=None if self.tree_height is None else self.tree_height.at(corner),
                soil=_known(self.soil),
                rooting=_known(self.rooting),
            ).capacity
        except ValueError:
            return None

    def impossible(self) -> str:
        """Why no tree has its figures; "" if one may have them. It may contradict itself otherwise."""
        if (self.diameter is None and self.girth is None) or any(super().faults()):
            return ""
        if self.diameter is not None and self.girth is not None:  # whichever of them is meant
            by_diameter, by_girth = (
                self.model_copy(update={key: None}).impossible() for key in ("girth", "diameter")
            )
            return by_diameter if by_girth else ""
        try:
            self.tree("worst", 1)
        except ValueError as error:
            return str(error)
        return ""

    def tree(self, corner: Corner, count: int) -> Tree:
        """The tree in SI, with its strength. ValueError where its figures are no tree's."""
        species = load_catalogue().species[self.species]
        height = None if self.tree_height is None else self.tree_height.at(corner)
        thin, thick = self.stem(corner)
        tallest = None if self.tree_height is None else self.tree_height.other(corner)
        return Tree(
            name=self.name,
            position=point(self.at),
            diameter=thick,
            least_diameter=None if thin == thick else thin,
            species=species.name,
            heights=self.heights(count),
            strength=_strength(
                self.species,
                thin,
                height,
                _known(self.soil),
                _known(self.rooting),
                None if self.hollow is None else self.hollow.at(corner),
            ),
            top=TALL if height is None else height if tallest is None else tallest,
        )


@lru_cache(maxsize=1000)
def _strength(
    species: str, diameter: float, height: float | None, soil: str | None, rooting: str | None,
    hollow: float | None,
) -> AnchorStrength:  # fmt: skip
    """See `anchor_strength`; worked out once for the same tree, as its site is read again and again while
    some number of it is varied."""
    from optimiser.mechanics.anchor.tree import anchor_strength  # start-up time

    return anchor_strength(
        diameter=diameter, species=load_catalogue().species[species], height=height, soil=soil,
        rooting=rooting, hollow=hollow,
    )  # fmt: skip


class AnchorPart(_Strapped):
    """Any other anchor: it holds what it is rated for, in whatever direction, or what is worked out of how
    it is made, pulled the way it is made for."""

    kind: Literal[
        "boulder",
        "buried log",
        "picket holdfast",
        "parked vehicle",
        "ring",
        "post",
        "stump",
        "other",
    ]
    """What it is."""
    rating: Rating | None = None
    """What it holds, by a stamp, a test or a handbook, or "unknown"."""
    holdfast: HoldfastPart | None = None
    """Instead of the rating of a picket holdfast: its pickets."""
    deadman: DeadmanPart | None = None
    """Instead of the rating of a buried log: the log, and how it lies."""
    resting: RestingPart | None = None
    """Instead of the rating of a boulder or a parked vehicle: its weight and its ground."""
    girth: Length | None = None
    """What a strap or chain has to go round. Left out: it has an eye, and needs no strap."""
    eye: Size | None = None
    """Clear width of the eye, if a pin must go through it."""
    width: Length | None = None
    """Its width, as far as it stands in the way of a line."""
    top: LengthOrNone | None = None
    """How high it stands above the ground. The highest strap if left out."""

    def faults(self) -> Iterator[Fault]:
        if not self._at_the_ground:
            yield from super().faults()
        else:
            for key in ("strap_lowest", "strap_highest", "strap_heights", "girth"):
                if getattr(self, key) is not None:
                    yield key, f"leave it out: a line takes hold of a {self.kind} at the ground"
        if self.girth is not None and self.eye is not None:
            yield "eye", "give either the girth (a strap goes round it) or its eye, not both"
        if self.kind == "stump" and self.girth is None:
            yield "girth", "missing: the tape round the stump, where the strap goes"
        yield from self._faults_of_strength()

    def _faults_of_strength(self) -> Iterator[Fault]:
        given = [key for key in _WORKED_OUT if getattr(self, key) is not None]
        wanted = next((key for key, kinds in _WORKED_OUT.items() if self.kind in kinds), None)
        for key in given:
            if key != wanted:
                yield key, f"is for a {' or a '.join(_WORKED_OUT[key])}, not for a {self.kind}"
        if self.rating is None and not given:
            instead = "" if wanted is None else f", or {wanted} = {{ ... }} to have it worked out"
            yield "rating", f'missing: what it holds (such as "12 kN"), or "unknown"{instead}'
        if self.rating is not None and given:
            yield "rating", f"give either the rating or {given[0]}, not both"
        if self.resting is not None and wanted == "resting":
            for key, wrong in self.resting.faults_as(self.kind):
                yield "resting", f"{key}: {wrong}"

    @property
    def _at_the_ground(self) -> bool:
        return self.holdfast is not None or self.deadman is not None

    def heights(self, count: int) -> tuple[float, ...]:
        """The candidate strap heights, from the lowest up, m."""
        return AT_THE_GROUND if self._at_the_ground else super().heights(count)

    def half_width(self, corner: Corner) -> float:
        """Half of what stands in the way of a line, m."""
        if self.width is not None:
            return self.width.at(corner) / 2
        return SLIM if self.girth is None else self.girth.at(corner) / (2 * pi)

    def anchor(self, corner: Corner, count: int) -> RatedAnchor:
        """The anchor in SI. ValueError where no table covers it."""
        heights = self.heights(count)
        plain = RatedAnchor(
            name=self.name,
            position=point(self.at),
            kind=AnchorKind(self.kind),
            heights=heights,
            girth=None if self.girth is None else self.girth.at(corner),
            strength=self._stated(corner),
            radius=self.half_width(corner),
            top=max(heights) if self.top is None else self.top.at(corner),
            eye=None if self.eye is None else self.eye.at(corner),
        )
        return replace(plain, **self._worked_out(max(heights), corner))

    def _stated(self, corner: Corner) -> AnchorStrength:
        capacity = None if self.rating is None else rated(self.rating, corner)
        stated = (
            ()
            if capacity is None
            else (Factor(name="rating", value=capacity, unit="N", source="site"),)
        )
        return AnchorStrength(
            capacity=capacity,
            unit="N",
            factors=stated,
            governs="stated rating" if capacity is not None else "no rating known",
        )

    def _worked_out(self, height: float, corner: Corner) -> dict[str, Any]:
        if self.holdfast is not None:
            return self.holdfast.as_anchor(self.holdfast.system)
        if self.deadman is not None:
            return self.deadman.as_anchor(corner)
        if self.resting is not None:
            return self.resting.as_anchor(AnchorKind(self.kind), height, corner)
        return {}


_WORKED_OUT = {
    "holdfast": ("picket holdfast",),
    "deadman": ("buried log",),
    "resting": ("boulder", "parked vehicle"),
}
"""Keys from which a strength is worked out, and the kinds of anchor that they are for."""


class ObstaclePart(Part):
    """A post, a stump or a tree that is no anchor: no line may run through it."""

    name: Name
    """Your name for it."""
    at: Point | None = None
    """Where it stands on the ground: x, y in plan and z up. Left out: [[reading]] entries lead to it."""
    diameter: Length
    """Its thickness."""
    height: Length | None = None
    """How high it stands in the way. Left out: higher than any line."""

    def obstacle(self, corner: Corner) -> Obstacle:
        """The obstacle in SI."""
        return Obstacle(
            name=self.name,
            position=point(self.at),
            radius=self.diameter.at(corner) / 2,
            top=TALL if self.height is None else self.height.at(corner),
        )


def _known(word: str | None) -> str | None:
    return None if word == "unknown" else word
