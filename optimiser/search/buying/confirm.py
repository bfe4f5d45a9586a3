"""Fills complete walks with the cheapest gear that does, from what is owned and a price list.

A walk is dismissed by what the best bearings within the purse could do before single choices of bearings
are looked at, and a rig by what its sheaves and straps cost at least before the solver is called.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf

import numpy as np
import numpy.typing as npt

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import Filled, Spending
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.order import Order
from optimiser.search.bounds.partial import Bound
from optimiser.search.buying.basket import bought
from optimiser.search.buying.slim import slimmed
from optimiser.search.leaves import Giving
from optimiser.search.made_rigs import FIRST, Candidates, OneRope, OnTime, Rigs
from optimiser.search.sought import Sought
from optimiser.search.stock.bearings import Bearings
from optimiser.search.stock.bill import Bill
from optimiser.search.stock.purse import ANY_NUMBER, NEAR, Purse
from optimiser.site.model import Owned

TOGETHER = 100
"""Walks that are evaluated together."""


class WithinPurse(Giving):
    """Gives the first filling within the purse; for searches that stop at the first setup. `unsettled` is
    called where a rig works by what is surely there, and not by all that it is filled with: then another
    filling might."""

    def __init__(self, sought: Sought, unsettled: Callable[[], None] = lambda: None) -> None:
        super().__init__(sought)
        purse = sought.tables.purse
        assert purse is not None
        self.purse, self.unsettled = purse, unsettled
        self.by_bearing = tuple(Bearings(limit) for limit in purse.limits)
        self._patterns: dict[int, tuple[Array, Array]] = {}
        self._each: dict[tuple[float, int], Array] = {}

    def candidates(self, rigs: OneRope, walks: Numbers, on_time: OnTime) -> Candidates:
        """See the base; such as can be paid for, after what the best bearings could do."""
        tables, sheaves = self.sought.tables, walks.shape[1] - 2
        patterns, costs = self._priced(sheaves)
        if not len(patterns):
            return
        best = np.full((len(walks), sheaves), max(self.sought.kit.etas, default=1.0))
        order: list[tuple[float, int]] = []
        rope, pull = np.empty(len(walks)), np.empty(len(walks))
        for begin in range(0, len(walks), FIRST):
            part = slice(begin, begin + FIRST)
            ev = rigs.evaluate(rigs.few, walks[part], best[part])
            could, pull[part] = self._reach(ev)
            reach = np.where(self._resets(ev) <= self.sought.order.most_resets, could, 0.0)
            order += [(-r, part.start + i) for i, r in enumerate(reach) if r >= tables.floor]
            rope[part] = ev.total_length[:, ev.states.spot == 0].max(axis=1)
        rope += self.sought.scene.site.preferences.rope_spare
        spent = tables.rope_price(self.purse, rope, pull)
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
                yield self._coarsely(rigs, walks[some], patterns[which])

    @staticmethod
    def _coarsely(rigs: OneRope, walks: Numbers, etas: Array) -> tuple[Numbers, Array, Bound]:
        """Those that are hopeful when nothing but the bounds' stations is looked at."""
        picked, bounds = [], []
        for begin in range(0, len(walks), FIRST):
            part = slice(begin, begin + FIRST)
            few, bound = rigs.best_first(walks[part], etas[part])
            picked.append(begin + few)
            bounds.append(bound)
        every = np.concatenate(picked)
        return walks[every], etas[every], Bound.join(bounds)

    def _pulled(self, walks: Numbers, patterns: Array) -> npt.NDArray[np.bool_]:
        """(n, q) which of some walks let the puller move the load at the bounds' stations with which choice
        of bearings."""
        t = self.sought.tables
        tau = np.ascontiguousarray(along_rope(passed=patterns.T).T)
        at, other = walks[:, :-1, None], walks[:, 1:, None]
        gain = np.where(at == 0, t.gain[walks[:, 1:]], 0.0)
        gain += np.where(other == 0, t.gain[walks[:, :-1]], 0.0)
        limit = t.drive.limit[walks[:, -2]] * (1.0 + 1e-6)
        with np.errstate(divide="ignore"):
            needed = t.floor * t.need / limit[:, None]
        return np.asarray((tau @ gain >= needed[:, None]).all(axis=2))

    def _paid_by_place(self, walks: Numbers, patterns: Array, rope: Array) -> npt.NDArray[np.bool_]:
        """(n,) which walks, each with its choice of bearings, are paid for where only sheaves at one place
        share a block. `rope`: (n,) what the rope costs."""
        places = walks[:, 1:-1]
        alike = places[:, :, None] == places[:, None, :]
        alike &= patterns[:, :, None] == patterns[:, None, :]
        sharing = alike.sum(axis=2)
        spent = rope.copy()
        for eta, (have, _) in self.by_bearing[0].classes.items():
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

    def patterns(self, sheaves: int) -> Array:
        """See the base; such as can be paid for, the best first."""
        return self._priced(sheaves)[0]

    def _priced(self, sheaves: int) -> tuple[Array, Array]:
        """(k, sheaves) efficiencies that blocks at hand and the purse allow, the best first, and (k,) what
        they cost at least."""
        if sheaves not in self._patterns:
            every = [
                (p, [bearings.cost(p) for bearings in self.by_bearing])
                for p in eta_patterns(self.sought.kit, sheaves)
            ]
            found = [(p, costs[0]) for p, costs in every if self._covered(costs)]
            found.sort(key=lambda e: (-sum(e[0]), e[0]))
            table = np.array([p for p, _ in found], dtype=float).reshape(len(found), sheaves)
            self._patterns[sheaves] = (table, np.array([c for _, c in found]))
        return self._patterns[sheaves]

    def _covered(self, costs: Sequence[float]) -> bool:
        """Whether the purse covers bearings that cost so much by each of its limits, beside two ropes."""
        return all(
            bool(limit.covers(np.array(cost + self._ropes(limit))))
            for limit, cost in zip(self.purse.limits, costs, strict=True)
        )

    def _ropes(self, limit: Purse) -> float:
        """The least that any two ropes cost by a limit of the purse; of one rope nothing is said."""
        priced = self.sought.tables.drive.priced
        return 0.0 if priced is None or limit is not self.purse else float(priced[1].min())

    def able(self, ev: Evaluation, rows: Numbers, bound: Bound) -> Mask:
        """See the base; by what the rope, the blocks and their shackles cost at least."""
        paid, tables = np.ones(len(rows), dtype=bool), self.sought.tables
        if not tables.whole:
            return paid
        for limit in self.purse.limits:
            rope = tables.rope_price(limit, bound.rope, ev.pull[rows].max(axis=1))
            paid &= limit.covers(rope + self._hung_blocks(ev, rows, limit))
        return paid

    def _hung_blocks(self, ev: Evaluation, rows: Numbers, purse: Purse) -> Array:
        """(k,) the least that the blocks of some rows of an evaluation cost, each new one with a shackle
        where no owned one goes through its eye. Where several sheaves at a place may share a block, no
        force is counted."""
        sheaves = ev.sheaves
        if not sheaves or not len(rows):
            return np.zeros(len(rows))
        need = (self.sought.floor - NEAR) * self.sought.scene.puller.dynamic * (1.0 - 1e-9)
        force = ev.node_force[1:-1][:, :, rows] * ev.pull[rows]
        peak = np.sqrt((force**2).sum(axis=1)).max(axis=2) * need  # (sheaves, k)
        places, etas = ev.walks[rows, 1:-1].T, ev.etas[rows].T
        alike = (places[:, None] == places[None]) & (etas[:, None] == etas[None])
        sharing = alike.sum(axis=1)  # how many may share its block, itself among them
        price = np.zeros(peak.shape)
        own = np.zeros(peak.shape, dtype=bool)
        for eta in self.sought.kit.etas:
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
        stroke = self.sought.tables.drive.stroke[ev.walks[:, -2]]
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
        rope = max((rope_capacity(r) or np.inf for r in self.sought.kit.ropes), default=0.0)
        reach = np.minimum(reach, rope / (self.sought.scene.puller.dynamic * pull.max(axis=1)))
        near = ev.states.spot == 0
        longest = max((r.length or 0.0 for r in self.sought.kit.ropes), default=0.0)
        spare = self.sought.scene.site.preferences.rope_spare
        fits = ev.total_length[:, near].max(axis=1) + spare <= longest + 1e-9
        good = ev.clear.all(axis=1) & fits & ~self._slews(ev)
        return np.where(good, reach * (1.0 + 1e-9), 0.0), pull.max(axis=1)

    def _most_along(self, ev: Evaluation, axis: Array) -> Array:
        """(n, X) the most that the rope's parts give along an axis (S, 3) of the load per unit of pull, with
        any bearings."""
        least, segments = min(self.sought.kit.etas, default=1.0), len(ev.units)
        ends = ev.units if ev.over is None else ev.over.ends
        out = np.zeros(ev.lengths.shape[1:])
        rubbed = np.ones(ev.lengths.shape[1:])  # what edges behind leave of the pull
        for k in reversed(range(segments)):
            passed = segments - 1 - k  # sheaves between this segment and the puller
            most, fewest = self.sought.tables.tau_most[passed], least**passed
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

    def give(self, rigs: Rigs, row: RigRow, bound: Bound) -> None:
        self.sought.tally.confirmed += 1
        if not row.works_throughout:
            return
        sought, purse, need = self.sought, self.purse, self.sought.floor - NEAR
        bills = [Bill(row, limit, need) for limit in purse.limits]
        ropes = [b.rope if sought.tables.whole else self._ropes(b.purse) for b in bills]
        for bill, rope in zip(bills, ropes, strict=True):
            if not bill.paid(rope, bill.blocks, bill.straps, bill.laid):
                return
        for bill, rope in zip(bills, ropes, strict=True):
            if not bill.paid(rope, bill.hung_blocks, bill.straps, bill.laid):
                return
        first = bills[0]
        rest = max(first.hung_blocks, first.blocks) + first.straps
        every = rigs.variants(row, sought.kit, lambda ropes: first.paid(ropes, rest))
        filled = cheapest_among(lean(every, purse, sought.order, sought.floor), bills, sought)
        if filled is None:
            return
        surely = rigs.with_only(row, filled, self._no_more(filled))
        if surely is None:
            self.unsettled()
        else:
            sought.board.offer(rigs.identity(row), *surely)

    def _no_more(self, filled: Filled) -> Kit:
        """What is surely there, and what a rig that is filled has to be bought."""
        used = bought(filled, (*self.purse.offers, *self.purse.also)).items
        more = tuple(replace(o.piece, count=many, price=None) for o, many in used)
        kit = self.sought.kit
        return Kit((*kit.sure.pieces, *more), kit.knots)


