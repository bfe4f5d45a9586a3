"""Vectors, stations along the path, how the line takes hold of the load, what a line may run into."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product
from math import asin, atan2, ceil, cos, dist, hypot, inf, pi, remainder, sin, sqrt, tau

from catalogue.gear import Protector
from optimiser.mechanics.values import Vec
from optimiser.site.model import Hitch, Leg, Obstacle, Site


def plus(a: Vec, b: Vec, times: float = 1.0) -> Vec:
    return a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def unit(a: Vec) -> Vec:
    long = sqrt(dot(a, a))
    return a[0] / long, a[1] / long, a[2] / long


def cross(a: Vec, b: Vec) -> Vec:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


# ---- stations -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Station:
    leg: Leg
    reach: float
    ground: Vec

    @cached_property
    def t(self) -> Vec:
        return unit(plus(self.leg.end, self.leg.start, -1.0))

    @cached_property
    def b(self) -> Vec:
        return unit(cross((0.0, 0.0, 1.0), self.t))

    @cached_property
    def n(self) -> Vec:
        return cross(self.t, self.b)

    def weight(self, site: Site) -> float:
        stuck = self.leg.breakout if self.reach <= 1.0 + 1e-9 else 1.0
        return site.load.weight * self.leg.apparent * stuck * self.leg.moved


def stations(site: Site) -> list[Station]:
    """Both ends of every leg, and between them steps of at most the spacing or an eighth of the
    distance to the nearest anchor, evenly spread over what is left; at least 0.05 m. Where something is or
    may be laid, of at most an eighth of the way from any grip to any crest too; at least 0.02 m."""
    out = []
    tops = _tops(site)
    for leg in site.legs:
        long, way = dist(leg.start, leg.end), plus(leg.end, leg.start, -1.0)
        marks = [0.0, long]
        if leg.breakout != 1.0 and long > 1.0:
            marks = [0.0, 1.0, min(1.05, long), long]
        reach = [0.0]
        for begin, end in pairwise(marks):
            here = begin
            while here < end:
                spot = plus(leg.start, way, here / long)
                near = min((dist(spot, a.position) for a in site.anchors), default=inf)
                gap = min(max(near / 8.0, 0.05), site.preferences.station_spacing)
                load = Station(leg, here, spot)
                for grip, top in product(grips(site), tops):
                    gap = min(gap, max(dist(grip.at(load), top) / 8.0, 0.02))
                left = end - here
                here = end if left <= gap * (1 + 1e-9) else here + left / ceil(left / gap)
                reach.append(min(here, end))
        out += [Station(leg, r, plus(leg.start, way, r / long)) for r in reach]
    return out


def _tops(site: Site) -> list[Vec]:
    """Where the path becomes less steep, if anything may lie there for a line to run over."""
    if not any(leg.laid for leg in site.legs) and not any(
        isinstance(piece.gear, Protector) for piece in site.gear
    ):
        return []
    rises = [asin(Station(leg, 0.0, leg.start).t[2]) for leg in site.legs]
    return [
        leg.end for leg, (a, b) in zip(site.legs, pairwise(rises), strict=False) if b < a - 1e-9
    ]


# ---- how the line takes hold of the load ---------------------------------------------------------


@dataclass(frozen=True)
class Grip:
    hitches: tuple[Hitch, ...]
    ahead: float
    left: float
    height: float
    leg: float | None

    def at(self, s: Station) -> Vec:
        p = plus(plus(s.ground, s.t, self.ahead), s.b, self.left)
        return p[0], p[1], p[2] + self.height


def grips(site: Site) -> Iterator[Grip]:
    """Each hitch; and each pair that two legs of the bridle's length span at no more than 120°."""
    hitches = sorted(site.load.hitches, key=lambda h: h.name)
    for h in hitches:
        yield Grip((h,), h.ahead, h.left, h.height, None)
    if not site.load.may_bridle:
        return
    for i, a in enumerate(hitches):
        for b in hitches[i + 1 :]:
            p, q = (a.ahead, a.left, a.height), (b.ahead, b.left, b.height)
            half, leg = dist(p, q) / 2.0, site.load.bridle_leg
            if 0.0 < half < 0.87 * leg:
                m = [(x + y) / 2.0 for x, y in zip(p, q, strict=True)]
                yield Grip((a, b), m[0] + sqrt(leg * leg - half * half), m[1], m[2], leg)


# ---- lines --------------------------------------------------------------------------------------


def entered(begin: Vec, end: Vec, x: float, y: float, radius: float) -> tuple[float, float] | None:
    """The shares of a line between which it is inside a circle seen from above; None: it passes by. One
    that is plumb is in it from its begin to its end."""
    dx, dy, _ = plus(end, begin, -1.0)
    ox, oy = begin[0] - x, begin[1] - y
    a, b, c = dx * dx + dy * dy, ox * dx + oy * dy, ox * ox + oy * oy - radius * radius
    if a < 1e-12:
        return (0.0, 1.0) if c < 0.0 else None
    if b * b - a * c <= 0.0:
        return None
    root = sqrt(b * b - a * c)
    first, last = max((-b - root) / a, 0.0), min((-b + root) / a, 1.0)
    return (first, last) if first < last else None


