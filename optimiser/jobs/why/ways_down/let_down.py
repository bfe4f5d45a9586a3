"""Checks one reeving for the way down, check by check, and finds what would cure it.

Rope, ends, turns and gear are chosen as `lower` chooses them. Where none fits the least bad are: pieces that
are not there are taken as if they were, and each is reported as missing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimiser.jobs.lower.build import build, hold_of
from optimiser.jobs.lower.downhill import upward
from optimiser.jobs.lower.hold_job import ORDER
from optimiser.jobs.lower.words import round_turns
from optimiser.jobs.lower.zones import stretch_to_hold
from optimiser.jobs.question import WHY, WhyQuestion
from optimiser.jobs.why.cures.of_two import Walks, cures
from optimiser.jobs.why.cures.searching import PATIENCE, Failures, Searching, failures
from optimiser.jobs.why.cures.trying import Trial
from optimiser.jobs.why.findings import Check
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.laying import with_piece
from optimiser.jobs.why.missing_pieces import spare_kit
from optimiser.jobs.why.placed import only_places, with_places
from optimiser.jobs.why.ways_down.checks_down import checks_of_hold
from optimiser.proof.way_down import verify_way_down
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.holders import HandLimit, hand, hand_limit, paying_out
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import edgings
from optimiser.rig.ground.scene import Scene, wherever_it_stands
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.setup import Change, LoweringSetup
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.search.clock import Clock
from optimiser.search.line import letting_down
from optimiser.site.counts import Count
from optimiser.site.model import Site

MOST_PATTERNS = 200
"""Choices of bearings that are looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedDown:
    """Every check of one reeving that lets the load down. `setup`: with its gear; None where no gear fits, or
    it holds nothing. `cures`: the smallest changes, each of which cures it by itself. `needs_hold`: whether
    the load may run anywhere. `site`: with its path from the lower end up, which `turned` is the other way
    round."""

    walk: Walk
    checks: tuple[Check, ...]
    setup: LoweringSetup | None
    works: bool
    site: Site
    turned: bool
    cures: tuple[Change, ...] = ()
    needs_hold: bool = True

    @property
    def failed(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if not check.passed)


def explain_down(
    site: Site,
    walk: Walk,
    turns: int | None = None,
    question: WhyQuestion = WHY,
    *,
    clock: Clock | None = None,
) -> ExplainedDown:
    """Put one reeving for the way down to every check. `walk`: from the standing end to the trunk that it is
    turned round, or to the puller that pays out; `turns`: full turns; None: the fewest that are comfortable.
    `clock`: how long cures are looked for, PATIENCE if left out."""
    rising = upward(site)
    turned = rising is not site
    rising = with_places(rising, walk)
    laid = lay_stations(rising)
    stretch = stretch_to_hold(laid)
    if stretch is None:
        return ExplainedDown(
            walk=walk, checks=(), setup=None, works=True, site=rising, turned=turned, needs_hold=False
        )  # fmt: skip
    limit, ways = hand_limit(rising.preferences, None), _Ways(turns)
    job = replace(
        Job.of(rising, question.rules(site), stations=laid.pick(stretch)), line=letting_down(limit)
    )
    best = ways.works(job, (walk,))
    row, filled = ways.least_bad(job, walk) if best is None else (best.variant.row, best)
    checks = checks_of_hold(job, row, filled)
    if best is None:
        search = _searching(job, row, checks, ways, (clock or Clock(None, None)).within(PATIENCE))
        checks = checks_of_hold(job, row, filled, search)
    setup = None if filled is None else build(filled, rank=1, hand_source=limit.source)
    works = best is not None and all(check.passed for check in checks)
    if works and setup is not None:
        verify_way_down(rising, setup)
    found: tuple[Change, ...] = ()
    if best is None:
        limited = clock or Clock(None, None).within(PATIENCE)
        found = tuple(_cures(job, walk, ways, limited, placed=_runs(row)))
    return ExplainedDown(
        walk=walk, checks=checks, setup=setup, works=works, site=rising, turned=turned, cures=found
    )


