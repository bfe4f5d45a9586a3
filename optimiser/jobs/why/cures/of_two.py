"""Finds what cures a tackle on tackle, or a way down, that does not work: one limit moved as little as will
do, the gear that is missing, or something moved to where it works.

The limits and the moves are those of every other rig; what is asked of each is whether the walks of the rig,
and none but these, work with it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain, islice

from optimiser.jobs.why.cures.moves import (
    AnchorMoved,
    HitchMoved,
    Move,
    PullerMoved,
    RunTurned,
    StrapMoved,
)
from optimiser.jobs.why.cures.searching import SPARED, least_amount, level_ways
from optimiser.jobs.why.cures.trying import Rig
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.limits import LIMITS, LoadWeight
from optimiser.jobs.why.limits_together import several
from optimiser.jobs.why.misses import more_gear
from optimiser.jobs.why.moved_least import misses_by
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Change
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.search.clock import Clock

MOST = 3
"""Cures that are printed, the smallest first."""
Walks = tuple[Walk, ...]
Works = Callable[[Job, Walks], Filled | None]
"""The best filling of the walks of a rig, None where there is none."""


@dataclass(frozen=True)
class OnlyThese:
    """Searches two walks alone."""

    walks: Walks
    works: Works
    clock: Clock

    def search(self, job: Job, *, top: int = 2) -> tuple[list[Filled], bool]:
        """See `optimiser.jobs.why.job.Budget.search`."""
        if not self.clock.runs():
            return [], False
        found = self.works(job, self.walks)
        return ([] if found is None else [found]), True


def cures(
    job: Job, walks: Walks, works: Works, clock: Clock, *, placed: bool
) -> tuple[Change, ...]:
    """The smallest changes each of which cures the rig by itself; where none does, what does together.
    `placed`: where things stand nothing is against it, so nothing is moved."""
    these = OnlyThese(walks, works, clock)
    limits = list(_by_limits(job, these))
    moves = [] if placed else list(_by_moves(job, walks, works, clock))
    found = [change for _, change in sorted(limits, key=_first)]
    moved = [change for _, change in sorted(moves, key=_first)][:1]
    if not moved and not found:
        found = _by_gear(job, these)
        if not found:
            found = [m.change for m in several(job, these) if m.change.text]
    return tuple((*moved, *found)[:MOST])


def _first(found: tuple[float, Change]) -> tuple[float, str]:
    """The least first, equals by their words."""
    return round(found[0], 6), found[1].text


def _by_limits(job: Job, these: OnlyThese) -> Iterator[tuple[float, Change]]:
    for limit in (*LIMITS, LoadWeight()):
        if limit.applies(job):
            for miss in misses_by(job, limit, these):
                if miss.change.text:
                    yield miss.short_by, miss.change


def _by_gear(job: Job, these: OnlyThese) -> list[Change]:
    """The fewest blocks more, and whatever else is missing."""
    for extra in range(job.site.preferences.most_sheaves + 1):
        plenty = more_gear.plenty(job, extra, new_rope=False)
        for filled in these.search(plenty)[0]:
            change = more_gear.lacking(job, filled)
            return [] if change is None else [change]
    return []


def _by_moves(job: Job, walks: Walks, works: Works, clock: Clock) -> Iterator[tuple[float, Change]]:
    rig = Rig(job.site, tuple(chain.from_iterable(walks)), job.stations, "", ())

    def good(move: Move, amount: float) -> bool:
        trial = move.trial(amount)
        if trial is None or not clock.runs():
            return False
        places = iter(trial.walk)
        there = tuple(tuple(islice(places, len(walk))) for walk in walks)
        return works(replace(job, site=trial.site, stations=trial.stations), there) is not None

    for move in _moves(job, rig):
        if move.most <= 0.0:
            continue
        amount = least_amount(move, partial(good, move))
        if amount is not None:
            change = move.change(amount)
            yield SPARED[move.tier] + amount, change


def _moves(job: Job, rig: Rig) -> Iterator[Move]:
    site = job.site
    names = dict.fromkeys(p.name for p in rig.walk if p.kind is PlaceKind.ANCHOR)
    for name in names:
        yield from (StrapMoved(rig, site.anchor(name), sign) for sign in (-1, 1))
    hitches = tuple(hitch.name for hitch in site.load.hitches)
    yield from (HitchMoved(rig, hitches, sign) for sign in (-1, 1))
    last = rig.walk[-1]
    puller = next((p for p in site.pullers if p.name == last.name), None)
    if last.kind is not PlaceKind.PULLER:
        puller = None  # a hand behind turns stands where its trunk does
    free = (
        puller is not None and puller.stand is None
    )  # else every stand that it may have was looked at
    if free and puller is not None and puller.run > 0.0 and puller.purchase is None:
        yield from (RunTurned(rig, sign) for sign in (-1, 1))
    for words, way in level_ways(job.stations.along[0], hauls=job.hauls):
        if free and puller is not None and puller.anchor is None:
            yield PullerMoved(rig, way, words)
        yield from (AnchorMoved(rig, site.anchor(name), way, words) for name in names)
