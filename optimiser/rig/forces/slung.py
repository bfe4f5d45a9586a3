"""Works out a rig at two trees that share its pull: where the shackle on their sling comes to rest, how the
lines lead from there, and whether legs and lines run clear.

Tables and bounds know the middle between the two fastenings. Every figure is looked at there and with the
shackle at rest, and the worse counts, as with the ring of a bridle. What the trees and the sling stand does
not depend on the place: the widest angle that the legs can have is counted, with the tighter leg on either.
"""

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from optimiser.mechanics.anchor import shackle_at_rest
from optimiser.mechanics.arrays import Array, Mask
from optimiser.mechanics.published import number
from optimiser.rig.forces.ways import AtAnchors
from optimiser.rig.ground import clearance
from optimiser.rig.ground.pulling import line_pull_limit
from optimiser.rig.ground.scene import Scene
from optimiser.site.model import Sling


class Rigs(AtAnchors, Protocol):
    """What is read here of n walks besides."""

    @property
    def units(self) -> Array: ...
    @property
    def lengths(self) -> Array: ...
    @property
    def tau(self) -> Array: ...
    @property
    def begin_tau(self) -> Array: ...
    @property
    def over(self) -> Any: ...
    @property
    def puller_limit(self) -> Array: ...
    @property
    def sheaves(self) -> int: ...
    @property
    def of_two_ropes(self) -> bool: ...
    @property
    def slung(self) -> "AtSling | None": ...


@dataclass(frozen=True)
class AtSling:
    """The node of one walk that hangs on a sling, and where its shackle is: (3, n, X) m."""

    node: int
    sling: Sling
    place: Array

    def pick(self, rows: slice) -> "AtSling":
        """Some of the rows."""
        return AtSling(self.node, self.sling, self.place[:, rows].copy())


@dataclass(frozen=True)
class _Part:
    """A part of line that comes to the sling's node or begins there (`sign` 1): (3, n, X) m, the point that
    it leads to from there, at most as far as its first bend; (n, X) how far that is, and its tension."""

    segment: int
    sign: float
    end: Array
    near: Array
    tension: Array


def _parts(ev: Rigs, rows: slice, node: int, middle: Array) -> list[_Part]:
    """The parts at the node, as the lines of some rows lead to the middle between the trees."""
    out, shape, over = [], middle.shape[1:], ev.over
    for segment, sign in ((node - 1, -1.0), (node, 1.0)):
        if not 0 <= segment <= ev.sheaves:
            continue
        begins = sign > 0.0
        if over is None:
            way, near = ev.units[segment][:, rows], ev.lengths[segment, rows]
        elif begins:
            way, near = ev.units[segment][:, rows], over.first[segment, rows]
        else:
            way, near = over.ends[segment][:, rows], over.last[segment, rows]
        tension = (ev.begin_tau if begins else ev.tau)[segment, rows]
        out.append(
            _Part(segment, sign, middle + sign * way * near, near, np.broadcast_to(tension, shape))
        )
    return out


def at_rest(ev: Rigs, rows: slice, node: int) -> dict[str, Any]:
    """The values of an evaluation that change where some rows (one walk's) are put twice, the second time
    with the shackle at rest."""
    scene = ev.scene
    here = int(ev.walks[rows.start, node])
    sling = _sling_at(scene, here)
    shape = (3, rows.stop - rows.start, len(ev.states.station))
    middle = np.broadcast_to(scene.position[here][:, None, None], shape)
    parts = _parts(ev, rows, node, middle)
    place = shackle_at_rest.settled(
        first=np.array(sling.ties[0]),
        second=np.array(sling.ties[1]),
        legs=sling.legs,
        ends=np.stack([part.end for part in parts])
        .transpose(0, 2, 3, 1)
        .reshape(len(parts), -1, 3),
        tensions=np.stack([part.tension.ravel() for part in parts]),
    )
    place = place.reshape(*shape[1:], 3).transpose(2, 0, 1)
    units, lengths = ev.units[:, :, rows].copy(), ev.lengths[:, rows].copy()
    over = None if ev.over is None else ev.over.pick(rows)
    for part in parts:
        k, way = part.segment, part.sign * (part.end - place)
        near = np.sqrt((way**2).sum(axis=0))
        unit = way / np.maximum(near, shackle_at_rest.CLOSEST)
        lengths[k] += near - part.near
        if over is None:
            units[k] = unit
            continue
        straight, begins = ~over.bent[k], part.sign > 0.0
        units[k] = np.where(straight | begins, unit, units[k])
        over.ends[k] = np.where(straight | (not begins), unit, over.ends[k])
        (over.first if begins else over.last)[k] = near
    limit = ev.puller_limit[rows]
    return {
        "units": np.concatenate([ev.units[:, :, rows], units], axis=2),
        "lengths": np.concatenate([ev.lengths[:, rows], lengths], axis=1),
        "over": None if ev.over is None else ev.over.pick(rows).joined(over),
        "limit": np.concatenate([limit, _limit(ev, node, units, over, limit)]),
        "slung": AtSling(node, sling, np.concatenate([middle, place], axis=1)),
    }


