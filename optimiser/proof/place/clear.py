"""Checks whether every part of a line runs free of posts and bare ground, and the load's nose of its
anchors."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, dist

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.proof import two_ropes
from optimiser.proof.claim import Claim
from optimiser.proof.loads.forces import fixed_places, spots_of
from optimiser.proof.notes import Notes
from optimiser.proof.place.course import vec
from optimiser.proof.place.ground import Ground, Post, meets, straight_meet
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site

STEP = 0.25
"""m between the places of the puller on its run at which its line is looked at over the ground."""
INSIDE = 1e-9
"""Of a triangle, or m: nearer to its edge a post counts as outside, which is rounding and no more."""


def check(
    site: Site, ground: Ground, claim: Claim, grip: Hold, line: list[Point], notes: Notes
) -> None:
    """With the load at each point of the profile and the puller at each spot of its run."""
    spots = spots_of(claim.puller)
    listed = [p for p in line if p.row is not None]
    hitches = [carried(p, grip.ahead, grip.left, grip.height) for p in listed]
    done = set()
    for a, b in two_ropes.runs(claim):
        if frozenset((a, b)) in done:
            continue
        done.add(frozenset((a, b)))
        own = {p.name for p in (a, b) if p.kind is PlaceKind.ANCHOR}
        if b.kind is PlaceKind.PULLER and claim.puller.anchor is not None:
            own.add(claim.puller.anchor)
        first, second = fixed_places(site, (a, b))
        if first is None:
            begins, ends = hitches, spots if second is None else [second]
        elif second is None and b.kind is PlaceKind.LOAD:
            begins, ends = hitches, [first]
        else:
            begins, ends = [first], spots if second is None else [second]
        from_load = PlaceKind.LOAD in (a.kind, b.kind)
        free = _free(ground, begins, ends, own, from_load=from_load)
        if b.kind is PlaceKind.PULLER and free:
            free = not _dips(ground, begins, spots, from_load=from_load)
        notes.need(free, f"the line {a} to {b} meets a post or the ground")
        for place, at in ((a, first), (b, second)):
            if from_load and place.kind is PlaceKind.ANCHOR and at is not None:
                radius = site.anchor(place.name).radius
                clear = all(_nose_free(site, p, at, radius) for p in listed)
                notes.need(clear, f"the load runs up against {place.name}")


def _free(
    ground: Ground, begins: Sequence[Vec], ends: Sequence[Vec], own: set[str], *, from_load: bool
) -> bool:
    posts = ground.posts_near(begins, ends, own)
    if not posts and not ground.ground_near(begins, ends):
        return True
    begin, end = np.repeat(begins, len(ends), axis=0), np.tile(ends, (len(begins), 1))
    bends = ground.may_bend(begin, end, from_load=from_load)
    start, stop = begin[~bends], end[~bends]
    if ground.stops(start, stop, from_load=from_load).any():
        return False
    if any(straight_meet(start, stop, post).any() for post in posts):
        return False
    if any(_swept(begins, ends, post) for post in posts):
        return False
    for some in np.flatnonzero(bends).tolist():
        string = ground.string(vec(begin[some]), vec(end[some]), from_load=from_load)
        if string.blocked or any(meets(string, post) for post in posts):
            return False
    return True


def _dips(ground: Ground, begins: Sequence[Vec], spots: Sequence[Vec], *, from_load: bool) -> bool:
    """Whether a line comes too low between two spots of the puller's run over ground on which nothing lies
    yet: looked at there every so often, but for lines that anything laid may lift at one of the two. What the
    rig lays, it lays where lines touch at the spots."""
    if len(spots) < 2 or not ground.ground_near(begins, spots):
        return False
    for one, other in pairwise(np.asarray(spots)):
        start = np.asarray(begins)
        straight = ~(
            ground.may_bend(start, np.broadcast_to(one, start.shape), from_load=from_load)
            | ground.may_bend(start, np.broadcast_to(other, start.shape), from_load=from_load)
        )
        looks = ceil(dist(one, other) / STEP)
        ends = one + np.arange(1, looks)[:, None] / looks * (other - one)
        begin = np.repeat(start[straight], len(ends), axis=0)
        end = np.tile(ends, (int(straight.sum()), 1))
        if ground.stops(begin, end, from_load=from_load, ours=True).any():
            return True
    return False


def _swept(begins: Sequence[Vec], ends: Sequence[Vec], post: Post) -> bool:
    """Whether a post stands in one of the flat triangles that a line sweeps over while one of its ends goes
    on to its next place: seen from above, and below the triangle."""
    for still, goes in ((ends, begins), (begins, ends)):
        if len(goes) < 2:
            continue
        moving, fixed = np.asarray(goes), np.asarray(still)[:, None, :]
        here, there = moving[None, :-1], moving[None, 1:]
        whole = _area(fixed, here, there)
        middle = np.array((post[1], post[2], 0.0))
        shares = (
            _area(middle, here, there),
            _area(fixed, middle, there),
            _area(fixed, here, middle),
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            weights = [share / whole for share in shares]
        inside = np.all([weight > INSIDE for weight in weights], axis=0)
        corners = (fixed, here, there)
        height = sum(w * corner[..., 2] for w, corner in zip(weights, corners, strict=True))
        if bool((inside & (height < post[4] - INSIDE)).any()):
            return True
    return False


def _area(a: Array, b: Array, c: Array) -> Array:
    """Twice the area of a triangle seen from above, with its sense of turning."""
    one, other = b - a, c - a
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def _nose_free(site: Site, p: Point, anchor: Vec, radius: float) -> bool:
    load, t, b = site.load, p.along, p.across
    x, y, z = anchor[0] - p.ground[0], anchor[1] - p.ground[1], anchor[2] - p.ground[2]
    ahead = x * t[0] + y * t[1] + z * t[2] - load.overhang
    aside = abs(x * b[0] + y * b[1] + z * b[2])
    return aside > load.width / 2 + radius or ahead >= radius or ahead < -load.length - radius
