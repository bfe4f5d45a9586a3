"""Finds the least purchase with which every job of a set is hauled, each in at most so many stages.

What is bought serves in every stage of every job, one after the other. The search for the cheapest goods
(`search.buying.hitting`) checks whether a chain of stages can be hauled with some goods, and learns from
each no.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from optimiser.search.buying.basket import Basket
from optimiser.search.buying.hauls import Buyer, Goods
from optimiser.search.buying.hitting import Least
from optimiser.search.buying.least import Market, OutOfTime, by_money, by_pieces
from optimiser.search.stages.track import Track
from optimiser.search.stock.purse import STEP
from optimiser.site.model import Site


@dataclass(frozen=True)
class Job:
    """A job that a purchase serves. The markets of jobs that are bought for together have the same offers,
    in the same order."""

    site: Site
    market: Market


@dataclass(frozen=True)
class Answer:
    """A purchase, of each job with the chain known to do with it; none where there is none. `proven`:
    it is the least."""

    baskets: tuple[Basket, ...]
    proven: bool

    @property
    def basket(self) -> Basket | None:
        """The purchase as the first job has it; None where there is none."""
        return self.baskets[0] if self.baskets else None


class Stages:
    """Purchases for hauling some jobs in stages, by money and by pieces."""

    def __init__(self, jobs: Sequence[Job], grain: float) -> None:
        tracks = [Track(job.site, job.market.scenes, grain) for job in jobs]
        both = list(zip(jobs, tracks, strict=True))
        self.money = tuple(Buyer(by_money(job.market), track) for job, track in both)
        self.pieces = tuple(Buyer(by_pieces(job.market), track) for job, track in both)
        self._denied: list[tuple[Buyer, int, Goods]] = []

    def any_within(self, money: float, most_stages: int) -> bool:
        """Whether each job has a chain none of whose stages costs more; if not, no purchase for that money
        suffices. Raises OutOfTime."""
        offers = self.money[0].market.offers
        everything = tuple(offer.most for offer in offers)
        counted = round(money * 100) + STEP * (sum(everything) + 1)
        return all(one.haul(everything, counted, most_stages) is not None for one in self.money)

    def suffice(self, job: int, basket: Basket, most_stages: int) -> bool:
        """Whether a job can be hauled with a purchase. Raises OutOfTime."""
        buyer = self.money[job]
        goods = _goods(buyer, basket)
        return buyer.haul(goods, buyer.spent(goods), most_stages) is not None

    def cheapest(
        self, most_stages: int, start: Basket | None, of: Sequence[int] | None = None
    ) -> Answer:
        """The purchase of least money, of those the one of fewest pieces. `start`: one that does; `of`:
        the jobs that count, by their number; all if left out."""
        return self._least(self._chosen(self.money, of), most_stages, start)

    def fewest(self, most_stages: int, start: Basket | None) -> Answer:
        """The purchase of fewest pieces, of those the one of least money."""
        return self._least(self.pieces, most_stages, start)

    @staticmethod
    def _chosen(buyers: tuple[Buyer, ...], of: Sequence[int] | None) -> tuple[Buyer, ...]:
        return buyers if of is None else tuple(buyers[number] for number in of)

    def _least(self, buyers: tuple[Buyer, ...], most_stages: int, start: Basket | None) -> Answer:
        offers = buyers[0].market.offers

        def does(goods: Goods, budget: float) -> Goods | None:
            return _together(buyers, goods, budget, most_stages)

        known = None if start is None else _goods(buyers[0], start)
        # Goods with which one of the jobs cannot be done do not do for all.
        denied = [
            store for buyer, stages, store in self._denied
            if buyer in buyers and stages >= most_stages
        ]  # fmt: skip
        prices, most = [o.price for o in offers], tuple(o.most for o in offers)
        search = Least(does, prices, most, STEP, denied)
        proven = True
        try:
            goods = search.least(known, rise=2.0)
        except OutOfTime:
            goods, proven = search.best, False
        if len(buyers) == 1:
            self._denied += [(buyers[0], most_stages, store) for store in search.stores]
        if goods is None:
            return Answer((), proven)
        baskets = tuple(buyer.basket(goods, most_stages) for buyer in buyers)
        if (
            start is not None
            and start.items_by_name == baskets[0].items_by_name
            and len(buyers) == 1
        ):
            return Answer((start,), proven)
        return Answer(baskets, proven)


def _together(
    buyers: Sequence[Buyer], goods: Goods, budget: float, most_stages: int
) -> Goods | None:
    """What of some goods suffices for all, each stage of each job within the budget; None where that
    cannot be. Raises OutOfTime."""
    found: Goods = (0,) * len(goods)
    for buyer in buyers:
        # With what the jobs before take anyway nothing more may be needed.
        taken = min(buyer.spent(found), budget)
        haul = buyer.haul(found, taken, most_stages) if any(found) else None
        haul = haul or buyer.haul(goods, budget, most_stages)
        if haul is None:
            return None
        found = tuple(max(some) for some in zip(found, haul.goods, strict=True))
    return found


def _goods(buyer: Buyer, basket: Basket) -> Goods:
    many = {offer.name: n for offer, n in basket.items}
    return tuple(many.get(offer.name, 0) for offer in buyer.market.offers)
