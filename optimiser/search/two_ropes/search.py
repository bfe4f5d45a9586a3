"""Finds the best tackles on tackles and proves that none better exists in their space.

The space: the first rope's walk as in any search, ending at a grip on the line to a place at an
anchor; a second rope of at most `tackle.MOST_SHEAVES` sheaves between the grip and that place, with
at least two parts at the grip, whose hauling part leaves the block at the anchor for the puller, over
one lead block at most. Two different ropes, neither of them joined.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from math import inf

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluate import CHUNK
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import Scene, for_two_ropes
from optimiser.rig.order import Order
from optimiser.rig.two_ropes.evaluate import CompoundEvaluation, evaluate_pairs
from optimiser.rig.two_ropes.pairs import pairs
from optimiser.rig.two_ropes.slots import CompoundRow
from optimiser.rig.two_ropes.variants import Known, variants
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.partial import Bound
from optimiser.search.count import walks_by_sheaves
from optimiser.search.leaves import Confirming, Tally
from optimiser.search.rules import Rules, same_setup
from optimiser.search.two_ropes.bounds import PairBounds, bounds_of_pairs
from optimiser.search.two_ropes.space import TackleScene, TackleTables, tackle_scene

FEW = 1_000_000
"""Most pairs of walks that are looked through without a request for it: about a second of work."""


def tackle_scenes(
    scenes: Sequence[Scene], kit: Kit, rules: Rules, floor: float, *, only_rated: bool
) -> Iterator[TackleScene]:
    """Every place at which a second rope's tackle may hang, in every scene."""
    for scene in for_two_ropes(scenes):
        if not pairs(kit, scene.puller.fixture):
            continue
        tables = Tables(scene, kit, rules, floor, only_rated)
        for place in range(1, scene.puller_number):
            found = tackle_scene(scene, tables, place)
            if found is not None:
                yield found


def tackle_workers(
    scenes: Sequence[Scene],
    kit: Kit,
    order: Order,
    rules: Rules,
    *,
    floor: float,
    only_rated: bool,
    board: Board,
    tally: Tally,
) -> Iterator[tuple[Grower, "CompoundConfirmer"]]:
    """Returns what grows and what confirms the first ropes' walks to every such place."""
    for scene in tackle_scenes(scenes, kit, rules, floor, only_rated=only_rated):
        tables = TackleTables(scene, kit, rules, floor, only_rated)
        yield Grower(tables), CompoundConfirmer(tables, board, order, tally)


def compounds_in_space(
    scenes: Sequence[Scene], kit: Kit, rules: Rules, *, upto: float = inf
) -> int:
    """Pairs of walks in the space, counted; no further than beyond `upto`."""
    total = 0
    for scene in tackle_scenes(scenes, kit, rules, 1.0, only_rated=False):
        firsts = walks_by_sheaves(scene, kit, rules)
        for seconds in scene.alike:
            left = scene.sheaves - (seconds.shape[1] - 1)
            if left >= 0:
                total += len(seconds) * firsts[min(left, len(firsts) - 1)]
        if total > upto:
            break
    return total


