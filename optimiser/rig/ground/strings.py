"""Leads lines over the ground as taut strings: where they touch what lies on edges, and how they run.

In the upright plane of a line the rope is the upper hull of its two ends and of the points of the ground
on which something lies for it to run over. Bare ground above the string blocks the line. A line that
touches nothing is straight, and everything about it is as if the ground were not there.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.line.edge import FLAT, passed_on, taut_string
from optimiser.mechanics.values import Vec
from optimiser.rig.ground import clearance
from optimiser.rig.ground.clearance import Runs
from optimiser.rig.ground.stations import crests
from optimiser.rig.once import Lately
from optimiser.site.model import Obstacle, Site

Names = npt.NDArray[np.str_]
AT_HITCH = 0.1
"""m of rope between the load's hitch and where it bends first: nearer than this a hitch that is lower than
the rope over the edge is hauled into what lies there (project choice)."""
LOWER = 1e-6
"""m by which a hitch is lower than that."""
SLACK = 1e-9
"""m, of bare ground above a string."""
AT_ONCE = 400_000
"""Lines times points of the ground worked out together."""
REMEMBERED = 100_000
"""Lines of the last tables that are kept, some 10 MB: near misses, purchases and stages ask for the same
over and over."""


@dataclass(frozen=True, eq=False)
class Edges:
    """The points of the path's ground, (G,), with what lies on them for a rope to run over.

    `along`: m along the path; `leg`: that ends there, or on which the point lies; `laid`: on what; None for
    bare ground; `known`: it lies there already. `high`: m, the height at which a rope runs over the point."""

    site: Site
    points: Array  # (G, 3)
    along: Array
    leg: tuple[int, ...]
    high: Array
    laid: tuple[Protector | None, ...]
    known: tuple[bool, ...]

    @property
    def course(self) -> tuple[bytes, bytes]:
        """What strings depend on: how high each point is, and which of the kinds lies there."""
        return self.high.tobytes(), self.kind.tobytes()

    @cached_property
    def mark(self) -> tuple[Hashable, ...]:
        """All that strings between given ends depend on: two sites that differ in nothing here have the
        same."""
        prefs = self.site.preferences
        return (
            self.points.tobytes(), *self.course, len(self.kinds), self.leg,
            tuple((leg.start, leg.end) for leg in self.site.legs),
            tuple((p.name, p.position, p.radius, p.top) for p in clearance.kept_clear(self.site, ())),
            prefs.ground_known_within, prefs.clearance,
        )  # fmt: skip

    @cached_property
    def over(self) -> Numbers:
        """Points that a rope may run over."""
        return np.flatnonzero([kind is not None for kind in self.laid])

    @cached_property
    def bare(self) -> Array:
        """(B, 3) points of bare ground."""
        return self.points[[kind is None for kind in self.laid]]

    @property
    def not_covered(self) -> Array:
        """(B, 3) points on which nothing lies but what the rig itself lays where a line touches."""
        return self.points[~np.array(self.known)]

    @property
    def laid_on_uncovered(self) -> tuple[Protector | None, ...]:
        """(B,) what that is."""
        both = zip(self.laid, self.known, strict=True)
        return tuple(kind for kind, known in both if not known)

    @cached_property
    def kinds(self) -> tuple[Protector, ...]:
        """What a rope may run over, each kind once."""
        return tuple(dict.fromkeys(kind for kind in self.laid if kind is not None))

    @cached_property
    def kind(self) -> Numbers:
        """(G,) index of what lies on each point; -1 where nothing does."""
        return np.array([-1 if kind is None else self.kinds.index(kind) for kind in self.laid])

    @cached_property
    def rising(self) -> Array:
        """(G, 2) by how much the leg at each point rises along x and y, m/m."""
        ways = np.array([np.subtract(leg.end, leg.start) for leg in self.site.legs])
        rise = (
            ways[:, 2:] * ways[:, :2] / np.maximum((ways[:, :2] ** 2).sum(axis=1), 1e-18)[:, None]
        )
        return np.asarray(rise[list(self.leg)])

    def _axes(self, point: int) -> tuple[float, float]:
        """The path's direction at a point, in plan."""
        leg = self.site.legs[self.leg[point]]
        along, aside = np.subtract(leg.end, leg.start)[:2]
        long = max(float(np.hypot(along, aside)), 1e-9)
        return along / long, aside / long

    def under(self, point: int, runs: Runs, *, both_ends: bool) -> tuple[Array, Mask]:
        """Where along each line, as a share of it, it crosses the edge that leads across the path through a
        point, in plan; and whether it does so under the part that is looked at, and near enough for
        the ground to be known there. A line along the edge crosses it nowhere."""
        tx, ty = self._axes(point)
        x, y = self.points[point, 0] - runs.x, self.points[point, 1] - runs.y
        forward = runs.along_x * tx + runs.along_y * ty
        crosses = np.abs(forward) > 1e-9 * runs.long
        share = np.where(crosses, (x * tx + y * ty) / np.where(crosses, forward, 1.0), -1.0)
        aside = (share * runs.along_y - y) * tx - (share * runs.along_x - x) * ty
        near = np.abs(aside) <= self.site.preferences.ground_known_within
        least = clearance.NEAR_END / runs.long if both_ends else 1e-6
        most = 1.0 - clearance.NEAR_END / runs.long
        return share, crosses & near & (share > least) & (share < most)

    def left_of(self, point: int, runs: Runs, at: Array) -> Array:
        """(n,) m to the left of the path at a point at which lines pass it, `at` m along them in plan."""
        tx, ty = self._axes(point)
        share = at / np.maximum(runs.long, 1e-9)
        x = runs.x + share * runs.along_x - self.points[point, 0]
        y = runs.y + share * runs.along_y - self.points[point, 1]
        return np.asarray(y * tx - x * ty)


