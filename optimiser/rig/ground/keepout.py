"""Computes where nobody may stand: inside every bight, along every part of the line, below the load.

Everything is seen from above, with the load at every station of the stretch. The puller (and whoever
works it) is checked against the same areas: `standing_faults` lists what is wrong with its place.

How far a parted line flies, from a maritime safety alert on snap-back (source key snap-back-alert):
about as far as the piece that is left is long, and round a block in a wide arc, not in a lane. So a
part of line endangers the ground beyond both its ends over its own length, and the whole inside of the
angle it makes at a block. The widths below are choices of this program; none is a published figure.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from math import cos, dist, hypot, pi, sin
from typing import TypeVar

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.ground import plan_view
from optimiser.rig.ground.plan_view import Laid, Point, turn, turned
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Puller, Site

Length = TypeVar("Length", float, Array)

LANE = 2.0
"""m to either side of a part of line (project choice)."""
CORRIDOR = 3.0
"""m to either side of the path where a load that runs back may come (project choice)."""
RUN_OUT = 5.0
"""m beyond the foot of the path that a load which runs back may reach, at least (project choice)."""
EDGE = 1e-9
"""m, or m² of a triangle: what does not count."""


class Danger(Enum):
    """What strikes in an area."""

    BIGHT = "inside the angle of the rope"
    RECOIL = "in line with the rope"
    BELOW = "below the load"


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One convex polygon in plan, corners in m, counter-clockwise. `about`: the place or part of line."""

    danger: Danger
    corners: tuple[Point, ...]
    about: tuple[Place, ...]
    reach: float = 0.0  # m beyond the ends of a part of line


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """The puller's place lies in an area, with the load `at` metres along the path."""

    danger: Danger
    about: tuple[Place, ...]
    at: float


def recoil_length(length: Length) -> Length:
    """Returns how far a part of line of this length may fly beyond either of its ends when it parts, m.

    length: of the part between its two places [m], one or an array. Result [m].
    Source: snap-back-alert (about the length of the line that is left, at most the whole part).
    """
    return length


def areas(site: Site, setup: Laid) -> tuple[Area, ...]:
    """Every keep-out area over the whole stretch, each as convex polygons, bights first."""
    return (*_bights(site, setup), *_lanes(site, setup), *_below(site, setup))


def faults(site: Site, setup: Laid, *dangers: Danger) -> tuple[Fault, ...]:
    """Lists what is wrong with where the puller stands, each danger and place once, in the order met; of some
    dangers only, if they are named.

    The part of line the puller itself hauls on is left out: it always stands in line with that.
    """
    finders = {Danger.BIGHT: _in_bight, Danger.RECOIL: _in_line, Danger.BELOW: _downhill}
    return tuple(f for danger in dangers or Danger for f in finders[danger](site, setup))


def standing_faults(site: Site, setup: Laid) -> tuple[str, ...]:
    """`faults` in words; empty where the puller stands well."""
    return tuple(_worded(setup, fault) for fault in faults(site, setup))


def stands_below(site: Site, puller: Puller, upto: float | None) -> bool:
    """Whether the puller stands where a load would come that can run back from as far up the path as
    `upto` m; None: it runs back from nowhere."""
    if upto is None or puller.position[2] >= plan_view.load_at(site, upto)[2]:
        return False
    strips = _strips(site, upto)
    return any(within(spot, strip) for spot in plan_view.spots(puller) for strip in strips)


def run_back_end(setup: Laid) -> float | None:
    """The last place along the path, m, from which the load may run back by itself; None: from none."""
    rows = [row.at for row in setup.profile if row.runs_back > 0.0]
    return max(rows) if rows else None


def _worded(setup: Laid, fault: Fault) -> str:
    who, at = setup.puller.name, f"with the load at {fault.at:.2f} m of the path"
    names = [place.name or "the load" for place in fault.about]
    if fault.danger is Danger.BIGHT:
        return f"{who} stands inside the angle of the rope at {names[0]}, {at}"
    if fault.danger is Danger.RECOIL:
        return f"{who} stands in line with the rope from {names[0]} to {names[1]}, {at}"
    return f"{who} stands below a load that can run back, {at}"


