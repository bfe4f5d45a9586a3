"""Lists the checks of the second lines of a haul: what holds, how much of it is used, or why nothing does."""

from collections.abc import Iterator, Sequence

from optimiser.jobs.hold.results import NotHeld
from optimiser.jobs.why.findings import Check
from optimiser.rig.setup import Change, HoldingLine, Setup
from shared.units import Dimension

KEPT = "kept in hand"
LINE = "second line"


def line_checks(setup: Setup, floor: float) -> Iterator[Check]:
    """Every check of the second lines that a setup has. `floor`: the least margin."""
    if not setup.holding:
        yield Check(name=KEPT, where="load", passed=True, note="it needs no second line anywhere")
    for line in setup.holding:
        yield from _of(line, floor)


def _of(line: HoldingLine, floor: float) -> Iterator[Check]:
    worst = max(line.profile, key=lambda row: row.line)
    yield Check(
        name=KEPT, where=f"{line.rope.name}, {line.way}", value=line.hand, limit=line.hand_limit / floor,
        dimension=Dimension.FORCE, passed=line.hand <= line.hand_limit / floor * (1 + 1e-9),
        at=worst.at, note="the hand behind the turns",
    )  # fmt: skip
    long = line.rope.length or 0.0
    yield Check(
        name="rope is long enough", where=f"{LINE}: {line.rope.name}", value=line.rope_needed, limit=long,
        dimension=Dimension.LENGTH, passed=line.rope_needed <= long + 1e-9,
    )  # fmt: skip
    for part in line.components:
        if part.capacity is not None and part.item != "hand":
            yield Check(
                name="stands its load", where=f"{LINE}: {part.name}", value=part.demand,
                limit=part.capacity / floor, passed=part.demand <= part.capacity / floor * (1 + 1e-9),
                dimension=Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE, at=part.at,
                note="of what the haul leaves of it",
            )  # fmt: skip


def missing_checks(bare: Sequence[NotHeld]) -> Iterator[Check]:
    """That nothing holds a haul's load where it would run or slew, with the least that would cure it."""
    for one in bare:
        cure = Change(text=one.cures[0], amount=0.0, unit="") if one.cures else None
        yield Check(
            name=KEPT, where="load", passed=False, note="; ".join(one.reasons), change=cure,
            at=None if one.stretch is None else one.stretch.from_m,
        )  # fmt: skip
