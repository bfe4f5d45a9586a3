"""Computes which straight runs of rope sweep over a post on their way: as the load moves on to the next place
that is looked at, or the puller along its run.

Neither place may show it: a post between them is thinner than the way that the line makes there.
"""

from collections.abc import Sequence
from dataclasses import fields
from itertools import pairwise

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.ground.clearance import Runs, posts
from optimiser.rig.once import Lately
from optimiser.site.model import Obstacle, Site

REMEMBERED = 400_000
"""Lines at stations whose sweeps are remembered: the spots of a lane share most of their places."""


def sweeps_post(before: Runs, after: Runs, post: Obstacle) -> Mask:
    """(...,) whether each line, on its way from `before` to `after`, comes over the middle of a post that
    is higher there than the line. One end of it stays and the other goes straight on."""
    return _sweeps(before, after, _side(before, post), _side(after, post), post)


def _side(runs: Runs, post: Obstacle) -> Array:
    """(...,) how far a post's middle is to the left of each line, times the line's length."""
    x, y, _ = post.position
    return (y - runs.y) * runs.along_x - (x - runs.x) * runs.along_y


def _sweeps(before: Runs, after: Runs, one: Array, other: Array, post: Obstacle) -> Mask:
    """`sweeps_post`, with the side of the post known before and after."""
    x, y, z = post.position
    out = one * other < 0.0
    if not out.any():
        return out
    some = np.nonzero(out)
    share, begin, end = one[some] / (one[some] - other[some]), before.pick(some), after.pick(some)
    pairs = ((getattr(begin, f.name), getattr(end, f.name)) for f in fields(Runs))
    over = Runs(*(first + share * (last - first) for first, last in pairs))
    along = over.off(x, y)[1] / over.squared
    below = over.z + along * over.along_z < z + post.top
    out[some] = (along > 0.0) & (along < 1.0) & below
    return out


def swept(site: Site, hitch: Array, targets: Array, own: Sequence[str]) -> Mask:
    """(T, S) whether the line from the hitch (S, 3) to each of `targets` (T, 3) sweeps over a post between a
    station and the one before or after it; `own` as in `clearance.from_load`."""
    standing = tuple((p.name, p.position, p.radius, p.top) for p in posts(site, ()))
    key = standing, hitch.tobytes(), targets.tobytes(), tuple(own)
    found = _LATELY.once(key, len(targets) * len(hitch), lambda: _swept(site, hitch, targets, own))
    found.setflags(write=False)
    return found


def _swept(site: Site, hitch: Array, targets: Array, own: Sequence[str]) -> Mask:
    shape = (len(targets), len(hitch), 3)
    begin = np.broadcast_to(hitch[None, :, :], shape)
    runs = Runs.between(begin, np.broadcast_to(targets[:, None, :], shape))
    before, after = runs.pick(np.s_[:, :-1]), runs.pick(np.s_[:, 1:])
    names, out = np.array(own), np.zeros(shape[:2], dtype=bool)
    for post in posts(site, ()):
        side = _side(runs, post)
        hit = _sweeps(before, after, side[:, :-1], side[:, 1:], post)
        hit &= (names != post.name)[:, None]
        out[:, :-1] |= hit
        out[:, 1:] |= hit
    return out


def swept_along_run(
    site: Site, begin: Array, spots: Array, anchor: str | None, own: Sequence[str] = ()
) -> Mask:
    """(N,) whether the line from each of `begin` (N, 3) to the puller sweeps over a post as the puller goes
    from each of its spots (R, 3) to the next. `anchor`: the post that the puller is made fast to; `own`
    (N,): those that the lines begin at, () for none."""
    out = np.zeros(len(begin), dtype=bool)
    runs = [Runs.between(begin, np.broadcast_to(spot, begin.shape)) for spot in spots]
    for post in posts(site, ()) if len(runs) > 1 else ():
        if post.name == anchor:
            continue
        sides = [_side(one, post) for one in runs]
        hit = np.zeros(len(begin), dtype=bool)
        for (before, one), (after, other) in pairwise(zip(runs, sides, strict=True)):
            hit |= _sweeps(before, after, one, other, post)
        out |= hit & (np.array(own) != post.name) if len(own) else hit
    return out


_LATELY: Lately[Mask] = Lately(REMEMBERED)
