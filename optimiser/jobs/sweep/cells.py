"""Answers one cell of a sweep: the site with some values changed."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from optimiser.jobs.hold.ranked import rank_held
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.put_together import may_bring_more
from optimiser.jobs.question import SWEEP, RankQuestion, SweepQuestion
from optimiser.jobs.ranges.ranked import with_ends
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.sharing import Shared
from optimiser.rig.order import BAND, Key, Order
from optimiser.rig.setup import LoweringSetup, Ranking, Setup
from optimiser.search.trail import Trail
from optimiser.site.model import Site
from optimiser.site.reading import Document, site_from_document

if TYPE_CHECKING:
    from optimiser.jobs.ranges.readings_off import LeftOpen

Changes = Mapping[str, str]
"""Key in the site file -> what would be written there."""


NEXT_BEST = 3
"""Setups that are ranked in a cell: the best, and those next to it, which may be as good."""


@dataclass(frozen=True)
class Job:
    """What all cells of a sweep have in common. It goes to every process once."""

    document: Document
    question: SweepQuestion = SWEEP
    cost: Callable[[Site], float | None] | None = None
    """The least that has to be spent on a site where what is owned will not do, if that is requested. A
    function of a module, so that it can be sent to another process."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What is found for one cell: the best setups, hauls or ways down. `rests`: there is nothing to let down
    on a rope. `of_one_piece`: ropes that are put together were left out, and may bring more margin."""

    setups: tuple[Setup, ...] | tuple[LoweringSetup, ...]
    proven: bool
    cost: float | None = None
    as_good: tuple[Setup, ...] | tuple[LoweringSetup, ...] = ()
    measured: "LeftOpen | None" = None
    rests: bool = False
    of_one_piece: bool = False


@dataclass
class Worker:
    """Answers cell after cell. Tables of geometry that does not change from one to the next are kept, and the
    search begins with the walks that were best in the cells before: what is best is proven all the same."""

    job: Job
    shared: Shared = field(default_factory=Shared)
    trail: Trail = field(default_factory=Trail)

    def solve(self, changes: Changes, *, in_full: bool = True) -> Answer:
        """The best setup with these changes; if `in_full`, what has to be spent and what the readings of the
        site leave open too. Raises InputError for a value that cannot be."""
        job = self.job
        given = job.question
        site = site_from_document(job.document, given.guesses, changes)
        if given.down:
            return self._down(site, in_full=in_full)
        best = RankQuestion(
            top=NEXT_BEST,
            by=given.by,
            without=given.without,
            time_limit=given.time_limit,
            compound=given.compound,
            join_ropes=given.join_ropes,
            explain=False,
            hold=given.hold,
        )
        ranking = with_ends(site, self._ranked(site, best))
        order = Order.of(site.preferences, given.by)
        cost = self._cost(site, ranking) if in_full else None
        measured = _measured(site, ranking) if in_full else None
        as_good = tuple(order.as_good_as_first(ranking.setups, _ordered))
        whole = _of_one_piece(site, ranking, given.join_ropes)
        return Answer(ranking.setups, ranking.proven, cost, as_good, measured, of_one_piece=whole)

    def _down(self, site: Site, *, in_full: bool) -> Answer:
        """The best holds for the whole way down."""
        found = lower(site, self.job.question.of_ways_down(NEXT_BEST), staged=False)
        return Answer(
            found.setups,
            found.proven,
            as_good=tuple(_as_good_down(found)),
            measured=_measured_down(found) if in_full else None,
            rests=not found.needs_hold,
        )

    def _ranked(self, site: Site, question: RankQuestion) -> Ranking:
        if question.hold:
            return rank_held(site, question)
        tables, trail = self.shared.scenes, self.trail
        return rank_hauls(site, question, tabulated=tables, trail=trail, as_good=True)

    def _cost(self, site: Site, ranking: Ranking) -> float | None:
        if self.job.cost is None:
            return None
        does = any(not setup.unrated for setup in ranking.setups)
        return 0.0 if does else self.job.cost(site)


def _of_one_piece(site: Site, ranking: Ranking, join_ropes: bool | None) -> bool:
    """Whether the best has ropes of one piece, where those that are put together may bring more margin."""
    if not ranking.setups:
        return False
    best = ranking.setups[0]
    ropes = (line.rope for line in best.lines)
    return may_bring_more(site, kit_of(site), ropes, best.margin, join_ropes) is not None


def _measured(site: Site, ranking: Ranking) -> "LeftOpen | None":
    """What the readings leave open of the best setup; None without either."""
    if site.surveyed is None or not ranking.setups:
        return None
    from optimiser.jobs.ranges.readings_off import left_open  # only where there are readings

    return left_open(site, ranking.setups[0])


def _measured_down(found: Lowering) -> "LeftOpen | None":
    """What the readings leave open of the best way down; None without either."""
    if found.site.surveyed is None or not found.setups:
        return None
    from optimiser.jobs.lower.again import left_open  # only where there are readings

    return left_open(found, found.setups[0])


def _as_good_down(found: Lowering) -> Iterator[LoweringSetup]:
    """Ways down after the best that are as good: margin at most a band lower, no more new grips, and no more
    for the hand, as far as that counts."""
    enough, comfort = found.site.preferences.enough, found.hand_comfort
    for other in found.setups[1:]:
        best = found.setups[0]
        if (
            bool(other.unrated) == bool(best.unrated)
            and min(best.margin, enough) - min(other.margin, enough) <= BAND + 1e-9
            and other.resets <= best.resets
            and max(other.hand, comfort) <= max(best.hand, comfort) + 1e-9
        ):
            yield other


def _ordered(setup: Setup) -> tuple[Key, bool]:
    return Key.of(setup, setup.margin), not setup.unrated
