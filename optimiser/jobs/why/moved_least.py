"""Finds how little of one limit must be moved for a setup to work, for near misses and cures."""

from collections.abc import Iterator, Sequence
from math import sqrt

from optimiser.jobs.why.job import Job, Searches
from optimiser.jobs.why.limits import RUNGS, Limit
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Miss
from optimiser.search.rules import same_setup

FINER = 2e-3
"""Relative: a need is found to within this."""
NO_LIMIT = RUNGS[-1]
WIDE = 1.3
"""Ratio of a factor that suffices to one that does not; where they are wider apart the middle is tried."""
EACH = 2
"""Setups of one kind at most."""


def least(
    job: Job, limit: Limit, budget: Searches, known: Sequence[Filled] | None = None
) -> list[tuple[Filled, float]]:
    """The setups that need a limit moved the least, each with the factor it was found at. `known`: some
    that work without the limit, where they are known already."""
    if known is None:
        known = budget.search(limit.relaxed(job, NO_LIMIT), top=EACH)[0]
    best: dict[tuple[object, ...], tuple[float, Filled, float]] = {}

    def keep(got: Sequence[Filled], factor: float) -> None:
        for filled in got:
            row = filled.variant.row
            need = limit.needs(job, filled, factor)
            mark = same_setup(row.scene.walk(row.numbers))
            if mark not in best or need < best[mark][0]:
                best[mark] = (need, filled, factor)

    keep(known, NO_LIMIT)
    low = 1.0  # with so much nothing works
    while best:
        nearest = min(need for need, _, _ in best.values())
        below = nearest * (1.0 - FINER)
        if below <= max(low, 1.0):
            break
        factor = sqrt(low * nearest) if nearest > WIDE * low else below
        got, _ = budget.search(limit.relaxed(job, factor), top=EACH)
        keep(got, factor)
        if not got and factor == below:
            break
        if not got:
            low = factor
        elif min(limit.needs(job, filled, factor) for filled in got) >= nearest:
            break
    ordered = sorted(best.values(), key=lambda e: e[0])
    return [(filled, factor) for _, filled, factor in ordered]


def misses_by(
    job: Job,
    limit: Limit,
    budget: Searches,
    known: Sequence[Filled] | None = None,
    *,
    most: int = 1,
) -> Iterator[Miss]:
    """Misses by one limit alone, the nearest first."""
    for filled, factor in least(job, limit, budget, known)[:most]:
        if limit.needs(job, filled, factor) > 1.0:
            yield limit.miss(job, filled, factor)
