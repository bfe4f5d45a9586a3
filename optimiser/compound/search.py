"""Finds the best tackles on tackles and proves that none better exists in their space.

The space: the first rope's walk as in any search, ending at a grip on the line to a place at an
anchor; a second rope of at most `tackle.MOST_SHEAVES` sheaves between the grip and that place, with
at least two parts at the grip, whose hauling part leaves the block at the anchor for the puller, over
one lead block at most. Two different ropes, neither of them joined.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from optimiser.compound.evaluate import CompoundEvaluation, evaluate
from optimiser.compound.slots import CompoundRow, grips_on
from optimiser.compound.space import TackleScene, TackleTables, tackle_scene
from optimiser.compound.tackle import Tackle
from optimiser.compound.variants import Known, variants
from optimiser.compound.work import LEAST_RUN
from optimiser.evaluate import CHUNK, Evaluation
from optimiser.gear.kit import Kit, rope_capacity
from optimiser.gear.row import RigRow
from optimiser.gear.slots import Variant
from optimiser.keys import Order
from optimiser.scene import GRIP_NUMBER, Scene
from optimiser.search.board import Board, Entry
from optimiser.search.count import walks_in_space
from optimiser.search.grow import Grower
from optimiser.search.leaves import Confirmer, Tally, eta_patterns
from optimiser.search.partial import Bound
from optimiser.search.prove import Clock, Outcome, search
from optimiser.search.rules import Rules, same_setup
from optimiser.search.tables import Tables

Array = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]


def tackle_scenes(
    scenes: Sequence[Scene], kit: Kit, rules: Rules, floor: float, *, only_rated: bool
) -> Iterator[TackleScene]:
    """Every place at which a second rope's tackle may hang, in every scene."""
    for scene in scenes:
        tables = Tables(scene, kit, rules, floor, only_rated)
        for place in range(1, scene.puller_number):
            found = tackle_scene(scene, tables, place)
            if found is not None:
                yield found


