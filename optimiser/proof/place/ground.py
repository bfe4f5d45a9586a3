"""Works out what stands and lies in a line's way on one site: posts, and the ground of the path, which is
bare or has something laid on it for ropes to run over."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import ceil, dist, hypot, sqrt
from typing import NamedTuple

import numpy as np

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array, Mask
from optimiser.mechanics.values import Vec
from optimiser.proof.place.string import Spot, String, Touch, apart, carriers
from optimiser.site.model import Anchor, Obstacle, Site

BARE_ROPE = 0.1
"""m that a hitch keeps from where its rope turns first, if it is lower than the rope there (the job's own
definition)."""
END = 0.5
"""m at a line's fixed end where the strap's height rules, not the ground."""
CREST = 1e-9
"""By how much a slope must fall at a vertex that is a crest."""
ROUNDING = 1e-9
"""m by which a line is taken to be lower, and longer, where it is only looked at whether it may bend."""
Post = tuple[str, float, float, float, float]
"""Name, x, y, radius and the height of its top."""


class Piece(NamedTuple):
    """A straight piece of the path and what lies on it."""

    start: Vec
    end: Vec
    laid: Protector | None


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """Where the ground is bare and where something lies on it, and how lines keep off it (see `Ground`).
    Equal ground has one of them (`_lie`), so that what is drawn over it is drawn once for all sites."""

    bare: tuple[Spot, ...]
    laid: tuple[Spot, ...]
    within: float
    above: float
    may_touch: bool


@lru_cache(maxsize=64)
def _lie(
    course: tuple[Piece, ...], lays: Protector | None, within: float, above: float, may_touch: bool
) -> Lie:
    every = _spots(course, lays, above)
    bare = tuple(spot for spot in every if spot.protector is None)
    laid = tuple(spot for spot in every if spot.protector is not None)
    return Lie(bare, laid, within, above, may_touch)


class Ground:
    """What stands and lies in a line's way on one site. `lays`: what the rig lays on bare ground;
    `may_touch`: whether its lines may run over what is laid at all."""

    def __init__(
        self, site: Site, lays: Protector | None = None, *, may_touch: bool = True
    ) -> None:
        p = site.preferences
        self.within, self.above = p.ground_known_within, p.clearance
        # An obstacle is in the way of every line, whatever it is called.
        upright: list[tuple[str, Anchor | Obstacle]] = [("", post) for post in site.obstacles]
        upright += [(a.name, a) for a in site.anchors if a.radius > 0.0]
        # They stand as thick and as high as the middle of a rope has to pass them.
        self.posts: list[Post] = [
            (name, x, y, one.radius + p.clearance, z + one.top + p.clearance)
            for name, one in upright
            for x, y, z in [one.position]
        ]
        course = tuple(Piece(leg.start, leg.end, leg.laid) for leg in site.legs)
        self.lie = _lie(course, lays, self.within, self.above, may_touch)

    @property
    def bare(self) -> Sequence[Spot]:
        """Where nothing lies."""
        return self.lie.bare

    @property
    def laid(self) -> Sequence[Spot]:
        """Where something lies for ropes to run over."""
        return self.lie.laid

    def posts_near(self, begins: Sequence[Vec], ends: Sequence[Vec], own: set[str]) -> list[Post]:
        """Posts that any line from one of `begins` to one of `ends` may meet."""
        every = (*begins, *ends)
        west, east = min(p[0] for p in every), max(p[0] for p in every)
        south, north = min(p[1] for p in every), max(p[1] for p in every)
        return [
            post
            for post in self.posts
            if not (post[0] and post[0] in own)
            and west - post[3] < post[1] < east + post[3]
            and south - post[3] < post[2] < north + post[3]
        ]

    def ground_near(self, begins: Sequence[Vec], ends: Sequence[Vec]) -> bool:
        """Whether any line from one of `begins` to one of `ends` may meet the ground."""
        every, wide = (*begins, *ends), self.within
        west, east = min(p[0] for p in every), max(p[0] for p in every)
        south, north = min(p[1] for p in every), max(p[1] for p in every)
        low = min(p[2] for p in every)
        return any(
            west - wide <= g.x <= east + wide
            and south - wide <= g.y <= north + wide
            and low < g.z + max(g.runs, self.above)
            for some in (self.bare, self.laid)
            for g in some
        )

    def may_bend(
        self, begin: Array, end: Array, *, from_load: bool = False, to_load: bool = False
    ) -> Mask:
        """Which of some lines, from and to (..., 3), anything laid may lift: where none is that high under
        the straight line, `string` need not be called for them."""
        if not self.laid:
            return np.zeros(begin.shape[:-1], dtype=bool)
        if to_load and not from_load:
            begin, end, from_load = end, begin, True
        at = np.array([(g.x, g.y, g.z + g.runs, *g.left) for g in self.laid])
        x, y, top, left_x, left_y = at.T
        way = end - begin
        flat = np.sqrt(way[..., 0] ** 2 + way[..., 1] ** 2)[..., None]
        long = np.maximum(flat, 1e-6)
        ux, uy = (way[..., c, None] / long for c in (0, 1))
        from_x, from_y, low = (begin[..., c, None] for c in (0, 1, 2))
        turn = ux * left_y - uy * left_x
        level = np.abs(turn) <= 1e-9
        reach = ((x - from_x) * left_y - (y - from_y) * left_x) / np.where(level, 1.0, turn)
        over = low + way[..., 2, None] * reach / long < top + ROUNDING
        ahead = reach > (0.0 if from_load else END) - ROUNDING
        return np.asarray((over & ahead & (reach < flat - END + ROUNDING) & ~level).any(axis=-1))

    def string(
        self, begin: Vec, end: Vec, *, from_load: bool = False, to_load: bool = False
    ) -> String:
        """The rope from one place to another, drawn tight over what is laid."""
        if to_load and not from_load:
            return self.string(end, begin, from_load=True).back
        return _drawn(self.lie, begin, end, from_load)

    def stops(self, begin: Array, end: Array, *, from_load: bool, ours: bool = False) -> Mask:
        """Which of some straight lines, from and to (n, 3), come too near to bare ground; `ours`: or to
        where the rig would lay something."""
        out = np.zeros(len(begin), dtype=bool)
        low = [*self.bare, *(g for g in self.laid if ours and g.ours)]
        if not low or not len(begin):
            return out
        x, y, z = np.array([(g.x, g.y, g.z) for g in low]).T
        way = end - begin
        flat = np.sqrt(way[:, 0] ** 2 + way[:, 1] ** 2)[:, None]
        long = np.maximum(flat, 1e-6)
        ux, uy = (way[:, c, None] / long for c in (0, 1))
        off_x, off_y = x - begin[:, 0, None], y - begin[:, 1, None]
        reach = off_x * ux + off_y * uy
        under = (reach > (1e-6 * flat if from_load else END)) & (reach < flat - END)
        under &= np.abs(off_x * uy - off_y * ux) <= self.within
        high = begin[:, 2, None] + way[:, 2, None] * reach / long
        return np.asarray((under & (high - z < self.above - 1e-9)).any(axis=1))


@lru_cache(maxsize=50_000)
def _drawn(lie: Lie, begin: Vec, end: Vec, from_load: bool) -> String:
    """Near a fixed end the ground is left out; at the load only what is behind the hitch."""
    flat = hypot(end[0] - begin[0], end[1] - begin[1])
    if flat < 1e-6:
        return String(begin, end)
    first = 1e-6 * flat if from_load else END
    under = _crossed(lie, begin, end, flat, first)
    carried = carriers(flat, begin[2], end[2], [(reach, g.z + g.runs) for g, reach in under])
    ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
    touches = []
    for number, turn in carried:
        g, reach = under[number]
        at = (begin[0] + reach * ux, begin[1] + reach * uy, g.z + g.runs)
        aside = (at[0] - g.x) * g.left[0] + (at[1] - g.y) * g.left[1]
        touches.append(Touch(g, at, turn, aside))
    free = String(begin, end, tuple(touches))
    blocked = bool(touches) and (not lie.may_touch or (from_load and _runs_into(begin, touches[0])))
    for g, reach in [] if blocked else _under(lie, begin, end, flat, first):
        if height(free, reach) - g.z < lie.above - 1e-9:
            blocked = True
            break
    return free._replace(blocked=blocked)


def _crossed(lie: Lie, begin: Vec, end: Vec, flat: float, first: float) -> list[tuple[Spot, float]]:
    """The spots with something laid whose edge, led on across the path, a line passes over, and how far
    along it: where it is in one line with the edge, seen from above."""
    ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
    out = []
    for g in lie.laid:
        lx, ly = g.left
        turn = ux * ly - uy * lx
        if abs(turn) <= 1e-9:
            continue
        reach = ((g.x - begin[0]) * ly - (g.y - begin[1]) * lx) / turn
        off = hypot(begin[0] + reach * ux - g.x, begin[1] + reach * uy - g.y)
        if first < reach < flat - END and off <= lie.within:
            out.append((g, reach))
    return out


def _under(lie: Lie, begin: Vec, end: Vec, flat: float, first: float) -> list[tuple[Spot, float]]:
    """The bare spots under a line, and how far along it."""
    ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
    out = []
    for g in lie.bare:
        ox, oy = g.x - begin[0], g.y - begin[1]
        reach = ox * ux + oy * uy
        if first < reach < flat - END and abs(ox * uy - oy * ux) <= lie.within:
            out.append((g, reach))
    return out


def height(string: String, reach: float) -> float:
    """The height of a string so far along it in plan."""
    corners = string.corners
    (x, y, _) = string.begin
    for a, b in pairwise(corners):
        start, stop = hypot(a[0] - x, a[1] - y), hypot(b[0] - x, b[1] - y)
        if reach <= stop or b is corners[-1]:
            return a[2] + (b[2] - a[2]) * (reach - start) / (stop - start)
    raise AssertionError("a string has two ends")


def _runs_into(hitch: Vec, touch: Touch) -> bool:
    """Whether a hitch is hauled into what its rope turns over: it is all but there, and beside a rope that
    rises more than the ground does."""
    spot = touch.spot
    ahead = (spot.left[1], -spot.left[0])
    on = sum(a * (t - h) for a, t, h in zip(ahead, touch.at, hitch, strict=False))
    climbs = touch.at[2] - hitch[2]
    return apart(hitch, touch.at) < BARE_ROPE and climbs - on * spot.gradient > 1e-6


def meets(string: String, post: Post) -> bool:
    """Whether the string enters the upright cylinder: the chord in plan, and its lower end in there
    against the post's top."""
    _, x, y, radius, top = post
    begin, end = string.begin, string.end
    dx, dy = end[0] - begin[0], end[1] - begin[1]
    flat = hypot(dx, dy)
    if flat < 1e-6:
        inside = hypot(begin[0] - x, begin[1] - y) < radius
        return inside and min(begin[2], end[2]) < top
    ux, uy = dx / flat, dy / flat
    reach = (x - begin[0]) * ux + (y - begin[1]) * uy
    aside = (x - begin[0]) * uy - (y - begin[1]) * ux
    if abs(aside) >= radius - 1e-9:
        return False
    half = sqrt(radius * radius - aside * aside)
    enter, leave = max(reach - half, 0.0), min(reach + half, flat)
    if enter >= leave:
        return False
    # A string bends down only, so that between the two it is never lower than at one of them.
    return min(height(string, enter), height(string, leave)) < top - 1e-9


