"""Finds what stops a rig before any piece of gear counts: lines, motion, angles; state by state."""

from collections.abc import Mapping

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.mechanics.ground import step
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.pulling import line_angles

FORWARD = "the rig pulls the load forward"
RUNS_ON = "the load needs pulling"
GROUNDED = "the load stays on the ground"
IN_LINE = "the pull is in line with the path"
STEP = "the step can be climbed"
ANGLE = "line in line with the puller's run"
RISE = "line level with the puller's run"
NEAR = 1e-9


def line(segment: int) -> str:
    """The fault of one part of line that does not run free."""
    return f"line {segment}"


def forward_pull(row: RigRow) -> Array:
    """(X,) forward pull on the load and friction saved, per unit of pull at the hauling end; the least
    over the ranges of the sheaves' efficiencies."""
    ev, rows = row.corners
    resistance = row.scene.stations.resistance[ev.states.station]
    return np.asarray((ev.advance[rows] + resistance * ev.lift[rows]).min(axis=0))


def ground_reaction(row: RigRow) -> Array:
    """(X,) N, the least over these ranges; +inf where the rig cannot move the load."""
    ev, rows = row.corners
    return np.asarray(np.nan_to_num(ev.reaction[rows], nan=np.inf).min(axis=0))


def side_pull(row: RigRow) -> Array:
    """(X,) sideways / forward pull, the greatest over these ranges."""
    ev, rows = row.corners
    return np.asarray(ev.side_pull[rows].max(axis=0))


def runs_on(row: RigRow) -> Mask:
    """(X,) where the load runs on downhill by itself and is not kept."""
    return np.asarray(((row.pull <= 0.0) & (not row.scene.kept)) | row.evaluation.may_run_on)


def hauling_angles(row: RigRow) -> tuple[Array, Array]:
    """(X,) how far the hauling line leads off the puller's run, in plan and in rise (either way)."""
    scene, states, last = row.scene, row.evaluation.states, row.numbers[-2]
    target = scene.hitch[states.station] if last == 0 else scene.position[last]
    angle, rise = line_angles(puller=scene.puller, way=target - scene.spots[states.spot])
    return angle, np.abs(rise)


def angled(row: RigRow) -> bool:
    """Whether the puller minds where its line comes from."""
    puller = row.scene.puller
    return puller.run > 0.0 and puller.purchase is None


def free(row: RigRow, segment: int) -> Mask:
    """(X,) whether one part of line runs free."""
    scene, states = row.scene, row.evaluation.states
    a, b = row.numbers[segment], row.numbers[segment + 1]
    if a == 0 or b == 0:
        return np.asarray(scene.clear_from_load[b if a == 0 else a][states.station])
    return np.full(len(states.station), bool(scene.clear[a, b]))


def faults(row: RigRow) -> Mapping[str, Mask]:
    """Where each fault is: masks (X,), none of them empty."""
    ev, scene = row.evaluation, row.scene
    radius, steps = scene.site.load.wheel_radius, scene.stations.step
    high = np.array([not step.climbable(wheel_radius=radius, step=float(s)) for s in steps])
    with np.errstate(invalid="ignore"):
        found = {
            FORWARD: ~(forward_pull(row) > 0.0),
            RUNS_ON: runs_on(row),
            GROUNDED: ground_reaction(row) < 0.0,
            IN_LINE: side_pull(row) > ev.side_limit + 1e-12,
            STEP: high[ev.states.station],
        }
    found |= {line(k): ~free(row, k) for k in range(row.sheaves + 1)}
    if angled(row):
        angle, rise = hauling_angles(row)
        found[ANGLE] = angle > scene.puller.angle_limit + NEAR
        found[RISE] = rise > scene.puller.rise_limit + NEAR
    return {name: mask for name, mask in found.items() if mask.any()}
