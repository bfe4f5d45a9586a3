"""Two trees that share a pull by a sling, for the enumeration: straight from where they stand.

The shackle lies where two equal pulls along the legs balance the rope's; each leg is counted with what the
bow may hold back, at the widest angle the legs can have.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import atan2, cos, exp, pi, sin, sqrt

from catalogue.gear import MadeTo, Needs, Rope
from optimiser.mechanics.values import Vec
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Anchor, Owned, Site
from tests.oracle.ground import dot, plus, unit
from tests.oracle.pieces import rope_strength

RUBS = 0.31
"""Highest friction of rope on steel bars as thick as a shackle's bow that was measured (roping-friction)."""
BENT = 0.5
"""What a rope keeps over a bow as thick as itself (a choice, as for wire)."""


@dataclass(frozen=True)
class Pair:
    """Two trees by the name of both: where the sling is tied to each, and how wide it spreads, rad."""

    trees: tuple[Anchor, Anchor]
    ties: tuple[Vec, Vec]
    angle: float

    @property
    def legs(self) -> float:
        """m of both: each is half the gap over the sine of half the angle."""
        gap = plus(self.ties[1], self.ties[0], -1.0)
        return sqrt(dot(gap, gap)) / 2.0 / sin(self.angle / 2.0) * 2.0

    @property
    def middle(self) -> Vec:
        return plus(self.ties[0], plus(self.ties[1], self.ties[0], -1.0), 0.5)

    @property
    def tighter(self) -> float:
        """The tighter leg over the pull: law of sines in the triangle of the three forces, of which the
        pull leads off the tighter leg by an angle x with tan x = sin a / (r + cos a)."""
        r = exp(RUBS * (pi - self.angle))
        x = atan2(sin(self.angle), r + cos(self.angle))
        return sin(self.angle - x) / sin(pi - self.angle)

    def demands(self, pull: float, height: float) -> Iterator[tuple[str, float, float | None]]:
        for tree in self.trees:
            moment = pull * self.tighter * tree.lever(height)
            yield tree.name, moment, tree.strength.capacity

    def furthest(self, way: Vec) -> Vec:
        """Of all places with the legs drawn straight the one furthest that way: at an angle t round the
        ellipse in the plane of the trees and the pull, tan t = (short half / long half) tan of the pull."""
        axis = unit(plus(self.ties[1], self.ties[0], -1.0))
        ahead = dot(way, axis)
        aside = plus(way, axis, -ahead)
        wide = sqrt(max(dot(aside, aside), 1e-300))
        gap = plus(self.ties[1], self.ties[0], -1.0)
        long = self.legs / 2.0
        short = sqrt(long * long - dot(gap, gap) / 4.0)
        t = atan2(short * wide, long * ahead)
        out = plus(self.middle, axis, long * cos(t))
        return plus(out, aside, short * sin(t) / wide)

    def rest(self, parts: list[tuple[Vec, float]]) -> Vec:
        """Half way each time to the place furthest in the direction of the pull there."""
        place = self.furthest(plus(parts[0][0], self.middle, -1.0))
        for _ in range(600):
            pull = (0.0, 0.0, 0.0)
            for end, tension in parts:
                pull = plus(pull, unit(plus(end, place, -1.0)), tension)
            step = plus(self.furthest(pull), place, -1.0)
            if dot(step, step) < 1e-24:
                break
            place = plus(place, step, 0.5)
        return place


def pair_at(site: Site, place: Place) -> Pair | None:
    """The two trees at a place; None where it is one thing."""
    if place.kind is not PlaceKind.ANCHOR:
        return None
    sling = site.anchor(place.name).sling
    if sling is None:
        return None
    one, other = (site.anchor(name) for name in sling.trees)
    (ax, ay, az), (bx, by, bz) = one.position, other.position
    high = place.height
    return Pair((one, other), ((ax, ay, az + high), (bx, by, bz + high)), sling.angle)


def allowed(site: Site, walk: tuple[Place, ...], *, bridled: bool, winch: str | None) -> bool:
    """Whether a walk leads to two such trees once at most, and then to neither of them besides."""
    pairs = [pair for pair in (pair_at(site, place) for place in walk) if pair is not None]
    if not pairs:
        return True
    used = {place.name for place in walk} | {winch}
    free = not any(tree.name in used for tree in pairs[0].trees)
    return len(pairs) == 1 and not bridled and free


def slings(
    site: Site, pair: Pair, gear: tuple[Owned, ...]
) -> Iterator[tuple[Owned, float | None, float]]:
    """(rope, what it stands, how thick a bow must be) of every rope that reaches, tied as well as can be."""
    for piece in gear:
        rope = piece.gear
        if not isinstance(rope, Rope) or piece.length is None or not rope.knottable:
            continue
        best = 0.0
        for one, other in product(site.preferences.knots, repeat=2):
            takes, able = pair.legs, True
            for knot, tree in ((one, pair.trees[0]), (other, pair.trees[1])):
                able &= MadeTo.TRUNK in knot.made_to and knot.needs is not Needs.FITTED
                able &= not knot.for_wire and not knot.made_to & {MadeTo.ROPE, MadeTo.ROPE_END}
                able &= 2.0 * tree.least_radius + 1e-9 >= knot.least_trunk * rope.diameter
                takes += knot.eats_diameters * rope.diameter + knot.eats
                takes += knot.turns * (tree.girth or 0.0)
            taken = sum(end is not None for end in piece.ends)
            bare = sum(knot.needs is not Needs.BIGHT for knot in (one, other))
            if able and bare + taken <= 2 and takes <= piece.length + 1e-9:
                best = max(best, min(one.keeps, other.keeps, BENT))
        if best > 0.0:
            yield piece, rope_strength(piece, best), rope.diameter


__all__ = ["Pair", "allowed", "pair_at", "slings"]
