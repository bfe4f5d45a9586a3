"""Puts a bridle's ring, or the shackle on a sling between two trees, where it comes to rest, beside where
tables know it."""

from dataclasses import replace
from typing import Any

import numpy as np

from optimiser.mechanics.line.bridle import settled_ring
from optimiser.rig.forces import slung
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.scene import GRIP_NUMBER


def ring_at_rest(ev: Evaluation, rows: slice) -> Evaluation:
    """Some rows, and after them the same once more with the bridle's ring where its legs and the parts
    put it (`mechanics.line.bridle.settled_ring`): as the rows are, it lies straight ahead of the middle
    of the hitches. The rows are one walk's."""
    scene, i = ev.scene, ev.states.station
    assert scene.attachment.leg is not None
    units, lengths = ev.units[:, :, rows], ev.lengths[:, rows]
    over = None if ev.over is None else ev.over.pick(rows)
    hook, (n, count) = scene.hitch[i].T[:, None, :], lengths.shape[1:]
    on_load = ev.walks[rows][0] == 0
    parts = [k for k in range(len(units)) if on_load[k] or on_load[k + 1]]
    begins = [bool(on_load[k]) for k in parts]
    # A part that bends pulls the ring towards where it bends first: that point stays.
    at_load = [
        (units[k], lengths[k]) if over is None
        else (units[k], over.first[k]) if begun else (over.ends[k], over.last[k])
        for k, begun in zip(parts, begins, strict=True)
    ]  # fmt: skip
    signs = [1.0 if begun else -1.0 for begun in begins]
    ends = np.stack([hook + s * way * long for (way, long), s in zip(at_load, signs, strict=True)])
    tensions = [ev.begin_tau if begun else ev.tau for begun in begins]
    pulls = np.stack(
        [
            np.broadcast_to(tau[k, rows], (n, count)).ravel()
            for k, tau in zip(parts, tensions, strict=True)
        ]
    )
    first, second = (np.tile(hitch, (n, 1)) for hitch in scene.bridle_hitches(i))
    ring = settled_ring(
        first=first,
        second=second,
        legs=(scene.attachment.leg, scene.attachment.leg),
        ends=ends.transpose(0, 2, 3, 1).reshape(len(parts), -1, 3),
        tensions=pulls,
    )
    ring = ring.reshape(n, count, 3).transpose(2, 0, 1)
    swung, long = units.copy(), lengths.copy()
    led = over and replace(
        over, ends=over.ends.copy(), first=over.first.copy(), last=over.last.copy()
    )
    for k, sign, end, (_, piece) in zip(parts, signs, ends, at_load, strict=True):
        way = sign * (end - ring)
        near = np.sqrt((way**2).sum(axis=0))
        unit = way / np.maximum(near, 1e-9)
        if led is None:
            long[k], swung[k] = near, unit
            continue
        long[k] += near - piece
        straight = ~led.bent[k]
        swung[k] = np.where(straight | (sign > 0.0), unit, swung[k])
        led.ends[k] = np.where(straight | (sign < 0.0), unit, led.ends[k])
        (led.first if sign > 0.0 else led.last)[k] = near
    grip, numbers = ev.course.grip, ev.course.numbers
    if grip is not None and on_load[grip - 1]:  # what comes to the grip lies along the line there
        for k in ev.course.at_grip:
            swung[k] = swung[grip - 1] if numbers[k] == GRIP_NUMBER else -swung[grip - 1]
    return replace(
        ev,
        **_twice(ev, rows),
        units=np.concatenate([units, swung], axis=2),
        lengths=np.concatenate([lengths, long], axis=1),
        over=None if over is None or led is None else over.joined(led),
        ring=np.concatenate([np.broadcast_to(hook, ring.shape), ring], axis=1),
    )


def sling_at_rest(ev: Evaluation, rows: slice, node: int) -> Evaluation:
    """Some rows, and after them the same once more with the shackle that runs on a sling between two
    trees where it comes to rest: as the rows are, it is half way between the trees. `node`: on the
    sling; the rows are one walk's."""
    return replace(ev, **{**_twice(ev, rows), **slung.at_rest(ev, rows, node)})


def _twice(ev: Evaluation, rows: slice) -> dict[str, Any]:
    """What some rows have wherever a ring or a shackle comes to rest, and after it the same once more."""

    def twice(values: Any) -> Any:
        return None if values is None else np.concatenate([values[rows], values[rows]])

    return {
        "walks": np.concatenate([ev.walks[rows], ev.walks[rows]]),
        "etas": np.concatenate([ev.etas[rows], ev.etas[rows]]),
        "tau": np.concatenate([ev.tau[:, rows]] * 2, axis=1),
        "weight": twice(ev.weight),
        "resistance": twice(ev.resistance),
        "limit": twice(ev.limit),
        "free": twice(ev.free),
    }