class CompoundConfirmer(Confirming[CompoundRow]):
    """Pairs each walk of the first rope with every second rope at the scene's place."""

    tables: TackleTables
    scene: TackleScene

    def __init__(self, tables: TackleTables, board: Board, order: Order, tally: Tally) -> None:
        super().__init__(tables, board, order, tally)
        self._known: dict[tuple[int, ...], Known] = {}

    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        if not len(path):
            return
        here = self.scene
        firsts = path[:, ::-1]
        for seconds in here.alike:
            sheaves = firsts.shape[1] + seconds.shape[1] - 2
            if sheaves > here.sheaves:
                continue
            first = np.repeat(firsts, len(seconds), axis=0)
            second = np.tile(seconds, (len(firsts), 1))
            self.tally.looked_at += len(first)
            some = self._hopeful(first, second)
            patterns = self.bearings(sheaves)
            rows = np.repeat(some, len(patterns))
            etas = np.tile(patterns, (len(some), 1))
            for begin in range(0, len(rows), CHUNK):
                part = slice(begin, begin + CHUNK)
                ev = evaluate_pairs(here.of, first[rows[part]], second[rows[part]], etas[part])
                self.tally.evaluated += len(ev.walks)
                if not self._take_evaluated(ev, on_time):
                    return

    def bearings(self, sheaves: int) -> Array:
        """(k, sheaves) efficiencies of the sheaves of both ropes that the blocks at hand allow."""
        found = list(eta_patterns(self.kit, sheaves))
        return np.array(found, dtype=float).reshape(len(found), sheaves)

    def _hopeful(self, firsts: Numbers, seconds: Numbers) -> Numbers:
        """Of some first walks with their second ones those that may be of use, by the loaded stations and
        the best bearings at hand."""
        rows = np.arange(len(firsts))
        gain = self.tables.gain[self.tables.anchors]
        if len(rows) == 0 or bool((gain < 0.0).any()):
            return rows  # where a part holds the load back, friction in it helps
        etas = np.full((CHUNK, firsts.shape[1] + seconds.shape[1] - 2), self.tables.eta_best)
        out = []
        for begin in range(0, len(firsts), CHUNK):
            part = slice(begin, begin + CHUNK)
            first = firsts[part]
            ev = evaluate_pairs(self._coarse, first, seconds[part], etas[: len(first)])
            able = np.flatnonzero((np.isfinite(ev.pull) & (ev.puller_limit > 0.0)).all(axis=1))
            if len(able):
                pull = np.maximum(ev.pull[able].max(axis=1), 1e-9)
                margin = ev.puller_limit[able].max(axis=1) / pull
                keep = self._of_pairs(ev, able, margin).hopeful(self._keep)
                out.append(begin + able[keep])
        return np.concatenate(out) if out else rows[:0]

    @cached_property
    def _coarse(self) -> Scene:
        """The real scene at the stations of the bounds alone, first and last among them."""
        here = self.scene
        return here.of.with_stations(here.stations.pick(self.tables.rows))

    def _keep(self, bound: Bound) -> Mask:
        return bound.hopeful(self.order, self.board.limit, self.tables.floor)

    def _of_pairs(self, ev: CompoundEvaluation, rows: Numbers, margin: Array) -> PairBounds:
        here = self.scene
        return bounds_of_pairs(here, self.kit, ev, rows, margin)

    def _take_evaluated(self, ev: CompoundEvaluation, on_time: Callable[[], bool]) -> bool:
        good = np.flatnonzero(ev.works.all(axis=1) & (ev.pull > 0.0).any(axis=1))
        if not len(good):
            return True
        bounds = self._of_pairs(ev, good, self._forces(ev, good))
        keep = bounds.hopeful(self._keep)
        good, bounds = good[keep], bounds.pick(keep)
        best = bounds.best(self.order)
        for i in np.lexsort([good, *reversed(best.columns(self.order))]):
            if not on_time():
                return False
            able = bounds.able(int(i), self._keep)
            if able:
                row = CompoundRow(ev.alone(int(good[i])), 0, able)
                self._confirm(row, best.pick(np.array([i])))
        return True

    def _forces(self, ev: CompoundEvaluation, rows: Numbers) -> Array:
        """The margin by exact forces on the puller, the anchors and the load's hitch."""
        dyn, pull = ev.scene.puller.dynamic, ev.pull[rows]
        margin = np.minimum(ev.puller_margin(rows), ev.anchor_margin(rows))
        attachment = ev.scene.attachment
        rating = attachment.hitches[0].rating
        if rating is not None and not attachment.bridled:
            hitch = np.sqrt((ev.on_load[:, rows] ** 2).sum(axis=0)) * pull
            margin = np.minimum(margin, rating / (hitch.max(axis=1) * dyn))
        return np.asarray(margin)

    def identity(self, row: CompoundRow) -> tuple[object, ...]:
        first, second = row.walks
        below = tuple(place.name or place.kind for place in second)
        return ("compound", *same_setup(first), *below)

    def variants(self, row: CompoundRow) -> Iterator[Variant]:
        known = self._known.setdefault(row.numbers, {})
        yield from variants(row, self.kit, known)
