"""Computes what may be spent and what that buys at most, for the search's bounds."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from math import floor, inf

import numpy as np
import numpy.typing as npt

from catalogue.gear import Block, Chain, Rope, Shackle, Strap
from optimiser.mechanics.arrays import Array
from optimiser.mechanics.line.tackle import tension_left
from optimiser.rig.gear.kit import (
    Kit,
    Trunk,
    capacity,
    fits_eye,
    hung_somehow,
    rope_capacity,
    round_trunk,
)
from optimiser.rig.once import Once
from optimiser.search.stock.joinable import worth_joining
from optimiser.search.stock.ladder import Ladder
from optimiser.search.stock.offers import Offer
from optimiser.site.model import Fixture, Owned, is_of, is_strap

ANY_NUMBER = 99
"""A number of pieces that is more than any rig has."""
SHARE = 1e6
"""Price of the whole budget, and of all the pieces allowed, in the purse that adds the shares of both. So
large that rounding a share to a whole hundredth changes nothing."""
STEP = 0.01
"""Money: prices that differ by less are equal."""
NEAR = 1e-12
"""Margin that rounding may take from one that is just enough."""


@dataclass(frozen=True)
class Purse(Once):
    """Gear of one size of rope: what is owned, what is for sale, and what may be spent on it.
    `joining`: ropes may be joined (`optimiser.rig.gear.joined`); `also`: ropes of other sizes for sale, which
    may be slings between trees."""

    owned: Kit
    offers: tuple[Offer, ...]
    budget: float
    most_pieces: int = ANY_NUMBER
    joining: bool = False
    also: tuple[Offer, ...] = ()

    def many(self, offer: Offer) -> int:
        """How many of an offer the budget buys at most."""
        return min(affordable(offer, self.budget), self.most_pieces)

    def covers(self, spent: Array) -> npt.NDArray[np.bool_]:
        """Whether the budget covers it; what is not to be had at any price it never does."""
        return np.asarray((spent < inf) & (spent <= self.budget + STEP / 2))

    def spent_with(self, piece: Owned) -> bool:
        """Whether all there is of a new piece leaves nothing for one more like it, or dearer."""
        more = (piece.count + 1) * self._prices.get(piece.name, 0.0)
        return piece.count >= self.most_pieces or not bool(self.covers(np.array(more)))

    @cached_property
    def kit(self) -> Kit:
        """Everything owned and everything that the budget buys, each kind by itself, and the ropes that
        are worth joining."""
        new = [replace(o.piece, count=n) for o in self.offers if (n := self.many(o))]
        shackles = (p for p in (*self.owned.pieces, *new) if is_of(p, Shackle))
        more = hung_somehow(new, shackles)
        pieces = sorted((*self.owned.pieces, *more), key=lambda p: p.name)
        slings = [replace(o.piece, count=n) for o in self.also if (n := self.many(o))]
        also = (*self.owned.also, *(piece for piece in slings if is_of(piece, Rope)))
        plain = Kit(tuple(pieces), self.owned.knots, also=also)
        if not self.joining:
            return plain
        joined = worth_joining(plain)
        paid = (r for r in joined if self.covers(np.array(self.price_of(r))))
        return Kit((*plain.pieces, *paid), plain.knots, also=also)

    def price_of(self, rope: Owned[Rope]) -> float:
        """What a rope costs, or the two that it is put together of."""
        return sum(self._prices.get(part.name, 0.0) for part in rope.parts)

    def price_each(self, piece: Owned) -> float:
        """What one piece costs; nothing where it is owned."""
        return self._prices.get(piece.name, 0.0)

    @cached_property
    def _prices(self) -> dict[str, float]:
        return {offer.name: offer.price for offer in (*self.offers, *self.also)}

    @cached_property
    def affordable(self) -> tuple[Offer, ...]:
        return tuple(o for o in self.offers if self.many(o))

    @cached_property
    def limits(self) -> tuple["Purse", ...]:
        """This purse and, where pieces are limited besides, one that counts pieces, and one that counts
        both: what keeps within either limit spends no more than the sum of the two, each as a share."""
        if self.most_pieces >= ANY_NUMBER:
            return (self,)
        by_pieces = Purse(
            self.owned, tuple(o.counted(1.0) for o in self.affordable), float(self.most_pieces),
            joining=self.joining, also=tuple(o.counted(1.0) for o in self.also if self.many(o)),
        )  # fmt: skip
        if self.budget == inf or self.budget <= 0 or self.most_pieces == 0:
            return (self, by_pieces)
        both = [
            tuple(o.counted(SHARE * (o.price / self.budget + 1.0 / self.most_pieces)) for o in some)
            for some in (self.affordable, tuple(o for o in self.also if self.many(o)))
        ]
        joint = Purse(self.owned, both[0], 2.0 * SHARE, joining=self.joining, also=both[1])
        return (self, by_pieces, joint)

    @cached_property
    def many_sheaved(self) -> bool:
        """Whether blocks of several sheaves are for sale."""
        return any(
            isinstance(o.piece.gear, Block) and o.piece.gear.sheaves > 1 for o in self.affordable
        )

    @cached_property
    def sheave(self) -> float:
        """The least that one more sheave costs; inf where none can be bought."""
        each = (
            o.price / o.piece.gear.sheaves
            for o in self.affordable
            if isinstance(o.piece.gear, Block)
        )
        return min(each, default=inf)

    @cached_property
    def strap(self) -> float:
        """The same for one more strap."""
        straps = (o for o in self.affordable if isinstance(o.piece.gear, Strap | Chain))
        return min((o.price for o in straps), default=inf)

    @cached_property
    def owned_straps(self) -> int:
        return sum(s.count for s in self.owned.straps)

    @cached_property
    def most_sheaves(self) -> int:
        """Sheaves there can be in all."""
        if self.sheave == inf:
            return self.owned.sheave_count
        more = 99.0 if self._beside == inf or self.sheave <= 0 else self._beside / self.sheave
        return self.owned.sheave_count + max(floor(more), 0)

    @cached_property
    def _beside(self) -> float:
        """What is left for everything but the rope."""
        rope = min((self.price_of(rope) for rope in self.kit.ropes), default=0.0)
        return self.budget + STEP / 2 - rope

    @cached_property
    def _ropes(self) -> tuple[Array, Array]:
        """Lengths, longest last, and the least that a rope at least as long costs."""
        there = [(r.length or 0.0, self.price_of(r)) for r in self.kit.ropes]
        table = np.array(sorted(there) or [(0.0, inf)])
        least = np.minimum.accumulate(table[::-1, 1])[::-1]
        return table[:, 0], np.append(least, inf)

    def rope(self, needed: Array) -> Array:
        """The least that a rope of that length [m] costs."""
        length, least = self._ropes
        return np.asarray(least[np.searchsorted(length, needed - 1e-3)])

    def strong_rope(self, needed: Array, force: Array, to: Fixture | None) -> Array:
        """The least that a rope of that length [m] costs whose hauling end stands the force [N]; `to`:
        what that is made fast to."""
        length, strength, least = self._strong_ropes(to)
        return np.asarray(
            least[np.searchsorted(length, needed - 1e-3), np.searchsorted(strength, force)]
        )

    def _strong_ropes(self, to: Fixture | None) -> tuple[Array, Array, Array]:
        """Lengths (n,) and strengths of the hauling end at best (m,), the greatest last, and the least
        (n + 1, m + 1) that a rope costs which has at least both."""

        def work() -> tuple[Array, Array, Array]:
            there = [self._strength_of(rope, to) for rope in self.kit.ropes]
            lengths, strengths = ({t[i] for t in there} for i in (0, 1))
            length, strength = np.array(sorted(lengths)), np.array(sorted(strengths))
            least = np.full((len(length) + 1, len(strength) + 1), inf)
            for long, strong, price in there:
                at = np.searchsorted(length, long), np.searchsorted(strength, strong)
                least[at] = min(least[at], price)
            for axis in (0, 1):
                least = np.flip(np.minimum.accumulate(np.flip(least, axis), axis=axis), axis)
            return length, strength, least

        return self.kit.once(("strong ropes", to), work)

    def _strength_of(self, rope: Owned[Rope], to: Fixture | None) -> tuple[float, float, float]:
        ends = self.kit.ends(rope, to)
        keeps = max((e.termination.keeps if e.termination else 1.0 for e in ends), default=0.0)
        return rope.length or 0.0, rope_capacity(rope, keeps=keeps) or 0.0, self.price_of(rope)

    # ---- the least for a force ----------------------------------------------------------------------

    def new_sheave(self, eta: float, many: int, *, hooked: bool = False) -> Ladder:
        """The least for a new sheave of that efficiency, where so many of one block are used, by the force
        on the block; `hooked`: only blocks with a hook."""
        return self.once(("sheave", eta, many, hooked), lambda: self._sheave(eta, many, hooked))

    def _sheave(self, eta: float, many: int, hooked: bool) -> Ladder:
        rungs = []
        for o in self.affordable:
            block = o.piece.gear
            if not isinstance(block, Block) or block.eta != eta or block.sheaves < many:
                continue
            if block.eye is None or not hooked:
                rungs.append((capacity(o.piece) or 0.0, o.price / many))
        return Ladder(rungs)

    def hung_sheave(self, eta: float, many: int) -> Ladder:
        """As `new_sheave`, with a new shackle besides where no owned one goes through the block's eye."""
        return self.once(("hung", eta, many), lambda: self._hung(eta, many))

    def _hung(self, eta: float, many: int) -> Ladder:
        blocks = [
            (capacity(o.piece) or 0.0, o.price, o.piece.gear.eye)
            for o in self.affordable
            if isinstance(o.piece.gear, Block)
            and o.piece.gear.eta == eta
            and o.piece.gear.sheaves >= many
        ]
        shackles = [o.piece for o in self.affordable if isinstance(o.piece.gear, Shackle)]
        strengths = {strength for strength, _, _ in blocks}
        strengths |= {capacity(p) or 0.0 for p in (*shackles, *self.owned.shackles)}
        rungs = []
        for force in sorted(strengths):
            costs = [
                price + self._shackle_for(eye, force)
                for strength, price, eye in blocks
                if strength >= force
            ]
            if costs:
                rungs.append((force, min(costs) / many))
        return Ladder(rungs)

    def _shackle_for(self, eye: float | None, force: float) -> float:
        """The least for a shackle through an eye; nothing where an owned one serves, or none is needed."""
        if eye is None or self.strongest_shackle(eye) >= force:
            return 0.0
        return self.new_shackle(eye)(force)

    def new_shackle(self, eye: float | None) -> Ladder:
        """The least for a new shackle through an eye of that width (None: any) by the force on it."""
        return self.once(
            ("shackle", eye),
            lambda: Ladder(
                [
                    (capacity(o.piece) or 0.0, o.price)
                    for o in self.affordable
                    if isinstance(o.piece.gear, Shackle) and fits_eye(o.piece.gear, eye)
                ]
            ),
        )

    def strongest_shackle(self, eye: float | None) -> float:
        """The most an owned shackle through that eye stands, N; -1 where none goes through."""
        return max(
            (capacity(p) or 0.0 for p in self.owned.shackles if fits_eye(p.gear, eye)),
            default=-1.0,
        )

    def strongest_owned(self, eta: float, *, hooked: bool = False) -> float:
        """The most an owned block of that efficiency stands, N."""
        return max(
            (
                capacity(p) or 0.0
                for p in self.owned.blocks
                if p.gear.eta == eta and (p.gear.eye is None or not hooked)
            ),
            default=0.0,
        )

    def new_at_place(self, eta: float, nodes: int) -> float:
        """The least for each of so many new sheaves of that efficiency at one place, which may share
        blocks."""
        return min(self.new_sheave(eta, many)(0.0) for many in range(1, nodes + 1))

    def new_strap(self, trunk: Trunk) -> Ladder:
        """The least for a new strap round a trunk by the force on it."""
        return self.once(
            ("strap", trunk),
            lambda: Ladder(
                [
                    (hanging.capacity or 0.0, o.price)
                    for o in self.affordable
                    if is_strap(o.piece)
                    for hanging in round_trunk(o.piece, trunk)
                ]
            ),
        )

    def strongest_strap(self, trunk: Trunk) -> float:
        """The most an owned strap stands round a trunk, N."""
        return max(
            (h.capacity or 0.0 for p in self.owned.straps for h in round_trunk(p, trunk)),
            default=0.0,
        )

    # ---- bearings -----------------------------------------------------------------------------------

    def tau_most(self, sheaves: int) -> Array:
        """(sheaves + 1,) most tension / pull that so many sheaves pass on, owned ones and such as the
        budget buys together."""
        return self.once(("tau", sheaves), lambda: self._tau_most(sheaves))

    def _tau_most(self, sheaves: int) -> Array:
        mine: list[float] = []
        for piece in self.owned.blocks:
            mine += [piece.gear.eta] * (piece.count * piece.gear.sheaves)
        best = np.zeros(sheaves + 1)
        for bought in self._mixes(sheaves):
            etas = sorted([*mine, *bought], reverse=True)[:sheaves]
            tau = tension_left(passed=np.array(etas))
            best[: len(tau)] = np.maximum(best[: len(tau)], tau)
        # More sheaves than there can be: nothing is required of them, but that they pass on something.
        there = np.flatnonzero(best)[-1]
        best[there:] = best[there]
        return best

    def _mixes(self, most: int) -> Iterator[list[float]]:
        """The efficiencies of sheaves that the budget buys together, by the least price of each, and no
        more of them than are on offer."""
        classes: dict[float, float] = {}
        there: dict[float, int] = {}
        for o in self.affordable:
            block = o.piece.gear
            if isinstance(block, Block):
                eta = block.eta
                classes[eta] = min(classes.get(eta, inf), o.price / block.sheaves)
                there[eta] = there.get(eta, 0) + self.many(o) * block.sheaves
        etas = sorted(classes, reverse=True)
        for many in product(*(range(min(most, there[eta]) + 1) for eta in etas)):
            if sum(many) > most:
                continue
            spent = sum(n * classes[e] for n, e in zip(many, etas, strict=True))
            if spent <= self._beside:
                yield [e for n, e in zip(many, etas, strict=True) for _ in range(n)]


def affordable(offer: Offer, budget: float) -> int:
    """How many of an offer a budget buys at most."""
    if budget == inf or offer.price <= 0:
        return offer.most
    return max(min(offer.most, floor((budget + STEP / 2) / offer.price)), 0)
