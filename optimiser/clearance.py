"""Which straight runs of rope are free of trunks, posts and ground.

A post is an upright cylinder. The ground is known along the path only: its profile is taken to hold
for `preferences.ground_known_within` to either side, and nothing is said about ground beyond.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from optimiser.site.model import Obstacle, Site
from optimiser.stations import Stations

if TYPE_CHECKING:
    from optimiser.scene import Scene

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
NEAR_END = 0.5
"""m from a line's fixed end within which ground is not looked at: there the strap's height rules."""
GROUND_EVERY = 1.0
"""m between the points of the profile that are looked at, besides every vertex."""


def posts(site: Site, own: tuple[str, ...]) -> list[Obstacle]:
    """Everything that stands in the way of a line that is not made fast to it."""
    trunks = [
        Obstacle(name=a.name, position=a.position, radius=a.radius, top=a.top)
        for a in site.anchors
        if a.name not in own and a.radius > 0.0
    ]
    return trunks + list(site.obstacles)


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

    def off(self, x: float, y: float) -> tuple[Array, Array]:
        """Of a point in plan: its distance from each line times the line's length, and the same along
        the line."""
        dx, dy = x - self.x, y - self.y
        return np.abs(dx * self.along_y - dy * self.along_x), dx * self.along_x + dy * self.along_y

    def pick(self, index: Any) -> "Runs":
        return Runs(*(getattr(self, f.name)[index] for f in fields(self)))


def hits_post(begin: Array, end: Array, post: Obstacle) -> Mask:
    """(...,) whether the line from begin to end (..., 3) runs through the post."""
    return runs_hit_post(Runs.between(begin, end), post)


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


def sweeps_post(hitch: Array, target: Array, post: Obstacle) -> Mask:
    """(S,) whether the line to the fixed `target` passes over the post on its way from one station to
    the next: a thin post may stand between the lines of two stations and touch neither. Both stations
    are then blocked."""
    centre = np.array(post.position)
    way = target - hitch
    off = centre[:2] - hitch[:, :2]
    side = off[:, 0] * way[:, 1] - off[:, 1] * way[:, 0]
    share = (off * way[:, :2]).sum(axis=1) / np.maximum((way[:, :2] ** 2).sum(axis=1), 1e-12)
    low = hitch[:, 2] + share.clip(0.0, 1.0) * way[:, 2] < centre[2] + post.top
    near = (share > 0.0) & (share < 1.0) & low
    out = np.zeros(len(hitch), dtype=bool)
    crossed = (side[:-1] * side[1:] < 0.0) & near[:-1] & near[1:]
    out[:-1] |= crossed
    out[1:] |= crossed
    return out


def ground_points(site: Site, stations: Stations) -> Array:
    """(G, 3) points of the path's profile a line must stay above: every vertex and one a metre, less
    those on legs whose edge is protected."""
    rows = []
    for leg in site.legs:
        if leg.edge_protected:
            continue
        length = float(np.linalg.norm(np.subtract(leg.end, leg.start)))
        count = max(int(np.ceil(length / GROUND_EVERY)), 1)
        rows.append(np.linspace(leg.start, leg.end, count + 1))
    del stations
    return np.unique(np.concatenate(rows), axis=0) if rows else np.zeros((0, 3))


def touches_ground(
    runs: Runs, ground: Array, *, within: float, above: float, both_ends: bool
) -> Mask:
    """(...,) whether each line comes closer than `above` to the ground.

    `both_ends`: ground near either end is left out; else only near the far end (the load's own end is
    judged by its hitch height)."""
    out = np.zeros(runs.x.shape, dtype=bool)
    least = NEAR_END / runs.long if both_ends else 1e-6
    most = 1.0 - NEAR_END / runs.long
    for x, y, z in ground:
        cross, along = runs.off(x, y)
        share = along / runs.squared
        inside = (share > least) & (share < most) & (cross <= within * runs.long)
        out |= inside & (runs.z + share * runs.along_z - z < above)
    return out


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
    for post in posts(site, ()):
        blocked |= runs_hit_post(runs, post) & (names != post.name)[:, None]
    prefs = site.preferences
    blocked |= touches_ground(
        runs,
        ground_points(site, stations),
        within=prefs.ground_known_within,
        above=prefs.clearance,
        both_ends=False,
    )
    return ~blocked


def between_places(scene: "Scene") -> Mask:
    """(P + 2, P + 2) whether the line between two fixed places runs free, over the puller's run."""
    site = scene.site
    count = len(scene.places)
    begin = np.broadcast_to(np.nan_to_num(scene.position)[:, None, :], (count, count, 3)).copy()
    end = np.swapaxes(begin, 0, 1).copy()
    blocked = _blocked(scene, begin, end)
    for spot in scene.spots[1:]:
        again_end = np.broadcast_to(spot, (count, 3))
        again = _blocked(
            scene, begin[:, -1, :] * 0 + np.nan_to_num(scene.position), again_end, last=True
        )
        blocked[:, -1] |= again
        blocked[-1, :] |= again
    del site
    out = ~(blocked | blocked.T)
    out[0, :] = out[:, 0] = False
    np.fill_diagonal(out, False)
    return out


def _blocked(scene: "Scene", begin: Array, end: Array, *, last: bool = False) -> Mask:
    site, prefs = scene.site, scene.site.preferences
    runs = Runs.between(begin, end)
    out = touches_ground(
        runs,
        ground_points(site, scene.stations),
        within=prefs.ground_known_within,
        above=prefs.clearance,
        both_ends=True,
    )
    for post in posts(site, ()):
        own = np.array([p.name == post.name for p in scene.places])
        own[-1] = own[-1] or scene.puller.anchor == post.name
        free = own if last else own[:, None] | own[None, :]
        if last and scene.puller.anchor == post.name:
            continue
        out |= runs_hit_post(runs, post) & ~free
    return out
