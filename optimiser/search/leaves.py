"""Turns complete walks into setups: exact forces at every station, then which piece goes where.

A walk is dismissed as soon as a bound on it cannot reach the list; what is left is given gear: the best that
is there (`FromKit`), or the cheapest that does (`optimiser.search.buying.confirm`).
"""

from abc import abstractmethod
from collections.abc import Iterator
from typing import Any

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear import fill
from optimiser.rig.gear.covered import coverable
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.board import Board, Entry
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.of_ropes import RopeBounds
from optimiser.search.bounds.partial import Bound
from optimiser.search.held_rigs import HeldRope
from optimiser.search.made_rigs import FIRST, Candidates, Choosing, OneRope, OnTime, Rigs
from optimiser.search.sought import Sought, Tally

REMEMBERED = 50_000
"""Walks of one scene that are remembered: those of a first list, mostly. The proof comes to each once."""


class Giving(Choosing):
    """Gives rigs their gear."""

    def __init__(self, sought: Sought) -> None:
        self.sought = sought
        self._taken: set[bytes] = set()

    def new(self, path: Numbers) -> Numbers:
        """Those of the paths (n, m + 1) that are to be looked at: walks of the first list come again in the
        proof."""
        marks = [row.tobytes() for row in path]
        new = [i for i, mark in enumerate(marks) if mark not in self._taken]
        if len(self._taken) < REMEMBERED:
            self._taken.update(marks)
        return path[new]

    def again(self) -> None:
        """Look at all paths anew."""
        self._taken.clear()

    def able(self, ev: Evaluation, rows: Numbers, bound: Bound) -> Mask:
        """(k,) whether there could be gear for some rigs of an evaluation."""
        return np.ones(len(rows), dtype=bool)

    def with_every_bearing(self, rigs: OneRope, walks: Numbers, on_time: OnTime) -> Candidates:
        """Walks with each choice of bearings, after a look at the bounds' stations alone."""
        rows, etas = self._with_bearings(walks)
        for part in range(0, len(rows), FIRST):
            if not on_time():
                return
            some, chosen = walks[rows[part : part + FIRST]], etas[part : part + FIRST]
            few, bound = rigs.best_first(some, chosen)
            yield some[few], chosen[few], bound

    def _with_bearings(self, walks: Numbers) -> tuple[Numbers, Array]:
        """(r,) rows of the walks, each with every choice of bearings (r, m) for its sheaves. A block of
        several sheaves hangs at one place, so the choice depends on which sheaves share theirs."""
        sheaves, kit = walks[:, 1:-1], self.sought.kit
        every = self.patterns(sheaves.shape[1])
        if not (kit.many_sheaved and sheaves.shape[1]):
            return np.repeat(np.arange(len(walks)), len(every)), np.tile(every, (len(walks), 1))
        shared = (sheaves[:, :, None] == sheaves[:, None, :]).argmax(axis=2)
        kinds, kind = np.unique(shared, axis=0, return_inverse=True)
        able = [
            np.array([coverable(kit, places, tuple(p)) for p in every.tolist()], dtype=bool)
            for places in kinds.tolist()
        ]
        picked = [np.flatnonzero(able[k]) for k in kind.ravel()]
        rows = np.repeat(np.arange(len(walks)), [len(few) for few in picked])
        return rows, every[np.concatenate(picked)] if picked else every[:0]

    @abstractmethod
    def give(self, rigs: Rigs, row: RigRow, bound: Bound) -> None:
        """Fill a rig and put it on the board."""


