"""Searches tackle on tackle with a price list: either of the two ropes may be bought.

Lengths at the grip are reckoned with the longest gear at hand. What is surely there is the gear owned, so
a rig is looked for with that; before a purchase is reported the rig is worked out anew with all of it.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import Scene, for_two_ropes
from optimiser.rig.order import Order
from optimiser.rig.two_ropes.pairs import Pair, pairs
from optimiser.rig.two_ropes.slots import CompoundRow
from optimiser.search.board import Board, Entry
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.partial import Bound, Partial
from optimiser.search.buying.affordable import NEAR, PricedGrower, PricedTables
from optimiser.search.buying.basket import bought
from optimiser.search.buying.confirm import Fresh, cheapest_among
from optimiser.search.buying.money.bearings import Bearings
from optimiser.search.buying.money.bill import Bill
from optimiser.search.buying.money.purse import Purse
from optimiser.search.leaves import Tally
from optimiser.search.rules import Rules
from optimiser.search.two_ropes.search import CompoundConfirmer
from optimiser.search.two_ropes.space import TackleTables, tackle_scene
from optimiser.site.model import Owned


@dataclass(frozen=True)
class PricedTackleTables(TackleTables, PricedTables):
    """Bounds on a first rope of which, and of whose gear, only a part can be bought."""

    @cached_property
    def ropes(self) -> tuple[Array, Array]:
        """What two ropes measure together, m, the longest last, and the least that two at least as long
        cost."""
        found = pairs(self.kit, self.scene.of.puller.fixture)
        there = sorted(((p.first.length or 0.0) + (p.second.length or 0.0), p.price) for p in found)
        table = np.array(there or [(0.0, np.inf)])
        least = np.minimum.accumulate(table[::-1, 1])[::-1]
        return table[:, 0], np.append(least, np.inf)

    @cached_property
    def second_sheaves(self) -> int:
        """The fewest in the second rope."""
        return min((choice.sheaves for choice in self.scene.choices), default=0)


class PricedTackleGrower(PricedGrower):
    """Grows first ropes that can be paid for with a second one."""

    t: PricedTackleTables

    def ropes(self, purse: Purse, bound: Bound) -> Array:
        """See the base; of both ropes, whatever they stand. Counted pieces are left to the solver."""
        if purse is not self.purse:
            return np.zeros(len(bound))
        length, least = self.t.ropes
        return np.asarray(least[np.searchsorted(length, bound.rope - 1e-3)])

    def sheaves(self, walks: Partial, *, complete: bool) -> int:
        """See the base; of both ropes."""
        return super().sheaves(walks, complete=complete) + self.t.second_sheaves


class TwoWithinBudget(CompoundConfirmer):
    """Confirms the first filling within the purse; for searches that stop at the first setup.
    `unsettled` is called where a rig works by what is surely there, and not by all that it is filled
    with: then another filling might."""

    tables: PricedTackleTables

    def __init__(
        self,
        tables: PricedTackleTables,
        board: Board,
        order: Order,
        tally: Tally,
        unsettled: Callable[[], None],
    ) -> None:
        super().__init__(tables, board, order, tally)
        self.purse, self.unsettled = tables.purse, unsettled
        self._bearings: dict[int, Array] = {}
        self._fresh = Fresh()

    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        super().take(self._fresh.of(path), on_time)

    def bearings(self, sheaves: int) -> Array:
        """See the base; such as can be paid for, the best first."""
        if sheaves not in self._bearings:
            found = [p for p in eta_patterns(self.kit, sheaves) if self._paid(p)]
            found.sort(key=lambda p: (-sum(p), p))
            self._bearings[sheaves] = np.array(found, dtype=float).reshape(len(found), sheaves)
        return self._bearings[sheaves]

    def _paid(self, pattern: tuple[float, ...]) -> bool:
        return all(
            bearings.purse.covers(np.array(bearings.cost(pattern) + self._ropes(bearings.purse)))
            for bearings in self._limits
        )

    @cached_property
    def _limits(self) -> tuple[Bearings, ...]:
        return tuple(Bearings(purse) for purse in self.purse.limits)

    def _ropes(self, purse: Purse) -> float:
        """The least that any two ropes cost by a limit of the purse."""
        return float(self.tables.ropes[1].min()) if purse is self.purse else 0.0

    def _confirm(self, row: CompoundRow, bound: Bound) -> None:
        self.tally.confirmed += 1
        floor = self.tables.floor
        bills = [Bill(row, limit, floor - NEAR) for limit in self.purse.limits]
        if not all(b.paid(self._ropes(b.purse), b.hung_blocks, b.straps) for b in bills):
            return
        rest = max(bills[0].hung_blocks, bills[0].blocks) + bills[0].straps
        filled = cheapest_among(self._lean(row, rest), bills, self.order, floor)
        if filled is None:
            return
        surely = self._with_no_more(row, filled)
        if surely is None:
            self.unsettled()
        else:
            self.board.offer(self.identity(row), surely.key, surely.filled)

    def _lean(self, row: CompoundRow, rest: float) -> Iterator[Variant]:
        """The rig's variants that work by what is fixed, the cheapest ropes of each kind a filling
        distinguishes. `rest`: what else costs at least."""
        kinds: dict[tuple[object, ...], list[Pair]] = defaultdict(list)
        for pair in sorted(row.pairs or (), key=lambda pair: pair.price):
            if self.purse.covers(np.array(pair.price + rest)):
                kinds[_kind(pair.first), _kind(pair.second)].append(pair)
        for alike in kinds.values():
            seen: set[tuple[object, ...]] = set()
            for pair in alike:
                found = list(self._holding(replace(row, pairs=(pair,))))
                marks = [(v.tied, v.end_shackles, *map(bought_parts, v.rope_pieces)) for v in found]
                for mark, variant in zip(marks, found, strict=True):
                    if mark not in seen:
                        seen.add(mark)
                        yield variant

    def _holding(self, row: CompoundRow) -> Iterator[Variant]:
        for variant in self.variants(row):
            enough = variant.fixed_margin >= self.tables.floor - NEAR
            if enough and self.order.allows(variant.resets, variant.rope_needed):
                yield variant

    def _with_no_more(self, row: RigRow, filled: Filled) -> Entry | None:
        """The rig with what is owned and bought, and nothing else at hand; None where it does not work."""
        below = self.scene
        used = bought(filled, self.purse.offers).items
        more = tuple(replace(o.piece, count=many, price=None) for o, many in used)
        kit = Kit((*self.kit.sure.pieces, *more), self.kit.knots)
        rules, floor = self.tables.rules, self.tables.floor
        real = Tables(below.of, kit, rules, floor)
        alone = tackle_scene(below.of, real, below.place, only=row.tackle)
        if alone is None:
            return None
        board = Board(self.order, 1, everything=True)
        tables = TackleTables(alone, kit, rules, floor)
        path = np.array([row.path])
        CompoundConfirmer(tables, board, self.order, Tally()).take(path, lambda: not board.entries)
        return next(iter(board.entries.values()), None)


def _kind(rope: Owned[Rope]) -> tuple[object, ...]:
    """What distinguishes blocks for a rope, and ends that are there from knots."""
    kind = rope.gear
    return kind.diameter, kind.least_bend_ratio, kind.knottable, kind.is_wire, rope.ends


def workers(
    scenes: Sequence[Scene],
    purse: Purse,
    rules: Rules,
    order: Order,
    board: Board,
    tally: Tally,
    *,
    floor: float,
    unsettled: Callable[[], None],
) -> Iterator[tuple[Grower, CompoundConfirmer]]:
    """Returns what grows and what confirms first ropes to every place at which a second rope's tackle may
    hang, within the purse."""
    kit = replace(purse.kit, spend=purse.budget)
    for scene in for_two_ropes(scenes):
        if not pairs(kit, scene.puller.fixture):
            continue
        real = PricedTables(scene, kit, rules, floor, purse=purse)
        for place in range(1, scene.puller_number):
            below = tackle_scene(scene, real, place)
            if below is not None:
                tables = PricedTackleTables(below, kit, rules, floor, purse=purse)
                yield (
                    PricedTackleGrower(tables),
                    TwoWithinBudget(tables, board, order, tally, unsettled),
                )
