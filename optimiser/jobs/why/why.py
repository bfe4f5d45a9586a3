"""Checks one reeving, passed or failed check by check, with the change that cures each failure.

Rope, ends and gear are chosen as in a ranking. Where none fits, the least bad are: pieces that are not
there are taken as if they were, the fewest possible, and each is reported as missing.
"""

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from catalogue.gear import Protector
from optimiser.jobs.hold.kept import SecondLines
from optimiser.jobs.hold.not_held import not_held
from optimiser.jobs.hold.results import NotHeld
from optimiser.jobs.question import WHY, WhyQuestion
from optimiser.jobs.why import two_ropes
from optimiser.jobs.why.cures.cures import RATED
from optimiser.jobs.why.cures.easing import anyhow, eased
from optimiser.jobs.why.cures.searching import PATIENCE, Failures, Searching, failures
from optimiser.jobs.why.cures.trying import Trial
from optimiser.jobs.why.findings import Check, checks_of
from optimiser.jobs.why.fits import Fits
from optimiser.jobs.why.in_hand import line_checks, missing_checks
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.laying import with_piece
from optimiser.jobs.why.missing_pieces import (
    Completed,
    completed,
    more_to_lay,
    of_catalogue_etas,
    spare_kit,
)
from optimiser.jobs.why.placed import only_places, with_places
from optimiser.jobs.why.rating_limits import with_anchors
from optimiser.jobs.why.two_ropes import ExplainedPair
from optimiser.jobs.why.ways_down.let_down import ExplainedDown, explain_down
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import Filled, Spending
from optimiser.rig.gear.fill import loose_margin
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations
from optimiser.rig.notation import parse_lines, parse_way_down
from optimiser.rig.order import Order
from optimiser.rig.setup import IfStands, Setup
from optimiser.rig.walk import Walk
from optimiser.rig.where_it_stands import Standing, standing
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.clock import Clock
from optimiser.search.leaves import one_rope
from optimiser.search.refine import refined
from optimiser.search.sought import Tally
from optimiser.site.counts import Count
from optimiser.site.model import Site, is_of
from optimiser.site.roaming.stands import pinned