def _in_bight(site: Site, setup: Laid) -> Iterator[Fault]:
    track, times = plan_view.track(site, setup), plan_view.moments(setup)
    first: dict[Place, int] = {}
    for before, corner, after in plan_view.turns(setup):
        if after.kind is not PlaceKind.PULLER:
            corners = track[before], track[corner], track[after]
            met = _first(inside_angle(corners, spot) for spot in plan_view.puller_spots(setup))
            if met is not None:
                first[corner] = min(met, first.get(corner, met))
    for place in sorted(first, key=first.__getitem__):
        yield Fault(danger=Danger.BIGHT, about=(place,), at=times[first[place]])


def _in_line(site: Site, setup: Laid) -> Iterator[Fault]:
    track, times = plan_view.track(site, setup), plan_view.moments(setup)
    first: dict[tuple[Place, Place], int] = {}
    seen: set[frozenset[Place]] = set()
    for a, b in plan_view.parts(setup)[:-1]:
        if frozenset((a, b)) not in seen:
            seen.add(frozenset((a, b)))
            ends = track[a], track[b]
            met = _first(inside_lane(ends, spot) for spot in plan_view.puller_spots(setup))
            if met is not None:
                first[a, b] = met
    for part in sorted(first, key=first.__getitem__):
        yield Fault(danger=Danger.RECOIL, about=part, at=times[first[part]])


def _first(masks: Iterable[Mask]) -> int | None:
    """The first position of the load at which any of the masks, () or (M,) each, holds."""
    hit = np.atleast_1d(np.logical_or.reduce(np.broadcast_arrays(*masks)))
    return int(hit.argmax()) if hit.any() else None


def inside_angle(corners: tuple[Array, Array, Array], spot: Sequence[float] | Array) -> Mask:
    """Whether the spot lies inside the triangle of the corners, its sides not counted.

    corners: [m], (2,) or (M, 2) each, for M positions of the load; spot: [m], (2,). Result: () or (M,).
    """
    a, b, c = corners
    point = np.asarray(spot)
    one, two, three = turned(a, b, point), turned(b, c, point), turned(c, a, point)
    left = (one > EDGE) & (two > EDGE) & (three > EDGE)
    right = (one < -EDGE) & (two < -EDGE) & (three < -EDGE)
    return np.asarray(left | right)


def inside_lane(ends: tuple[Array, Array], spot: Sequence[float] | Array) -> Mask:
    """Whether the spot lies in the lane of the part of line between the ends, recoil beyond both ends
    included.

    ends: [m], (2,) or (M, 2) each, for M positions of the load; spot: [m], (2,). Result: () or (M,).
    """
    a, b = ends
    way = b - a
    length = np.sqrt((way**2).sum(axis=-1))
    safe = np.maximum(length, 1e-6)
    reach = recoil_length(safe) + EDGE
    off = np.asarray(spot) - a
    along = (off * way).sum(axis=-1) / safe
    aside = np.abs(off[..., 0] * way[..., 1] - off[..., 1] * way[..., 0]) / safe
    hit = (aside <= LANE + EDGE) & (along >= -reach) & (along <= safe + reach)
    return np.asarray(hit & (length >= 1e-6))


def _downhill(site: Site, setup: Laid) -> Iterator[Fault]:
    upto = run_back_end(setup)
    # The ways that lie before the last place it can run back from are the ones it comes down.
    if upto is not None and stands_below(site, setup.puller, upto):
        yield Fault(danger=Danger.BELOW, about=(), at=upto)


def _bights(site: Site, setup: Laid) -> Iterator[Area]:
    """At each turn the hull of its angle over the stretch and the puller's run: no less than it sweeps."""
    where = list(plan_view.plans(site, setup, plan_view.moments(setup)))
    spots = plan_view.puller_spots(setup)
    seen: set[tuple[str, frozenset[str]]] = set()
    for before, corner, after in plan_view.turns(setup):
        key = (corner.name, frozenset((before.name, after.name)))
        if key in seen or before.name == after.name:
            continue  # there and back on the same line: no inside
        seen.add(key)
        points = [spot[place] for spot in where for place in (before, corner, after)]
        corners = hull([*points, *(spots if after.kind is PlaceKind.PULLER else ())])
        if len(corners) > 2:
            yield Area(danger=Danger.BIGHT, corners=corners, about=(corner,))


