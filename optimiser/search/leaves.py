"""Turns complete walks into setups: exact forces at every station, then which piece goes where.

A walk is dismissed as soon as a bound on it cannot reach the list; what is left is filled with gear.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Generic, TypeVar

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluate import CHUNK, Evaluation, evaluate
from optimiser.rig.gear import fill
from optimiser.rig.gear.covered import coverable
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.board import Board, Entry
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.no_room import has_room
from optimiser.search.bounds.partial import Bound
from optimiser.search.bounds.pieces import by_blocks, by_hitch
from optimiser.search.rules import same_setup
from optimiser.search.stopwatch import Stopwatch

FIRST = 1000
"""Walks at a time that are looked at at the bounds' stations."""


@dataclass
class Tally:
    """How much was looked at, and how long that took: "evaluate" is exact forces and the bounds from
    them, "fill" the giving out of gear; both are parts of "search" and "proof"."""

    looked_at: int = 0
    evaluated: int = 0
    confirmed: int = 0
    solver_calls: int = 0
    watch: Stopwatch = field(default_factory=Stopwatch)

    def count_solver(self) -> None:
        self.solver_calls += 1


def numbers_of(path: Numbers, scene: Scene) -> Numbers:
    """(n, m + 2) walks from the standing end to the puller out of (n, m + 1) paths from the puller."""
    pullers = np.full((len(path), 1), scene.puller_number)
    return np.concatenate([path[:, ::-1], pullers], axis=1)


Row = TypeVar("Row", bound=RigRow)


class Confirming(ABC, Generic[Row]):
    """Confirms complete walks of one scene and offers them to the board; Row: the rigs that they make."""

    def __init__(self, tables: Tables, board: Board, order: Order, tally: Tally) -> None:
        self.tables, self.board, self.order, self.tally = tables, board, order, tally
        self.scene, self.kit = tables.scene, tables.kit
        self.seen: set[tuple[tuple[int, ...], tuple[float, ...]]] = set()
        self.filler = Filler(order, tables.floor, tally.count_solver)

    @abstractmethod
    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        """Look at complete paths (n, m + 1)."""

    @abstractmethod
    def identity(self, row: Row) -> tuple[object, ...]:
        """Returns the mark of the row's setup, the same for all its walks."""

    @abstractmethod
    def variants(self, row: Row) -> Iterator[Variant]:
        """Every rope and way to make fast its ends for the row."""

    def _confirm(self, row: Row, bound: Bound) -> None:
        mark = (row.numbers, row.etas)
        if mark in self.seen:
            return
        self.tally.confirmed += 1
        identity = self.identity(row)
        known = self.board.best_of(identity)
        if known is not None and tuple(float(c[0]) for c in bound.columns(self.order)) > known.sort:
            return
        if not row.works_throughout:
            return
        some = self._of_use(row, float(bound.margin[0]), known)
        if self.board.fill(identity, some, self.filler):
            self.seen.add(mark)

    def _of_use(self, row: Row, margin: float, entry: Entry | None) -> Iterator[Variant]:
        """The row's variants that may come in, or better their setup's entry, with a margin of so much at
        best. Of those as good by the order the one of the greatest margin counts in the end."""
        known: dict[tuple[int, float], bool] = {}
        for variant in self.variants(row):
            counts = (variant.resets, variant.rope_needed)
            if counts not in known:
                sort = self.filler.sort(variant, margin)
                limit = self.board.limit
                known[counts] = (
                    self.order.allows(*counts)
                    and (limit is None or sort <= limit)
                    and (entry is None or (sort, -margin) < (entry.sort, -entry.key.margin))
                )
            if known[counts] and fill.turns(variant, self.tables.floor):
                yield variant


