"""Defines the limits that are not moved by a factor: counts of pieces, what stands in the way, steps,
the rules of the search, and how far along the path the load has to come."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from catalogue.gear import Block, Shackle
from catalogue.prices import NEW
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.misses import clearing
from optimiser.jobs.why.misses.clearing import YES_OR_NO
from optimiser.jobs.why.misses.more_gear import FAMILIES, Family
from optimiser.jobs.why.rating_limits import walk_of, with_pieces
from optimiser.mechanics.ground.step import climbable
from optimiser.rig.components import components, hung
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.stations import Stations
from optimiser.rig.setup import Change, Miss, Role, names
from optimiser.search.rules import Rules
from optimiser.site.model import Owned, Site
from optimiser.site.rules import RULES
from shared.units import Dimension, Rounding, show

ANYTHING = "whatever fits"
"""Name of the pieces that stand for a family of which there is none."""
MOST_FIRST = 4
"""Most pieces of such a family that are tried."""
MOST_EXTRA = 3
"""Pieces of one kind that may be missing."""
STEP_GRAIN = 0.01
"""m: how finely the height of a ramp is looked for."""


def by_so_much(job: Job, budget: Budget) -> Iterator[Miss]:
    """The nearest misses by limits of which it is known how far off they are, one kind after the other."""
    yield from _rules(job, budget)
    yield from _counts(job, budget)
    yield from ramps(job, budget)
    if job.hauls:  # a way down is planned in stages anyway
        yield from _stretch(job, budget)


def made_or_not(job: Job, budget: Budget) -> Iterator[Miss]:
    """Those by what is there or not."""
    yield from _unrated(job, budget)
    yield from clearing.misses(job, budget)


def _unrated(job: Job, budget: Budget) -> Iterator[Miss]:
    """What would do but for its rating, of which nothing is known."""
    if job.loose:
        return
    for filled in budget.search(replace(job, loose=True), top=1)[0]:
        if not filled.unrated:
            continue
        text = names([f"the {n}" if n.startswith("hitch ") else n for n in filled.unrated])
        yield Miss(
            walk=walk_of(filled),
            limit="rating not known",
            text=f"it would do if {text} stood enough, but nothing is known of what "
            f"{'they stand' if len(filled.unrated) > 1 else 'it stands'}, and nothing is assumed",
            short_by=YES_OR_NO,
            change=Change(
                text=f"a rated piece or anchor in place of {text}, or find out the rating",
                amount=float(len(filled.unrated)),
                unit="ratings",
            ),
        )


def _rules(job: Job, budget: Budget) -> Iterator[Miss]:
    on = job.rules.names
    for name in on:
        loose = replace(job, rules=Rules.of(frozenset(n for n in on if n != name)))
        for filled in budget.search(loose, top=1)[0]:
            yield Miss(
                walk=walk_of(filled),
                limit="rule of the search",
                text=f"it works, but a rule leaves it out: {RULES[name]}",
                short_by=1.0,
                change=Change(
                    text=f"switch the rule off (--without-rule {name})", amount=1.0, unit=""
                ),
            )


# ---- pieces that are missing ------------------------------------------------------------------------


def _counts(job: Job, budget: Budget) -> Iterator[Miss]:
    """More pieces of one kind that is there already, or the first ones; a block may bring a shackle
    along."""
    for family in FAMILIES:
        kinds = [p for p in job.kit.pieces if isinstance(p.gear, family.kinds) and p.count > 0]
        if not kinds:
            yield from _first_ones(job, budget, family)
            continue
        if not budget.search(_plenty(job, family, MOST_EXTRA), top=1)[0]:
            continue
        for extra in range(1, MOST_EXTRA + 1):
            found = [m for p in kinds for m in _more(job, budget, family, p, extra)]
            if found:
                yield from found[:2]
                break


def _first_ones(job: Job, budget: Budget, family: Family) -> Iterator[Miss]:
    """The fewest pieces of a family of which there is none, and what they have to stand."""
    for many in range(1, MOST_FIRST + 1):
        piece = Owned(name=ANYTHING, gear=family.any, count=many, condition=NEW, price=1.0)
        more = replace(job, kit=Kit((*job.kit.pieces, piece), job.kit.knots))
        for filled in budget.search(more, top=1)[0]:
            used = missing(filled, job).get(ANYTHING, 0)
            stands = max(p.demand for p in components(filled) if p.item == ANYTHING) * job.floor
            wll = show(stands, Dimension.FORCE, job.units, Rounding.UP)
            text, do = (
                (f"{used} {family.one}", "stands {} and fits")
                if used == 1
                else (f"{used} {family.one}s", "stand {} and fit")
            )
            yield Miss(
                walk=walk_of(filled),
                limit=family.name,
                text=f"it takes {text}, and there is none",
                short_by=YES_OR_NO,
                change=Change(
                    text=f"{text} that {do.format(wll)} ({job.buying} finds the least)",
                    amount=float(used),
                    unit="pieces",
                ),
            )
            return


def _plenty(job: Job, family: Family, extra: int, only: str | None = None) -> Job:
    """The job with more pieces of a family, of all its kinds or of one."""
    shackles_too = family.kinds == (Block,)

    def changed(p: Owned) -> Owned:
        wanted = isinstance(p.gear, family.kinds) and only in (None, p.name)
        along = shackles_too and isinstance(p.gear, Shackle)
        return replace(p, count=p.count + extra) if wanted or along else p

    return with_pieces(job, changed)


def _more(job: Job, budget: Budget, family: Family, piece: Owned, extra: int) -> Iterator[Miss]:
    for filled in budget.search(_plenty(job, family, extra, piece.name), top=1)[0]:
        short = missing(filled, job)
        if not short:
            return
        text = names([f"{n} more {name}" for name, n in short.items()])
        have = sum(p.count for p in job.kit.pieces if p.name in short)
        need = have + sum(short.values())
        yield Miss(
            walk=walk_of(filled),
            limit=family.name,
            text=f"it takes {text} than there {'is' if need == have + 1 else 'are'}",
            short_by=need / max(have, 1),
            change=Change(text=text, amount=float(sum(short.values())), unit="pieces"),
        )


def missing(filled: Filled, job: Job) -> dict[str, int]:
    """Pieces a setup uses beyond what is there, by name."""
    used: dict[str, int] = {}
    for h in hung(filled):
        if h.role not in (Role.END, Role.TIE):
            used[h.item] = used.get(h.item, 0) + 1
    owned = {p.name: p.count for p in job.kit.pieces}
    return {n: many - owned.get(n, 0) for n, many in used.items() if many > owned.get(n, 0)}


# ---- the ground -------------------------------------------------------------------------------------


def too_high(job: Job) -> bool:
    """Whether a step is there that no pull gets a wheel over."""
    return impassable(job.site, job.stations)


def impassable(site: Site, stations: Stations) -> bool:
    """Whether a step of the path is higher than any pull gets the load's wheels over."""
    radius = site.load.wheel_radius
    return any(not climbable(wheel_radius=radius, step=float(s)) for s in stations.step)