def search_compounds(
    scenes: Sequence[Scene],
    kit: Kit,
    order: Order,
    rules: Rules,
    *,
    top: int,
    floor: float,
    everything: bool,
    clock: Clock,
    only_rated: bool = True,
    stop: str = "",
) -> Outcome:
    """The `top` best over all scenes; arguments as of `search.prove.search`."""
    able = len(kit.ropes) >= 2 and kit.sheave_count >= 2

    def workers(scene: Scene, board: Board, tally: Tally) -> tuple[Grower, Confirmer]:
        tables = TackleTables(scene, kit, rules, floor, only_rated)
        return Grower(tables), CompoundConfirmer(tables, board, order, tally)

    found = tackle_scenes(scenes, kit, rules, floor, only_rated=only_rated) if able else ()
    return search(
        list(found), kit, order, rules, top=top, floor=floor, everything=everything, clock=clock,
        only_rated=only_rated, stop=stop, workers=workers,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best tackles on tackles, the fully rated first, and the pairs of walks there are."""

    entries: tuple[Entry, ...]
    proven: bool
    space: int


def find_compounds(
    scenes: Sequence[Scene],
    kit: Kit,
    order: Order,
    rules: Rules,
    *,
    top: int,
    floor: float,
    everything: bool,
    clock: Clock,
    loose: bool,
) -> Found:
    """The `top` best, as `ranking.rank` finds other setups: those with a piece without a rating only
    (`loose`: there are any) only where there are too few of the others."""
    rated = [scene for scene in scenes if scene.rated]
    first = search_compounds(
        rated,
        kit.rated_only,
        order,
        rules,
        top=top,
        floor=floor,
        everything=everything,
        clock=clock,
    )
    listed = [entry for _, entry in first.board.leaders()]
    if len(listed) < top and loose:
        more = search_compounds(
            scenes, kit, order, rules, top=top + len(first.board.entries), floor=floor,
            everything=True, clock=clock, only_rated=False,
        )  # fmt: skip
        known = set(first.board.entries)
        unrated = [e for i, e in more.board.leaders() if i not in known and e.filled.unrated]
        listed += unrated[: top - len(listed)]
    space = compounds_in_space(scenes, kit, rules)
    return Found(entries=tuple(listed), proven=not clock.stopped, space=space)


def compounds_in_space(scenes: Sequence[Scene], kit: Kit, rules: Rules) -> int:
    """Pairs of walks in the space, counted."""
    total = 0
    for scene in tackle_scenes(scenes, kit, rules, 1.0, only_rated=False):
        by_sheaves: dict[int, int] = {}
        for choice in scene.choices:
            by_sheaves[choice.sheaves] = by_sheaves.get(choice.sheaves, 0) + 1
        for sheaves, many in by_sheaves.items():
            fewer = replace(scene.site.preferences, most_sheaves=scene.sheaves - sheaves)
            less = replace(scene, site=replace(scene.site, preferences=fewer))
            total += many * walks_in_space(less, kit, rules)
    return total


class CompoundConfirmer(Confirmer):
    """Pairs each walk of the first rope with every second rope at the scene's place."""

    def __init__(self, tables: Tables, board: Board, order: Order, tally: Tally) -> None:
        super().__init__(tables, board, order, tally)
        self._known: dict[tuple[int, ...], Known] = {}

    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        if not len(path):
            return
        here = self.scene
        assert isinstance(here, TackleScene)
        assert here.real is not None
        firsts = path[:, ::-1]
        for tackle in here.choices:
            sheaves = firsts.shape[1] - 1 + tackle.sheaves
            if sheaves > here.sheaves:
                continue
            self.tally.looked_at += len(path)
            some = self._hopeful(firsts, tackle)
            patterns = np.array(list(eta_patterns(self.kit, sheaves)), dtype=float)
            rows = np.repeat(some, len(patterns))
            etas = np.tile(patterns, (len(some), 1))
            for begin in range(0, len(rows), CHUNK):
                part = slice(begin, begin + CHUNK)
                ev = evaluate(here.real, firsts[rows[part]], tackle, etas[part])
                self.tally.evaluated += len(ev.walks)
                if not self._take_evaluated(ev, on_time):
                    return

    def _hopeful(self, firsts: Numbers, tackle: Tackle) -> Numbers:
        """Of some first walks those that may be of use with a second rope, by the loaded stations and
        the best bearings at hand."""
        rows = np.arange(len(firsts))
        gain = self.tables.gain[self.tables.anchors]
        if len(rows) == 0 or bool((gain < 0.0).any()):
            return rows  # where a part holds the load back, friction in it helps
        etas = np.full((len(firsts), firsts.shape[1] - 1 + tackle.sheaves), self.tables.eta_best)
        out = []
        for begin in range(0, len(firsts), CHUNK):
            part = slice(begin, begin + CHUNK)
            ev = evaluate(self._coarse, firsts[part], tackle, etas[part])
            able = np.flatnonzero((np.isfinite(ev.pull) & (ev.puller_limit > 0.0)).all(axis=1))
            if len(able):
                keep = self._by_pull(ev, able).hopeful(
                    self.order, self.board.limit, self.tables.floor
                )
                out.append(begin + able[keep])
        return np.concatenate(out) if out else rows[:0]

    @cached_property
    def _coarse(self) -> Scene:
        """The real scene at the stations of the bounds alone, first and last among them."""
        here = self.scene
        assert isinstance(here, TackleScene)
        assert here.real is not None
        return here.real.with_stations(here.stations.pick(self.tables.rows))

    def _by_pull(self, ev: CompoundEvaluation, rows: Numbers) -> Bound:
        """Bounds from the pull with the best bearings, and the way that is left to haul."""
        dyn, worst = ev.scene.puller.dynamic, ev.pull[rows].max(axis=1)
        worst = np.maximum(worst, 1e-9)
        margin = ev.puller_limit[rows].max(axis=1) / worst
        main, second = self._rope_limits
        margin = np.minimum(margin, main / (dyn * worst * ev.gained[rows]))
        margin = np.minimum(margin, second / (dyn * worst))
        own = ev.lengths[: ev.grip - 1, rows].sum(axis=0).max(axis=1)
        return Bound(margin, *self._least_work(ev, rows, own + self.tables.ends_eaten))

    @cached_property
    def _rope_limits(self) -> tuple[float, float]:
        """The most the first rope's grip and the second rope may carry, N."""
        ropes = self.kit.ropes
        held = (rope_capacity(r, keeps=g.keeps) for r in ropes for g in grips_on(self.kit, r))
        main = max((np.inf if c is None else c for c in held), default=0.0)
        bare = (rope_capacity(r) for r in ropes)
        return main, max((np.inf if c is None else c for c in bare), default=0.0)

    def _take_evaluated(self, ev: CompoundEvaluation, on_time: Callable[[], bool]) -> bool:
        good = np.flatnonzero(ev.works.all(axis=1))
        if not len(good):
            return True
        bound = self._bound(ev, good)
        keep = bound.hopeful(self.order, self.board.limit, self.tables.floor)
        good, bound = good[keep], bound.pick(keep)
        for i in np.lexsort([good, *reversed(bound.columns(self.order))]):
            if not on_time():
                return False
            one = bound.pick(np.array([i]))
            if one.hopeful(self.order, self.board.limit, self.tables.floor)[0]:
                self._confirm(CompoundRow(ev, int(good[i])), one)
        return True

    def _bound(self, ev: Evaluation, rows: Numbers) -> Bound:
        """Exact forces on the puller, the ropes, the anchors and the load's hitch."""
        assert isinstance(ev, CompoundEvaluation)
        dyn, pull = ev.scene.puller.dynamic, ev.pull[rows]
        worst = pull.max(axis=1)
        with np.errstate(divide="ignore"):
            margin = (np.maximum(ev.puller_limit[rows], 1e-9) / pull).min(axis=1)
        main, second = self._rope_limits
        margin = np.minimum(margin, main / (dyn * worst * ev.gained[rows]))
        margin = np.minimum(margin, second / (dyn * worst))
        for a, (uses, demand) in ev.anchor_demand.items():
            strength = ev.scene.site.anchors[a].strength.capacity
            if strength is not None:
                peak = demand[rows].max(axis=1) * dyn
                on = uses[rows] & (peak > 0.0)
                least = np.minimum(margin, strength / np.maximum(peak, 1e-9))
                margin = np.where(on, least, margin)
        attachment = ev.scene.attachment
        rating = attachment.hitches[0].rating
        if rating is not None and not attachment.bridled:
            hitch = np.sqrt((ev.on_load[:, rows] ** 2).sum(axis=0)) * pull
            margin = np.minimum(margin, rating / (hitch.max(axis=1) * dyn))
        own = ev.lengths[: ev.grip - 1, rows]
        needed = own.sum(axis=0).max(axis=1) if len(own) else np.zeros(len(rows))
        needed = needed + self.tables.ends_eaten
        margin = np.where(needed > self.tables.longest_rope + 1e-6, 0.0, margin)
        return Bound(margin, *self._least_work(ev, rows, needed))

    def _least_work(
        self, ev: CompoundEvaluation, rows: Numbers, needed: Array
    ) -> tuple[Array, Array]:
        """The fewest resets, and the least rope, m, of both ropes. Between two moves of the grip the
        second rope comes in by its parts times what the first rope's other runs and the way to the
        anchor shorten; a stroke takes in no more than the puller's run."""
        assert ev.span is not None
        near = ev.states.spot == 0
        way = (ev.lengths[: ev.grip - 1, rows].sum(axis=0) + ev.span[rows])[:, near]
        taken = ev.tackle.parts * (way[:, 0] - way[:, -1])
        puller = ev.scene.puller
        run = puller.purchase if puller.purchase is not None else puller.run
        strokes = np.ceil(taken / run - 1e-6) if run > 0.0 else np.ones(len(rows))
        free = [
            ev.lengths[ev.grip + 1 + i, rows]
            for i in range(len(ev.tackle.numbers))
            if GRIP_NUMBER not in ev.walks[0, ev.grip + 1 + i : ev.grip + 3 + i]
        ]
        beyond = sum(free)[:, near].max(axis=1) if free else 0.0
        second = ev.tackle.parts * LEAST_RUN + beyond + ev.scene.site.preferences.rope_spare
        return np.maximum(strokes - 1.0, 0.0), needed + second

    def identity(self, row: RigRow) -> tuple[object, ...]:
        assert isinstance(row, CompoundRow)
        first, second = row.walks
        below = tuple(place.name or place.kind for place in second)
        return ("compound", *same_setup(first), *below)

    def variants(self, row: RigRow) -> Iterator[Variant]:
        assert isinstance(row, CompoundRow)
        known = self._known.setdefault(row.numbers, {})
        yield from variants(row, self.kit, known)
