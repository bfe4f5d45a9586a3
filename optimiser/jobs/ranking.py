"""Ranks hauls: the best setups with the gear at hand, over the whole path or a stretch of it.

What `optimiser.jobs.rank` answers with; other jobs take it for other gear, stretches and scenes.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from optimiser.jobs.put_together import may_bring_more, more_margin
from optimiser.jobs.question import RANK, MissesQuestion, RankQuestion
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import PutTogether, Ranking, Setup
from optimiser.rig.status import Status
from optimiser.rig.walk import Walk
from optimiser.search import stopwatch
from optimiser.search.board import Entry
from optimiser.search.clock import Clock, Progress
from optimiser.search.count import walks_in_space
from optimiser.search.listing import Wanted, best_listed, settled
from optimiser.search.trail import Trail
from optimiser.search.two_ropes.scope import in_space
from optimiser.site.model import Site

_Rig = tuple[Filled, Entry]
"""A rig of the list with its gear."""


def rank_hauls(
    site: Site,
    question: RankQuestion = RANK,
    *,
    kit: Kit | None = None,
    stations: Stations | None = None,
    tabulated: Callable[[Site, Stations, Kit], Iterable[Scene]] = scenes,
    progress: Progress | None = None,
    clock: Clock | None = None,
    trail: Trail | None = None,
    as_good: bool = False,
    only: int | None = None,
) -> Ranking:
    """The best setups of a site, fully rated ones first, each re-checked. Second lines (`question.hold`) are
    not looked at.

    `kit`: gear in place of what the site owns; `stations`: a stretch of the path instead of the whole;
    `tabulated`: makes the scenes (`optimiser.rig.ground.sharing` hands their tables from site to site);
    `progress`: a sign of life; `clock`: in place of the question's limit and of `progress`, a part of another
    job's; `trail`: where the best of sites like this lay, to begin with, and to note in; `as_good`: nothing
    but the best and what is as good, without cautions; `only`: the number of the one setup that is wanted.
    """
    began = stopwatch.now()
    gear = kit or kit_of(site)
    laid = lay_stations(site, gear=gear.pieces) if stations is None else stations
    clock = clock or Clock(question.time_limit, progress)
    every = list(tabulated(site, laid, gear))
    near = () if trail is None else trail.walks
    wanted = replace(_wanted(site, question), near=near, as_good=as_good)
    listing = best_listed(site, every, gear, question.rules(site), wanted, clock)
    watch = listing.watch
    with watch.on("assign"):
        rigs = settled(listing, wanted, clock)
    if trail is not None:
        trail.note(listing.entries)
    if as_good:
        rigs = [*rigs[:1], *wanted.order.as_good_as_first(rigs, _ordered)]
    with watch.on("tell"):
        wanted_rigs = [(i + 1, rig) for i, rig in enumerate(rigs) if only in (None, i + 1)]
        setups = _built(wanted_rigs, warn=not as_good)
    with watch.on("verify"):
        _verify(site, setups, every, gear)
    found = Ranking(
        setups=setups,
        proven=listing.proven,
        unsearched=listing.unsearched,
        order=wanted.order.names,
        rules=listing.rules.names,
        space=sum(walks_in_space(scene, gear, listing.rules) for scene in every),
        looked_at=listing.looked_at,
        confirmed=listing.confirmed,
        compounds=in_space(every, gear, listing.rules),
        compounds_left=listing.left,
        listed=None if only is None else len(rigs),
    )
    if question.explain:
        found = _explained(found, site, question, laid, gear, clock)
        found = replace(found, put_together=_put_together(site, question, rigs, every, gear, clock))
    return replace(found, timings=(*watch.read(), ("whole", stopwatch.now() - began)))


def _wanted(site: Site, question: RankQuestion) -> Wanted:
    return Wanted(
        top=question.top,
        order=Order.of(site.preferences, question.by),
        floor=site.preferences.margin_wanted,
        everything=question.everything,
        join_ropes=question.join_ropes,
        compound=question.compound,
    )


def _ordered(rig: _Rig) -> tuple[Key, bool]:
    filled, _ = rig
    return Key.of(filled.variant, filled.margin), not filled.unrated


def _built(found: Sequence[tuple[int, _Rig]], *, warn: bool) -> tuple[Setup, ...]:
    return tuple(
        replace(build_setup(best, rank=rank, warn=warn), alike=_alike(best, entry))
        for rank, (best, entry) in found
    )


def _verify(site: Site, setups: Sequence[Setup], every: Sequence[Scene], gear: Kit) -> None:
    """Re-check every setup that is whole: one that still wants its steering line is checked with that."""
    kept = any(scene.kept for scene in every)
    for setup in setups:
        if setup.steered is not None or all(row.steer == 0.0 for row in setup.profile):
            verify(site, setup, extra=gear.pieces, kept=kept)


def _explained(
    found: Ranking, site: Site, question: RankQuestion, laid: Stations, gear: Kit, clock: Clock
) -> Ranking:
    """The ranking with the nearest misses where nothing works."""
    if found.status is not Status.NOTHING_WORKS:
        return found
    from optimiser.jobs.why.misses.nearest import (
        nearest_misses,  # start-up time: most sites have a setup
    )

    near = MissesQuestion(without=question.without, compound=bool(question.compound))
    misses = nearest_misses(site, near, kit=gear, stations=laid, clock=clock.anew())
    return replace(found, misses=misses)


def _put_together(
    site: Site,
    question: RankQuestion,
    rigs: Sequence[_Rig],
    every: Sequence[Scene],
    gear: Kit,
    clock: Clock,
) -> PutTogether | None:
    """What ropes that are put together bring beyond a list of rigs with ropes of one piece."""
    ropes = [line.rope for rig, _ in rigs for line in rig.variant.lines]
    most = max((rig.margin for rig, _ in rigs), default=0.0)
    known = may_bring_more(site, gear, ropes, most, question.join_ropes)
    if (
        known is None or question.hold
    ):  # a haul of more margin may leave too little for second lines
        return known
    return more_margin(site, every, gear, question.rules(site), most, clock)


def _alike(best: Filled, entry: Entry) -> tuple[Walk, ...]:
    """The walks that differ in interchangeable anchors only; of those with the puller where it stands."""
    here = best.variant.row.scene.puller
    if here != entry.filled.variant.row.scene.puller:
        return ()
    rows = (twin.filled.variant.row for twin in entry.twins)
    return tuple(row.scene.walk(row.numbers) for row in rows if row.scene.puller == here)
