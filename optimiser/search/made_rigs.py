"""Makes rigs of complete walks, with the forces on them at every station: of one rope that hauls, of one that
lets down (`held_rigs.py`), or of two (see `optimiser.search.two_ropes.search`).

Most walks are dismissed at the bounds' stations alone, which is quick; what is left is worked out exactly.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import Any

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluate import CHUNK, evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.fastening import fastenings, standing_fixtures
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import variants
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Key
from optimiser.search.bounds.legs import Legs
from optimiser.search.bounds.no_room import has_room
from optimiser.search.bounds.of_ropes import RopeBounds
from optimiser.search.bounds.partial import Bound
from optimiser.search.bounds.pieces import by_blocks, by_hitch
from optimiser.search.rules import same_setup
from optimiser.search.sought import Sought

FIRST = 1000
"""Walks at a time that are looked at at the bounds' stations."""

OnTime = Callable[[], bool]
Candidates = Iterator[tuple[Numbers, Array, Bound]]
"""Walks (n, m + 2), each with a choice of bearings (n, m), that are hopeful at the bounds' stations, the best
first, with their bounds."""


class Choosing(ABC):
    """The choices of bearings that the gear at hand allows."""

    @abstractmethod
    def candidates(self, rigs: "OneRope", walks: Numbers, on_time: OnTime) -> Candidates:
        """Walks of one rope with each choice of bearings for their sheaves."""

    @abstractmethod
    def patterns(self, sheaves: int) -> Array:
        """(k, sheaves) efficiencies of so many sheaves."""


class Rigs(ABC):
    """Rigs of one scene's walks."""

    def __init__(self, sought: Sought) -> None:
        self.sought = sought

    @abstractmethod
    def evaluated(self, path: Numbers, bearings: Choosing, on_time: OnTime) -> Iterator[Evaluation]:
        """Rigs of complete paths (n, m + 1), from the drive backwards, that are hopeful still."""

    @abstractmethod
    def bounds(self, ev: Evaluation, rows: Numbers) -> RopeBounds[Any]:
        """Bounds on some rigs (k,) of an evaluation, from exact forces."""

    @abstractmethod
    def roomy(self, ev: Evaluation, rows: Numbers, bound: Bound) -> Mask:
        """(k,) whether gear that is strong enough could fit between the places of some rigs."""

    @abstractmethod
    def row(self, ev: Evaluation, number: int, ropes: tuple[Any, ...]) -> RigRow:
        """One rig, with the ropes that may be of use."""

    @abstractmethod
    def identity(self, row: RigRow) -> tuple[object, ...]:
        """Returns the mark of the row's setup, the same for all its walks."""

    @abstractmethod
    def variants(self, row: RigRow, kit: Kit, paid: Callable[[float], bool]) -> Iterator[Variant]:
        """Every choice of ropes that is paid for, and every way to make fast their ends, for the row."""

    @abstractmethod
    def with_only(self, row: RigRow, filled: Filled, kit: Kit) -> tuple[Key, Filled] | None:
        """The rig filled from a kit that has no more than it uses beside what is owned; None where it does
        not work so. `filled`: with more at hand."""


