"""Fills complete walks with the cheapest gear that does, from what is owned and a price list.

A walk is dismissed by what the best bearings within the purse could do before single choices of bearings
are looked at, and a rig by what its sheaves and straps cost at least before the solver is called.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.forces.evaluate import Evaluation, evaluate, in_chunks
from optimiser.rig.gear.assign import Filled, Spending
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.order import Key, Order
from optimiser.search.board import Board
from optimiser.search.bounds.partial import Bound
from optimiser.search.buying.affordable import NEAR, PricedTables
from optimiser.search.buying.money.bearings import Bearings
from optimiser.search.buying.money.bill import Bill
from optimiser.search.buying.money.purse import ANY_NUMBER, Purse
from optimiser.search.buying.slim import slimmed
from optimiser.search.leaves import FIRST, Confirmer, Tally, numbers_of
from optimiser.search.rules import same_setup

TOGETHER = 100
"""Walks that are evaluated together."""


class Fresh:
    """Walks that did not come before: those of the beam come again in the proof."""

    def __init__(self) -> None:
        self._taken: set[bytes] = set()

    def of(self, path: Numbers) -> Numbers:
        """Those of the paths (n, m + 1) that are new."""
        marks = [row.tobytes() for row in path]
        new = [i for i, mark in enumerate(marks) if mark not in self._taken]
        self._taken.update(marks)
        return path[new]


class WithinBudget(Confirmer):
    """Confirms the first filling within the purse; for searches that stop at the first setup."""

    tables: PricedTables

    def __init__(self, tables: PricedTables, board: Board, order: Order, tally: Tally) -> None:
        super().__init__(tables, board, order, tally)
        self.purse = tables.purse
        self.by_bearing = Bearings(self.purse)
        self._patterns: dict[int, tuple[Array, Array]] = {}
        self._each: dict[tuple[float, int], Array] = {}
        self._fresh = Fresh()

    def take(self, path: Numbers, on_time: Callable[[], bool] = lambda: True) -> None:
        path = self._fresh.of(path)
        self.tally.looked_at += len(path)
        walks, sheaves = numbers_of(path, self.scene), path.shape[1] - 1
        if not len(path):
            return
        patterns, costs = self.patterns(sheaves)
        if not len(patterns):
            return
        best = np.full((len(walks), sheaves), max(self.kit.etas, default=1.0))
        order: list[tuple[float, int]] = []
        rope, pull = np.empty(len(walks)), np.empty(len(walks))
        for begin in range(0, len(walks), FIRST):
            part = slice(begin, begin + FIRST)
            ev = evaluate(self._few, walks[part], best[part])
            could, pull[part] = self._reach(ev)
            reach = np.where(self._resets(ev) <= self.order.most_resets, could, 0.0)
            order += [(-r, part.start + i) for i, r in enumerate(reach) if r >= self.tables.floor]
            rope[part] = ev.total_length[:, ev.states.spot == 0].max(axis=1)
        rope += self.scene.site.preferences.rope_spare
        spent = self.tables.strong_rope(self.purse, rope, pull)
        chosen = np.array([i for _, i in sorted(order)], dtype=np.int64)
        chosen = chosen[self.purse.covers(spent[chosen] + costs.min())]
        for begin in range(0, len(chosen), TOGETHER):
            if not on_time():
                return
            few = chosen[begin : begin + TOGETHER]
            cheap = np.flatnonzero(self.purse.covers(spent[few].min() + costs))
            able = self.purse.covers(spent[few, None] + costs[cheap])
            able &= self._pulled(walks[few], patterns[cheap])
            some, which = np.nonzero(able)
            some, which = few[some], cheap[which]
            if self.purse.many_sheaved and len(some):
                paid = self._paid_by_place(walks[some], patterns[which], spent[some])
                some, which = some[paid], which[paid]
            if len(some):
                self._rows(walks[some], patterns[which], on_time)

    def _pulled(self, walks: Numbers, patterns: Array) -> npt.NDArray[np.bool_]:
        """(n, q) which of some walks let the puller move the load at the bounds' stations with which choice
        of bearings."""
        t = self.tables
        tau = np.ascontiguousarray(along_rope(passed=patterns.T).T)
        at, other = walks[:, :-1, None], walks[:, 1:, None]
        gain = np.where(at == 0, t.gain[walks[:, 1:]], 0.0)
        gain += np.where(other == 0, t.gain[walks[:, :-1]], 0.0)
        limit = t.line_limit[walks[:, -2]] * (1.0 + 1e-6)
        with np.errstate(divide="ignore"):
            needed = self.tables.floor * t.need / limit[:, None]
        return np.asarray((tau @ gain >= needed[:, None]).all(axis=2))

    def _paid_by_place(self, walks: Numbers, patterns: Array, rope: Array) -> npt.NDArray[np.bool_]:
        """(n,) which walks, each with its choice of bearings, are paid for where only sheaves at one place
        share a block. `rope`: (n,) what the rope costs."""
        places = walks[:, 1:-1]
        alike = places[:, :, None] == places[:, None, :]
        alike &= patterns[:, :, None] == patterns[:, None, :]
        sharing = alike.sum(axis=2)
        spent = rope.copy()
        for eta, (have, _) in self.by_bearing.classes.items():
            least = self._at_place(eta, places.shape[1])[sharing]
            each = np.where(patterns == eta, least, 0.0)
            spent += -np.sort(-each, axis=1)[:, have:].sum(axis=1)
        return self.purse.covers(spent)

    def _at_place(self, eta: float, most: int) -> Array:
        """(most + 1,) the least for each of so many new sheaves at one place."""
        if (eta, most) not in self._each:
            table = [0.0, *(self.purse.new_at_place(eta, many) for many in range(1, most + 1))]
            self._each[eta, most] = np.minimum(table, 1e15)
        return self._each[eta, most]

    def patterns(self, sheaves: int) -> tuple[Array, Array]:
        """(k, sheaves) efficiencies along a walk that blocks at hand and the purse allow, the best first,
        and (k,) what they cost at least."""
        if sheaves not in self._patterns:
            found = [(p, self.by_bearing.cost(p)) for p in eta_patterns(self.kit, sheaves)]
            found = [(p, c) for p, c in found if self.purse.covers(np.array(c))]
            found.sort(key=lambda e: (-sum(e[0]), e[0]))
            table = np.array([p for p, _ in found], dtype=float).reshape(len(found), sheaves)
            self._patterns[sheaves] = (table, np.array([c for _, c in found]))
        return self._patterns[sheaves]

    def _rows(self, walks: Numbers, patterns: Array, on_time: Callable[[], bool]) -> None:
        """Walks, each with its choice of bearings."""
        hopeful = [
            begin + self._coarsely(walks[begin : begin + FIRST], patterns[begin : begin + FIRST])
            for begin in range(0, len(walks), FIRST)
        ]
        few = np.concatenate(hopeful)
        for _, ev in in_chunks(self.scene, walks[few], patterns[few]):
            self.tally.evaluated += len(ev.walks)
            good = np.flatnonzero(ev.works.all(axis=1) & ev.of_its_own)
            if not len(good):
                continue
            bound = self._bound(ev, good)
            keep = bound.hopeful(self.order, self.board.limit, self.tables.floor)
            good, bound = good[keep], bound.pick(keep)
            paid = np.ones(len(good), dtype=bool)
            for purse in self.purse.limits:
                rope = self.tables.strong_rope(purse, bound.rope, ev.pull[good].max(axis=1))
                paid &= purse.covers(rope + self._hung_blocks(ev, good, purse))
            for i in good[paid]:
                if not on_time():
                    return
                self._confirm(RigRow(ev, int(i)), bound)

    def _hung_blocks(self, ev: Evaluation, rows: Numbers, purse: Purse) -> Array:
        """(k,) the least that the blocks of some rows of an evaluation cost, each new one with a shackle
        where no owned one goes through its eye. Where several sheaves at a place may share a block, no
        force is counted."""
        sheaves = ev.sheaves
        if not sheaves or not len(rows):
            return np.zeros(len(rows))
        need = (self.tables.floor - NEAR) * self.scene.puller.dynamic * (1.0 - 1e-9)
        force = ev.node_force[1:-1][:, :, rows] * ev.pull[rows]
        peak = np.sqrt((force**2).sum(axis=1)).max(axis=2) * need  # (sheaves, k)
        places, etas = ev.walks[rows, 1:-1].T, ev.etas[rows].T
        alike = (places[:, None] == places[None]) & (etas[:, None] == etas[None])
        sharing = alike.sum(axis=1)  # how many may share its block, itself among them
        price = np.zeros(peak.shape)
        own = np.zeros(peak.shape, dtype=bool)
        for eta in self.kit.etas:
            single = purse.hung_sheave(eta, 1).each(peak)
            for many in range(1, int(sharing.max()) + 1):
                shared = min(purse.hung_sheave(eta, n)(0.0) for n in range(1, many + 1))
                here = (etas == eta) & (sharing == many)
                least = single if many == 1 else np.minimum(single, shared)
                price = np.where(here, least, price)
                stands = peak if many == 1 else np.zeros(peak.shape)
                own = np.where(here, purse.strongest_owned(eta) >= stands, own)
        spared = -np.sort(-np.where(own, np.minimum(price, 1e15), 0.0), axis=0)
        rest = spared[purse.owned.sheave_count :].sum(axis=0)
        return np.asarray(np.where(own, 0.0, price).sum(axis=0) + rest)

    def _resets(self, ev: Evaluation) -> Array:
        """(n,) resets at least; bearings make no difference."""
        total = ev.total_length[:, ev.states.spot == 0]
        hauled = total[:, 0] - np.minimum.accumulate(total, axis=1)[:, -1]
        stroke = self.tables.stroke[ev.walks[:, -2]]
        with np.errstate(divide="ignore", invalid="ignore"):
            strokes = np.where(stroke > 0.0, np.ceil(hauled / stroke - 1e-6), 1.0)
        return np.asarray(np.maximum(strokes - 1.0, 0.0))

    def _reach(self, ev: Evaluation) -> tuple[Array, Array]:
        """(n,) an upper bound on the margin with any bearings, from the evaluation with the best ones;
        0 where the line does not run free, or slews the load. And a lower bound on the greatest pull, N."""
        st, i = ev.scene.stations, ev.states.station
        gained = self._most_along(ev, st.along + st.resistance[:, None] * st.normal)
        needed = (st.weight * (st.slope_sin + st.resistance * st.slope_cos))[i]
        with np.errstate(divide="ignore", invalid="ignore"):
            pull = np.where(gained > 0.0, np.maximum(needed, 1e-9) / gained, np.inf)
        reach = (ev.puller_limit / pull).min(axis=1)
        rope = max((rope_capacity(r) or np.inf for r in self.kit.ropes), default=0.0)
        reach = np.minimum(reach, rope / (self.scene.puller.dynamic * pull.max(axis=1)))
        near = ev.states.spot == 0
        longest = max((r.length or 0.0 for r in self.kit.ropes), default=0.0)
        spare = self.scene.site.preferences.rope_spare
        fits = ev.total_length[:, near].max(axis=1) + spare <= longest + 1e-9
        good = ev.clear.all(axis=1) & fits & ~self._slews(ev)
        return np.where(good, reach * (1.0 + 1e-9), 0.0), pull.max(axis=1)

    def _most_along(self, ev: Evaluation, axis: Array) -> Array:
        """(n, X) the most that the rope's parts give along an axis (S, 3) of the load per unit of pull, with
        any bearings."""
        least, segments = min(self.kit.etas, default=1.0), len(ev.units)
        ends = ev.units if ev.over is None else ev.over.ends
        out = np.zeros(ev.lengths.shape[1:])
        rubbed = np.ones(ev.lengths.shape[1:])  # what edges behind leave of the pull
        for k in reversed(range(segments)):
            passed = segments - 1 - k  # sheaves between this segment and the puller
            most, fewest = self.tables.tau_most[passed], least**passed
            for comes, at_load in ((True, ev.at_load[k + 1]), (False, ev.at_load[k])):
                if not comes and ev.over is not None:
                    rubbed = rubbed * ev.over.passed[k]
                part = -ev._along(ends[k], axis) if comes else ev._along(ev.units[k], axis)
                part = part * at_load.astype(float)[:, None] * rubbed
                out += np.where(part > 0.0, part * most, part * fewest)
        return out

    def _slews(self, ev: Evaluation) -> npt.NDArray[np.bool_]:
        """(n,) which walks pull the load further off its way than it may be pulled, with any bearings."""
        if ev.steering is not None:
            return np.zeros(len(ev.walks), dtype=bool)
        st = ev.scene.stations
        limit = np.empty(len(st))
        limit[ev.states.station] = ev.side_limit
        out = np.zeros(len(ev.walks), dtype=bool)
        for side in (st.across, -st.across):
            # limit x forward pull - side pull, where the bearings are best for that
            within = self._most_along(ev, limit[:, None] * st.along - side)
            out |= (within < -1e-9).any(axis=1)
        return out

    def _confirm(self, row: RigRow, bound: Bound) -> None:
        self.tally.confirmed += 1
        if not row.works_throughout:
            return
        filled = cheapest_filling(row, self.purse, self.order, self.tables.floor)
        if filled is not None:
            identity = same_setup(self.scene.walk(row.numbers))
            self.board.offer(identity, Key.of(filled.variant, filled.margin), filled)


def cheapest_filling(row: RigRow, purse: Purse, order: Order, floor: float) -> Filled | None:
    """The filling of a rig that costs least and reaches the margin, or None where the purse does not
    do: bounded first, then decided by the constraint solver."""
    bills = [Bill(row, limit, floor - NEAR) for limit in purse.limits]
    if not all(bill.paid(bill.rope, bill.blocks, bill.straps, bill.laid) for bill in bills):
        return None
    if not all(bill.paid(bill.rope, bill.hung_blocks, bill.straps, bill.laid) for bill in bills):
        return None
    kit = row.scene.edging.kit(purse.kit)
    return cheapest_among(lean(row, kit, order, floor), bills, order, floor)


def cheapest_among(
    variants: Iterable[Variant], bills: Sequence[Bill], order: Order, floor: float
) -> Filled | None:
    """The cheapest filling of some variants of one rig, decided by the constraint solver where there is
    one at all. `bills`: of the rig, by each limit of the purse, the purse's own before the others."""
    purse = bills[0].purse
    paid = (v for v in variants if all(bill.pays(v) for bill in bills))
    able = (slimmed(variant, floor - NEAR, purse) for variant in paid)
    most: dict[Spending, float] = {}
    if purse.most_pieces < ANY_NUMBER:
        most[Spending.PIECES] = float(purse.most_pieces - bills[0].laid_pieces)
    if purse.budget < inf:
        most[Spending.COST] = purse.budget - bills[0].laid
    return Filler(replace(order, names=()), floor - NEAR).cheapest(able, Spending.COST, most)


