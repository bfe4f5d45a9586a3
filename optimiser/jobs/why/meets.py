"""Finds what a part of line meets on its way: trunks, posts, the ground, the load's own nose."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import assert_never

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground import clearance
from optimiser.rig.ground.scene import Scene
from optimiser.rig.setup import Change, names
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

THE_LOAD = "the load"
DEEP = 0.3
"""m that a line may be too low before an answer states that it will bend over what is laid there: about
what a log lifts it (choice)."""


class Met(Enum):
    """What a line meets: a post or trunk, the ground, or the load's own nose."""

    POST = "post"
    GROUND = "ground"
    NOSE = "nose"


@dataclass(frozen=True, slots=True)
class Meeting:
    """Something in the way of a line.

    `at`: m along the path where the load is when the line first meets it. `along`: m along the line, from
    the load where it comes to that, and `by`: m that it lies too deep in it, both where that is worst.
    `spots`: of the ground, m along the path: where the line is deepest at its worst, then the first and the
    last place where it is deepest with the load at some place; () for anything else.
    """

    what: str
    kind: Met
    at: float
    change: Change | None  # None: it cannot be taken away
    along: float = 0.0
    by: float = 0.0
    spots: tuple[float, ...] = ()
    legs: tuple[int, ...] = ()  # of the path, from 1, whose ground is touched

    def worded(self, units: str, first: str) -> str:
        """What is met and where, by a line whose first end is called `first`."""

        def metres(value: float, rounding: Rounding = Rounding.NEAREST) -> str:
            return show(value, Dimension.LENGTH, units, rounding)

        # Where the load is does not matter to a line between two places that stay where they are.
        at = f", with the load at {metres(self.at)}" if first == THE_LOAD else ""
        where = f"{metres(self.along)} from {first}"
        by = metres(self.by, Rounding.UP)
        match self.kind:
            case Met.NOSE:
                return f"{self.what}{at}"
            case Met.POST:
                return f"{self.what} {where}, {by} inside its edge{at}"
            case Met.GROUND:
                return (
                    f"{self.what} at {metres(self.spots[0])} of the path, {where}, {by} too low{at}"
                )
            case _:
                assert_never(self.kind)


def met(row: RigRow, segment: int) -> Iterator[Meeting]:
    """Everything that a part of line of a rig meets, each with what would clear it."""
    states = row.evaluation.states
    numbers = row.numbers[segment], row.numbers[segment + 1]
    yield from _Part(row.scene, *numbers, states.station, states.spot).all()


def met_from_load(scene: Scene, place: int) -> Iterator[Meeting]:
    """Everything that a line from the load to a place meets, over all stations of a scene."""
    stations = np.arange(len(scene.stations))
    yield from _Part(scene, 0, place, stations, np.zeros_like(stations)).all()


def met_between(scene: Scene, a: int, b: int) -> Iterator[Meeting]:
    """Everything that a line between two fixed places meets, over the run of the puller."""
    spots = np.arange(len(scene.spots))
    yield from _Part(scene, a, b, np.zeros_like(spots), spots).all()


