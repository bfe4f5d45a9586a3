"""Finds where on a site a puller may stand that is given a track or an area, and how far it can go from
there.

Its body, all along its run, stays in its room and clear of trunks, posts and the way of the load. The run
is the longest that does, up to the longest that the site file states.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import dist, hypot

from optimiser.mechanics.values import Vec
from optimiser.site.frame import DECIMALS
from optimiser.site.model import Puller, Site
from optimiser.site.roaming.rooms import Room, Stand

STEP = 0.1
"""m: between the points of a run that are looked at, and what a run is rounded down to."""
LEAST_RUN = 1.0
"""m: where a puller can go less far it has no room to pull (project choice)."""

MADE_ROOM = 1.0
"""m about an anchor that is made, which what pulls keeps off: half the width of a vehicle that is parked
there, and room for pickets (project choice)."""

Post = tuple[float, float, float]
"""x, y and radius of something that stands, m."""
Way = tuple[tuple[Vec, ...], float]
"""The points of the load's path and of where its nose comes to in the end, and half its width, m."""


def stands(site: Site, puller: Puller) -> tuple[Puller, ...]:
    """The puller at each candidate spot of its room, heading each way that has room; itself where it has one
    spot only."""
    if puller.room is None:
        return (puller,)
    return tuple(
        _put(puller, stand, run) for stand, run in _candidates(*_around(site, puller.room))
    )


def stand_at(site: Site, puller: Puller, stand: Stand) -> Puller | None:
    """The puller at one stand of its room; None where it has no room there."""
    if puller.room is None:
        return None
    run = _free_run(*_around(site, puller.room), stand)
    return None if run is None else _put(puller, stand, run)


def puller_of(site: Site, of: Puller) -> Puller:
    """The puller of a site by the name of another. One that may choose stands where the other stands in its
    room, and goes no further. KeyError where there is none."""
    own = next((p for p in site.pullers if p.name == of.name), None)
    if own is None:
        raise KeyError(of.name)
    if own.room is None or of.stand is None:
        return own
    return _put(own, of.stand, min(of.run, own.room.body.run))


def goes_over(puller: Puller, at: Vec) -> bool:
    """Whether a puller, where it stands or on its run, comes to an anchor that is made at a point. Of one
    that has one spot only it is not known how much ground it takes."""
    body = puller.body
    if body is None:
        return False
    hx, hy, _ = puller.heading
    flat = hypot(hx, hy)
    dx, dy = at[0] - puller.position[0], at[1] - puller.position[1]
    ahead, aside = (dx * hx + dy * hy) / flat, abs(dy * hx - dx * hy) / flat
    past = max(-ahead, ahead - (puller.run + body.length) * flat, 0.0)
    return hypot(past, max(aside - body.width / 2.0, 0.0)) < MADE_ROOM


def pinned(site: Site, puller: Puller) -> Site:
    """The site with one puller kept where it stands, for looking at one rig of it."""
    if puller.room is None:
        return site
    kept = replace(puller, room=None)
    return replace(site, pullers=tuple(kept if p.name == kept.name else p for p in site.pullers))


def _put(puller: Puller, stand: Stand, run: float) -> Puller:
    assert puller.room is not None
    at, way = puller.room.spot(stand)
    x, y, z = (round(value, DECIMALS) + 0.0 for value in at)
    return replace(puller, position=(x, y, z), heading=way, run=run, stand=stand)


def _around(site: Site, room: Room) -> tuple[Room, tuple[Post, ...], Way]:
    """A room with what stands on its site whether it is used or not, and the way of the load."""
    posts = [(*a.position[:2], a.radius) for a in site.standing]
    posts += [(*o.position[:2], o.radius) for o in site.obstacles]
    last, ahead = site.legs[-1], site.load.overhang
    long = max(dist(last.start, last.end), 1e-9)
    x, y, z = (b + ahead / long * (b - a) for a, b in zip(last.start, last.end, strict=True))
    path = (
        site.legs[0].start,
        *(leg.end for leg in site.legs),
        *([(x, y, z)] if ahead > 0 else []),
    )
    return room, tuple(posts), (path, site.load.width / 2.0)


@lru_cache(maxsize=32)
def _candidates(room: Room, posts: tuple[Post, ...], way: Way) -> tuple[tuple[Stand, float], ...]:
    """Stands with room to pull, and their runs."""
    found = ((stand, _free_run(room, posts, way, stand)) for stand in room.stands())
    return tuple((stand, run) for stand, run in found if run is not None)


def _free_run(room: Room, posts: tuple[Post, ...], way: Way, stand: Stand) -> float | None:
    """How far somebody can go from a stand, m; None where that is no run."""
    at, heading = room.spot(stand)
    most, ahead = room.body.run, room.body.length
    clear = 0.0
    for far in _steps(most + ahead):
        here = (at[0] + far * heading[0], at[1] + far * heading[1], at[2] + far * heading[2])
        if not (room.holds(here) and _clear(here, room.body.width / 2.0, posts, way)):
            break
        clear = far
    else:
        return most if most >= LEAST_RUN else None
    run = int((clear - ahead) / STEP + 1e-6) * STEP
    return round(run, DECIMALS) if run >= LEAST_RUN else None


def _steps(far: float) -> Iterator[float]:
    """Distances that are looked at, the last of them `far`."""
    yield from (i * STEP for i in range(int(far / STEP + 1e-9) + 1))
    yield far


def _clear(at: Vec, half: float, posts: tuple[Post, ...], way: Way) -> bool:
    """Whether a body of so many m to either side is clear of everything at a point."""
    if any(hypot(at[0] - x, at[1] - y) < radius + half for x, y, radius in posts):
        return False
    path, wide = way
    for a, b in pairwise(path):
        dx, dy = b[0] - a[0], b[1] - a[1]
        share = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / (dx * dx + dy * dy)
        share = min(max(share, 0.0), 1.0)
        if hypot(at[0] - a[0] - share * dx, at[1] - a[1] - share * dy) < wide + half:
            return False
    return True