def without_steps(job: Job) -> Job:
    """The job with a ramp over every step."""
    return _with_steps(job, 0.0)


def step_worded(job: Job) -> str:
    """The highest step, and what is wrong with it."""
    shown = show(float(job.stations.step.max()), Dimension.LENGTH, job.units, Rounding.UP)
    if not job.hauls:
        return f"the load drops over a step of {shown}, and no steady force holds that"
    why = (
        "no pull gets it over that: a ramp or a lever must"
        if too_high(job)
        else "the pull does not do"
    )
    return f"a step of {shown} is to be climbed; {why}"


def ramp_worded(job: Job) -> str:
    """A ramp over every step of the path, with where each is and how high."""
    st = job.stations
    steps = dict.fromkeys(zip(st.at[st.step > 0.0], st.step[st.step > 0.0], strict=True))
    clauses = [
        f"{show(float(high), Dimension.LENGTH, job.units, Rounding.UP)} at "
        f"{show(float(at), Dimension.LENGTH, job.units)} of the path"
        for at, high in steps
    ]
    return f"a ramp over the {'step' if len(clauses) == 1 else 'steps'} of {names(clauses)}"


def ramps(job: Job, budget: Budget) -> Iterator[Miss]:
    """A ramp over the steps of the path, no higher than it must be."""
    highest = float(job.stations.step.max())
    if highest <= 0.0:
        return
    got, _ = budget.search(without_steps(job), top=1)
    if not got:
        return
    found, low, high = got[0], 0.0, highest  # `low` is climbed, `high` is not
    while high - low > STEP_GRAIN:
        middle = (low + high) / 2
        got, _ = budget.search(_with_steps(job, middle), top=1)
        found, low, high = (got[0], middle, high) if got else (found, low, middle)
    least = show(low, Dimension.LENGTH, job.units, Rounding.DOWN)
    yield Miss(
        walk=walk_of(found),
        limit="step in the path",
        text=step_worded(job),
        short_by=highest / low if low >= STEP_GRAIN else YES_OR_NO,
        change=Change(
            text=f"a ramp, so that no step is higher than {least}"
            if low >= STEP_GRAIN
            else ramp_worded(job),
            amount=highest - low,
            unit="m",
        ),
    )


def _with_steps(job: Job, most: float) -> Job:
    legs = tuple(replace(leg, step=min(leg.step, most)) for leg in job.site.legs)
    stations = replace(job.stations, step=np.minimum(job.stations.step, most))
    return replace(job, site=replace(job.site, legs=legs), stations=stations)


def _stretch(job: Job, budget: Budget) -> Iterator[Miss]:
    """How far along the path one setup brings the load."""
    at = job.stations.at
    low, high = 0, len(at) - 1  # the load comes to station `low`, not to `high`
    found: Filled | None = None
    while high - low > 1:
        middle = (low + high) // 2
        some = replace(job, stations=job.stations.pick(slice(0, middle + 1)))
        got, proven = budget.search(some, top=1)
        if got:
            found, low = got[0], middle
        elif proven:
            high = middle
        else:
            return
    if found is None or at[low] - at[0] < 0.5:
        return
    whole, come = float(at[-1] - at[0]), float(at[low] - at[0])
    far = show(come, Dimension.LENGTH, job.units, Rounding.DOWN)
    rest = show(whole - come, Dimension.LENGTH, job.units, Rounding.UP)
    yield Miss(
        walk=walk_of(found),
        limit="length of the path",
        text=f"it brings the load {far} of {show(whole, Dimension.LENGTH, job.units)}, no further",
        short_by=whole / come,
        change=Change(
            text=f"haul the last {rest} with another setup, in stages",
            amount=whole - come,
            unit="m",
        ),
    )
