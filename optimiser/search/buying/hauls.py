"""Decides whether a path can be hauled in stages with some goods, each stage within its own budget.

The questions and the halving are those of planning in stages; what answers them is the search with a
price list. A stage that works with some goods works with more, and on every part of its stretch.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from catalogue.gear import Shackle
from optimiser.rig.gear.kit import Kit, hung_somehow
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.rig.two_ropes.second_rope import Tackle
from optimiser.search.board import Board
from optimiser.search.buying.basket import Basket, Bought, bought
from optimiser.search.buying.least import Market, Purses
from optimiser.search.stages.finder import Caps, Finder, Path, Task, keeps_rules
from optimiser.search.stages.track import Track
from optimiser.search.stock.joinable import worth_joining
from optimiser.search.stock.offers import Offer
from optimiser.search.stock.purse import STEP
from optimiser.site.counts import Count
from optimiser.site.model import is_of

_Stretch = tuple[int, int]
Goods = tuple[int, ...]
"""How many of each offer, in the market's order."""
FIRST_GRAIN = 8
"""Number of parts the path is divided into at first; how far a stage gets is looked for more finely only
where that matters, for it is hardest to decide there."""
FEW = 12
"""Goods that are all taken for owned where all are paid for; more of them would only slow the search."""
RECENT = 12
"""Rigs found before that are tried on another stretch before it is searched."""


@dataclass(frozen=True, slots=True)
class Allowed(Caps):
    """The goods that a stage may use, and what it may spend on them."""

    goods: Goods = ()
    budget: float = 0.0

    def within(self, other: "Allowed") -> bool:
        """Whether whatever keeps within these keeps within the other."""
        few = all(a <= b for a, b in zip(self.goods, other.goods, strict=True))
        return few and self.budget <= other.budget + STEP / 2


@dataclass(frozen=True, slots=True)
class Bill(Allowed):
    """What a rig that was found uses and costs."""


@dataclass(frozen=True, slots=True)
class _Rig:
    """A rig that was found, and what has to be bought for it."""

    index: int  # of the scene
    path: Path
    tackle: Tackle | None  # the second rope, of a tackle on a tackle
    goods: Goods


@dataclass(frozen=True, slots=True)
class Haul:
    """A chain of stages, by what has to be bought for each and the marks between which they lie."""

    bills: tuple[Goods, ...]
    ends: tuple[int, ...]

    @property
    def goods(self) -> Goods:
        """What has to be bought for all: what is bought once serves in every stage."""
        return tuple(max(many) for many in zip(*self.bills, strict=True))