class _Part:
    """A part of line between two places, from the load where it comes to that, in some states: the station
    the load is at (X,) and the spot the puller is at (X,)."""

    def __init__(self, scene: Scene, a: int, b: int, station: Numbers, spot: Numbers) -> None:
        self.scene, self.station, self.spot = scene, station, spot
        self.a, self.b = (b, a) if b == 0 else (a, b)
        self.runs = clearance.Runs.between(self._points(self.a), self._points(self.b))

    def all(self) -> Iterator[Meeting]:
        """Everything it meets."""
        yield from self.posts()
        yield from self.ground()
        yield from self.nose()

    def _points(self, number: int) -> Array:
        """(X, 3)"""
        if number == 0:
            return self.scene.hitch[self.station]
        if number == self.scene.puller_number:
            return self.scene.spots[self.spot]
        return np.broadcast_to(self.scene.position[number], (len(self.station), 3))

    def _first(self, mask: Mask) -> float:
        state = int(np.flatnonzero(mask)[0])
        return float(self.scene.stations.at[self.station[state]])

    def _post(self, number: int) -> str:
        place = self.scene.places[number]
        return (self.scene.puller.anchor or "") if place.kind is PlaceKind.PULLER else place.name

    def _metres(self, value: float, rounding: Rounding = Rounding.NEAREST) -> str:
        return show(value, Dimension.LENGTH, self.scene.site.preferences.units, rounding)

    def _long(self, share: Array) -> Array:
        """(X,) m along each line, of a share of it."""
        runs = self.runs
        return np.asarray(share * np.sqrt(runs.squared + runs.along_z**2))

    def posts(self) -> Iterator[Meeting]:
        """Trunks that the line is not made fast to, and obstacles."""
        site, own = self.scene.site, {self._post(self.a), self._post(self.b)}
        loose = {obstacle.name for obstacle in site.obstacles}
        for post in clearance.posts(site, ()):
            hit = clearance.runs_hit_post(self.runs, post)
            if post.name in own or not hit.any():
                continue
            cross, along = self.runs.off(*post.position[:2])
            inside = np.where(hit, post.radius - cross / self.runs.long, -np.inf)
            worst = int(np.argmax(inside))
            share = (along / self.runs.squared).clip(0.0, 1.0)
            change = None
            if post.name in loose:
                change = Change(text=f"take {post.name} away", amount=1.0, unit="")
            yield Meeting(
                what=post.name,
                kind=Met.POST,
                at=self._first(hit),
                change=change,
                along=float(self._long(share)[worst]),
                by=max(float(inside[worst]), 0.0),
            )

    def _touches(self, points: Array) -> Mask:
        prefs = self.scene.site.preferences
        return clearance.touches_ground(
            self.runs,
            points,
            within=prefs.ground_known_within,
            above=prefs.clearance,
            both_ends=self.a != 0,
        )

    def ground(self) -> Iterator[Meeting]:
        """The ground of the path, where its edge is not protected."""
        site = self.scene.site
        points = clearance.ground_points(site)
        touches = self._touches(points)
        if not touches.any():
            return
        legs = []
        for number, leg in enumerate(site.legs, start=1):
            alone = tuple(x if x is leg else replace(x, edge_protected=True) for x in site.legs)
            bare = clearance.ground_points(replace(site, legs=alone))
            if not leg.edge_protected and self._touches(bare).any():
                legs.append(number)
        spots, along, by = self._depths(points)
        yield Meeting(
            what="the ground",
            kind=Met.GROUND,
            at=self._first(touches),
            change=log_laid([spots], legs, by, site.preferences.units),
            along=along,
            by=by,
            spots=spots,
            legs=tuple(legs),
        )

    def _depths(self, points: Array) -> tuple[tuple[float, float, float], float, float]:
        """The `spots` of a meeting with the ground; where along the line it is touched deepest, and by how
        much, m."""
        site, runs = self.scene.site, self.runs
        above = site.preferences.clearance
        depths, shares = [], []
        for point in points:
            touched = self._touches(point[None, :])
            _, way = runs.off(float(point[0]), float(point[1]))
            share = way / runs.squared
            depth = point[2] + above - runs.z - share * runs.along_z
            depths.append(np.where(touched, depth, -np.inf))
            shares.append(share)
        depth = np.array(depths)  # (G, X)
        deepest = depth.argmax(axis=0)
        touching = np.flatnonzero(np.isfinite(depth.max(axis=0)))
        state = int(touching[np.argmax(depth.max(axis=0)[touching])])
        point = int(deepest[state])
        laid = sorted(along_path(site, points[i]) for i in set(deepest[touching].tolist()))
        spots = (along_path(site, points[point]), laid[0], laid[-1])
        return spots, float(self._long(shares[point])[state]), float(depth[point, state])

    def nose(self) -> Iterator[Meeting]:
        """The load itself, come to the anchor it is pulled to."""
        if self.a != 0 or self.b == self.scene.puller_number:
            return
        here = np.asarray(~self.scene.nose_free(self.b))
        if not here.any():
            return
        at = self.scene.stations.at
        stop = float(at[np.flatnonzero(here)[0]])
        before = at[at < stop]
        if len(before):
            rest = float(at[-1] - before[-1])
            to = self._metres(float(before[-1]), Rounding.DOWN)
            last = self._metres(rest, Rounding.UP)
            text = (
                f"haul with this reeving to {to} only, and the last {last} with another, in stages"
            )
            change = Change(text=text, amount=rest, unit="m")
        else:
            change = Change(text="an anchor further ahead of the load", amount=0.0, unit="")
        what = "the load's own nose, which has come to the anchor"
        yield Meeting(what=what, kind=Met.NOSE, at=stop, change=change)


def log_laid(
    spots: Sequence[tuple[float, ...]], legs: Collection[int], by: float, units: str
) -> Change:
    """A log, roller or hose laid where lines touch the ground. `spots`: of their meetings, the deepest line
    first; `legs`: whose ground it is, from 1; `by`: m that the lowest line is too low."""
    at, first, last = (
        show(spot, Dimension.LENGTH, units)
        for spot in (spots[0][0], min(s[1] for s in spots), max(s[2] for s in spots))
    )
    on = names([f"leg {leg}" for leg in sorted(legs)])
    text = f"a log, roller or hose at {at} of the path"
    if first != last:
        text += f", and wherever it touches from {first} to {last}"
    text += f" (edge_protected on {on} in the site file)"
    if by > DEEP:
        text += "; the rope bends over it, and its friction there is not reckoned with"
    return Change(text=text, amount=float(len(legs)), unit="edges")


def along_path(site: Site, point: Array) -> float:
    """How far along the path its place nearest to a point lies, m."""
    best, begin = (np.inf, 0.0), 0.0
    for leg in site.legs:
        way = np.subtract(leg.end, leg.start)
        length = float(np.linalg.norm(way))
        on = float(np.clip((point - leg.start) @ way / length, 0.0, length))
        best = min(best, (float(np.linalg.norm(leg.start + on / length * way - point)), begin + on))
        begin += length
    return best[1]
