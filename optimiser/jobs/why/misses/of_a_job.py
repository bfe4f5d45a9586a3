"""Finds the nearest misses of any job, hauled or let down: what comes closest to working, and the one change
that would cure it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial

from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.limits import (
    GROUPS,
    LIMITS,
    LoadWeight,
    RopeLength,
)
from optimiser.jobs.why.limits_together import pairs, several, together
from optimiser.jobs.why.misses import clearing, more_gear, new_anchors, others
from optimiser.jobs.why.moved_least import EACH, NO_LIMIT, least, misses_by
from optimiser.jobs.why.stops import stopped_by, unfinished
from optimiser.rig.setup import Change, Miss
from optimiser.search.clock import Clock
from shared.interrupt import requested

WHOLE_CHANGE = 1.5
"""Factor that a miss by a thing that is there or not ranks as."""
SEVERAL_PIECES = 2.0
"""Factor that a miss by several kinds of gear ranks as."""


def as_it_is(job: Job, miss: Miss, budget: Budget) -> Miss:
    """A miss by its limit alone."""
    del job, budget
    return miss


def misses_of(
    whole: Job, many: int, clock: Clock, finer: Callable[[Job, Miss, Budget], Miss] = as_it_is
) -> tuple[Miss, ...]:
    """Rigs of a job that nearly work, at most so `many`, the nearest first; see `nearest_misses`. `finer`: a
    miss with a smaller change than moving its limit."""
    budget = Budget(clock)
    job = replace(whole, rules=replace(whole.rules, compound=False))
    if others.too_high(job):
        found = list(_over_steps(job, budget, many))
    elif budget.search(whole, top=1)[0]:
        return ()
    else:
        found = _nearly(job, budget, many)
        if not _enough(found, many):
            found += new_anchors.misses(job, budget)
        if whole.rules.compound:  # it may need less of one limit, or one that no line gets by with
            found += _curable(_by_factors(whole, budget))
    late = {"interrupted": requested(), "limited": budget.clock.limited}
    if not found:
        stopped = tuple(stopped_by(job, finished=not budget.cut))[:many] if job.hauls else ()
        return (*stopped, unfinished(**late)) if budget.cut else stopped
    nearest = [finer(job, m, budget) for m in sorted(_distinct(found), key=_nearness)[:many]]
    return (*nearest, unfinished(**late)) if budget.cut else tuple(nearest)


def _nearly(job: Job, budget: Budget, many: int) -> list[Miss]:
    """By what somebody changes soonest: one thing, more gear, the lines' way cleared, both; only then by two
    limits and more."""
    by_one = partial(_simply, many=many)
    simply = by_one(job, budget)
    if simply and all(
        miss.limit == clearing.TO_BUY for miss in simply
    ):  # or a log, and something else
        return [*simply, *clearing.with_more(job, budget, by_one)]
    return (
        simply
        or clearing.with_more(job, budget, by_one)
        or _hardly(job, budget)
        or clearing.with_more(job, budget, _hardly)
    )


def _simply(job: Job, budget: Budget, many: int) -> list[Miss]:
    """By one change, or by more gear."""
    found = _curable([*_by_factors(job, budget), *others.by_so_much(job, budget)])
    if _enough(found, many):
        return found
    found += _curable(others.made_or_not(job, budget))
    if not any(miss.limit in COUNTED for miss in found):
        found += _curable(more_gear.misses(job, budget))
    return found or list(_lighter(job, budget))


def _enough(found: list[Miss], many: int) -> bool:
    """Whether so many are nearer than whatever is made or not."""
    return sum(_nearness(miss)[0] < WHOLE_CHANGE for miss in _distinct(found)) >= many


COUNTED = (*(family.name for family in more_gear.FAMILIES), RopeLength().name)
"""Limits whose cure is an amount of one kind of gear: no more of several kinds need be looked for then."""


def _hardly(job: Job, budget: Budget) -> list[Miss]:
    """By more gear and one limit, by two limits, or by what comes nearest."""
    return (
        _curable(_gear_and_one(job, budget))
        or _curable(pairs(job, budget))
        or list(several(job, budget))
    )


def _curable(found: Iterable[Miss]) -> list[Miss]:
    """The misses that somebody can do something about."""
    return [miss for miss in found if miss.change.text]


def _lighter(job: Job, budget: Budget) -> Iterator[Miss]:
    """Less load, where it can be made lighter and nothing else by itself does."""
    limit = LoadWeight()
    if limit.applies(job):
        yield from misses_by(job, limit, budget)


def _gear_and_one(job: Job, budget: Budget) -> Iterator[Miss]:
    """More gear than is there, and one kind of limit moved."""
    plenty = more_gear.plenty(job, job.site.preferences.most_sheaves, new_rope=True)
    for limit in LIMITS:
        if limit.applies(plenty) and limit.name != RopeLength().name:
            for filled, factor in least(plenty, limit, budget)[:1]:
                change = more_gear.lacking(job, filled)
                if limit.needs(plenty, filled, factor) <= 1.0 or change is None:
                    continue
                miss = limit.miss(plenty, filled, factor)
                if miss.change.text:
                    yield clearing.both(
                        miss, replace(miss, limit="gear", text=LACKS, change=change)
                    )


LACKS = "not all the gear for so many parts of line is there"


def _over_steps(job: Job, budget: Budget, many: int) -> Iterator[Miss]:
    """A step that no pull gets a wheel over: no other change does anything about it."""
    found = list(others.ramps(job, budget))
    yield from found
    if found:
        return
    for miss in _nearly(others.without_steps(job), budget, many):
        ramp = Change(text=others.ramp_worded(job), amount=1.0, unit="")
        step = replace(miss, limit="step in the path", text=others.step_worded(job), change=ramp)
        yield clearing.both(step, miss)


def _nearness(miss: Miss) -> tuple[float, str, str]:
    short = miss.short_by if miss.short_by != clearing.YES_OR_NO else WHOLE_CHANGE
    if miss.limit.startswith(more_gear.MORE):
        short = SEVERAL_PIECES
    return (round(short, 6), miss.limit, miss.text)


def _distinct(found: list[Miss]) -> Iterator[Miss]:
    seen = set()
    for miss in found:
        mark = (miss.limit, miss.change.text)
        if mark not in seen:
            seen.add(mark)
            yield miss


def _by_factors(job: Job, budget: Budget) -> Iterator[Miss]:
    """Whether no limit at all would do comes first, of every kind: that is quickly found where it does,
    and where it does not, no factor does."""
    able = []
    for group in GROUPS:
        usable = [limit for limit in group if limit.applies(job)]
        got = together(job, usable, NO_LIMIT, budget) if usable else []
        if got:
            able.append((usable, got))
    for usable, got in able:
        for limit in usable:
            known = got if len(usable) == 1 else None
            yield from misses_by(job, limit, budget, known, most=EACH)