class OneRope(Rigs):
    """Rigs of one rope."""

    def evaluated(self, path: Numbers, bearings: Choosing, on_time: OnTime) -> Iterator[Evaluation]:
        walks = numbers_of(path, self.sought.tables)
        self.sought.tally.looked_at += len(walks)
        for some, etas, bound in bearings.candidates(self, walks, on_time):
            for begin in range(0, len(some), CHUNK):
                few = np.arange(begin, min(begin + CHUNK, len(some)))
                few = few[self._still(some[few], bound.pick(few))]
                if len(few):
                    yield self.evaluate(self.sought.scene, some[few], etas[few])

    def evaluate(self, scene: Scene, walks: Numbers, etas: Array) -> Evaluation:
        """Walks (n, m + 2) with the efficiencies of their sheaves (n, m)."""
        return evaluate(scene, walks, etas)

    @cached_property
    def few(self) -> Scene:
        """The scene at the bounds' stations only."""
        return self.sought.scene.at(np.unique(self.sought.tables.stations))

    def best_first(self, walks: Numbers, etas: Array) -> tuple[Numbers, Bound]:
        """Which of the walks are hopeful when nothing but the bounds' stations is looked at: that is
        quick, and most are not. The best first, with their bounds."""
        ev = self.evaluate(self.few, walks, etas)
        good = np.flatnonzero(ev.works.all(axis=1))
        bound = self._bound(ev, good)
        keep = self.sought.keep(bound)
        good, bound = good[keep], bound.pick(keep)
        # With the least rope first the hopeful ones run between trees that stand too close for any gear.
        roomy = self.roomy(ev, good, bound)
        good, bound = good[roomy], bound.pick(roomy)
        rank = np.lexsort([good, -bound.margin, *reversed(bound.columns(self.sought.order))])
        return good[rank], bound.pick(rank)

    def _still(self, walks: Numbers, bound: Bound) -> Mask:
        """(n,) which are hopeful still, and not behind the best of their setup found meanwhile."""
        out = self.sought.keep(bound)
        columns = bound.columns(self.sought.order)
        sorts = zip(*(column.tolist() for column in columns), strict=True)
        for i, (numbers, sort) in enumerate(zip(walks.tolist(), sorts, strict=True)):
            if out[i]:
                known = self.sought.board.best_of(self.mark(numbers))
                out[i] = known is None or sort <= known.sort
        return out

    def bounds(self, ev: Evaluation, rows: Numbers) -> RopeBounds[None]:
        """See the base; pieces by sorted matching at best."""
        return RopeBounds((None,), self._bound(ev, rows))

    def _bound(self, ev: Evaluation, rows: Numbers) -> Bound:
        tables, margin = self.sought.tables, self.margin(ev, rows)
        near = ev.states.spot == 0
        total = ev.total_length[rows][:, near]
        hauled = total[:, 0] - np.minimum.accumulate(total, axis=1)[:, -1]
        net = total[:, 0] - total[:, -1]
        resets = tables.fewest_resets(ev.walks[rows, -2], hauled, net)
        rope_needed = total.max(axis=1) + self.eaten(ev.walks[rows, 0])
        margin = np.where(rope_needed > tables.drive.longest + 1e-6, 0.0, margin)
        walks = ev.walks[rows]
        at_load = walks == 0
        parts = 2.0 * at_load.sum(axis=1) - at_load[:, 0]
        marked = None if tables.marks is None else tables.marks.of(walks[:, -2::-1])
        return Bound(margin, resets, rope_needed, parts, ev.pull[rows].max(axis=1), marked)

    def eaten(self, places: Numbers) -> Array:
        """(k,) m, the least rope that both ends take with what is kept in hand, by the place of the standing
        end (k,); infinite where no rope can be made fast."""
        ends = np.zeros(self.sought.scene.puller_number)
        for place in np.unique(places).tolist():
            ends[place] = self._least_eaten(place)
        return ends[places] + self.sought.scene.site.preferences.rope_spare

    def _least_eaten(self, place: int) -> float:
        if place not in self._ends:
            scene = self.sought.scene
            fixtures = standing_fixtures(scene, place, alone=True)
            every = fastenings(self.sought.kit, fixtures, scene.puller.fixture)
            taken = (one.standing.eaten + one.hauling.eaten for one in every)
            self._ends[place] = min(taken, default=np.inf)
        return self._ends[place]

    @cached_property
    def _ends(self) -> dict[int, float]:
        """m that both ends of a rope take at the least, by the place of the standing end."""
        return {}

    def margin(self, ev: Evaluation, rows: Numbers) -> Array:
        """(k,) the best margin of some rows of an evaluation, whatever pieces are chosen."""
        tables, dyn, pull = self.sought.tables, ev.scene.puller.dynamic, ev.pull[rows]
        rope = max((rope_capacity(r) or np.inf for r in tables.kit.ropes), default=0.0)
        out = rope / (dyn * np.maximum(pull.max(axis=1), 1e-9))
        if not tables.by_hand:
            out = np.minimum(out, ev.puller_margin(rows))
        out = np.minimum(out, ev.anchor_margin(rows))
        out = np.minimum(out, by_hitch(tables, ev, rows, pull) / dyn)
        return np.minimum(out, by_blocks(tables.kit, ev, rows, pull) / dyn)

    def roomy(self, ev: Evaluation, rows: Numbers, bound: Bound) -> Mask:
        sought = self.sought
        wanted = bound.wanted(sought.order, sought.board.limit, sought.floor).margin
        return has_room(sought.tables, ev, rows, wanted)

    def row(self, ev: Evaluation, number: int, ropes: tuple[None, ...]) -> RigRow:
        return RigRow(ev.alone(number), 0)

    def identity(self, row: RigRow) -> tuple[object, ...]:
        return self.mark(row.numbers)

    def mark(self, numbers: Sequence[int]) -> tuple[object, ...]:
        """The mark of a walk's setup."""
        return same_setup(self.sought.scene.walk(tuple(numbers)))

    def variants(self, row: RigRow, kit: Kit, paid: Callable[[float], bool]) -> Iterator[Variant]:
        return variants(row, kit)

    def with_only(self, row: RigRow, filled: Filled, kit: Kit) -> tuple[Key, Filled] | None:
        """See the base; more gear at hand does no harm."""
        return Key.of(filled.variant, filled.margin), filled


def numbers_of(path: Numbers, tables: Legs) -> Numbers:
    """(n, m + 2) walks from the standing end to the puller out of (n, m + 1) paths from the puller; to the
    trunk of the turns out of (n, m + 2) paths from there, where a hand holds."""
    if tables.by_hand:
        return path[:, ::-1]
    pullers = np.full((len(path), 1), tables.scene.puller_number)
    return np.concatenate([path[:, ::-1], pullers], axis=1)
