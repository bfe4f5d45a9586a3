"""Finds the least purchase with which the whole path is hauled in at most so many stages.

What is bought serves in every stage. The search for the cheapest goods (`search.buying.hitting`) checks
whether a chain of stages can be hauled with some goods, and learns from each no.
"""

from dataclasses import dataclass

from optimiser.search.buying.basket import Basket
from optimiser.search.buying.hauls import Buyer, Goods
from optimiser.search.buying.hitting import Least
from optimiser.search.buying.least import Market, OutOfTime, by_money, by_pieces
from optimiser.search.stages.track import Track
from optimiser.search.stock.purse import STEP
from optimiser.site.model import Site


@dataclass(frozen=True)
class Answer:
    """A purchase, None where there is none, and whether it is proven to be the least."""

    basket: Basket | None
    proven: bool


class Stages:
    """Purchases for hauling in stages, by money and by pieces."""

    def __init__(self, site: Site, market: Market, grain: float) -> None:
        track = Track(site, market.scenes, grain)
        self.money = Buyer(by_money(market), track)
        self.pieces = Buyer(by_pieces(market), track)

    def any_within(self, money: float, most_stages: int) -> bool:
        """Whether a chain exists none of whose stages costs more; if not, no purchase for that money
        suffices. Raises OutOfTime."""
        offers = self.money.market.offers
        everything = tuple(offer.most for offer in offers)
        counted = round(money * 100) + STEP * (sum(everything) + 1)
        return self.money.haul(everything, counted, most_stages) is not None

    def cheapest(self, most_stages: int, start: Basket | None) -> Answer:
        """The purchase of least money, of those the one of fewest pieces. `start`: one that does."""
        return _least(self.money, most_stages, start)

    def fewest(self, most_stages: int, start: Basket | None) -> Answer:
        """The purchase of fewest pieces, of those the one of least money."""
        return _least(self.pieces, most_stages, start)


def _least(buyer: Buyer, most_stages: int, start: Basket | None) -> Answer:
    offers = buyer.market.offers

    def does(goods: Goods, budget: float) -> Goods | None:
        found = buyer.haul(goods, budget, most_stages)
        return None if found is None else found.goods

    known = None
    if start is not None:
        many = {offer.name: n for offer, n in start.items}
        known = tuple(many.get(offer.name, 0) for offer in offers)
    search = Least(does, [o.price for o in offers], tuple(o.most for o in offers), STEP)
    proven = True
    try:
        goods = search.least(known, rise=2.0)
    except OutOfTime:
        goods, proven = search.best, False
    if goods is None:
        return Answer(None, proven)
    basket = buyer.basket(goods, most_stages)
    if start is not None and start.items_by_name == basket.items_by_name:
        return Answer(start, proven)
    return Answer(basket, proven)