def _lanes(site: Site, setup: Laid) -> Iterator[Area]:
    """Along each part, from its place at the start and at the end of the stretch and of the run."""
    moments = plan_view.moments(setup)
    ends = (moments[0], *setup.stops, moments[-1])
    seen: set[tuple[Point, Point]] = set()
    for first, second in plan_view.parts(setup):
        for at in ends:
            where = plan_view.plan(site, setup, at)
            for spot in (
                plan_view.puller_spots(setup)
                if second.kind is PlaceKind.PULLER
                else (where[second],)
            ):
                a, b = sorted((where[first], spot))
                lane = _lane(a, b)
                if lane is None or (a, b) in seen:
                    continue
                seen.add((a, b))
                reach = recoil_length(dist(a, b))
                yield Area(danger=Danger.RECOIL, corners=lane, about=(first, second), reach=reach)


def _below(site: Site, setup: Laid) -> Iterator[Area]:
    upto = run_back_end(setup)
    if upto is not None:
        for corners in _strips(site, upto):
            yield Area(danger=Danger.BELOW, corners=corners, about=())


def _strips(site: Site, upto: float) -> list[tuple[Point, ...]]:
    """The path up to `upto` metres and beyond its foot, one strip a leg, ends rounded."""
    start, out = 0.0, []
    for number, leg in enumerate(site.legs):
        length = dist(leg.start, leg.end)
        if start > upto + 1e-9:
            break
        share = min((upto - start) / length, 1.0)
        a, b = leg.start[:2], leg.end[:2]
        top = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
        if number == 0:
            flat = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
            a = (a[0] - RUN_OUT * (b[0] - a[0]) / flat, a[1] - RUN_OUT * (b[1] - a[1]) / flat)
        out.append(hull([*_ring(a, CORRIDOR), *_ring(top, CORRIDOR)]))
        start += length
    return out


def _lane(a: Point, b: Point) -> tuple[Point, ...] | None:
    """The lane of a part of line with its recoil beyond both ends; None where it has no direction."""
    length = dist(a, b)
    if length < 1e-6:
        return None
    reach = recoil_length(length) / length
    dx, dy = b[0] - a[0], b[1] - a[1]
    px, py = -dy / length * LANE, dx / length * LANE
    tail = (a[0] - reach * dx, a[1] - reach * dy)
    head = (b[0] + reach * dx, b[1] + reach * dy)
    return (
        (tail[0] - px, tail[1] - py),
        (head[0] - px, head[1] - py),
        (head[0] + px, head[1] + py),
        (tail[0] + px, tail[1] + py),
    )


def in_lane(point: Point, a: Point, b: Point) -> bool:
    """Whether a point lies in the lane of the part of line from a to b."""
    lane = _lane(a, b)
    return lane is not None and within(point, lane)


def _ring(centre: Point, radius: float, corners: int = 16) -> list[Point]:
    """A circle as the polygon around it."""
    outer = radius / cos(pi / corners)
    angles = (2 * pi * i / corners for i in range(corners))
    return [(centre[0] + outer * cos(a), centre[1] + outer * sin(a)) for a in angles]


def within(point: Point, corners: tuple[Point, ...]) -> bool:
    """Whether a point lies inside a convex counter-clockwise polygon or on its edge."""
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    return all(turn(a, b, point) >= -1e-9 for a, b in sides)


def hull(points: list[Point]) -> tuple[Point, ...]:
    """The convex hull, counter-clockwise (monotone chain); fewer than 3 corners where all are in line."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def chain(row: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for point in row:
            while len(kept) > 1 and turn(kept[-2], kept[-1], point) <= 1e-9:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return tuple(chain(ordered) + chain(ordered[::-1]))