def edges_of(site: Site, protector: Protector | None) -> Edges | None:
    """The ground with what lies on it where `protector` is laid wherever a line touches; None where nothing
    lies anywhere: then every line is straight or blocked."""
    if protector is None and all(leg.laid is None for leg in site.legs):
        return None
    found: dict[Vec, tuple[float, int, bool]] = {}
    start = 0.0
    for number, leg in enumerate(site.legs):
        long = float(np.linalg.norm(np.subtract(leg.end, leg.start)))
        for point in clearance.leg_points(leg):
            at = start + float(np.linalg.norm(np.subtract(point, leg.start)))
            key = (float(point[0]), float(point[1]), float(point[2]))
            known = found.get(key)
            own = leg.laid is not None
            found[key] = (
                (at, number, own) if known is None else (known[0], known[1], known[2] and own)
            )
        start += long
    points = np.array(list(found))
    own_kind = [site.legs[number].laid if own else protector for _, number, own in found.values()]
    base = site.preferences.clearance
    vertices = crests(site.legs)
    high = [
        point[2] + (max(base, kind.clearance) if kind is not None and point in vertices else base)
        for point, kind in zip(found, own_kind, strict=True)
    ]
    return Edges(
        site, points, np.array([at for at, _, _ in found.values()]),
        tuple(number for _, number, _ in found.values()), np.array(high), tuple(own_kind),
        tuple(own for _, _, own in found.values()),
    )  # fmt: skip


def laid_on_crests(site: Site) -> tuple[tuple[float, Protector], ...]:
    """What lies for lines to run over already where the path becomes less steep: m along the path, and what
    it is."""
    edges = edges_of(site, None)
    if edges is None:
        return ()
    vertices = crests(site.legs)
    found = zip(edges.along, edges.points, edges.laid, strict=True)
    return tuple(
        (float(at), lies)
        for at, (x, y, z), lies in found
        if lies is not None and (float(x), float(y), float(z)) in vertices
    )