def lean(row: RigRow, kit: Kit, order: Order, floor: float) -> Iterator[Variant]:
    """The rig's variants that work by what is fixed, one of each kind a filling distinguishes."""
    seen: set[tuple[object, ...]] = set()
    single: list[Variant] = []
    for variant in variants(row, kit):
        if (
            not order.allows(variant.resets, variant.rope_needed)
            or variant.fixed_margin < floor - NEAR
        ):
            continue
        rope = variant.rope.gear
        mark = (
            variant.rope.price,
            bought_parts(variant.rope),
            _joined_where(variant),
            rope.diameter,
            rope.least_bend_ratio,
            variant.rope.name if not rope.knottable else "",
            variant.tied,
            variant.end_shackles,
        )
        if mark in seen or (variant.rope.joined and any(_spares(s, variant) for s in single)):
            continue
        seen.add(mark)
        if variant.rope.joined is None:  # these come first
            single.append(variant)
        yield variant


def _spares(single: Variant, joined: Variant) -> bool:
    """Whether a rope of one piece does in this rig what one that is put together does."""
    a, b = single.rope.gear, joined.rope.gear
    return (
        (single.rope.price or 0.0) <= (joined.rope.price or 0.0)
        and bought_parts(single.rope) <= bought_parts(joined.rope)
        and a.diameter == b.diameter
        and a.least_bend_ratio <= b.least_bend_ratio
        and a.knottable
        and b.knottable
        and single.tied == joined.tied
        and set(single.end_shackles) <= set(joined.end_shackles)
    )


def _joined_where(variant: Variant) -> tuple[object, ...]:
    """The strap or chain that is taken for the rope's standing end, and cannot hang elsewhere; or where a
    bend lies, and what room it leaves for gear."""
    joined, join = variant.rope.joined, variant.join
    if joined is None or join is None:
        return ()
    if joined.bend is None:
        return (joined.first.name,)
    return (join.segment, round(join.most - join.least, 6))
