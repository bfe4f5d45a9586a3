"""Finds the nearest misses: what comes closest to working, and the one change that would cure it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import isfinite, sqrt

from optimiser.jobs.question import MISSES, MissesQuestion, WhyQuestion
from optimiser.jobs.why import motion
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.limits import (
    GROUPS,
    LIMITS,
    NEARER,
    RUNGS,
    Limit,
    LineAngle,
    LoadWeight,
    RopeLength,
    SidePull,
)
from optimiser.jobs.why.misses import clearing, more_gear, others
from optimiser.jobs.why.stops import stopped_by, unfinished
from optimiser.jobs.why.why import explain
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.setup import Change, Miss, names
from optimiser.search.clock import Clock
from optimiser.search.rules import same_setup
from optimiser.site.model import Site
from shared.interrupt import requested
from shared.units import Dimension, Rounding, show

PATIENCE = 7.0
"""Effort that explaining may take where no time limit is given."""
FINER = 2e-3
"""Relative: a need is found to within this."""
MOVING = 2.0
"""Effort for finding where things would have to stand instead."""
BY_PLACE = {
    SidePull().name: (motion.IN_LINE,),
    LineAngle().name: (motion.ANGLE, motion.RISE),
}
"""Kinds of limit that depend on where things stand, and their checks."""
NO_LIMIT = RUNGS[-1]
WIDE = 1.3
"""Ratio of a factor that suffices to one that does not; where they are wider apart the middle is tried."""
EACH = 2
"""Misses of one kind at most."""
WHOLE_CHANGE = 1.5
"""Factor that a miss by a thing that is there or not ranks as."""
SEVERAL_PIECES = 2.0
"""Factor that a miss by several kinds of gear ranks as."""


def nearest_misses(
    site: Site,
    question: MissesQuestion = MISSES,
    *,
    kit: Kit | None = None,
    stations: Stations | None = None,
    clock: Clock | None = None,
) -> tuple[Miss, ...]:
    """Setups that nearly work, the nearest first, each with what stops it and the change that cures it.

    One kind of limit is moved at a time, and the same search as `rank` finds what needs it moved the
    least; only where no single change does, two are moved together. Nothing is missed where a setup
    works. Where the time ran out before all was looked at, the last of them states it. `kit`: gear in place
    of what the site owns; `stations`: a stretch of the path instead of the whole; `clock`: in place of the
    question's limit, the rest of another job's.
    """
    gear = kit_of(site) if kit is None else kit
    job = Job(
        site,
        gear,
        lay_stations(site, gear=gear.pieces) if stations is None else stations,
        question.rules(site),
        site.preferences.margin_wanted,
        strict=question.rated_only,
    )
    budget = Budget((clock or Clock(question.time_limit, None)).patient(PATIENCE))
    if others.too_high(job):
        found = list(_over_steps(job, budget))
    elif budget.search(job, top=1)[0]:
        return ()
    else:
        found = list(_nearly(job, budget))
    late = {"interrupted": requested(), "limited": budget.clock.limited}
    if not found:
        stopped = tuple(stopped_by(job, finished=not budget.cut))[: question.many]
        return (*stopped, unfinished(**late)) if budget.cut else stopped
    nearest = [
        _moved(job, m, budget) for m in sorted(_distinct(found), key=_nearness)[: question.many]
    ]
    return (*nearest, unfinished(**late)) if budget.cut else tuple(nearest)


def _nearly(job: Job, budget: Budget) -> list[Miss]:
    """By what somebody changes soonest: one thing, more gear, the lines' way cleared, both; only then by two
    limits and more."""
    simply = _simply(job, budget)
    if simply and all(
        miss.limit == clearing.TO_BUY for miss in simply
    ):  # or a log, and something else
        return [*simply, *clearing.with_more(job, budget, _simply)]
    return (
        simply
        or clearing.with_more(job, budget, _simply)
        or _hardly(job, budget)
        or clearing.with_more(job, budget, _hardly)
    )


def _simply(job: Job, budget: Budget) -> list[Miss]:
    """By one change, or by more gear."""
    found = _curable([*_by_factors(job, budget), *others.misses(job, budget)])
    if not any(miss.limit in COUNTED for miss in found):
        found += _curable(more_gear.misses(job, budget))
    return found or list(_lighter(job, budget))


COUNTED = (*(family.name for family in more_gear.FAMILIES), RopeLength().name)
"""Limits whose cure is an amount of one kind of gear: no more of several kinds need be looked for then."""


def _hardly(job: Job, budget: Budget) -> list[Miss]:
    """By more gear and one limit, by two limits, or by what comes nearest."""
    return (
        _curable(_gear_and_one(job, budget))
        or _curable(_pairs(job, budget))
        or list(_several(job, budget))
    )


def _curable(found: Iterable[Miss]) -> list[Miss]:
    """The misses that somebody can do something about."""
    return [miss for miss in found if miss.change.text]


def _lighter(job: Job, budget: Budget) -> Iterator[Miss]:
    """Less load, where it can be made lighter and nothing else by itself does."""
    limit = LoadWeight()
    if not limit.applies(job):
        return
    for filled, factor in least(job, limit, budget, _together(job, [limit], NO_LIMIT, budget))[:1]:
        if limit.needs(job, filled, factor) > 1.0:
            yield limit.miss(job, filled, factor)


def _gear_and_one(job: Job, budget: Budget) -> Iterator[Miss]:
    """More gear than is there, and one kind of limit moved."""
    plenty = more_gear.plenty(job, job.site.preferences.most_sheaves, new_rope=True)
    for limit in LIMITS:
        if limit.applies(plenty) and limit.name != RopeLength().name:
            known = _together(plenty, [limit], NO_LIMIT, budget)
            for filled, factor in least(plenty, limit, budget, known)[:1]:
                change = more_gear.lacking(job, filled)
                if limit.needs(plenty, filled, factor) <= 1.0 or change is None:
                    continue
                miss = limit.miss(plenty, filled, factor)
                if miss.change.text:
                    yield clearing.both(
                        miss, replace(miss, limit="gear", text=LACKS, change=change)
                    )


LACKS = "not all the gear for so many parts of line is there"


def _over_steps(job: Job, budget: Budget) -> Iterator[Miss]:
    """A step that no pull gets a wheel over: no other change does anything about it."""
    found = list(others.ramps(job, budget))
    yield from found
    if found:
        return
    for miss in _nearly(others.without_steps(job), budget):
        ramp = Change(text=others.ramp_worded(job), amount=1.0, unit="")
        step = replace(miss, limit="step in the path", text=others.step_worded(job), change=ramp)
        yield clearing.both(step, miss)


def _moved(job: Job, miss: Miss, budget: Budget) -> Miss:
    """A miss by where things stand, with the smallest change of that which cures it by itself."""
    if miss.limit not in BY_PLACE or not budget.clock.runs():
        return miss
    explained = explain(
        job.site,
        miss.walk,
        WhyQuestion(without=tuple(job.site.preferences.rules.difference(job.rules.names))),
        stations=job.stations,
        kit=job.kit,
        clock=budget.clock.within(MOVING),
    )
    checks = [check for check in explained.failed if check.name in BY_PLACE[miss.limit]]
    change = checks[0].change if len(checks) == len(explained.failed) == 1 else None
    if change is None or not change.unit:
        return miss
    text = miss.change.text.replace(NEARER, change.text)
    if text == miss.change.text:
        text = change.text
    return replace(miss, change=replace(change, text=text))


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
        got = _together(job, usable, NO_LIMIT, budget) if usable else []
        if got:
            able.append((usable, got))
    for usable, got in able:
        for limit in usable:
            known = got if len(usable) == 1 else _together(job, [limit], NO_LIMIT, budget)
            for filled, factor in least(job, limit, budget, known)[:EACH]:
                if limit.needs(job, filled, factor) > 1.0:
                    yield limit.miss(job, filled, factor)


def _together(job: Job, limits: Sequence[Limit], factor: float, budget: Budget) -> list[Filled]:
    """Setups with several limits moved at once."""
    for limit in limits:
        job = limit.relaxed(job, factor)
    return budget.search(job, top=EACH)[0]


def least(
    job: Job, limit: Limit, budget: Budget, known: Sequence[Filled]
) -> list[tuple[Filled, float]]:
    """The setups that need a limit moved the least, each with the factor it was found at. `known`: some
    that work without the limit."""
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


def _pairs(job: Job, budget: Budget) -> Iterator[Miss]:
    """Two kinds of limit moved together, where that is enough."""
    usable = [limit for limit in LIMITS if limit.applies(job)]
    for factor in RUNGS:
        if not _together(job, usable, factor, budget):
            continue
        found = [m for a, b in combinations(usable, 2) for m in _pair(job, a, b, factor, budget)]
        if found:
            yield from found
            return


def _several(job: Job, budget: Budget) -> Iterator[Miss]:
    """What comes nearest where more than two kinds of limit are in the way: all that it breaks."""
    usable = [limit for limit in LIMITS if limit.applies(job)]
    for factor in RUNGS:
        for filled in _together(job, usable, factor, budget)[:1]:
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


def _pair(job: Job, a: Limit, b: Limit, factor: float, budget: Budget) -> Iterator[Miss]:
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
