"""Finds what a part of line meets on its way: trunks, posts, the ground, an edge at the load's hitch, the
load's own nose."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import assert_never

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground import clearance, sweeping
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.strings import AT_HITCH, SLACK, at_hitch, bends, lead_into
from optimiser.rig.naming import edge_at
from optimiser.rig.setup import Change
from optimiser.site.model import Obstacle, Site
from shared.units import Dimension, Rounding, show

THE_LOAD = "the load"
NEAR = 0.005
"""m within which two places along the path are printed as one."""


class Met(Enum):
    """What a line meets: a post or trunk, the ground, what lies on an edge, with the load's own hitch, or
    the load's own nose."""

    POST = "post"
    GROUND = "ground"
    EDGE = "edge"
    NOSE = "nose"


@dataclass(frozen=True, slots=True)
class Meeting:
    """Something in the way of a line.

    `at`: m along the path where the load is when the line first meets it. `along`: m along the line, from
    the load where it comes to that, and `by`: m that it lies too deep in the ground, or inside the edge of a
    post (negative: beside it, nearer than lines are kept), both where that is worst.
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

    def worded(self, units: str, first: str) -> str:
        """What is met and where, by a line whose first end is called `first`."""

        def metres(value: float, rounding: Rounding = Rounding.NEAREST) -> str:
            return show(value, Dimension.LENGTH, units, rounding)

        # Where the load is does not matter to a line between two places that stay where they are.
        at = f", with the load at {metres(self.at)}" if first == THE_LOAD else ""
        where = f"{metres(self.along)} from {first}"
        by = metres(self.by, Rounding.UP)
        match self.kind:
            case Met.NOSE | Met.EDGE:
                return f"{self.what}{at}"
            case Met.POST:
                return f"{self.what} {where}, {self.deep(units)}{at}"
            case Met.GROUND:
                return (
                    f"{self.what} at {metres(self.spots[0])} of the path, {where}, {by} too low{at}"
                )
            case _:
                assert_never(self.kind)

    def deep(self, units: str) -> str:
        """How far a line is inside a trunk or post, or how near it passes beside it."""
        by = show(abs(self.by), Dimension.LENGTH, units, Rounding.UP)
        return f"{by} inside its edge" if self.by > 0.0 else f"{by} beside it, which is too near"


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
        begin, end = (scene.where(number, station, spot) for number in (self.a, self.b))
        self.runs = clearance.Runs.between(begin, end)
        edges = scene.fixed.edges
        self.points = scene.fixed.ground
        lies = () if edges is None else edges.laid_on_uncovered
        self.bare = np.array([kind is None for kind in lies] or [True] * len(self.points))
        self.bends = None if edges is None else bends(edges, self.runs, both_ends=self.a != 0)

    def all(self) -> Iterator[Meeting]:
        """Everything it meets."""
        yield from self.posts()
        yield from self.ground()
        yield from self.edge()
        yield from self.nose()

    def _first(self, mask: Mask) -> float:
        state = int(np.flatnonzero(mask)[0])
        return float(self.scene.stations.at[self.station[state]])

    def _metres(self, value: float, rounding: Rounding = Rounding.NEAREST) -> str:
        return show(value, Dimension.LENGTH, self.scene.site.preferences.units, rounding)

    def _long(self, share: Array) -> Array:
        """(X,) m along each line, of a share of it."""
        runs = self.runs
        return np.asarray(share * np.sqrt(runs.squared + runs.along_z**2))

    def posts(self) -> Iterator[Meeting]:
        """Trunks that the line is not made fast to, and obstacles."""
        site, own = self.scene.site, {self.scene.post(self.a), self.scene.post(self.b)}
        loose = {obstacle.name for obstacle in site.obstacles}
        for post in clearance.kept_clear(site, ()):
            hit = (
                clearance.runs_hit_post(self.runs, post)
                if self.bends is None
                else lead_into(self.runs, self.bends, post)
            )
            over = self._sweeps(post)  # its middle comes under the line between two of the states
            if post.name in own or not (hit | over).any():
                continue
            cross, along = self.runs.off(*post.position[:2])
            thick = post.radius - site.preferences.clearance
            inside = np.where(hit, thick - cross / self.runs.long, -np.inf)
            inside, hit = np.where(over, thick, inside), hit | over
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
                by=float(inside[worst]),
            )

    def _sweeps(self, post: Obstacle) -> Mask:
        """(X,) whether the line sweeps over a post on its way to a state or from it: with the load between
        two stations, or the puller between two spots."""
        out = np.zeros(len(self.station), dtype=bool)
        for still, goes in ((self.spot, self.station), (self.station, self.spot)):
            here, there = _steps(still, goes)
            hit = sweeping.sweeps_post(self.runs.pick(here), self.runs.pick(there), post)
            out[here[hit]] = True
            out[there[hit]] = True
        return out

    def ground(self) -> Iterator[Meeting]:
        """The ground of the path, where nothing lies on it for the line to run over."""
        depth, share = self._depths()
        touching = np.flatnonzero((depth > -np.inf).any(axis=0))
        if not len(touching):
            return
        deepest = depth.argmax(axis=0)  # (X,)
        state = int(touching[np.argmax(depth.max(axis=0)[touching])])
        point = int(deepest[state])
        site = self.scene.site
        at = [along_path(site, self.points[i]) for i in sorted(set(deepest[touching].tolist()))]
        spots = (along_path(site, self.points[point]), min(at), max(at))
        yield Meeting(
            what="the ground",
            kind=Met.GROUND,
            at=self._first(np.asarray((depth > -np.inf).any(axis=0))),
            change=something_laid(spots, site.preferences.units),
            along=float(self._long(share[point])[state]),
            by=float(depth[point, state]),
            spots=spots,
        )

    def _depths(self) -> tuple[Array, Array]:
        """(G, X) m that the line is too low over each point of bare ground, -inf where it is not; and the
        share along the line at which that lies."""
        runs, prefs = self.runs, self.scene.site.preferences
        depth = np.full((len(self.points), len(runs.x)), -np.inf)
        shares = np.zeros_like(depth)
        for i, (x, y, z) in enumerate(self.points):
            share, inside = clearance.over(
                runs, x, y, within=prefs.ground_known_within, both_ends=self.a != 0
            )
            high, slack = runs.z + share * runs.along_z, 0.0
            if self.bends is not None:
                high, slack = self.bends.height(share * runs.long), SLACK
            low = z + prefs.clearance - high
            depth[i] = np.where(inside & (low > slack) & self.bare[i], low, -np.inf)
            shares[i] = share
        self._between_spots(depth, shares)
        return depth, shares

    def _between_spots(self, depth: Array, shares: Array) -> None:
        """Enter in `_depths` where the line is lower on the puller's way to the next of its spots, unless it
        runs over an edge at one of them."""
        here, there = _steps(self.station, self.spot)
        if self.bends is not None:
            straight = np.asarray((self.bends.angle <= 0.0).all(axis=1))
            free = straight[here] & straight[there]
            here, there = here[free], there[free]
        before, after = self.runs.pick(here), self.runs.pick(there)
        prefs = self.scene.site.preferences
        within = prefs.ground_known_within
        for i, point in enumerate(self.points):
            for runs in sweeping.between(before, after, point, within=within):
                share, inside = clearance.over(
                    runs, point[0], point[1], within=within + SLACK, both_ends=self.a != 0
                )
                low = point[2] + prefs.clearance - runs.z - share * runs.along_z
                deeper = inside & (low > np.maximum(depth[i, here], SLACK))
                depth[i, here[deeper]], shares[i, here[deeper]] = low[deeper], share[deeper]

    def edge(self) -> Iterator[Meeting]:
        """What lies on an edge, so near to the load's hitch that it is hauled into that."""
        edges = self.scene.fixed.edges
        if self.a != 0 or self.bends is None or edges is None:
            return
        here = at_hitch(edges, self.runs, self.bends)
        if not here.any():
            return
        points = self.bends.point[int(np.flatnonzero(here)[0])]
        first = int(points[points >= 0][0])
        lies = edges.laid[first]
        named = "what lies" if lies is None else lies.name
        place = edge_at(*(float(edges.along[first]),) * 2, self.scene.site.preferences.units)
        yield Meeting(
            what=f"{named} on {place}, which the load's hitch is hauled into",
            kind=Met.EDGE,
            at=self._first(here),
            change=Change(text="a hitch that is higher or further back", amount=AT_HITCH, unit="m"),
        )

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


def _steps(still: Numbers, goes: Numbers) -> tuple[Numbers, Numbers]:
    """The states from which one end of a line goes on to its next place while the other stays, and those to
    which it goes."""
    order = np.lexsort((goes, still))
    here, there = order[:-1], order[1:]
    near = (still[here] == still[there]) & (goes[there] - goes[here] == 1)
    return here[near], there[near]


def something_laid(spots: tuple[float, ...], units: str) -> Change:
    """Something laid where a line touches the ground, for it to run over. `spots`: of the meeting."""
    at, first, last = spots
    text = f"a log, or what else `bankhaul gear protector` lists, on {edge_at(at, at, units)}"
    if last - first > NEAR:
        from_, to = (show(spot, Dimension.LENGTH, units) for spot in (first, last))
        text += f", and wherever the line touches from {from_} to {to}"
    return Change(text=text, amount=1.0, unit="edges")


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
