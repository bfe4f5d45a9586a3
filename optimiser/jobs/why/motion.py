"""Finds what fails of a rig before any piece of gear counts, over the ranges of its sheaves'
efficiencies; and names the checks of it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.row import RigRow

FORWARD = "the rig pulls the load forward"
RUNS_ON = "the load needs pulling"
GROUNDED = "the load stays on the ground"
IN_LINE = "the pull is in line with the path"
STEP = "the step can be climbed"
ANGLE = "line in line with the puller's run"
RISE = "line level with the puller's run"
CLEAR_OF_RUN = "anchor clear of the puller's run"
NOT_UP = "anchor not pulled up too steeply"
NOT_ASIDE = "anchor pulled in its own line"
ENOUGH = "enough to make the anchors of"
SHARED = "trees that share carry one line"
NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Failing:
    """A fault of a rig; `segment`: number of the part of line that does not run free."""

    fault: Fault
    segment: int | None = None


def blocked(segment: int) -> Failing:
    """That one part of line does not run free."""
    return Failing(Fault.LINE_BLOCKED, segment)


def forward_pull(row: RigRow) -> Array:
    """(X,) forward pull on the load and friction saved, per unit of pull at the hauling end; the least
    over the ranges of the sheaves' efficiencies."""
    ev, rows = row.corners
    return np.asarray(ev.forward[rows].min(axis=0))


def ground_reaction(row: RigRow) -> Array:
    """(X,) N, the least over these ranges; +inf where the rig cannot move the load."""
    ev, rows = row.corners
    return np.asarray(np.nan_to_num(ev.reaction[rows], nan=np.inf).min(axis=0))


def side_pull(row: RigRow) -> Array:
    """(X,) sideways / forward pull, the greatest over these ranges."""
    ev, rows = row.corners
    return np.asarray(ev.side_pull[rows].max(axis=0))


def hauling_angles(row: RigRow) -> tuple[Array, Array]:
    """(X,) how far the hauling line leads off the puller's run, in plan and in rise (either way)."""
    angle, rise = row.evaluation.hauling_angles
    return angle[row.index], rise[row.index]


def angled(row: RigRow) -> bool:
    """Whether the puller minds where its line comes from."""
    puller = row.scene.puller
    return puller.run > 0.0 and puller.purchase is None


def free(row: RigRow, segment: int) -> Mask:
    """(X,) whether one part of line runs free."""
    before, after = (np.array([row.numbers[k]]) for k in (segment, segment + 1))
    return np.asarray(row.evaluation.runs_free(before, after)[0])


def fails(row: RigRow, fault: Fault) -> Mask:
    """(X,) where a fault is, at any combination of ends of the ranges."""
    ev, rows = row.corners
    return np.asarray(ev.verdict.fails(fault)[rows].any(axis=0))


def faults(row: RigRow) -> Mapping[Failing, Mask]:
    """Where each fault is: masks (X,), none of them empty. A line that is blocked counts part by part."""
    found = {
        Failing(fault): fails(row, fault)
        for fault in row.evaluation.faults
        if fault is not Fault.LINE_BLOCKED
    }
    found |= {blocked(k): ~free(row, k) for k in range(row.sheaves + 1)}
    return {failing: mask for failing, mask in found.items() if mask.any()}