def _searching(
    job: Job, row: RigRow, checks: Sequence[Check], ways: "_Ways", clock: Clock
) -> Searching:
    """What looks for the changes that cure what fails of a rig, check by check."""

    def again(trial: Trial) -> Failures:
        there = only_places(trial.site, trial.walk)
        other = replace(job, site=there, stations=trial.stations)
        if trial.laid is not None:
            other = with_piece(other, trial.laid)
        looked = checks_of_hold(other, *ways.least_bad(other, trial.walk))
        return failures([check.name for check in looked if not check.passed])

    before = failures([check.name for check in checks if not check.passed])
    return Searching(job, row, before, again, clock)


def _runs(row: RigRow) -> bool:
    """Whether nothing is against a rig by its lines and forces."""
    return bool(row.evaluation.works[row.index].all()) and row.works_throughout


@dataclass(frozen=True)
class _Ways:
    """Rigs of one walk that lets the load down. `turns`: so many and no others."""

    turns: int | None

    def works(self, job: Job, walks: Walks) -> Filled | None:
        """The best filling of a walk, as `lower` orders them; None where there is none. Unrated pieces only
        where there is none without."""
        (walk,) = walks
        order = Order(ORDER, job.site.preferences.enough, comfort=hand_of(job).comfort)
        for kit, rated in ((job.kit.rated_only, True), (job.kit, False)):
            every = [row for row in self._rows(job, walk, kit) if row.scene.rated or not rated]
            found = self._filled(every, kit, Filler(order, job.floor), hand_of(job))
            if found is not None:
                return found
        return None

    def least_bad(self, job: Job, walk: Walk) -> tuple[RigRow, Filled | None]:
        """The rig that comes nearest, and its gear with pieces that are not there only where it has to be."""
        order = Order((Count.MARGIN,), max(job.floor, 2.0))
        for kit in (job.kit, spare_kit(job.kit)):
            rows = list(self._rows(job, walk, kit))
            filled = self._filled(rows, kit, Filler(order, 0.0), hand_of(job))
            if filled is not None:
                return filled.variant.row, filled
        spare = spare_kit(job.kit)
        return min(self._rows(job, walk, spare), key=_badness), None

    def _rows(self, job: Job, walk: Walk, kit: Kit) -> Iterator[RigRow]:
        """The walk from every hitch and with every choice of bearings."""
        sheaves = len(walk) - 2
        patterns = list(eta_patterns(kit, sheaves))[:MOST_PATTERNS] or [(1.0,) * sheaves]
        for scene in self._scenes(job, walk):
            numbers = np.array([[scene.number[place] for place in walk]])
            for etas in patterns:
                one = np.array([etas], dtype=float).reshape(1, sheaves)
                yield RigRow(evaluate(scene, numbers, one, Duty.LOWER), 0)

    def _scenes(self, job: Job, walk: Walk) -> Iterator[Scene]:
        there, laid = only_places(job.site, walk), edgings(job.site, job.kit)
        held = [hand(there)]
        if walk[-1].kind is PlaceKind.PULLER:
            held = [p for p in paying_out(there) if p.name == walk[-1].name]
        for attachment in attachments(there):
            for holder in held:
                yield from wherever_it_stands(there, job.stations, attachment, holder, laid)

    def _filled(
        self, rows: Sequence[RigRow], kit: Kit, filler: Filler, most: HandLimit
    ) -> Filled | None:
        able = (
            variant
            for row in rows
            if _runs(row)
            for variant in let_down_variants(row, kit, most, turns=self.turns)
        )
        return filler.best(able)


def hand_of(job: Job) -> HandLimit:
    """What the hand may hold in a job that lets down."""
    assert job.line.hand is not None
    return job.line.hand


def _badness(row: RigRow) -> float:
    """Share of states that do not work."""
    return float((~row.evaluation.works[row.index]).mean())


def _cures(job: Job, walk: Walk, ways: _Ways, clock: Clock, *, placed: bool) -> Iterator[Change]:
    """What would cure it, each by itself, the smallest of its kind."""
    other = None
    if ways.turns is not None:
        other = replace(ways, turns=None).works(job, (walk,))
        if other is not None:
            turns = hold_of(other.variant.row).turns
            text = f"{round_turns(turns)} in place of {ways.turns}"
            yield Change(text=text, amount=float(turns - ways.turns), unit="turns")
    found = cures(job, (walk,), ways.works, clock, placed=placed)
    yield from found
    if ways.turns is not None and other is None and not found:
        free = replace(ways, turns=None)
        for change in cures(job, (walk,), free.works, clock, placed=placed):
            yield replace(change, text=f"{change.text}, with as many turns as that takes")