def _limit(ev: Rigs, node: int, units: Array, over: Any, limit: Array) -> Array:
    """(n, X) N: what the puller can pull, where its line comes from the sling."""
    if node != ev.sheaves:
        return limit
    ends = units[-1] if over is None else over.ends[-1]
    return line_pull_limit(puller=ev.scene.puller, way=-np.moveaxis(ends, 0, -1))


def runs_clear(ev: Rigs, at: AtSling) -> Mask:
    """(n, X) the legs of the sling, and the lines from its shackle as far as they bend first, meet neither
    post nor ground. The rows are one walk's."""
    scene, site = ev.scene, ev.scene.site
    edges = scene.fixed.edges
    bare = clearance.ground_points(site) if edges is None else edges.bare
    shackle = np.moveaxis(at.place, 0, -1)
    out = np.ones(shackle.shape[:-1], dtype=bool)
    for tree, tie in zip(at.sling.trees, at.sling.ties, strict=True):
        begin = np.broadcast_to(np.array(tie), shackle.shape)
        out &= clearance.runs_free(site, bare, shackle, begin, tree)
    rows = slice(0, shackle.shape[0])
    walk = [int(place) for place in ev.walks[0]]
    for part in _parts(ev, rows, at.node, at.place):
        end = np.moveaxis(part.end, 0, -1)
        other = walk[part.segment if part.sign < 0.0 else part.segment + 1]
        own = "" if other == 0 else scene.post(other)
        # From the load itself the ground is looked at: it is judged there by the height of its hitch.
        fixed = other != 0 or ev.over is not None
        out &= clearance.runs_free(site, bare, end, shackle, own, both_ends=fixed)
    return out


def wrongly(ev: Rigs) -> Mask:
    """(n, X) where more than one block or end is on two trees with a sling, the rope leads to two such pairs,
    a tree of the pair is used besides, the load is taken hold of by a bridle, the rig is of two ropes, the
    line passes the sling almost straight, or the other end of a part is within the shackle's reach."""
    scene = ev.scene
    shares = {i: a.sling for i, a in enumerate(scene.site.anchors) if a.sling is not None}
    index = {a.name: i for i, a in enumerate(scene.site.anchors)}
    on = np.isin(ev.anchors, list(shares))
    many = on.sum(axis=1)
    out = many > 1
    if scene.attachment.bridled or ev.of_two_ropes:
        out = many > 0
    for i, sling in shares.items():
        own = [index[name] for name in sling.trees]
        out |= (ev.anchors == i).any(axis=1) & np.isin(ev.anchors, own).any(axis=1)
    full = np.repeat(out[:, None], len(ev.states.station), axis=1)
    least, from_middle = number("shared", "least_pull").value, _from_the_middle(ev)
    for node in range(ev.sheaves + 1):
        rows = np.flatnonzero(on[:, node] & ~out)
        if len(rows):
            force = np.sqrt((ev.node_force[node][:, rows] ** 2).sum(axis=0))
            tight = ev.begin_tau[node, rows]
            if node > 0:
                tight = np.maximum(tight, ev.tau[node - 1, rows])
            full[rows] = force < least * tight - 1e-9
            slings = [_sling_at(scene, int(place)) for place in ev.walks[rows, node]]
            # How far from the middle between the trees the shackle can come at most, m.
            reach = np.array([sling.legs / 2.0 for sling in slings])[:, None]
            for k in (node - 1, node):
                # The shackle itself comes as far as the other end of the part. At rest it is there already.
                if 0 <= k <= ev.sheaves:
                    full[rows] |= (ev.lengths[k, rows] < reach) & from_middle[rows, None]
    return full


def _from_the_middle(ev: Rigs) -> Mask:
    """(n,) walks whose lines lead from the middle between the trees, and not from a shackle at rest."""
    if ev.slung is None:
        return np.ones(len(ev.walks), dtype=bool)
    middle = ev.scene.position[ev.walks[:, ev.slung.node]].T[:, :, None]
    return np.asarray((ev.slung.place == middle).all(axis=(0, 2)))


def _sling_at(scene: Scene, place: int) -> Sling:
    """The sling at a place that hangs on one."""
    sling = scene.anchor_at(place).sling
    assert sling is not None
    return sling
