"""Which way the pulls on anchors go, for anchors that stand some pulls only: how steeply, how far aside.

The line in plan that pickets are driven in, that a log lies square to or a vehicle stands along is laid
out by the pulls themselves: half way between those that lead furthest to either side. So what counts is
how far the pulls on one anchor spread over all states.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.verdict import States
from optimiser.rig.ground.scene import Scene
from optimiser.site.model import Anchor
from optimiser.site.roaming.stands import goes_over

NOTHING = 1e-9
"""Of the pull at the hauling end: a smaller level force has no direction."""
SLACK = 1e-9
"""rad, for rounding."""


@dataclass(frozen=True, slots=True)
class Pulls:
    """The pulls on one anchor in all states of the walks that use it, rad (n, X): how steeply each rises, and
    how far each leads to the left of the walk's `first` (n,), an angle from the x axis."""

    anchor: Anchor
    rows: Numbers
    rise: Array
    turn: Array
    first: Array

    def middle(self, rows: slice | Numbers) -> Array:
        """(k, 1) half way between the furthest to either side, of each of some rows."""
        some = self.turn[rows]
        return np.asarray((some.max(axis=1) + some.min(axis=1))[:, None] / 2.0)


class AtAnchors(Protocol):
    """What n walks in X states do to their anchors; see `Evaluation`."""

    @property
    def scene(self) -> Scene: ...
    @property
    def walks(self) -> Numbers: ...
    @property
    def states(self) -> States: ...
    @property
    def anchors(self) -> Numbers: ...
    @property
    def node_force(self) -> Array: ...


class Rigs(AtAnchors, Protocol):
    """What is read here of n walks."""

    @property
    def pulls_on_made(self) -> tuple[Pulls, ...]: ...


def minds(site_anchors: tuple[Anchor, ...]) -> tuple[int, ...]:
    """Which anchors stand some pulls only."""
    return tuple(i for i, a in enumerate(site_anchors) if a.directions is not None)


def pulls(ev: Rigs, anchor: int) -> Pulls:
    """The pulls on an anchor of the site by its index."""
    on = ev.anchors == anchor
    rows = np.flatnonzero(on.any(axis=1))
    force = np.einsum("kcnx,nk->cnx", ev.node_force[:, :, rows], on[rows].astype(float))
    level = np.linalg.norm(force[:2], axis=0)
    rise = np.where(
        (level > NOTHING) | (force[2] > NOTHING),
        np.arctan2(force[2], np.maximum(level, 1e-300)),
        0.0,
    )
    first = force[:2, :, :1]
    turn = np.arctan2(
        first[0] * force[1] - first[1] * force[0], first[0] * force[0] + first[1] * force[1]
    )
    rise, turn = np.broadcast_arrays(rise, np.where(level > NOTHING, turn, 0.0))
    full = np.zeros((len(rows), len(ev.states.station)))
    begin = np.arctan2(first[1], first[0])[:, 0]
    return Pulls(ev.scene.site.anchors[anchor], rows, rise + full, turn + full, begin)


def one_way(corners: tuple[Rigs, slice]) -> bool:
    """Whether each anchor of one rig stands all pulls on it, at whatever the rig is looked at, however it is
    laid out: only then it can be made to face them all."""
    ev, rows = corners
    every = np.arange(len(ev.walks))[rows]
    for seen in ev.pulls_on_made:
        aside = None if seen.anchor.directions is None else seen.anchor.directions.aside
        mine = np.flatnonzero(np.isin(seen.rows, every))
        if aside is not None and len(mine):
            off = seen.first[mine] - seen.first[mine][0]
            turned = seen.turn[mine] + np.arctan2(np.sin(off), np.cos(off))[:, None]
            if turned.max() - turned.min() > 2.0 * aside + SLACK:
                return False
    return True


def too_steep(every: tuple[Pulls, ...], shape: tuple[int, ...]) -> Array:
    """(n, X) rad by which the steepest pull on any anchor is steeper than that anchor stands."""
    out = np.full(shape, -np.inf)
    for seen in every:
        assert seen.anchor.directions is not None
        out[seen.rows] = np.maximum(out[seen.rows], seen.rise - seen.anchor.directions.up)
    return out


def too_far_aside(every: tuple[Pulls, ...], shape: tuple[int, ...]) -> Array:
    """(n, X) rad by which the pull on any anchor leads further aside than that anchor stands."""
    out = np.full(shape, -np.inf)
    for seen in every:
        most = seen.anchor.directions.aside if seen.anchor.directions is not None else None
        if most is not None:
            off = np.abs(seen.turn - seen.middle(slice(None)))
            out[seen.rows] = np.maximum(out[seen.rows], off - most)
    return out


def missing(ev: Rigs) -> Mask:
    """(n,) walks whose anchors take more than is there to make them of."""
    site = ev.scene.site
    out = np.zeros(len(ev.walks), dtype=bool)
    for what, many in site.stock:
        used = np.zeros(len(ev.walks), dtype=int)
        for i, anchor in enumerate(site.anchors):
            takes = dict(anchor.uses).get(what, 0)
            if takes:
                used += takes * (ev.anchors == i).any(axis=1)
        out |= used > many
    return out


def run_over(ev: Rigs) -> Mask:
    """(n,) walks of which an anchor that is made stands where the puller goes."""
    scene = ev.scene
    over = [
        i
        for i, anchor in enumerate(scene.site.anchors)
        if anchor.uses and goes_over(scene.puller, anchor.position)
    ]
    return np.asarray(np.isin(ev.anchors, over).any(axis=1))
