"""The taut string over what is laid on the ground, by a monotone chain through heights over a chord.

In the upright plane of the chord from A to B the ground points are sorted by their way along it, and a
chain is laid over them that only ever turns down: what would turn it up is taken off again. What is left
of the points between the ends is where the line touches.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan, ceil, dist, hypot, sqrt

from catalogue.gear import Protector
from optimiser.mechanics.values import Vec
from optimiser.site.model import Leg, Owned, Site
from tests.oracle.ground import Station, dot, entered, plus, posts, unit

LEAST_TURN = 1e-9
"""rad; a line that turns by less touches nothing."""
ROPE_AT_LOAD = 0.1
"""m; with a bend nearer to it a hitch that is lower over the leg than the rope runs into what lies there."""
SLACK = 1e-9
"""m by which a line may seem to be too low."""


@dataclass(frozen=True)
class Spot:
    """A point of the ground: where, how far along the path, what lies there (`owned`: as a piece of the
    gear; None: it lies there already), and how high a line must pass at least."""

    number: int
    at: Vec
    along: float
    left: Vec
    laid: Protector | None
    owned: Owned | None
    least: float


@dataclass(frozen=True)
class Touch:
    """Where a line bends over a ground point, and by how much, rad."""

    spot: Spot
    at: Vec
    turn: float

    @property
    def left(self) -> float:
        """m to the left of the path."""
        return dot(plus(self.at, self.spot.at, -1.0), self.spot.left)

    @property
    def along(self) -> float:
        """m along the path, as a point beside it."""
        ahead = (self.spot.left[1], -self.spot.left[0], 0.0)
        return self.spot.along + dot(plus(self.at, self.spot.at, -1.0), ahead)


@dataclass(frozen=True)
class Taut:
    """A line from A to B: unit vectors of its first and its last piece, its length, where it touches."""

    nodes: tuple[Vec, ...]
    begin: Vec
    end: Vec
    length: float
    touches: tuple[Touch, ...]

    def back(self) -> "Taut":
        """The same from B to A."""
        turned = [plus((0.0, 0.0, 0.0), way, -1.0) for way in (self.end, self.begin)]
        return Taut(self.nodes[::-1], turned[0], turned[1], self.length, self.touches[::-1])

    def height(self, share: float) -> float:
        """Height at a share of the way from A to B as seen from above."""
        (ax, ay, _), (bx, by, _) = self.nodes[0], self.nodes[-1]
        flat = hypot(bx - ax, by - ay)
        if flat < 1e-6:
            return self.nodes[0][2] + share * (self.nodes[-1][2] - self.nodes[0][2])
        for p, q in pairwise(self.nodes):
            here, there = (hypot(n[0] - ax, n[1] - ay) / flat for n in (p, q))
            if share <= there or q is self.nodes[-1]:
                return p[2] + (q[2] - p[2]) * (share - here) / (there - here)
        raise AssertionError


def ground(site: Site, owned: Owned | None = None) -> list[Spot]:
    """The points at which the ground is known, the piece of the gear lying wherever nothing does."""
    out: list[Spot] = []
    done = 0.0
    for leg, following in zip(site.legs, (*site.legs[1:], None), strict=True):
        long, way = dist(leg.start, leg.end), plus(leg.end, leg.start, -1.0)
        left = Station(leg, 0.0, leg.start).b
        many = max(ceil(long), 1)
        for k in range(0 if leg is site.legs[0] else 1, many + 1):
            shared = k == many and following is not None
            lying = leg.laid
            if shared and following is not None and following.laid is None:
                lying = None
            at, along = plus(leg.start, way, k / many), done + long * k / many
            spot = Spot(len(out), at, along, left, lying, None, 0.0)
            if lying is None and owned is not None:
                assert isinstance(owned.gear, Protector)
                spot = replace(spot, laid=owned.gear, owned=owned)
            least = site.preferences.clearance
            if (
                shared
                and following is not None
                and _crest(leg, following)
                and spot.laid is not None
            ):
                least = max(least, spot.laid.clearance)
            out.append(replace(spot, least=at[2] + least))
        done += long
    return out


def _crest(leg: Leg, following: Leg) -> bool:
    return _slope(leg) - _slope(following) > 1e-9


def _slope(leg: Leg) -> float:
    dx, dy, dz = plus(leg.end, leg.start, -1.0)
    return dz / hypot(dx, dy)


def straight(a: Vec, b: Vec) -> Taut:
    """The chord."""
    way = plus(b, a, -1.0)
    u = unit(way)
    return Taut((a, b), u, u, sqrt(dot(way, way)), ())


def under(
    site: Site, spots: Sequence[Spot], a: Vec, b: Vec, *, loose: bool
) -> list[tuple[float, Spot]]:
    """The ground points under a chord with the share of it at which each lies; `loose`: A is at the load,
    so that the ground near it counts."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    flat = hypot(dx, dy)
    if flat < 1e-6:
        return []
    out = []
    for spot in spots:
        ox, oy = spot.at[0] - a[0], spot.at[1] - a[1]
        if spot.laid is None:
            share, aside = (ox * dx + oy * dy) / flat**2, abs(ox * dy - oy * dx) / flat
        else:
            met = _crossing(dx, dy, ox, oy, spot.left)
            if met is None:
                continue
            share, aside = met
        near = (1e-6 if loose else 0.5 / flat) < share < 1.0 - 0.5 / flat
        if near and aside <= site.preferences.ground_known_within:
            out.append((share, spot))
    return sorted(out, key=lambda one: (one[0], one[1].number))


