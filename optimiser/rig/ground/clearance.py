"""Computes which straight runs of rope are free of trunks, posts and ground.

A post is an upright cylinder. The ground is known along the path only: its profile is taken to hold
for `preferences.ground_known_within` to either side, and ground beyond is not looked at.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground.stations import Stations
from optimiser.site.model import Leg, Obstacle, Site

NEAR_END = 0.5
"""m from a line's fixed end within which ground is not looked at: there the strap's height rules."""
AT_ONCE = 4000
"""Pairs of a line and a post or point of the ground that are looked at together (choice)."""
GROUND_EVERY = 1.0
"""m between the points of the profile that are looked at, besides every vertex."""


def posts(site: Site, own: tuple[str, ...]) -> list[Obstacle]:
    """Everything that stands in the way of a line that is not made fast to it, as thick and high as it is."""
    trunks = [
        Obstacle(name=a.name, position=a.position, radius=a.radius, top=a.top)
        for a in site.anchors
        if a.name not in own and a.radius > 0.0
    ]
    return trunks + list(site.obstacles)


def kept_clear(site: Site, own: tuple[str, ...]) -> list[Obstacle]:
    """The same, each thicker and higher by what lines keep away from it (`preferences.clearance`): a line is
    a rope with a thickness, which sags and swings, and no stem is a true cylinder."""
    away = site.preferences.clearance
    return [
        replace(post, radius=post.radius + away, top=post.top + away) for post in posts(site, own)
    ]


@dataclass(frozen=True)
class Runs:
    """Straight lines in any number of dimensions, one array a coordinate: where each begins (x, y, z),
    and the way to its end (along_x, along_y, along_z)."""

    x: Array
    y: Array
    z: Array
    along_x: Array
    along_y: Array
    along_z: Array

    @staticmethod
    def between(begin: Array, end: Array) -> "Runs":
        """Lines from begin to end (..., 3)."""
        x, y, z = (np.ascontiguousarray(begin[..., i]) for i in range(3))
        return Runs(x, y, z, end[..., 0] - x, end[..., 1] - y, end[..., 2] - z)

    @cached_property
    def squared(self) -> Array:
        """Square of the length in plan, m²."""
        return np.maximum(self.along_x**2 + self.along_y**2, 1e-12)

    @cached_property
    def long(self) -> Array:
        """Length in plan, m."""
        return np.sqrt(self.squared)

    def off(self, x: float | Array, y: float | Array) -> tuple[Array, Array]:
        """Of a point in plan, or of several (P, 1): its distance from each line times the line's length, and
        the same along the line."""
        dx, dy = x - self.x, y - self.y
        return np.abs(dx * self.along_y - dy * self.along_x), dx * self.along_x + dy * self.along_y

    def pick(self, index: Any) -> "Runs":
        return Runs(*(getattr(self, f.name)[index] for f in fields(self)))


def runs_hit_post(runs: Runs, post: Obstacle) -> Mask:
    """(...,) whether each line runs through the post: the chord it would cut in plan, and its lower end
    against the post's top."""
    x, y, z = post.position
    cross, _ = runs.off(x, y)
    out = cross < post.radius * runs.long
    out |= runs.squared <= 1e-12  # a plumb line
    some = np.nonzero(out)
    near = runs.pick(some)
    cross, along = near.off(x, y)
    plumb = near.squared <= 1e-12
    aside = np.where(plumb, np.hypot(x - near.x, y - near.y), cross / near.long)
    share = along / near.squared
    half = np.sqrt(np.maximum(post.radius**2 - aside**2, 0.0) / near.squared)
    enter, leave = (share - half).clip(0.0, 1.0), (share + half).clip(0.0, 1.0)
    low = near.z + np.minimum(enter * near.along_z, leave * near.along_z)
    out[some] = (aside < post.radius) & (enter < leave) & (low < z + post.top)
    return np.asarray(out)