def cheapest_among(
    variants: Iterable[Variant], bills: Sequence[Bill], sought: Sought
) -> Filled | None:
    """The cheapest filling of some variants of one rig, decided by the constraint solver where there is
    one at all. `bills`: of the rig, by each limit of the purse, the purse's own before the others."""
    purse, need = bills[0].purse, sought.floor - NEAR
    paid = (v for v in variants if all(bill.pays(v) for bill in bills))
    able = (slimmed(variant, need, purse) for variant in paid)
    most: dict[Spending, float] = {}
    if purse.most_pieces < ANY_NUMBER:
        most[Spending.PIECES] = float(purse.most_pieces - bills[0].laid_pieces)
    if purse.budget < inf:
        most[Spending.COST] = purse.budget - bills[0].laid
    return Filler(replace(sought.order, names=()), need).cheapest(able, Spending.COST, most)


def lean(
    variants: Iterable[Variant], purse: Purse, order: Order, floor: float
) -> Iterator[Variant]:
    """A rig's variants that work by what is fixed: the cheapest ropes of each kind a filling tells apart."""
    able = [
        variant
        for variant in variants
        if order.allows(variant.resets, variant.rope_needed)
        and variant.fixed_margin >= floor - NEAR
    ]
    seen: set[tuple[object, ...]] = set()
    single: list[Variant] = []
    for variant in sorted(able, key=lambda v: (_together(v), _price(v, purse))):
        mark = (
            *(_kind(rope) for rope in variant.rope_pieces),
            _joined_where(variant),
            variant.tied,
            variant.end_shackles,
            *variant.not_in_slings,
        )
        if mark in seen or (_together(variant) and any(_spares(s, variant) for s in single)):
            continue
        seen.add(mark)
        if not _together(variant):
            single.append(variant)
        yield variant


def _together(variant: Variant) -> bool:
    """Whether a rope of it is put together."""
    return any(rope.joined is not None for rope in variant.rope_pieces)


def _price(variant: Variant, purse: Purse) -> float:
    return sum(purse.price_of(rope) for rope in variant.rope_pieces)


def _kind(rope: Owned[Rope]) -> tuple[object, ...]:
    """What a filling distinguishes of a rope that is long and strong enough: how many pieces it takes, which
    blocks serve it, and ends that are there from knots."""
    kind = rope.gear
    which = "" if kind.knottable else rope.name  # how strong it is over a sheave depends on that
    return bought_parts(rope), kind.diameter, kind.least_bend_ratio, which, rope.ends


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