def _crossing(dx: float, dy: float, ox: float, oy: float, left: Vec) -> tuple[float, float] | None:
    """Of a chord d and the edge through o to the `left`: s d - q l = o by Cramer's rule. The share s and |q|;
    None where they are parallel."""
    lx, ly = left[0], left[1]
    determinant = dy * lx - dx * ly
    if abs(determinant) <= 1e-9 * hypot(dx, dy):
        return None
    share = (oy * lx - ox * ly) / determinant
    return share, abs((dx * oy - dy * ox) / determinant)


def line(
    site: Site, spots: Sequence[Spot], a: Vec, b: Vec, own: set[str], *, loose: bool
) -> Taut | None:
    """The string from A to B; None where bare ground is in its way, or a post that is not its own."""
    found = taut(site, spots, a, b, loose=loose)
    if found is None or _runs_into(site, found, own):
        return None
    return None if loose and found.touches and _bumps(site, found) else found


def _bumps(site: Site, found: Taut) -> bool:
    """The hitch's height over the plane of the leg that the first edge ends, against the rope's there."""
    (x, y, z), first = found.nodes[0], found.touches[0]
    done = 0.0
    for leg in site.legs:
        done += dist(leg.start, leg.end)
        if first.spot.along <= done + 1e-9:
            break
    dx, dy, dz = plus(leg.end, leg.start, -1.0)
    flat = hypot(dx, dy)
    on = ((x - leg.start[0]) * dx + (y - leg.start[1]) * dy) / flat
    over = z - leg.start[2] - on * dz / flat
    near = dist(found.nodes[0], found.nodes[1]) < ROPE_AT_LOAD
    return near and over < first.spot.least - first.spot.at[2] - 1e-6


def free(
    site: Site, spots: Sequence[Spot], a: Vec, b: Vec, own: set[str], *, loose: bool
) -> bool:  # fmt: skip
    """Whether a line that is straight, whatever it touches, meets neither bare ground nor a post."""
    chord = straight(a, b)
    return not _runs_into(site, chord, own) and not _meets_bare_ground(
        chord, under(site, spots, a, b, loose=loose)
    )


def _runs_into(site: Site, found: Taut, own: set[str]) -> bool:
    for x, y, radius, top in posts(site, own):
        inside = entered(found.nodes[0], found.nodes[-1], x, y, radius)
        if inside is not None and min(found.height(share) for share in inside) < top:
            return True
    return False


def _meets_bare_ground(found: Taut, below: list[tuple[float, Spot]]) -> bool:
    return any(
        spot.laid is None and found.height(share) < spot.least - SLACK for share, spot in below
    )


def taut(site: Site, spots: Sequence[Spot], a: Vec, b: Vec, *, loose: bool) -> Taut | None:
    """The string from A to B; None where bare ground is in its way."""
    below = under(site, spots, a, b, loose=loose)
    found = _over(a, b, [one for one in below if one[1].laid is not None])
    return None if _meets_bare_ground(found, below) else found


def _over(a: Vec, b: Vec, points: list[tuple[float, Spot]]) -> Taut:
    """The string over points that are all laid."""
    rise = b[2] - a[2]
    if all(spot.least <= a[2] + share * rise for share, spot in points):
        return straight(a, b)
    flat = hypot(b[0] - a[0], b[1] - a[1])
    chain: list[tuple[float, float, Spot | None]] = []
    for share, height, spot in [
        (0.0, a[2], None),
        *((share * flat, spot.least, spot) for share, spot in points),
        (flat, b[2], None),
    ]:
        while len(chain) > 1 and not _turns_down(chain[-2], chain[-1], (share, height, spot)):
            chain.pop()
        if chain and chain[-1][0] >= share and chain[-1][1] >= height:
            continue  # two points at one share: the higher one counts
        chain.append((share, height, spot))
    chain = _without_straight_ones(chain)
    nodes = [a]
    touches = []
    for before, (share, height, spot), after in zip(chain, chain[1:-1], chain[2:], strict=False):
        assert spot is not None
        x, y = (p + (q - p) * share / flat for p, q in zip(a[:2], b[:2], strict=True))
        nodes.append((x, y, height))
        turn = _rises(before, (share, height, spot)) - _rises((share, height, spot), after)
        touches.append(Touch(spot, nodes[-1], turn))
    nodes.append(b)
    if not touches:
        return straight(a, b)
    ways = [plus(q, p, -1.0) for p, q in pairwise(nodes)]
    long = sum(sqrt(dot(way, way)) for way in ways)
    return Taut(tuple(nodes), unit(ways[0]), unit(ways[-1]), long, tuple(touches))


Link = tuple[float, float, Spot | None]


def _turns_down(one: Link, two: Link, three: Link) -> bool:
    (u1, z1, _), (u2, z2, _), (u3, z3, _) = one, two, three
    return (z2 - z1) * (u3 - u1) > (z3 - z1) * (u2 - u1)


def _rises(one: Link, two: Link) -> float:
    """Angle above the level, rad."""
    return atan((two[1] - one[1]) / (two[0] - one[0]))


def _without_straight_ones(chain: list[Link]) -> list[Link]:
    out = chain[:1]
    for link, after in pairwise(chain[1:]):
        if _rises(out[-1], link) - _rises(link, after) >= LEAST_TURN:
            out.append(link)
    return [*out, chain[-1]]