def posts(site: Site, own: set[str]) -> list[tuple[float, float, float, float]]:
    """x, y, radius and top of everything upright that a line may run into, but for its own ends; with what a
    line keeps away from it."""
    gap = site.preferences.clearance
    every: list[Obstacle] = [a for a in site.anchors if a.name not in own and a.radius > 0.0]  # type: ignore[misc]
    return [
        (post.position[0], post.position[1], post.radius + gap, post.position[2] + post.top + gap)
        for post in (*every, *site.obstacles)
    ]


def _changes(beyond: Callable[[float], float], start: float, stop: float) -> list[float]:
    """Where a figure changes its sign between two angles, by halves of 32 parts, on its negative side."""
    marks = [start + i / 32.0 * (stop - start) for i in range(33)]
    found = []
    for low, high in pairwise(marks):
        one, other = beyond(low), beyond(high)
        if one * other < 0.0:
            for _ in range(50):
                middle = (low + high) / 2.0
                low, high = (middle, high) if beyond(middle) * one > 0.0 else (low, middle)
            found.append(low if one < 0.0 else high)
    return found


def dips_between(
    site: Site, low: Sequence[Vec], still: Vec, p: Vec, q: Vec, *, loose: bool
) -> bool:
    """Whether a line from `still` comes too low over one of some points of bare ground while its other end
    goes straight from p to q. `loose`: it begins at the load.

    In polar angles about `still`: a point at the distance r and the angle f has its foot on the line of angle
    w at r cos(w - f), where the plane of all those lines is g r cos(w - f) cos(w - d) higher than `still`
    (d: its steepest way up, g: how steep it is), which is lowest at an end or where 2 w - f - d = pi."""
    one, other = ((end[0] - still[0], end[1] - still[1], end[2] - still[2]) for end in (p, q))
    turn = one[0] * other[1] - one[1] * other[0]
    if abs(turn) < 1e-12 or site.preferences.ground_known_within < 0.0:
        return False  # it stays in one upright plane: lowest with the other end at p or q
    east = (one[2] * other[1] - other[2] * one[1]) / turn
    north = (one[0] * other[2] - other[0] * one[2]) / turn
    steep, up = hypot(east, north), atan2(north, east)
    begin = atan2(one[1], one[0])
    sweep = remainder(atan2(other[1], other[0]) - begin, tau)
    first, last = min(begin, begin + sweep), max(begin, begin + sweep)
    wide, least = site.preferences.ground_known_within, site.preferences.clearance
    for x, y, z in low:
        r, f = hypot(x - still[0], y - still[1]), atan2(y - still[1], x - still[0])
        half = pi if r <= wide else asin(wide / r)
        for lap in (-tau, 0.0, tau):
            start, stop = max(first, f + lap - half), min(last, f + lap + half)
            if start > stop:
                continue
            lowest = (f + lap + up + pi) / 2.0
            looks = [
                start,
                stop,
                *(w for k in range(-3, 4) if start < (w := lowest + k * pi) < stop),
            ]

            def long_at(w: float) -> float:
                """How long the line of this angle is."""
                share = (one[0] * sin(w) - one[1] * cos(w)) / (
                    (one[0] - other[0]) * sin(w) - (one[1] - other[1]) * cos(w)
                )
                return hypot(
                    *(a + share * (b - a) for a, b in zip(one[:2], other[:2], strict=True))
                )

            def beyond_end(w: float, r: float = r, f: float = f) -> float:
                """How far the foot lies beyond the part that is looked at."""
                return r * cos(w - f) - long_at(w) + 0.5

            def beyond_begin(w: float, r: float = r, f: float = f) -> float:
                return 0.5 - r * cos(w - f)

            for beyond in (beyond_end, beyond_begin):
                looks += _changes(beyond, start, stop)
            for w in looks:
                foot, long = r * cos(w - f), long_at(w)
                if not (1e-6 * long if loose else 0.5 - 1e-7) < foot < long - 0.5 + 1e-7:
                    continue
                if still[2] + steep * foot * cos(w - up) - z < least - 1e-9:
                    return True
    return False


def sweeps_over(site: Site, still: Vec, goes: Sequence[Vec], own: set[str]) -> bool:
    """Whether a line from `still` comes over the middle of a post, lower than its top, while its other end
    goes straight from each place to the next."""
    for p, q in pairwise(goes):
        for x, y, _, top in posts(site, own):
            sides = [
                (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])
                for a, b in ((still, p), (p, q), (q, still))
            ]
            if not (min(sides) > 0.0 or max(sides) < 0.0):
                continue
            z = (sides[1] * still[2] + sides[2] * p[2] + sides[0] * q[2]) / sum(sides)
            if z < top:
                return True
    return False
