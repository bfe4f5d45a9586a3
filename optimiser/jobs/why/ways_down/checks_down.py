"""Lists every check of one rig that lets the load down, passed or failed, with number, limit and place."""

from collections.abc import Iterator, Sequence

import numpy as np

from optimiser.jobs.lower.build import hold_of
from optimiser.jobs.why import motion, rating_limits
from optimiser.jobs.why.cures.cures import Cures
from optimiser.jobs.why.cures.searching import Searching
from optimiser.jobs.why.findings import Check, Looked
from optimiser.jobs.why.job import Job
from optimiser.mechanics.arrays import Mask
from optimiser.mechanics.ground import step
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import Component, Role
from shared.units import Dimension

HELD = "the rig holds the load back"
HAND = "hand"


def checks_of_hold(
    job: Job, row: RigRow, filled: Filled | None, search: Searching | None = None
) -> tuple[Check, ...]:
    """All checks of a hold; without gear (`filled` None) those of lines and forces only. `search`: finds the
    changes that cure what fails."""
    looked = Looked(job, row, search)
    found = [*looked.lines(), *_motion(row, looked.cures), *looked.made(), *looked.rules()]
    found += _trunk(row, filled)
    if filled is not None:
        pieces = rating_limits.loaded(filled)
        others = [part for part in pieces if part.role is not Role.HOLDER]
        found += [*looked.rope(filled), *looked.gear(filled), *_holder(job, filled, pieces)]
        found += [*looked.stand(filled, others), *looked.room(filled)]
    return tuple(found)


def _motion(row: RigRow, cures: Cures) -> Iterator[Check]:
    """The load is held, stays on the ground and on its line, in both looks at the sheaves."""
    at = row.scene.stations.at
    station = row.evaluation.states.station

    def where(mask: Mask) -> float | None:
        return float(at[station[int(np.flatnonzero(mask)[-1])]]) if mask.any() else None

    bare = motion.fails(row, Fault.CANNOT_HOLD)
    yield Check(
        name=HELD, where="load", passed=not bare.any(), at=where(bare),
        note="it may run there, and the line holds nothing back" if bare.any() else "",
        change=cures.held() if bare.any() else None,
    )  # fmt: skip
    reaction, lifted = motion.ground_reaction(row), motion.fails(row, Fault.LIFTS_OFF)
    worst = int(np.argmin(reaction))
    if np.isfinite(reaction[worst]):
        yield Check(
            name=motion.GROUNDED, where="load", value=float(reaction[worst]), limit=0.0, least=True,
            dimension=Dimension.FORCE, passed=not lifted.any(), at=float(at[station[worst]]),
            note="ground reaction", change=cures.lifted() if lifted.any() else None,
        )  # fmt: skip
    side, limit = motion.side_pull(row), row.evaluation.side_limit
    slews = motion.fails(row, Fault.SLEWS)
    worst = int(np.argmax(side / limit))
    yield Check(
        name=motion.IN_LINE, where="load", value=float(side[worst]) if np.isfinite(side[worst]) else None,
        limit=float(limit[worst]), passed=not slews.any(), at=float(at[station[worst]]),
        note="sideways / along the path",
        change=cures.sideways(float(side[worst] - limit[worst])) if slews.any() else None,
    )  # fmt: skip
    radius, st = row.scene.site.load.wheel_radius, row.scene.stations
    for s in np.flatnonzero(st.step > 0.0):
        high = float(st.step[s])
        yield Check(
            name="wheels drop over the lip", where="path", value=high, limit=radius or 0.0,
            dimension=Dimension.LENGTH, at=float(st.at[s]),
            passed=(good := step.climbable(wheel_radius=radius, step=high)),
            change=None if good else cures.ramp(),
            note="height of the lip against the wheel's radius: a load that drops is held by no steady force",
        )  # fmt: skip


def _trunk(row: RigRow, filled: Filled | None) -> Iterator[Check]:
    """What its turns go round takes a rope's turns, and is thick enough for it."""
    last = row.numbers[-1]
    if last == row.scene.puller_number:
        return
    anchor = row.anchor_at(last)
    yield Check(
        name="a rope can be turned round it", where=anchor.name, passed=anchor.ties_round,
        note="" if anchor.ties_round else "a rope is eased round a trunk or a post, not through an eye",
    )  # fmt: skip
    if filled is None or not anchor.ties_round:
        return
    rope = filled.variant.rope.gear
    grip = grip_of(rope)
    if grip is not None:
        turns = hold_of(filled.variant.row).turns
        yield Check(
            name="turns", where=anchor.name, value=float(turns), limit=float(grip.most_turns), whole=True,
            passed=turns <= grip.most_turns, note="more jam, and do not run out",
        )  # fmt: skip


def _holder(job: Job, filled: Filled, pieces: Sequence[Component]) -> Iterator[Check]:
    """Whoever holds the end holds no more than they may."""
    held = hold_of(filled.variant.row)
    (holder,) = (part for part in pieces if part.role is Role.HOLDER)
    limit = holder.rating / job.floor
    passed = holder.demand <= limit * (1 + 1e-9)
    by_hand = held.trunk is not None
    cure = (rating_limits.hold() if by_hand else rating_limits.pull()).cure
    yield Check(
        name="the hand holds the line" if by_hand else "the puller holds the line",
        where=HAND if by_hand else holder.item, value=holder.demand, limit=limit,
        dimension=Dimension.FORCE, passed=passed, at=holder.at,
        note=f"behind the turns; the line is {held.ratio:.1f} times the hand's force" if by_hand else "",
        change=None if passed else cure(holder, holder.demand / limit, job),
    )  # fmt: skip
