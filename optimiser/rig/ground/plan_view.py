"""Looks at a rig from above: what lies inside an angle of the rope, which parts cross.

Only for cautions: no force is computed from this.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from math import dist
from typing import Protocol

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.setup import Setup
from optimiser.rig.walk import Place, PlaceKind, Walk, segments
from optimiser.site.model import Puller, Site

Point = tuple[float, float]


class Moment(Protocol):
    """The load at one place of the path: with what force it runs back, N."""

    @property
    def at(self) -> float: ...
    @property
    def runs_back(self) -> float: ...


class Laid(Protocol):
    """Ropes as they lie over a stretch of the path: a setup, or a line that lets down or holds."""

    @property
    def courses(self) -> tuple[Walk, ...]: ...
    @property
    def puller(self) -> Puller: ...
    @property
    def from_m(self) -> float: ...
    @property
    def to_m(self) -> float: ...
    @property
    def stops(self) -> tuple[float, ...]: ...
    @property
    def profile(self) -> Sequence[Moment]: ...


def load_at(site: Site, at: float) -> tuple[float, float, float]:
    """Where the load's reference point is, `at` metres along the path."""
    start = 0.0
    for leg in site.legs:
        length = dist(leg.start, leg.end)
        if at <= start + length + 1e-9:
            share = min(max((at - start) / length, 0.0), 1.0)
            x, y, z = (a + share * (b - a) for a, b in zip(leg.start, leg.end, strict=True))
            return x, y, z
        start += length
    return site.legs[-1].end


def loads_at(site: Site, at: Array) -> Array:
    """The same at each of some distances (M,) along the path, m: (M, 3)."""
    out = np.tile(np.array(site.legs[-1].end, dtype=float), (len(at), 1))
    left, start = np.ones(len(at), dtype=bool), 0.0
    for leg in site.legs:
        length = dist(leg.start, leg.end)
        here = left & (at <= start + length + 1e-9)
        share = np.clip((at[here] - start) / length, 0.0, 1.0)[:, None]
        begin, end = (np.array(place, dtype=float) for place in (leg.start, leg.end))
        out[here] = begin + share * (end - begin)
        left &= ~here
        start += length
    return out


def puller_spots(setup: Laid) -> tuple[Point, ...]:
    """Where the puller is at the near and at the far end of its run."""
    return spots(setup.puller)


def spots(puller: Puller) -> tuple[Point, Point]:
    """A puller's near and far end from above."""
    (x, y, _), (dx, dy, _) = puller.position, puller.heading
    return (x, y), (x + dx * puller.run, y + dy * puller.run)


def plan(site: Site, setup: Laid, at: float) -> dict[Place, Point]:
    """Every place of the rig from above, with the load `at` metres along the path."""
    return next(plans(site, setup, (at,)))


def plans(site: Site, setup: Laid, moments: Iterable[float]) -> Iterator[dict[Place, Point]]:
    """Every place of the rig from above, with the load at each of some moments."""
    loads: list[Place] = []
    fixed: dict[Place, Point] = {}
    for place in dict.fromkeys(place for course in setup.courses for place in course):
        if place.kind is PlaceKind.LOAD:
            loads.append(place)
        elif place.kind is PlaceKind.ANCHOR:
            fixed[place] = site.anchor(place.name).position[:2]
        else:
            fixed[place] = setup.puller.position[:2]
    for at in moments:
        yield {**fixed, **dict.fromkeys(loads, load_at(site, at)[:2])}


def moments(setup: Laid) -> tuple[float, ...]:
    """The positions of the load at which the rig is looked at."""
    return tuple(sorted({setup.from_m, setup.to_m, *(row.at for row in setup.profile)}))


def track(site: Site, setup: Laid) -> dict[Place, Array]:
    """Every place of the rig from above: (2,), or (M, 2) on the load with it at each of `moments`, m."""
    there = loads_at(site, np.array(moments(setup)))[:, :2]
    whole = plan(site, setup, setup.from_m)
    return {p: there if p.kind is PlaceKind.LOAD else np.array(at) for p, at in whole.items()}


def crossings(
    site: Site, setup: Setup
) -> Iterator[tuple[tuple[Place, Place], tuple[Place, Place], float]]:
    """Each two parts of the rope that cross, with the load's position when they first do; in the order in
    which that happens."""
    times, where = moments(setup), track(site, setup)
    met = []
    for pair in combinations(parts(setup), 2):
        ends = [where[place] for part in pair for place in part]
        if any(one is other for one, other in combinations(ends, 2)):
            continue
        apart = [(one != other).any(axis=-1) for one, other in combinations(ends, 2)]
        every = np.broadcast_arrays(*apart, cross(*ends))
        both = np.atleast_1d(np.logical_and.reduce(every))
        if both.any():
            met.append((int(both.argmax()), pair))
    for first, (one, other) in sorted(met, key=lambda each: each[0]):
        yield one, other, times[first]


def turns(setup: Laid) -> Iterator[tuple[Place, Place, Place]]:
    """Each turn of a rope with the places before and after it."""
    for course in setup.courses:
        yield from zip(course, course[1:], course[2:], strict=False)


def parts(setup: Laid) -> tuple[tuple[Place, Place], ...]:
    """Every straight run of a rope, the one to the puller last."""
    return tuple(part for course in setup.courses for part in segments(course))


def inside(point: Point, a: Point, b: Point, c: Point) -> bool:
    """Whether the point lies inside the triangle, its sides not counted."""
    turns = [turn(a, b, point), turn(b, c, point), turn(c, a, point)]
    return all(side > 1e-9 for side in turns) or all(side < -1e-9 for side in turns)


def cross(a: Array, b: Array, c: Array, d: Array) -> Mask:
    """Whether the stretch a-b crosses c-d, touching not counted; of places (2,) or (M, 2): () or (M,)."""
    there = turned(a, b, c) * turned(a, b, d) < -1e-12
    return np.asarray(there & (turned(c, d, a) * turned(c, d, b) < -1e-12))


def distance_to(point: Point, a: Point, b: Point) -> float:
    """Distance of the point from the stretch a-b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    share = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / length if length else 0.0
    share = min(max(share, 0.0), 1.0)
    x, y = a[0] + share * dx - point[0], a[1] + share * dy - point[1]
    return float((x * x + y * y) ** 0.5)


def turned(a: Array, b: Array, c: Array) -> Array:
    """`turn` of places (2,) or (M, 2) each: () or (M,)."""
    return np.asarray(
        (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1])
        - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
    )


def turn(a: Point, b: Point, c: Point) -> float:
    """Twice the area of a-b-c, positive where the way turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