MOST_ROWS = 200
"""Choices of bearings and hitches looked at for a rig that does not work."""
MOST_FILLED = 4
"""Of those, how many are filled with gear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """Every check of one reeving. `setup` is the rig with its gear, None where no gear fits at all or
    the rig cannot move the load; pieces that are not there have a price. `not_held`: where no second line
    keeps it in hand, if that was requested."""

    walk: Walk
    checks: tuple[Check, ...]
    setup: Setup | None
    works: bool
    standing: Standing | None = None  # where its puller is, where that is for the search to say
    not_held: tuple[NotHeld, ...] = ()

    @property
    def failed(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if not check.passed)

    @property
    def if_stands(self) -> tuple[IfStands, ...]:
        """What parts without a rating would have to stand for it to work; empty where it works anyway, or
        where more than that is against it."""
        if self.setup is None or any(check.name != RATED for check in self.failed):
            return ()
        return self.setup.if_stands


def explain(
    site: Site,
    walk: Walk,
    question: WhyQuestion = WHY,
    *,
    stations: Stations | None = None,
    kit: Kit | None = None,
    clock: Clock | None = None,
) -> Explained:
    """Put one reeving to every check. `walk`: places of the site (`optimiser.rig.notation`), straps at
    any height an anchor allows; `stations`: a stretch of the path instead of the whole; `clock`: how long
    cures are looked for, PATIENCE if left out."""
    site = with_places(site, walk)
    job = Job.of(site, question.rules(site), kit=kit, stations=stations)
    job = replace(job, kept=question.hold)
    rig = _rigged(job, walk)
    checks = rig.checks()
    if not all(check.passed for check in checks):

        def again(trial: Trial) -> Failures:
            # A steering line may lead to any trunk, so then no place is left out.
            placed = with_places if job.kept else only_places
            other = replace(job, site=placed(trial.site, trial.walk), stations=trial.stations)
            if trial.laid is not None:
                other = with_piece(other, trial.laid)
            return failures([c.name for c in _rigged(other, trial.walk).checks() if not c.passed])

        before = failures([check.name for check in checks if not check.passed])
        clock = clock or Clock(None, None).within(PATIENCE)
        checks = rig.checks(Searching(rig.job, rig.row, before, again, clock))
    works = all(check.passed for check in checks)
    if question.hold and rig.setup is not None and _only_unrated(checks):
        return _kept_in_hand(rig, walk, checks, clock or Clock(None, None).within(PATIENCE))
    if works and rig.setup is not None:
        verify(site, rig.setup, extra=job.kit.pieces)
    return Explained(walk=walk, checks=checks, setup=rig.setup, works=works, standing=rig.standing)


def _only_unrated(checks: Sequence[Check]) -> bool:
    """Whether nothing is against a rig but that parts of it have no rating."""
    return all(check.passed or check.name == RATED for check in checks)


def _kept_in_hand(rig: "_Rigged", walk: Walk, checks: tuple[Check, ...], clock: Clock) -> Explained:
    """A rig that works, with its second lines, or what keeps there from being one."""
    job, filled = rig.job, rig.filled
    assert filled is not None
    lines = SecondLines(job.site, clock)
    admitted = lines.admit(filled, Filler(Order.of(job.site.preferences), job.floor))
    if admitted is None:
        setup = build_setup(filled, rank=1)
        bare = not_held(job.site, setup, clock)
        found = (*checks, *missing_checks(bare))
        return Explained(
            walk=walk, checks=found, setup=setup, works=False, not_held=bare, standing=rig.standing
        )
    other = _Rigged(_there(job, admitted.variant.row), admitted.variant.row, admitted, True)
    kept = lines.kept(build_setup(admitted, rank=1), extra=job.kit.pieces)
    assert kept is not None
    found = (*other.checks(), *line_checks(kept, job.floor))
    works = all(check.passed for check in found)
    return Explained(walk=walk, checks=found, setup=kept, works=works, standing=other.standing)


@dataclass(frozen=True)
class _Rigged:
    """A rig with the gear that would be hung in it."""

    job: Job
    row: RigRow
    filled: Filled | None
    whole: bool  # its gear is for the whole stretch and the rig as it is

    @cached_property
    def setup(self) -> Setup | None:
        """A part of the stretch only, or one with a slack line, is no setup to hand out."""
        return build_setup(self.filled, rank=1) if self.filled is not None and self.whole else None

    @property
    def standing(self) -> Standing | None:
        """Where its puller is, where that is for the search to say."""
        return standing(self.job.site, self.row.scene.puller)

    def checks(self, search: Searching | None = None) -> tuple[Check, ...]:
        """Every check; `search` finds the changes that cure what fails."""
        out = checks_of(self.job, self.row, self.filled, search)
        if self.filled is not None:
            out += tuple(Fits(self.job, self.filled).checks())
        return out


def _rigged(job: Job, walk: Walk) -> _Rigged:
    """The gear that a ranking would hang in a rig, or else the least bad."""
    puller = walk[-1].name
    taken = [scene for scene in job.every_scene() if scene.puller.name == puller]
    ranked = _as_ranked(job, taken, walk)
    if ranked is not None:
        return _Rigged(_there(job, ranked.variant.row), ranked.variant.row, ranked, True)
    # An anchor that stands nothing would leave no gear to report on.
    some = replace(job, site=with_anchors(job.site, 1.0))
    weak = some.site.anchors != job.site.anchors
    if weak:
        taken = [s for s in some.every_scene() if s.puller.name == puller]
    row, filled = _least_bad(some, taken, walk)
    job = _there(job, row)
    if weak:
        return _Rigged(job, row, filled, False)
    whole = filled is not None and any(s is filled.variant.row.scene for s in taken)
    return _Rigged(job, row, filled, whole)


def _there(job: Job, row: RigRow) -> Job:
    """The job with the puller of a rig where the rig has it, if that was left to the search."""
    return replace(job, site=pinned(job.site, row.scene.puller))


def explain_reeving(
    site: Site, reeving: str | Sequence[str], question: WhyQuestion = WHY
) -> Explained | ExplainedPair | ExplainedDown:
    """Put one reeving, as rankings print it or as a sequence of places, to every check; of tackle on
    tackle (both reevings in one text), whether it works, or what stops it and what would cure it. InputError
    where it cannot be read."""
    text = reeving if isinstance(reeving, str) else json.dumps(list(reeving))
    if question.down:
        walk, turns = parse_way_down(text, site)
        return explain_down(site, walk, turns, question)
    return explain_lines(site, parse_lines(text, site), question)


def explain_lines(
    site: Site, walks: Sequence[Walk], question: WhyQuestion = WHY
) -> Explained | ExplainedPair:
    """`explain` of the one rope, or of the two, that a setup has. Tackle on tackle breaks no rule."""
    if len(walks) == 1:
        return explain(site, walks[0], question)
    first, second = walks
    return two_ropes.explain(site, (first, second), question)


def _as_ranked(job: Job, taken: list[Scene], walk: Walk) -> Filled | None:
    """The filling that a ranking would give the reeving: of a rope that is joined or lengthened only
    where none of one piece does. None where it would not list it."""
    order = Order.of(job.site.preferences)
    rated, strong = [scene for scene in taken if scene.rated], job.kit.rated_only
    for some, kit, only_rated in (
        (rated, strong, True),
        (rated, with_joined(strong), True),
        (taken, job.kit, False),
        (taken, with_joined(job.kit), False),
    ):
        board = Board(order, 1, everything=True)
        for scene in some:
            path = np.array([[scene.number[place] for place in reversed(walk[:-1])]])
            tables = Tables(scene, kit, job.rules, job.floor, only_rated)
            if path.shape[1] - 1 <= kit.sheave_count:
                one_rope(tables, board, order, Tally()).take(path)
        for _, entry in board.leaders():
            filled = Filler(order, job.floor).settled(entry.filled, entry.rivals)
            return refined(filled, order, job.floor)
    return None


def _least_bad(job: Job, taken: list[Scene], walk: Walk) -> tuple[RigRow, Filled | None]:
    """The rig that comes nearest, and its gear with the fewest pieces that are not there: owned ones
    whatever they stand, then more of the same, last whatever the catalogue has; and with room for it
    sooner than without."""
    pairs = [(scene, eased(scene, walk)) for scene in taken]
    spare, own = spare_kit(job.kit), more_to_lay(job.kit.rated_only)
    stocks: tuple[tuple[Kit, Completed | None, bool], ...] = (
        (own, None, True),
        (spare, Completed.MISSING, True),
        (own, None, False),
        (spare, Completed.MISSING, False),
        (spare, Completed.ALL, True),
        (spare, Completed.ALL, False),
    )
    for kit, added, roomy in stocks:
        found = [
            (RigRow(_look(scene, walk, [filled.variant.row.etas]), 0), filled)
            for scene, easier in pairs
            if easier is not None
            for filled in _filled(job, easier, walk, kit, added=added, roomy=roomy)
        ]
        if found:
            return min(found, key=lambda e: (_badness(e[0])[0], _missing(e[1]), -e[1].margin))
    return min(_rows(spare, taken, walk), key=_badness), None


def _filled(
    job: Job, scene: Scene, walk: Walk, kit: Kit, *, added: Completed | None, roomy: bool
) -> Iterator[Filled]:
    """The least bad gear for each of the most hopeful choices of bearings."""
    order = Order((Count.MARGIN,), max(job.floor, 2.0))
    rows = _rows(kit, [scene], walk)
    for row in sorted(rows, key=lambda r: (_absent(r, job.kit), _badness(r)))[:MOST_FILLED]:
        if not np.isfinite(row.pull).all() or not (row.pull > 0.0).any():
            continue
        full = kit if added is None else completed(kit, row, job.floor, added)
        # Where a slot can be filled by nothing, the solver need not be called.
        able = [v for v in _variants(row, full) if loose_margin(v) > 0.0]
        some = [v if roomy else anyhow(v) for v in able]
        filler = Filler(order, 0.0)
        # Where all are there, none counts as missing.
        paid = added is not None
        filled = filler.cheapest(some, Spending.PIECES, refine=True) if paid else filler.best(some)
        if filled is not None:
            yield filled


def _absent(row: RigRow, kit: Kit) -> int:
    """Sheaves of a row's efficiencies that are not owned."""
    have = Counter[float]()
    for piece in kit.blocks:
        have[piece.gear.eta] += piece.count * piece.gear.sheaves
    return (Counter(row.etas) - have).total()