@dataclass(frozen=True)
class Strings:
    """How lines run, arrays of any shape (...): `length` m of rope; `begin`, `end` (..., 3) unit vectors in
    which the rope leaves the line's two ends; `first`, `last` m from the ends to where it bends first,
    the whole length where it runs straight; `turned` (..., K) rad by which it turns on each kind of thing;
    `free`: nothing is in its way."""

    length: Array
    begin: Array
    end: Array
    first: Array
    last: Array
    turned: Array
    free: Mask

    def pick(self, index: Any) -> "Strings":
        """Some of the lines."""
        return Strings(*(getattr(self, f.name)[index] for f in fields(self)))

    def back(self) -> "Strings":
        """The same lines led the other way."""
        return Strings(
            self.length, self.end, self.begin, self.last, self.first, self.turned, self.free
        )

    def shaped(self, shape: tuple[int, ...]) -> "Strings":
        """The lines (n,) in another shape of as many."""
        values = (getattr(self, f.name) for f in fields(self))
        return Strings(*(v.reshape(*shape, *v.shape[1:]) for v in values))

    def spread(self, shape: tuple[int, ...]) -> "Strings":
        """The lines (n,), each as often as the shape (n, X) says, in arrays of their own."""
        values = [getattr(self, f.name) for f in fields(self)]
        return Strings(*(np.repeat(v[:, None], shape[1], axis=1) for v in values))

    def put(self, rows: Mask, other: "Strings") -> None:
        """Take over some lines of another, which has as many, or one for all of them."""
        for f in fields(self):
            getattr(self, f.name)[rows] = getattr(other, f.name)

    @staticmethod
    def join(parts: "Sequence[Strings]", axis: int = 0) -> "Strings":
        """Several one after the other along an axis."""
        return Strings(
            *(np.concatenate([getattr(p, f.name) for p in parts], axis) for f in fields(Strings))
        )

    def runs_over(self, kinds: Sequence[bool]) -> Mask:
        """Which lines run over any of some kinds of things."""
        return np.asarray((self.turned[..., np.array(kinds, dtype=bool)] > 0.0).any(axis=-1))

    def passed(self, friction: Array) -> Array:
        """(...) tension on the side a rope comes from / on the side it runs to, over all that it runs over.
        `friction` (..., K) on each kind of thing."""
        return np.asarray(np.prod(passed_on(friction=friction, angle=self.turned), axis=-1))

    @cached_property
    def bent(self) -> Mask:
        """Which lines run over an edge."""
        return np.asarray((self.turned > 0.0).any(axis=-1))


def strings(edges: Edges, begin: Array, end: Array, *, both_ends: bool, own: Names) -> Strings:
    """The lines from begin to end (n, 3). `both_ends`: neither of them is at the load; `own` (n, q): names
    of the posts that a line is made fast to."""
    key = (
        edges.mark, begin.tobytes(), end.tobytes(), both_ends, own.dtype.str, own.shape, own.tobytes(),
    )  # fmt: skip
    return _LATELY.once(key, len(begin), lambda: _worked_out(edges, begin, end, both_ends, own))


_LATELY: Lately[Strings] = Lately(REMEMBERED)


