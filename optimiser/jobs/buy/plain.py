"""Finds the plainest purchase for not much more than the least money.

The same buyer with another goal: the budget is fixed at a share above the least, and what is made least is,
one count after the other, how many kinds of unusual things it takes (`search.buying.worth`), its stages,
its pieces, its resets and its money. Every "there is none" comes from the proving search with a price list.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from catalogue.prices import PricedItem
from optimiser.jobs.buy.results import Option
from optimiser.search.buying.basket import Basket, Bought
from optimiser.search.buying.least import Market, OutOfTime
from optimiser.search.buying.staged import Job, Stages
from optimiser.search.buying.worth import Unusual, unusual_gear
from optimiser.search.stock.offers import offers
from optimiser.search.stock.purse import ANY_NUMBER
from optimiser.site.model import Site

Kinds = frozenset[Unusual]


@dataclass(frozen=True, slots=True)
class Plain:
    """The plainest purchase found, None where none is plainer than the least; in up to how many stages it is
    hauled; whether nothing plainer exists."""

    basket: Basket | None
    stages: int
    proven: bool


def limited_to(market: Market, site: Site, items: tuple[PricedItem, ...], kinds: Kinds) -> Market:
    """The market without anything unusual but these kinds. What such a thing made pointless is offered
    again."""
    usual = [item for item in items if unusual_gear(item.gear) in (None, *kinds)]
    return replace(
        market,
        offers=offers(site, usual),
        joining=market.joining and Unusual.PUT_TOGETHER in kinds,
        two_ropes=Unusual.TACKLE in kinds,
    )


class Plainest:
    """The search for one site and price list; `market` has its clock and no tackle on tackle."""

    def __init__(
        self, site: Site, items: tuple[PricedItem, ...], market: Market, grain: float
    ) -> None:
        self.site, self.items, self.market, self.grain = site, items, market, grain
        self._best = Plain(None, 1, proven=False)
        self._pieces = (
            ANY_NUMBER  # with which it is known to work, where everything unusual is allowed
        )

    def search(self, limit: float, least: Option, most_stages: int) -> Plain:
        """The plainest purchase for `limit` money, where `least` is that of least money; tackle on tackle
        counts only if that is one. In several stages the purchase of fewest kinds
        and stages is the one of least money; its pieces and resets are not made fewer."""
        kinds = least.unusual
        if least.stages == 1:
            self._pieces = least.pieces
        try:
            for size in range(len(kinds) + 1):
                most = most_stages if size < len(kinds) else 1
                if most > 1 and not self._any(limit, self._choices(kinds, size), most):
                    continue
                for stages in range(1, most + 1):
                    if self._found(limit, self._choices(kinds, size), kinds, stages):
                        return replace(self._best, proven=True)
        except OutOfTime:
            return self._best
        return Plain(None, 1, proven=True)

    def _choices(self, kinds: Kinds, size: int) -> Iterator[Kinds]:
        able = [
            kind
            for kind in Unusual
            if kind in kinds
            or not (
                kind is Unusual.TACKLE or (kind is Unusual.PUT_TOGETHER and not self.market.joining)
            )
        ]
        return map(frozenset, combinations(able, size))

    def _found(self, limit: float, choices: Iterator[Kinds], least: Kinds, stages: int) -> bool:
        """Whether any choice of unusual things does in so many stages; the plainest is kept. `least`: those
        of the least money."""
        if stages == 1:
            for kinds in choices:
                self._in_one(limit, kinds, self._pieces if kinds >= least else ANY_NUMBER)
            return self._best.basket is not None
        for kinds in choices:
            market = limited_to(self.market, self.site, self.items, kinds)
            some = Stages([Job(self.site, market)], self.grain)
            if not some.any_within(limit, stages):
                continue
            answer = some.cheapest(stages, None)
            basket, known = answer.basket, self._best.basket
            paid = basket is not None and basket.cost <= limit + 1e-9
            if basket is not None and paid and (known is None or basket.cost < known.cost):
                self._best = Plain(basket, stages, proven=False)
            if not answer.proven:
                raise OutOfTime
        return self._best.basket is not None

    def _any(self, limit: float, choices: Iterator[Kinds], most_stages: int) -> bool:
        """Whether any choice of unusual things may do in so many stages or fewer."""
        return any(
            Stages(
                [Job(self.site, limited_to(self.market, self.site, self.items, kinds))], self.grain
            ).any_within(limit, most_stages)
            for kinds in choices
        )

    def _in_one(self, limit: float, kinds: Kinds, most_pieces: int) -> None:
        """Fewest pieces, no more than so many, of those fewest resets, of those least money, in one stage."""
        market = limited_to(self.market, self.site, self.items, kinds)
        if market.two_ropes:
            market = replace(market, one_rope=False)
        some = replace(market, most_pieces=most_pieces).within(limit)
        if some is None:
            return
        found = self._kept(some)
        for pieces in range(1, found.pieces):
            fewer = replace(market, most_pieces=pieces).within(limit)
            if fewer is not None:
                found = self._kept(fewer)
                break
        market = replace(market, most_pieces=found.pieces)
        while _resets(found) > 0:
            fewer = replace(market, most_resets=_resets(found) - 1).within(limit)
            if fewer is None:
                break
            found = self._kept(fewer)
        cheapest = replace(market, most_resets=_resets(found)).least(found)
        assert cheapest is not None
        self._kept(cheapest)

    def _kept(self, found: Bought) -> Bought:
        known = self._best.basket
        if known is None or not isinstance(known, Bought) or _key(found) < _key(known):
            self._best = Plain(found, 1, proven=False)
        return found


def _resets(found: Bought) -> int:
    return found.filled.variant.resets


def _key(found: Bought) -> tuple[int, int, float]:
    return found.pieces, _resets(found), found.cost