def _portions(many: int, runs: Runs) -> Iterator[slice]:
    """Of so many things those that are looked at together with some lines."""
    each = max(AT_ONCE // max(runs.x.size, 1), 1)
    return (slice(first, first + each) for first in range(0, many, each))


def posts_hit(runs: Runs, standing: Sequence[Obstacle]) -> Iterator[tuple[Obstacle, Mask]]:
    """Of some posts those that a line runs through in plan, each with `runs_hit_post`."""
    for some in _portions(len(standing), runs):
        these = standing[some]
        shape = (-1, *(1,) * runs.x.ndim)
        x, y = (np.array([post.position[i] for post in these]).reshape(shape) for i in range(2))
        radius = np.array([post.radius for post in these]).reshape(shape)
        near = (runs.off(x, y)[0] < radius * runs.long) | (runs.squared <= 1e-12)
        for number in np.flatnonzero(near.reshape(len(these), -1).any(axis=1)):
            post = these[int(number)]
            yield post, runs_hit_post(runs, post)


def ground_points(site: Site) -> Array:
    """(G, 3) points of the path's profile a line must stay above: every vertex and one a metre, less
    those on legs whose edge is protected."""
    return _profile(site)


def _profile(site: Site) -> Array:
    rows = []
    for leg in site.legs:
        if not leg.edge_protected:
            rows.append(leg_points(leg))
    return np.unique(np.concatenate(rows), axis=0) if rows else np.zeros((0, 3))


def leg_points(leg: Leg) -> Array:
    """(L, 3) points of a leg's ground that are looked at: its ends, and one a metre between."""
    length = float(np.linalg.norm(np.subtract(leg.end, leg.start)))
    count = max(int(np.ceil(length / GROUND_EVERY)), 1)
    return np.asarray(np.linspace(leg.start, leg.end, count + 1))


def touches_ground(
    runs: Runs, ground: Array, *, within: float, above: float, both_ends: bool
) -> Mask:
    """(...,) whether each line comes closer than `above` to the ground.

    `both_ends`: ground near either end is left out; else only near the far end (the load's own end is
    judged by its hitch height)."""
    out = np.zeros(runs.x.shape, dtype=bool)
    for some in _portions(len(ground), runs):
        x, y, z = ground[some].T.reshape(3, -1, *(1,) * out.ndim)
        share, inside = over(runs, x, y, within=within, both_ends=both_ends)
        out |= (inside & (runs.z + share * runs.along_z - z < above)).any(axis=0)
    return out


def over(
    runs: Runs, x: float | Array, y: float | Array, *, within: float, both_ends: bool,
    ends: float = NEAR_END,
) -> tuple[Array, Mask]:  # fmt: skip
    """Where along each line, as a share of it, a point in plan, or each of several (P, 1), lies, and whether
    it lies below or above the part that is looked at. `ends`: m at its ends that are not."""
    cross, along = runs.off(x, y)
    share = along / runs.squared
    least = ends / runs.long if both_ends else 1e-6
    most = 1.0 - ends / runs.long
    return share, (share > least) & (share < most) & (cross <= within * runs.long)


def from_load(
    site: Site, stations: Stations, hitch: Array, targets: Array, own: Sequence[str]
) -> Mask:
    """(T, S) whether the line from the hitch (S, 3) to each of `targets` (T, 3) runs free at every
    station; `own` (T,): the post that a target is made fast to, "" for none."""
    shape = (len(targets), len(hitch), 3)
    begin = np.broadcast_to(hitch[None, :, :], shape)
    end = np.broadcast_to(targets[:, None, :], shape)
    names = np.array(own)
    blocked = np.zeros(shape[:2], dtype=bool)
    runs = Runs.between(begin, end)
    for post, hit in posts_hit(runs, kept_clear(site, ())):
        blocked |= hit & (names != post.name)[:, None]
    prefs = site.preferences
    blocked |= touches_ground(
        runs,
        ground_points(site),
        within=prefs.ground_known_within,
        above=prefs.clearance,
        both_ends=False,
    )
    return ~blocked


def runs_free(
    site: Site, ground: Array, begin: Array, end: Array, own: str, *, both_ends: bool = False
) -> Mask:
    """(...,) whether each line from the load at `begin` to `end` (..., 3) runs free of bare ground (G, 3)
    and of posts; `own`: the post it is made fast to, "" for none; `both_ends`: it begins at a place that is
    fixed too."""
    runs, prefs = Runs.between(begin, end), site.preferences
    blocked = touches_ground(
        runs,
        ground,
        within=prefs.ground_known_within,
        above=prefs.clearance,
        both_ends=both_ends,
    )
    for _, hit in posts_hit(runs, kept_clear(site, (own,))):
        blocked |= hit
    return ~blocked


@dataclass(frozen=True)
class Fixed:
    """Places that do not move with the load, by number; the last one is the puller.

    `position` (P + 2, 3) m, the puller's at the near end of its run; `names` of what each place is at;
    `spots` (K, 3) of the puller along its run; `anchor` that the puller is made fast to, if any.
    """

    names: Sequence[str]
    position: Array
    spots: Array
    anchor: str | None


def between_places(site: Site, places: Fixed) -> Mask:
    """(P + 2, P + 2) whether the line between two fixed places runs free, over the puller's run."""
    position = np.nan_to_num(places.position)
    blocked = _among(site, places, position)
    for spot in places.spots[1:]:
        end = np.broadcast_to(spot, position.shape)
        blocked[:, -1] |= _to_puller(site, places, position, end)
    out = ~(blocked | blocked.T)
    out[0, :] = out[:, 0] = False
    np.fill_diagonal(out, False)
    return out


def to_puller(site: Site, places: Fixed) -> Mask:
    """(P + 2,) whether the line from each fixed place to the puller runs free, at every spot of its run;
    that of the load and of the puller itself mean nothing."""
    position = np.nan_to_num(places.position)
    blocked = np.zeros(len(position), dtype=bool)
    for spot in places.spots:
        blocked |= _to_puller(site, places, position, np.broadcast_to(spot, position.shape))
    return ~blocked


class _Plan:
    """Fixed places from above: strap heights of one anchor are one point there, so what is near a line
    is seen for all their pairs at once."""

    def __init__(self, position: Array) -> None:
        points, self.of = np.unique(position[:, :2], axis=0, return_inverse=True)
        level = np.concatenate([points, np.zeros((len(points), 1))], axis=1)
        shape = (len(points), len(points), 3)
        self.runs = Runs.between(
            np.broadcast_to(level[:, None, :], shape), np.broadcast_to(level[None], shape)
        )
        self.once = np.triu(np.ones(shape[:2], dtype=bool))  # there, not back again

    def pairs(self, near: Mask) -> tuple[Numbers, Numbers]:
        """The pairs of places (i, j) between the points that are `near`."""
        near = near & self.once
        rows = np.flatnonzero(np.asarray(near.any(axis=1))[self.of])
        first, second = np.nonzero(near[self.of[rows]][:, self.of])
        return rows[first], second


def _among(site: Site, places: Fixed, position: Array) -> Mask:
    """(P + 2, P + 2) whether the line between two places is blocked, marked for one way of each pair."""
    prefs = site.preferences
    out = np.zeros((len(position), len(position)), dtype=bool)
    plan = _Plan(position)
    flat = plan.runs
    for x, y, z in ground_points(site):
        share, inside = over(flat, x, y, within=prefs.ground_known_within, both_ends=True)
        i, j = plan.pairs(inside)
        rise = position[j, 2] - position[i, 2]
        height = position[i, 2] + share[plan.of[i], plan.of[j]] * rise
        out[i, j] |= height - z < prefs.clearance
    for post in kept_clear(site, ()):
        cross, _ = flat.off(*post.position[:2])
        i, j = plan.pairs((cross < post.radius * flat.long) | (flat.squared <= 1e-12))
        own = _made_fast_to(places, post)
        others = ~(own[i] | own[j])
        i, j = i[others], j[others]
        out[i, j] |= runs_hit_post(Runs.between(position[i], position[j]), post)
    return out


def _to_puller(site: Site, places: Fixed, position: Array, puller: Array) -> Mask:
    """(P + 2,) whether the line from each place to the puller (P + 2, 3) is blocked."""
    prefs = site.preferences
    runs = Runs.between(position, puller)
    out = touches_ground(
        runs,
        ground_points(site),
        within=prefs.ground_known_within,
        above=prefs.clearance,
        both_ends=True,
    )
    for post, hit in posts_hit(runs, kept_clear(site, ())):
        if places.anchor != post.name:
            out |= hit & ~_made_fast_to(places, post)
    return out


def _made_fast_to(places: Fixed, post: Obstacle) -> Mask:
    """(P + 2,) places at the post itself."""
    own = np.array([name == post.name for name in places.names])
    own[-1] = own[-1] or places.anchor == post.name
    return own