class Confirmer(Confirming[RigRow]):
    """Confirms walks of one rope."""

    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        """Look at complete paths (n, m + 1)."""
        if not len(path):
            return
        self.tally.looked_at += len(path)
        walks = numbers_of(path, self.scene)
        rows, etas = self._with_bearings(walks)
        for part in range(0, len(rows), FIRST):
            if not on_time():
                return
            with self.tally.watch.on("evaluate"):
                some, bound = self._best_first(
                    walks[rows[part : part + FIRST]], etas[part : part + FIRST]
                )
                some = part + some
            for begin in range(0, len(some), CHUNK):
                few = some[begin : begin + CHUNK]
                few = few[self._still(walks[rows[few]], bound.pick(slice(begin, begin + CHUNK)))]
                if len(few) and not self._confirm_some(walks[rows[few]], etas[few], on_time):
                    return

    def _with_bearings(self, walks: Numbers) -> tuple[Numbers, Array]:
        """(r,) rows of the walks, each with every choice of bearings (r, m) for its sheaves. A block of
        several sheaves hangs at one place, so the choice depends on which sheaves share theirs."""
        sheaves = walks[:, 1:-1]
        patterns = list(eta_patterns(self.kit, sheaves.shape[1]))
        every = np.array(patterns, dtype=float).reshape(len(patterns), sheaves.shape[1])
        if not (self.kit.many_sheaved and sheaves.shape[1]):
            return np.repeat(np.arange(len(walks)), len(every)), np.tile(every, (len(walks), 1))
        shared = (sheaves[:, :, None] == sheaves[:, None, :]).argmax(axis=2)
        kinds, kind = np.unique(shared, axis=0, return_inverse=True)
        able = [
            np.array([coverable(self.kit, places, p) for p in patterns], dtype=bool)
            for places in kinds.tolist()
        ]
        picked = [np.flatnonzero(able[k]) for k in kind.ravel()]
        rows = np.repeat(np.arange(len(walks)), [len(few) for few in picked])
        return rows, every[np.concatenate(picked)] if picked else every[:0]

    @cached_property
    def _few(self) -> Scene:
        """The scene at the bounds' stations only."""
        return Scene.spliced([(self.scene, np.unique(self.tables.stations))])

    def _coarsely(self, walks: Numbers, etas: Array) -> Numbers:
        """Which of the walks are hopeful when nothing but the bounds' stations is looked at."""
        return self._best_first(walks, etas)[0]

    def _best_first(self, walks: Numbers, etas: Array) -> tuple[Numbers, Bound]:
        """Which of the walks are hopeful when nothing but the bounds' stations is looked at: that is
        quick, and most are not. The best first, with their bounds."""
        ev = evaluate(self._few, walks, etas)
        good = np.flatnonzero(ev.works.all(axis=1))
        bound = self._bound(ev, good)
        keep = bound.hopeful(self.order, self.board.limit, self.tables.floor)
        good, bound = good[keep], bound.pick(keep)
        rank = np.lexsort([good, -bound.margin, *reversed(bound.columns(self.order))])
        return good[rank], bound.pick(rank)

    def _still(self, walks: Numbers, bound: Bound) -> Mask:
        """(n,) which are hopeful still, and not behind the best of their setup found meanwhile."""
        out = bound.hopeful(self.order, self.board.limit, self.tables.floor)
        sorts = zip(*(column.tolist() for column in bound.columns(self.order)), strict=True)
        for i, (numbers, sort) in enumerate(zip(walks.tolist(), sorts, strict=True)):
            if out[i]:
                known = self.board.best_of(same_setup(self.scene.walk(numbers)))
                out[i] = known is None or sort <= known.sort
        return out

    def _confirm_some(self, walks: Numbers, etas: Array, on_time: Callable[[], bool]) -> bool:
        """Exact forces at every station; what is still hopeful is filled, the best first. False once the
        time is up."""
        with self.tally.watch.on("evaluate"):
            ev = evaluate(self.scene, walks, etas)
            self.tally.evaluated += len(walks)
            # Where the load runs on by itself all the way there is nothing to haul.
            good = np.flatnonzero(
                ev.works.all(axis=1) & (ev.pull > 0.0).any(axis=1) & ev.of_its_own
            )
            if not len(good):
                return True
            bound = self._bound(ev, good)
            keep = bound.hopeful(self.order, self.board.limit, self.tables.floor)
            good, bound = good[keep], bound.pick(keep)
            wanted = bound.wanted(self.order, self.board.limit, self.tables.floor)
            roomy = has_room(self.tables, ev, good, wanted)
            good, bound = good[roomy], bound.pick(roomy)
        columns = bound.columns(self.order)
        sorts = list(zip(*(column.tolist() for column in columns), strict=True))
        with self.tally.watch.on("fill"):
            for i in np.lexsort([good, *reversed(columns)]):
                if not on_time():
                    return False
                if self.board.limit is None or sorts[i] <= self.board.limit:
                    row = RigRow(ev.alone(int(good[i])), 0)
                    self._confirm(row, bound.pick(np.array([i])))
        return True

    # ---- bounds on evaluated walks ----------------------------------------------------------------

    def _bound(self, ev: Evaluation, rows: Numbers) -> Bound:
        """Bounds on some rows of an evaluation: exact forces, pieces by sorted matching at best."""
        dyn = self.scene.puller.dynamic
        pull = ev.pull[rows]
        worst = np.maximum(pull.max(axis=1), 1e-9)
        rope = max((rope_capacity(r) or np.inf for r in self.kit.ropes), default=0.0)
        margin = ev.puller_margin(rows)
        margin = np.minimum(margin, rope / (dyn * worst))
        margin = np.minimum(margin, ev.anchor_margin(rows))
        margin = np.minimum(margin, by_hitch(self.tables, ev, rows, pull) / dyn)
        margin = np.minimum(margin, by_blocks(self.kit, ev, rows, pull) / dyn)
        near = ev.states.spot == 0
        total = ev.total_length[rows][:, near]
        hauled = total[:, 0] - np.minimum.accumulate(total, axis=1)[:, -1]
        net = total[:, 0] - total[:, -1]
        resets = self.tables.fewest_resets(ev.walks[rows, -2], hauled, net)
        rope_needed = total.max(axis=1) + self.tables.ends_eaten
        margin = np.where(rope_needed > self.tables.longest_rope + 1e-6, 0.0, margin)
        walks = ev.walks[rows]
        at_load = walks == 0
        parts = 2.0 * at_load.sum(axis=1) - at_load[:, 0]
        marked = self.tables.marks.of(walks[:, -2::-1])
        return Bound(margin, resets, rope_needed, parts, pull.max(axis=1), marked)

    def identity(self, row: RigRow) -> tuple[object, ...]:
        """Returns the mark of the row's setup, the same for all its walks."""
        return same_setup(self.scene.walk(row.numbers))

    def variants(self, row: RigRow) -> Iterator[Variant]:
        """Every rope and way to make fast its ends for the row."""
        return variants(row, self.kit)