def straight_meet(begin: Array, end: Array, post: Post) -> Mask:
    """Which of some straight lines, from and to (n, 3), enter the upright cylinder."""
    _, x, y, radius, top = post
    way = end - begin
    flat = np.sqrt(way[:, 0] ** 2 + way[:, 1] ** 2)
    long = np.maximum(flat, 1e-6)
    ux, uy = way[:, 0] / long, way[:, 1] / long
    off_x, off_y = x - begin[:, 0], y - begin[:, 1]
    reach, aside = off_x * ux + off_y * uy, np.abs(off_x * uy - off_y * ux)
    half = np.sqrt(np.maximum(radius * radius - aside * aside, 0.0))
    enter, leave = np.maximum(reach - half, 0.0), np.minimum(reach + half, flat)
    low = begin[:, 2] + way[:, 2] * np.where(way[:, 2] > 0.0, enter, leave) / long
    through = (aside < radius - 1e-9) & (enter < leave) & (low < top - 1e-9)
    plumb = (np.hypot(off_x, off_y) < radius) & (np.minimum(begin[:, 2], end[:, 2]) < top)
    return np.where(flat < 1e-6, plumb, through)


def _spots(course: Sequence[Piece], lays: Protector | None, least: float) -> Sequence[Spot]:
    """Every point at which the ground is known: the path's vertices, and evenly one a metre or closer."""
    out: list[Spot] = []
    start, before = 0.0, None
    for number, leg in enumerate(course):
        after = course[number + 1] if number + 1 < len(course) else None
        long = dist(leg.start, leg.end)
        many = max(ceil(long), 1)
        for k in range(1 if before is not None else 0, many + 1):
            x, y, z = (a + (b - a) * k / many for a, b in zip(leg.start, leg.end, strict=True))
            vertex = after if k == many else None
            there = leg.laid if vertex is None or vertex.laid is not None else None
            lies = there if there is not None else lays
            runs = least
            if (
                lies is not None
                and vertex is not None
                and _gradient(leg) - _gradient(vertex) > CREST
            ):
                runs = max(least, lies.clearance)
            ours = there is None and lies is not None
            rises = _gradient(leg)
            out.append(Spot(start + long * k / many, x, y, z, _left(leg), lies, runs, ours, rises))
        start += long
        before = leg
    return out


def _gradient(leg: Piece) -> float:
    x, y, z = (b - a for a, b in zip(leg.start, leg.end, strict=True))
    return z / hypot(x, y)


def _left(leg: Piece) -> tuple[float, float]:
    x, y = leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]
    level = hypot(x, y)
    return -y / level, x / level