def _look(scene: Scene, walk: Walk, etas: Sequence[Sequence[float]]) -> Evaluation:
    """The walk with each choice of efficiencies."""
    numbers = np.array([[scene.number[place] for place in walk]] * len(etas))
    return evaluate(scene, numbers, np.array(etas, dtype=float).reshape(len(etas), len(walk) - 2))


def _rows(kit: Kit, taken: list[Scene], walk: Walk) -> Iterator[RigRow]:
    """The walk from every hitch and with every choice of bearings, owned ones if they are enough."""
    sheaves = len(walk) - 2
    patterns = list(eta_patterns(kit, sheaves)) or list(product(kit.etas, repeat=sheaves))
    if not kit.etas:  # no block is owned: any bearing will do, the same in all
        patterns = [(eta,) * sheaves for eta in of_catalogue_etas()]
    patterns = patterns[:MOST_ROWS] or [(1.0,) * sheaves]
    for scene in taken:
        ev = _look(scene, walk, patterns)
        for index in range(len(patterns)):
            yield RigRow(ev, index)


def _badness(row: RigRow) -> tuple[float, float]:
    """How far from working: share of states that do not, then the use of the puller."""
    ev, i = row.evaluation, row.index
    works = float(ev.works[i].mean())
    with np.errstate(divide="ignore", invalid="ignore"):
        use = row.pull / np.maximum(ev.puller_limit[i], 1e-9)
    return (-works, float(np.nan_to_num(use, nan=1e12, posinf=1e12).max()))


def _variants(row: RigRow, kit: Kit) -> Iterator[Variant]:
    """One variant of each kind that a filling distinguishes: the strongest by what is fixed."""
    best: dict[tuple[object, ...], Variant] = {}
    for variant in variants(row, kit):
        mark = (variant.rope.name, variant.tied, variant.end_shackles)
        if mark not in best or variant.fixed_margin > best[mark].fixed_margin:
            best[mark] = variant
    yield from best.values()


def _missing(filled: Filled) -> float:
    """How many pieces of a filling are not there."""
    used = (*filled.pieces, filled.variant.rope)
    return float(sum(piece.price is not None for piece in used) + _more_laid(filled))


def _more_laid(filled: Filled) -> int:
    """How much of what it lays on edges is not there."""
    needed = Counter(piece.name for piece in filled.pieces if is_of(piece, Protector))
    own = {piece.name: piece.count for piece, _ in filled.variant.laid}
    return sum(max(count - own[name], 0) for name, count in needed.items())