class Confirmer:
    """Confirms complete walks of one scene and offers them to the board."""

    def __init__(self, rigs: Rigs, giving: Giving) -> None:
        self.rigs, self.giving = rigs, giving
        self.sought = giving.sought

    @property
    def tables(self) -> Tables:
        return self.sought.tables

    @property
    def scene(self) -> Scene:
        return self.sought.scene

    @property
    def tally(self) -> Tally:
        return self.sought.tally

    def again(self) -> None:
        """Look at rigs anew that were only dismissed by a limit that is not final."""
        self.giving.again()

    def take(self, path: Numbers, on_time: OnTime = lambda: True) -> None:
        """Look at complete paths (n, m + 1)."""
        path = self.giving.new(path)
        if not len(path):
            return
        evaluated = self.rigs.evaluated(path, self.giving, on_time)
        while True:
            with self.tally.watch.on("evaluate"):
                ev = next(evaluated, None)
                if ev is None:
                    return
            if not self.work_out(ev, on_time):
                return

    def work_out(self, ev: Evaluation, on_time: OnTime) -> bool:
        """Give gear to the rigs of an evaluation that may come onto the board. False once the time is up."""
        with self.tally.watch.on("evaluate"):
            self.tally.evaluated += len(ev.walks)
            # Where the load runs on by itself all the way there is nothing to haul, where it rests nothing to
            # hold.
            works = ev.works.all(axis=1) & (ev.pull > 0.0).any(axis=1) & ev.of_its_own
            good = np.flatnonzero(works)
            if not len(good):
                return True
            good, bounds = self._hopeful(ev, good)
        with self.tally.watch.on("fill"):
            return self._give(ev, good, bounds, on_time)

    def _hopeful(self, ev: Evaluation, good: Numbers) -> tuple[Numbers, RopeBounds[Any]]:
        """Those of some rigs of an evaluation that may come onto the board, with their bounds."""
        bounds = self.rigs.bounds(ev, good)
        kept = bounds.hopeful(self.sought.keep)
        good, bounds = good[kept], bounds.pick(kept)
        best = bounds.best(self.sought.order)
        able = self.rigs.roomy(ev, good, best) & self.giving.able(ev, good, best)
        return good[able], bounds.pick(able)

    def _give(
        self, ev: Evaluation, rows: Numbers, bounds: RopeBounds[Any], on_time: OnTime
    ) -> bool:
        """Give some rigs their gear, the best first. False once the time is up."""
        best = bounds.best(self.sought.order)
        for i in np.lexsort([rows, -best.margin, *reversed(best.columns(self.sought.order))]):
            if not on_time():
                return False
            ropes = bounds.able(int(i), self.sought.keep)
            if ropes:
                row = self.rigs.row(ev, int(rows[i]), ropes)
                self.giving.give(self.rigs, row, best.pick(np.array([i])))
        return True


def one_rope(tables: Tables, board: Board, order: Order, tally: Tally) -> Confirmer:
    """What confirms rigs of one rope with the gear that is there."""
    sought = Sought(tables, board, order, tally)
    return Confirmer(rigs_of(sought), FromKit(sought))


def rigs_of(sought: Sought) -> OneRope:
    """Rigs of one rope by what it is for."""
    hand = sought.tables.line.hand
    return OneRope(sought) if hand is None else HeldRope(sought, hand)


class FromKit(Giving):
    """Gives the best of the gear that is there."""

    def __init__(self, sought: Sought) -> None:
        super().__init__(sought)
        self.filler = Filler(sought.order, sought.floor, sought.tally.count_solver)

    def candidates(self, rigs: OneRope, walks: Numbers, on_time: OnTime) -> Candidates:
        return self.with_every_bearing(rigs, walks, on_time)

    def patterns(self, sheaves: int) -> Array:
        found = list(eta_patterns(self.sought.kit, sheaves))
        return np.array(found, dtype=float).reshape(len(found), sheaves)

    def give(self, rigs: Rigs, row: RigRow, bound: Bound) -> None:
        sought = self.sought
        sought.tally.confirmed += 1
        identity = rigs.identity(row)
        known = sought.board.best_of(identity)
        if known is not None and not self._better(bound, known):
            return
        if not row.works_throughout:
            return
        every = rigs.variants(row, sought.kit, lambda _: True)
        some = self._of_use(every, float(bound.margin[0]), known)
        sought.board.fill(identity, some, self.filler)

    def _better(self, bound: Bound, known: Entry) -> bool:
        """Whether a rig with a bound may be better than the best of its setup, by the order or by a greater
        margin."""
        order = self.sought.order
        key = bound.key(0)
        sort, margin = order.sortable(key), key.margin
        return (sort, -margin) < (known.sort, -known.key.margin)

    def _of_use(
        self, variants: Iterator[Variant], margin: float, entry: Entry | None
    ) -> Iterator[Variant]:
        """A rig's variants that may come in, or better their setup's entry, with a margin of so much at
        best. Of those as good by the order the one of the greatest margin counts in the end."""
        order, board = self.sought.order, self.sought.board
        known: dict[tuple[int, float], bool] = {}
        for variant in variants:
            counts = (variant.resets, variant.rope_needed)
            if counts not in known:
                sort = self.filler.sort(variant, margin)
                known[counts] = (
                    order.allows(*counts)
                    and (board.limit is None or sort <= board.limit)
                    and (entry is None or (sort, -margin) < (entry.sort, -entry.key.margin))
                )
            if known[counts] and fill.turns(variant, self.sought.floor):
                yield variant
