"""Proposes anchors that a site file does not have: slings between two of its trees, and picket holdfasts
beyond the end of the path.

A sling takes a rope and a shackle; pickets are what one pair of people can make with a hammer, in ground that
was never dug. Whether one serves is for whoever asks to find out on the site that has it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import dist, hypot
from typing import Any, Literal, TypeVar

from optimiser.mechanics.values import Vec
from optimiser.rig.made_anchors import minutes
from optimiser.rig.walk import Place
from optimiser.site.anchors import RatedAnchor, SharedAnchor, Tree, shared_anchor
from optimiser.site.document.made_of import AT_THE_GROUND, NO_RATING, HoldfastPart, System
from optimiser.site.model import AnchorKind, Making, Site
from shared.units import Dimension, show

BEYOND = (2.0, 4.0)
"""m beyond the place of the load's front at the end of the path where pickets are looked at (choice)."""
ASIDE = (0.0, 2.0, -2.0)
"""m to the left of the path's line there."""
SYSTEMS: tuple[System, ...] = ("1-1", "1-1-1", "3-2-1")
"""Holdfasts that are proposed, the least work first."""
SOIL: Literal["loam"] = "loam"
PICKETS = "pickets to be driven"
NEAR = 6.0
"""m between two trees beyond which no sling is proposed (choice: it takes three times as much rope)."""
MOST_PAIRS = 6
"""Pairs of trees that are looked at, the nearest ones (choice)."""


@dataclass(frozen=True, slots=True)
class TiedSling:
    """A sling that could be tied between two trees; `anchor`: both together."""

    anchor: SharedAnchor

    pieces = 1
    unit = "slings"

    @property
    def name(self) -> str:
        return self.anchor.name

    @property
    def trees(self) -> tuple[str, str]:
        """Their names."""
        return self.anchor.sling.trees

    @property
    def entry(self) -> dict[str, Any]:
        """The `[[pair]]` of a site file."""
        return {"trees": list(self.trees)}

    @property
    def in_words(self) -> str:
        """What to do."""
        return self.of("a rope")

    def of(self, rope: str) -> str:
        """What to do, with a certain rope."""
        one, other = self.trees
        return (
            f"tie {rope} as a sling between {one} and {other}, with a shackle that runs on it (in the "
            f'site file: [[pair]] trees = ["{one}", "{other}"])'
        )

    def on(self, site: Site) -> Site:
        """The site where it may be tied."""
        return replace(site, anchors=(*site.anchors, self.anchor))


@dataclass(frozen=True, slots=True)
class Pickets:
    """A picket holdfast that could be driven at a spot. `at`: where, in the coordinates of the site file, m;
    `where`: the same in words; `anchor`: it, among the anchors of a site that has it."""

    system: System
    at: Vec
    where: str
    anchor: RatedAnchor

    unit = "pickets"

    @property
    def name(self) -> str:
        return self.anchor.name

    @property
    def making(self) -> Making:
        """How it is made, of what."""
        assert self.anchor.making is not None
        return self.anchor.making

    @property
    def pieces(self) -> int:
        """How many pickets it takes."""
        return sum(many for many, _ in self.making.pieces[:1])

    @property
    def spot(self) -> list[str]:
        """The coordinates as a site file has them."""
        return [f"{x + 0.0:.2f} m" for x in self.at]

    @property
    def entry(self) -> dict[str, Any]:
        """What a `[[made]]` of a site file has besides a name."""
        made = {"systems": [self.system], "pickets": "wood", "soil": SOIL, "owned": self.pieces}
        return {"spots": [self.spot], "holdfast": made}

    @property
    def in_words(self) -> str:
        """What to do."""
        spot = ", ".join(f'"{text}"' for text in self.spot)
        return (
            f"drive {self.pieces} wooden pickets as a {self.system} holdfast {self.where}, in {SOIL} that "
            f"was never dug ({minutes(self.making.minutes)} for two people; half as strong in river clay or "
            "sand; ask first where cables, pipes and drains lie; in the site file: [[made]] with "
            f'name = "pickets", spots = [[{spot}]], holdfast = {{ systems = ["{self.system}"], '
            f'pickets = "wood", soil = "{SOIL}", owned = {self.pieces} }})'
        )

    def on(self, site: Site) -> Site:
        """The site where it may be made."""
        return with_pickets(site, [self])