def _worked_out(edges: Edges, begin: Array, end: Array, both_ends: bool, own: Names) -> Strings:
    each = max(AT_ONCE // max(len(edges.points), 1), 1)
    parts = [
        _some(edges, begin[i : i + each], end[i : i + each], both_ends, own[i : i + each])
        for i in range(0, len(begin), each)
    ]
    found = Strings.join(parts) if parts else _some(edges, begin, end, both_ends, own)
    for f in fields(found):  # what is handed out more than once is not to be written into
        getattr(found, f.name).setflags(write=False)
    return found


def _some(edges: Edges, begin: Array, end: Array, both_ends: bool, own: Names) -> Strings:
    runs, n = Runs.between(begin, end), len(begin)
    way = end - begin
    length = np.linalg.norm(way, axis=1)
    unit = way / np.maximum(length, 1e-9)[:, None]
    prefs = edges.site.preferences
    within = prefs.ground_known_within
    low = np.zeros(n, dtype=bool)
    for point in edges.over:
        share, inside = edges.under(point, runs, both_ends=both_ends)
        low |= inside & (runs.z + share * runs.along_z < edges.high[point])
    blocked = clearance.touches_ground(
        runs, edges.bare, within=within, above=prefs.clearance, both_ends=both_ends
    )
    posts = clearance.kept_clear(edges.site, ())
    for post, hit in clearance.posts_hit(runs, posts):
        blocked |= hit & _others(own, post)
    out = Strings(
        length, unit, -unit, length.copy(), length.copy(),
        np.zeros((n, len(edges.kinds))), ~blocked,
    )  # fmt: skip
    rows = np.flatnonzero(low)
    if len(rows):
        bend(edges, out, runs, rows, both_ends, posts, own)
    return out


def _others(own: Names, post: Obstacle) -> Mask:
    return np.asarray((own != post.name).all(axis=1))


@dataclass(frozen=True)
class Bends:
    """Where n lines touch, by contact from the beginning (n, C): `point` of the edges, -1 for none; `at` m
    along the line in plan, `high` m, `angle` rad by which it turns. `knots` (n, C + 2) and `heights`: all
    corners of the string, the ends included, what is missing at the end; `rise` (n, C + 1) rad of its pieces
    above the level."""

    point: Numbers
    angle: Array
    knots: Array
    heights: Array
    rise: Array

    def height(self, at: Array) -> Array:
        """(n, ...) height of the strings at so many m along them in plan: the least of their pieces, each
        led on straight."""
        shape = (len(at),) + (1,) * (at.ndim - 1)
        out = np.full(at.shape, np.inf)
        for k in range(self.knots.shape[1] - 1):
            d0, d1 = self.knots[:, k].reshape(shape), self.knots[:, k + 1].reshape(shape)
            z0, z1 = self.heights[:, k].reshape(shape), self.heights[:, k + 1].reshape(shape)
            real = d1 - d0 > 1e-12
            slope = (z1 - z0) / np.where(real, d1 - d0, 1.0)
            out = np.where(real, np.minimum(out, z0 + slope * (at - d0)), out)
        return out


def bends(edges: Edges, runs: Runs, *, both_ends: bool) -> Bends:
    """Where lines touch, each looked at by itself."""
    over = edges.over
    at, under = np.zeros((len(runs.x), len(over))), np.zeros((len(runs.x), len(over)), dtype=bool)
    for i, point in enumerate(over):
        share, inside = edges.under(point, runs, both_ends=both_ends)
        at[:, i], under[:, i] = share * runs.long, inside
    high = edges.high[over]
    end = runs.z + runs.along_z
    touched = taut_string(begin=runs.z, end=end, long=runs.long, at=at, high=high, under=under)
    n, count = touched.shape
    rows = np.arange(n)
    knots, heights = np.empty((n, count + 2)), np.empty((n, count + 2))
    knots[:, 0], heights[:, 0], knots[:, -1], heights[:, -1] = 0.0, runs.z, runs.long, end
    for c in range(count):
        there = touched[:, c] >= 0
        knots[:, c + 1] = np.where(there, at[rows, touched[:, c]], runs.long)
        heights[:, c + 1] = np.where(there, high[touched[:, c]], end)
    rise = np.full((n, count + 1), np.nan)
    for k in range(count + 1):
        gone = knots[:, k + 1] - knots[:, k]
        rise[:, k] = np.where(
            gone > 1e-12, np.arctan2(heights[:, k + 1] - heights[:, k], gone), np.nan
        )
    for k in range(1, count + 1):  # beyond the end nothing turns
        rise[:, k] = np.where(np.isnan(rise[:, k]), rise[:, k - 1], rise[:, k])
    angle = np.maximum(rise[:, :-1] - rise[:, 1:], 0.0)
    angle = np.where((touched >= 0) & (angle >= FLAT), angle, 0.0)
    point = np.where(angle > 0.0, over[touched] if count else touched, -1)
    return Bends(point, angle, knots, heights, rise)


def bend(
    edges: Edges, out: Strings, runs: Runs, rows: Numbers, both_ends: bool,
    posts: Sequence[Obstacle], own: Names,
) -> None:  # fmt: skip
    """Put down for some rows of `out` how they run over what lies there."""
    some = runs.pick(rows)
    found = bends(edges, some, both_ends=both_ends)
    turns = (found.angle > 0.0).any(axis=1)
    rows, some = rows[turns], some.pick(np.flatnonzero(turns))
    found = Bends(*(getattr(found, f.name)[turns] for f in fields(found)))
    if not len(rows):
        return
    gone, rise = np.diff(found.knots, axis=1), np.diff(found.heights, axis=1)
    pieces = np.hypot(gone, rise)
    flat = np.stack([some.along_x, some.along_y], axis=1) / some.long[:, None]
    out.length[rows] = pieces.sum(axis=1)
    out.first[rows] = pieces[:, 0]
    ends = np.where(pieces > 1e-12, np.arange(pieces.shape[1]), -1).max(axis=1)
    index = np.arange(len(rows))
    out.last[rows] = pieces[index, ends]
    for unit, k, sign in ((out.begin, np.zeros(len(rows), dtype=int), 1.0), (out.end, ends, -1.0)):
        d, z, long = gone[index, k], rise[index, k], pieces[index, k]
        unit[rows, :2] = sign * flat * (d / long)[:, None]
        unit[rows, 2] = sign * z / long
    for k in range(len(edges.kinds)):
        here = (found.point >= 0) & (edges.kind[found.point] == k)
        out.turned[rows, k] = np.where(here, found.angle, 0.0).sum(axis=1)
    blocked = _in_the_way(edges, some, found, both_ends, posts, own[rows])
    if not both_ends:
        blocked |= at_hitch(edges, some, found)
    out.free[rows] = ~blocked


def _in_the_way(
    edges: Edges, runs: Runs, found: Bends, both_ends: bool, posts: Sequence[Obstacle],
    own: Names,
) -> Mask:  # fmt: skip
    """(n,) whether bare ground or a post is in the way of strings."""
    prefs = edges.site.preferences
    blocked = np.zeros(len(runs.x), dtype=bool)
    for x, y, z in edges.bare:
        share, inside = clearance.over(
            runs, x, y, within=prefs.ground_known_within, both_ends=both_ends
        )
        low = found.height(share * runs.long) - z < prefs.clearance - SLACK
        blocked |= inside & low
    for post in posts:
        blocked |= _hits(runs, found, post) & _others(own, post)
    return blocked


def at_hitch(edges: Edges, runs: Runs, found: Bends) -> Mask:
    """(n,) whether lines from the load bend so near to a hitch that is lower over the ground than the rope
    over the edge that it is hauled into what lies there."""
    rows = np.arange(len(runs.x))
    if not found.point.shape[1]:
        return np.zeros(len(rows), dtype=bool)
    bends_at = (found.point >= 0).argmax(axis=1)
    point = found.point[rows, bends_at]
    gone, high = found.knots[rows, bends_at + 1], found.heights[rows, bends_at + 1]
    x, y = runs.x - edges.points[point, 0], runs.y - edges.points[point, 1]
    ground = edges.rising[point]  # under the hitch, over the edge
    over = high - (runs.z - ground[:, 0] * x - ground[:, 1] * y)
    near = np.hypot(gone, high - runs.z) < AT_HITCH
    return np.asarray((point >= 0) & near & (over > LOWER))


def lead_into(runs: Runs, found: Bends, post: Obstacle) -> Mask:
    """(n,) whether lines run through a post, straight or as strings."""
    bent = (found.angle > 0.0).any(axis=1)
    return np.where(bent, _hits(runs, found, post), clearance.runs_hit_post(runs, post))


def _hits(runs: Runs, found: Bends, post: Obstacle) -> Mask:
    """(n,) whether strings run through a post: as `clearance.runs_hit_post`, with their own heights."""
    x, y, z = post.position
    cross, along = runs.off(x, y)
    aside, middle = cross / runs.long, along / runs.long
    half = np.sqrt(np.maximum(post.radius**2 - aside**2, 0.0))
    enter, leave = (middle - half).clip(0.0, runs.long), (middle + half).clip(0.0, runs.long)
    low = np.minimum(found.height(enter), found.height(leave))
    return np.asarray((aside < post.radius) & (enter < leave) & (low < z + post.top))