class Buyer(Finder[Allowed]):
    """Answers by the price list. Marks are indices of the track's."""

    def __init__(self, market: Market, track: Track) -> None:
        super().__init__(
            Task(
                track=track,
                kit=market.owned,
                rules=market.rules,
                only_rated=True,
                enough=market.floor,
                clock=market.clock,
                line=market.line,
            )
        )
        self.market = market
        self._rigs: list[_Rig] = []
        self._kits: dict[Goods, Kit] = {}
        self._latest: tuple[tuple[Goods, float | None], Purses] | None = None
        self._hauls: list[Haul] = []
        self._denied: list[list[_Stretch]] = []

    # ---- whole chains -----------------------------------------------------------------------------

    def basket(self, goods: Goods, most_stages: int) -> Basket:
        """The purchase of some goods, with a chain known to do with them."""
        does = (
            haul.ends
            for haul in self._hauls
            if len(haul.bills) <= most_stages and part_of(haul.goods, goods)
        )
        return Basket(self.items(goods), self.market.two_ropes, ends=next(does, ()))

    def haul(self, goods: Goods, budget: float, most_stages: int) -> Haul | None:
        """A chain of at most so many stages, each of which uses these goods only and costs no more than
        the budget; None where there is none. Raises OutOfTime."""
        for known in self._hauls:
            if len(known.bills) <= most_stages and all(
                part_of(bill, goods) and self.spent(bill) <= budget + STEP / 2
                for bill in known.bills
            ):
                return known
        caps = Allowed(self.market.floor, goods=goods, budget=budget)
        for stretches in reversed(self._denied[-2:]):
            # Where it failed before it mostly fails again; that takes one search a stage.
            counts = len(stretches) == 1 or len(stretches) >= most_stages
            if counts and not any(self.exists(*stretch, caps) for stretch in stretches):
                return None
        grain = max(self.track.end // FIRST_GRAIN, 1)
        while True:
            ends = self._surely(caps, most_stages, grain)
            if ends[-1] == self.track.end:
                bills = tuple(self._bill(a, b, caps) for a, b in pairwise(ends))
                found = Haul(bills, tuple(ends))
                self._hauls.append(found)
                return found
            denied = self._falls_short(caps, most_stages, grain)
            if denied is not None:
                self._denied.append(denied)
                return None
            grain = max(grain // 4, 1)

    def _surely(self, caps: Allowed, most_stages: int, grain: int) -> list[int]:
        """The start, and marks that the stages reach one after the other, each within a grain of the
        furthest."""
        out = [0]
        while out[-1] < self.track.end and len(out) <= most_stages:
            reached, _ = self._bracket(out[-1], caps, grain)
            if reached == out[-1]:
                break
            out.append(reached)
        return out

    def _falls_short(self, caps: Allowed, most_stages: int, grain: int) -> list[_Stretch] | None:
        """Stretches one after the other that no rig covers, as many as there are stages: then no chain
        gets to the end. None where that does not come out with this grain (with the finest it does).

        Where each stage ends before the end of its stretch, the next one starts no further on."""
        begin, out = 0, []
        for _ in range(most_stages):
            reached, beyond = self._bracket(begin, caps, grain)
            if beyond is None:
                return None
            if beyond == begin + 1:  # no rig moves the load on from here, in any number of stages
                return [(begin, beyond)]
            out.append((begin, beyond))
            begin = reached if grain == 1 else beyond
        return out

    def _bracket(self, begin: int, caps: Allowed, grain: int) -> tuple[int, int | None]:
        """A mark that some rig reaches from `begin`, and one not more than a grain beyond it that none
        does; None where one reaches the finish."""
        if self.exists(begin, self.track.end, caps):
            return self.track.end, None
        reached, beyond = begin, self.track.end
        while True:
            reached = self._reach_of_known(
                reached, beyond, lambda mark: self._stretch_to(begin, mark, caps), grain
            )
            if beyond - reached <= grain:
                return reached, beyond
            middle = (reached + beyond) // 2
            if self.exists(begin, middle, caps):
                reached = middle
            else:
                beyond = middle

    def _bill(self, begin: int, end: int, caps: Allowed) -> Goods:
        """The least known for a stretch."""
        if self.needs_nothing(begin, end):
            return (0,) * len(self.market.offers)
        fitting = [
            c.goods
            for b, e, c in self._yes
            if b <= begin and e >= end and isinstance(c, Bill) and c.within(caps)
        ]
        return min(fitting, key=lambda goods: (self.spent(goods), goods))

    def spent(self, goods: Goods) -> float:
        """By the offers' prices."""
        return sum(o.price * many for o, many in zip(self.market.offers, goods, strict=True))

    def items(self, goods: Goods) -> tuple[tuple[Offer, int], ...]:
        """The offers themselves."""
        pairs = zip(self.market.offers, goods, strict=True)
        return tuple((offer, many) for offer, many in pairs if many)

    # ---- one stretch ------------------------------------------------------------------------------

    def _searched(self, begin: int, end: int, caps: Allowed) -> bool:
        self.searches += 1
        scenes = list(self.track.stretch(begin, end))
        few = sum(caps.goods) <= FEW and self.spent(caps.goods) <= caps.budget + STEP / 2
        # A grip on a rope needs room for the longest gear at hand: more of it may do harm.
        if few and not self.market.two_ropes:
            found = self._with_all(scenes, caps.goods)
        else:
            market = replace(self.market, scenes=scenes, offers=self._some(caps.goods))
            found = market.paid_by(
                self._purses((caps.goods, caps.budget), lambda: market.purses(caps.budget))
            )
        if found is None:
            return False
        self._note(begin, end, found)
        return True

    def _with_all(self, scenes: list[Scene], goods: Goods) -> Bought | None:
        """A setup where all of the goods are paid for: then no price matters."""

        def purses() -> Purses:
            paid = [replace(o.piece, count=o.most, price=None) for o in self._some(goods)]
            every = (*self.market.owned.pieces, *paid)
            pieces = sorted(
                hung_somehow(every, (p for p in every if is_of(p, Shackle))),
                key=lambda piece: piece.name,
            )
            owned = Kit(tuple(pieces), self.market.owned.knots)
            return replace(self.market, owned=owned, offers=()).purses(0.0)

        market = replace(self.market, scenes=scenes, offers=())
        found = market.paid_by(self._purses((goods, None), purses))
        return None if found is None else bought(found.filled, self.market.offers)

    def _purses(self, key: tuple[Goods, float | None], work: Callable[[], Purses]) -> Purses:
        """What some goods, and a budget if they are not all paid for, come to: the stretches of a chain
        are looked at one after the other."""
        if self._latest is None or self._latest[0] != key:
            self._latest = key, work()
        return self._latest[1]

    @property
    def _by_margin(self) -> Order:
        return Order((Count.MARGIN,), self.market.floor, most_resets=self.market.most_resets)

    def _kit(self, goods: Goods) -> Kit:
        """What is owned and the goods, with the ropes that are worth joining."""
        if goods not in self._kits:
            market = self.market
            more = (replace(o.piece, count=o.most) for o in self._some(goods))
            pieces = sorted((*market.owned.pieces, *more), key=lambda piece: piece.name)
            plain = Kit(tuple(pieces), market.owned.knots)
            joined = worth_joining(plain) if market.joining else []
            self._kits[goods] = Kit((*plain.pieces, *joined), plain.knots)
        return self._kits[goods]

    def _some(self, goods: Goods) -> tuple[Offer, ...]:
        pairs = zip(self.market.offers, goods, strict=True)
        return tuple(replace(offer, most=many) for offer, many in pairs if many)

    def _note(self, begin: int, end: int, found: Bought) -> None:
        row = found.filled.variant.row
        index = next(i for i, scene in enumerate(self.track.scenes) if scene.stands_for(row.scene))
        many = {offer.name: n for offer, n in found.items}
        goods = tuple(many.get(offer.name, 0) for offer in self.market.offers)
        rig = _Rig(index, row.path, row.tackle, goods)
        if rig in self._rigs:
            self._rigs.remove(rig)
        self._rigs.append(rig)
        self._yes.append((begin, end, Bill(self.market.floor, goods=goods, budget=found.spent)))

    def _among_known(self, begin: int, end: int, caps: Allowed) -> bool:
        tried = 0
        for rig in reversed(self._rigs):
            if tried == RECENT:
                break
            spent = self.spent(rig.goods)
            if part_of(rig.goods, caps.goods) and spent <= caps.budget + STEP / 2:
                tried += 1
                if self._works(rig, begin, end, spent):
                    return True
        return False

    def _works(self, rig: _Rig, begin: int, end: int, spent: float) -> bool:
        """Whether the rig works on another stretch with what was bought for it."""
        market = self.market
        scene = self.track.scene(rig.index, begin, end)
        board = Board(self._by_margin, 1, everything=True)
        confirmer = self._confirmer(
            scene, rig.tackle, Caps(market.floor), board, self._by_margin, self._kit(rig.goods)
        )
        if confirmer is None or not keeps_rules(rig.path, confirmer.tables):
            return False
        confirmer.take(np.array([rig.path]), lambda: not board.entries)
        if not board.entries:
            return False
        self._yes.append((begin, end, Bill(market.floor, goods=rig.goods, budget=spent)))
        return True


def part_of(few: Goods, many: Goods) -> bool:
    """Whether there is as much of everything in other goods."""
    return all(a <= b for a, b in zip(few, many, strict=True))
