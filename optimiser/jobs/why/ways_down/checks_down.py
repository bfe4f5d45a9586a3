"""Lists every check of one rig that lets the load down, passed or failed, with number, limit and place."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from optimiser.jobs.lower.build import build
from optimiser.jobs.why import motion
from optimiser.jobs.why.findings import Check, Looked
from optimiser.jobs.why.job import Job
from optimiser.mechanics.arrays import Mask
from optimiser.mechanics.ground import step
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.forces.lowering import LetDown, LoweringRow
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Role
from shared.units import Dimension

HELD = "the rig holds the load back"
HAND = "hand"


def checks_of_hold(
    job: Job, row: LetDown, filled: Filled | None, hand: HandLimit
) -> tuple[Check, ...]:
    """All checks of a hold; without gear (`filled` None) those of lines and forces only. No change stands
    beside them: what cures it is looked for with the whole rig."""
    looked = Looked(job, row, None)
    found = [*looked.lines(), *_motion(row), *looked.made(), *looked.rules()]
    found += _trunk(row, filled)
    if filled is not None:
        pieces = build(filled, rank=1, hand_source=hand.source).components
        others = [part for part in pieces if part.role is not Role.HOLDER]
        found += [*looked.rope(filled), *looked.gear(filled), *_holder(job, filled, hand)]
        found += [*looked.stand(filled, others), *looked.room(filled)]
    return tuple(replace(check, change=None) for check in found)


def _motion(row: LetDown) -> Iterator[Check]:
    """The load is held, stays on the ground and on its line, in both looks at the sheaves."""
    looks = (row.rated, row.free)
    at = row.scene.stations.at
    station = row.evaluation.states.station

    def where(mask: Mask) -> float | None:
        return float(at[station[int(np.flatnonzero(mask)[-1])]]) if mask.any() else None

    bare = np.any([motion.fails(look, Fault.CANNOT_HOLD) for look in looks], axis=0)
    yield Check(
        name=HELD, where="load", passed=not bare.any(), at=where(bare),
        note="it may run there, and the line holds nothing back" if bare.any() else "",
    )  # fmt: skip
    reaction = np.min([motion.ground_reaction(look) for look in looks], axis=0)
    lifted = np.any([motion.fails(look, Fault.LIFTS_OFF) for look in looks], axis=0)
    worst = int(np.argmin(reaction))
    if np.isfinite(reaction[worst]):
        yield Check(
            name=motion.GROUNDED, where="load", value=float(reaction[worst]), limit=0.0, least=True,
            dimension=Dimension.FORCE, passed=not lifted.any(), at=float(at[station[worst]]),
            note="ground reaction",
        )  # fmt: skip
    side, limit = (
        np.max([motion.side_pull(look) for look in looks], axis=0),
        row.evaluation.side_limit,
    )
    slews = np.any([motion.fails(look, Fault.SLEWS) for look in looks], axis=0)
    worst = int(np.argmax(side / limit))
    yield Check(
        name=motion.IN_LINE, where="load", value=float(side[worst]) if np.isfinite(side[worst]) else None,
        limit=float(limit[worst]), passed=not slews.any(), at=float(at[station[worst]]),
        note="sideways / along the path",
    )  # fmt: skip
    radius, st = row.scene.site.load.wheel_radius, row.scene.stations
    for s in np.flatnonzero(st.step > 0.0):
        high = float(st.step[s])
        yield Check(
            name="wheels drop over the lip", where="path", value=high, limit=radius or 0.0,
            dimension=Dimension.LENGTH, at=float(st.at[s]),
            passed=step.climbable(wheel_radius=radius, step=high),
            note="height of the lip against the wheel's radius: a load that drops is held by no steady force",
        )  # fmt: skip


def _trunk(row: LetDown, filled: Filled | None) -> Iterator[Check]:
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
    if grip is not None and isinstance(filled.variant.row, LoweringRow):
        turns = filled.variant.row.held.turns
        yield Check(
            name="turns", where=anchor.name, value=float(turns), limit=float(grip.most_turns), whole=True,
            passed=turns <= grip.most_turns, note="more jam, and do not run out",
        )  # fmt: skip


def _holder(job: Job, filled: Filled, hand: HandLimit) -> Iterator[Check]:
    """Whoever holds the end holds no more than they may."""
    row = filled.variant.row
    assert isinstance(row, LoweringRow)
    if row.held.trunk is not None:
        limit = row.held.limit / job.floor
        yield Check(
            name="the hand holds the line", where=HAND, value=row.hand.value, limit=limit,
            dimension=Dimension.FORCE, passed=row.hand.value <= limit * (1 + 1e-9), at=row.hand.at,
            note=f"behind the turns; the line is {row.held.ratio:.1f} times the hand's force",
        )  # fmt: skip
        return
    use = row.puller_use
    limit = row.line.value / use.value / job.floor
    yield Check(
        name="the puller holds the line", where=row.scene.puller.name, value=row.line.value, limit=limit,
        dimension=Dimension.FORCE, passed=row.line.value <= limit * (1 + 1e-9), at=use.at,
    )  # fmt: skip
