"""Moves several kinds of limit together, for near misses and cures where no single one is enough."""

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import isfinite

from optimiser.jobs.why.job import Job, Searches
from optimiser.jobs.why.limits import LIMITS, RUNGS, Limit
from optimiser.jobs.why.moved_least import EACH, FINER
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Change, Miss, names
from shared.units import Dimension, Rounding, show


def together(job: Job, limits: Sequence[Limit], factor: float, budget: Searches) -> list[Filled]:
    """Setups with several limits moved at once."""
    for limit in limits:
        job = limit.relaxed(job, factor)
    return budget.search(job, top=EACH)[0]


def pairs(job: Job, budget: Searches) -> Iterator[Miss]:
    """Two kinds of limit moved together, where that is enough."""
    usable = [limit for limit in LIMITS if limit.applies(job)]
    for factor in RUNGS:
        if not together(job, usable, factor, budget):
            continue
        found = [m for a, b in combinations(usable, 2) for m in _pair(job, a, b, factor, budget)]
        if found:
            yield from found
            return


def several(job: Job, budget: Searches) -> Iterator[Miss]:
    """What comes nearest where more than two kinds of limit are in the way: all that it breaks."""
    usable = [limit for limit in LIMITS if limit.applies(job)]
    for factor in RUNGS:
        for filled in together(job, usable, factor, budget)[:1]:
            broken = [
                limit.miss(_but(job, usable, limit, factor), filled, factor)
                for limit in usable
                if limit.needs(_but(job, usable, limit, factor), filled, factor) > 1.0 + FINER
            ]
            if not broken:
                continue
            if len(broken) > MOST_TOGETHER or not all(m.change.text for m in broken):
                yield _hopeless(broken)
                return
            changes = "; ".join(f"({n}) {m.change.text}" for n, m in enumerate(broken, start=1))
            yield Miss(
                walk=broken[0].walk,
                limit=names(list(dict.fromkeys(m.limit for m in broken))),
                text="; ".join(m.text for m in broken),
                short_by=max(m.short_by for m in broken),
                change=Change(
                    text=f"all of these together: {changes}" if len(broken) > 1 else changes[4:],
                    amount=broken[0].change.amount,
                    unit=broken[0].change.unit,
                ),
            )
            return


MOST_TOGETHER = 3
"""Changes together beyond which nobody would make them: then what is short, and by how much, is printed."""


def _hopeless(broken: Sequence[Miss]) -> Miss:
    """A rig that breaks more than a few limits: which, and by how much; nothing that could be done."""
    clauses = [
        f"{m.limit} {show(m.short_by, Dimension.RATIO, rounding=Rounding.UP)} times"
        for m in sorted(broken, key=lambda m: -m.short_by)
        if isfinite(m.short_by)
    ]
    return Miss(
        walk=broken[0].walk,
        limit=names(list(dict.fromkeys(m.limit for m in broken))),
        text=f"even the rig that comes nearest asks for more than there is of: {names(clauses)}",
        short_by=max(m.short_by for m in broken),
        change=Change(text="", amount=0.0, unit=""),
    )


def _but(job: Job, limits: Sequence[Limit], limit: Limit, factor: float) -> Job:
    """The job with every limit moved but one: the report on that one compares with this."""
    for other in limits:
        if other is not limit:
            job = other.relaxed(job, factor)
    return job


def _pair(job: Job, a: Limit, b: Limit, factor: float, budget: Searches) -> Iterator[Miss]:
    one, two = a.relaxed(job, factor), b.relaxed(job, factor)
    for filled in budget.search(b.relaxed(one, factor), top=1)[0]:
        # The report on one limit compares with a job in which the other is moved already.
        first, second = a.miss(two, filled, factor), b.miss(one, filled, factor)
        yield Miss(
            walk=first.walk,
            limit=f"{a.name} and {b.name}",
            text=f"{first.text}; and {second.text}",
            short_by=max(first.short_by, second.short_by),
            change=Change(
                text=f"two changes: {first.change.text}; and {second.change.text}",
                amount=first.change.amount,
                unit=first.change.unit,
            ),
        )