Proposed = TiedSling | Pickets


P = TypeVar("P", TiedSling, Pickets)


def used(some: Iterable[P], walk: Iterable[Place]) -> P | None:
    """Which of some proposed anchors a walk leads to, if any."""
    names = {place.name for place in walk}
    return next((one for one in some if one.name in names), None)


def slings(site: Site) -> tuple[TiedSling, ...]:
    """A sling between each of the nearest pairs of trees that do not share a pull yet."""
    known = {frozenset(a.sling.trees) for a in site.anchors if a.sling is not None}
    trees = [a for a in site.anchors if isinstance(a, Tree)]
    near = [
        two
        for two in combinations(trees, 2)
        if dist(two[0].position, two[1].position) <= NEAR
        and frozenset(tree.name for tree in two) not in known
    ]
    near.sort(key=lambda two: dist(two[0].position, two[1].position))
    found = [shared_anchor(one, other) for one, other in near[:MOST_PAIRS]]
    return tuple(TiedSling(pair) for pair in found if isinstance(pair, SharedAnchor))


def with_slings(site: Site, some: Sequence[TiedSling]) -> Site:
    """The site where one of some slings may be tied."""
    return replace(site, anchors=(*site.anchors, *(one.anchor for one in some)))


def pickets(site: Site, system: System) -> tuple[Pickets, ...]:
    """A holdfast of a system at each spot that is looked at."""
    made = HoldfastPart(system=system, pickets="wood", soil=SOIL).as_anchor(system)
    out = []
    for number, (at, where) in enumerate(_spots(site), start=1):
        plain = RatedAnchor(
            name=f"new pickets {number}", position=at, kind=AnchorKind.PICKET_HOLDFAST,
            heights=AT_THE_GROUND, girth=None, strength=NO_RATING, radius=0.0, top=0.5,
            uses=((PICKETS, 1),),
        )  # fmt: skip
        fields: dict[str, Any] = dict(made)
        frame = site.frame
        in_file = at if frame is None else frame.in_file(at)
        out.append(Pickets(system, in_file, where, replace(plain, **fields)))
    return tuple(out)


def with_pickets(site: Site, some: Sequence[Pickets]) -> Site:
    """The site where one of some holdfasts may be made."""
    anchors = tuple(one.anchor for one in some)
    return replace(site, anchors=(*site.anchors, *anchors), stock=(*site.stock, (PICKETS, 1)))


def _spots(site: Site) -> list[tuple[Vec, str]]:
    """Where pickets may go, m, each with where that is in words."""
    leg = site.legs[-1]
    way = [b - a for a, b in zip(leg.start, leg.end, strict=True)]
    level = hypot(way[0], way[1])
    x, y = way[0] / level, way[1] / level
    out: list[tuple[Vec, str]] = []
    for beyond in BEYOND:
        for aside in ASIDE:
            on = site.load.overhang + beyond
            at = (leg.end[0] + on * x - aside * y, leg.end[1] + on * y + aside * x, leg.end[2])
            out.append((at, _worded(beyond, aside, site.preferences.units)))
    return out


def _worded(beyond: float, aside: float, units: str) -> str:
    far = show(beyond, Dimension.LENGTH, units)
    off = show(abs(aside), Dimension.LENGTH, units)
    side = (
        "in line with it" if aside == 0.0 else f"{off} to the {'left' if aside > 0.0 else 'right'}"
    )
    return f"{far} beyond the load's front at the end of the path, {side}, on the same level"
