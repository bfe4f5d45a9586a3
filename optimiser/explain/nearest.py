"""The nearest misses: what comes closest to working, and the one change that would cure it."""

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations

from optimiser.explain import others
from optimiser.explain.job import Budget, Job
from optimiser.explain.limits import GROUPS, LIMITS, RUNGS, Limit
from optimiser.explain.stops import stopped_by
from optimiser.gear.assign import Filled
from optimiser.gear.kit import Kit, kit_of
from optimiser.results import Change, Miss
from optimiser.search.prove import Clock
from optimiser.search.rules import Rules, same_setup
from optimiser.site.model import Site
from optimiser.stations import Stations, lay_stations

PATIENCE = 20.0
"""s that explaining may take where no time limit is given."""
FINER = 2e-3
"""Relative: a need is found to within this."""
EACH = 2
"""Misses of one kind at most."""
WHOLE_CHANGE = 1.5
"""What a miss by a thing that is there or not ranks as."""


def nearest_misses(
    site: Site,
    *,
    stations: Stations | None = None,
    many: int = 5,
    kit: Kit | None = None,
    rules: frozenset[str] | None = None,
    time_limit: float | None = None,
    progress: Callable[[str], None] | None = None,
) -> tuple[Miss, ...]:
    """Setups that nearly work, the nearest first, each with what stops it and the change that cures it.

    One kind of limit is moved at a time, and the same search as `rank` finds what needs it moved the
    least; only where no single change does, two are moved together. Nothing is missed where a setup
    works. `stations`: a stretch of the path instead of the whole; `many`: at most so many;
    `time_limit` [s].
    """
    job = Job(
        site,
        kit_of(site) if kit is None else kit,
        lay_stations(site) if stations is None else stations,
        Rules.of(site.preferences.rules if rules is None else rules),
        site.preferences.margin_wanted,
    )
    budget = Budget(Clock(PATIENCE if time_limit is None else time_limit, progress))
    if budget.search(job, top=1)[0]:
        return ()
    found = [*_by_factors(job, budget), *others.misses(job, budget)]
    if not found:
        found = list(_pairs(job, budget))
    if not found:
        found = list(stopped_by(job, finished=budget.clock.runs()))
    return tuple(sorted(_distinct(found), key=_nearness)[:many])


def _nearness(miss: Miss) -> tuple[float, str, str]:
    short = miss.short_by if miss.short_by != others.YES_OR_NO else WHOLE_CHANGE
    return (round(short, 6), miss.limit, miss.text)


def _distinct(found: list[Miss]) -> Iterator[Miss]:
    seen = set()
    for miss in found:
        mark = (miss.limit, miss.change.text)
        if mark not in seen:
            seen.add(mark)
            yield miss


def _by_factors(job: Job, budget: Budget) -> Iterator[Miss]:
    for group in GROUPS:
        usable = [limit for limit in group if limit.applies(job)]
        if len(usable) > 1 and not _together(job, usable, RUNGS[-1], budget):
            continue
        for limit in usable:
            for filled, factor in least(job, limit, budget)[:EACH]:
                if limit.needs(job, filled, factor) > 1.0:
                    yield limit.miss(job, filled, factor)


def _together(job: Job, limits: Sequence[Limit], factor: float, budget: Budget) -> bool:
    """Whether a setup exists with several limits moved at once."""
    for limit in limits:
        job = limit.relaxed(job, factor)
    return bool(budget.search(job, top=1)[0])


def least(job: Job, limit: Limit, budget: Budget) -> list[tuple[Filled, float]]:
    """The setups that need a limit moved the least, each with the factor it was found at."""
    held: dict[tuple[object, ...], tuple[float, Filled, float]] = {}
    rungs = list(RUNGS)
    factor = rungs.pop(0)
    while True:
        got, _ = budget.search(limit.relaxed(job, factor), top=EACH)
        for filled in got:
            row = filled.variant.row
            need = limit.needs(job, filled, factor)
            mark = same_setup(row.scene.walk(row.numbers))
            if mark not in held or need < held[mark][0]:
                held[mark] = (need, filled, factor)
        if got:
            nearest = min(need for need, _, _ in held.values())
            factor = nearest * (1.0 - FINER)
            if factor <= 1.0 + FINER:
                break
        elif held or not rungs:
            break
        else:
            factor = rungs.pop(0)
    ordered = sorted(held.values(), key=lambda e: e[0])
    return [(filled, factor) for _, filled, factor in ordered]


def _pairs(job: Job, budget: Budget) -> Iterator[Miss]:
    """Two kinds of limit moved together, where that is enough."""
    usable = [limit for limit in LIMITS if limit.applies(job)]
    for factor in RUNGS[2:]:
        if not _together(job, usable, factor, budget):
            continue
        found = [m for a, b in combinations(usable, 2) for m in _pair(job, a, b, factor, budget)]
        if found:
            yield from found
            return


def _pair(job: Job, a: Limit, b: Limit, factor: float, budget: Budget) -> Iterator[Miss]:
    one, two = a.relaxed(job, factor), b.relaxed(job, factor)
    for filled in budget.search(b.relaxed(one, factor), top=1)[0]:
        # What is told of one limit is told against a job in which the other is moved already.
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
