"""Finds the least purchase with which every job of a set is done, each in at most so many stages.

What is bought serves in every stage of every job, one after the other. The search for the cheapest goods
(`search.buying.hitting`) checks whether a chain of stages can be hauled with some goods, and learns from
each no.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from optimiser.search.buying.basket import Basket
from optimiser.search.buying.hauls import Buyer, Goods, Haul, part_of
from optimiser.search.buying.hitting import Least
from optimiser.search.buying.least import Market, OutOfTime, by_money, by_pieces
from optimiser.search.clock import Clock
from optimiser.search.stages.track import Track
from optimiser.search.stock.offers import Offer
from optimiser.search.stock.purse import STEP
from optimiser.site.model import Site

Pieces = tuple[tuple[Offer, int], ...]
Further = Callable[[Pieces, int, float, Clock], Pieces | None]
"""A question that a job has besides whether a load is hauled with some pieces in up to so many stages: with
the least margin wanted, by a clock. It returns such of the pieces as answer it; None where they do not. Its
answer must stay a yes when pieces are added; raises OutOfTime where it is not known."""


@dataclass(frozen=True)
class Job:
    """A job that a purchase serves: a haul, or a way down, by the market's line. The markets of jobs that are
    bought for together have the same offers, in the same order. `further`: what has to be answered besides
    the haul, which it must not do without; `between`: the part of the path that counts, m along it, None: all
    of it."""

    site: Site
    market: Market
    further: Further | None = None
    between: tuple[float, float] | None = None

    def by(self, clock: Clock) -> "Job":
        """The job by another clock."""
        return replace(self, market=replace(self.market, clock=clock))


class Asking(Buyer):
    """Answers by the price list and by a further question, which is put only where the load is hauled."""

    def __init__(
        self, market: Market, track: Track, further: Further, known: "Asking | None" = None
    ) -> None:
        """`known`: one that is asked the same by other prices; what it learns is known here too."""
        super().__init__(market, track)
        self._further = further
        self._done: list[tuple[Goods, int]] = [] if known is None else known._done
        self._failed: list[tuple[Goods, int]] = [] if known is None else known._failed

    def haul(self, goods: Goods, budget: float, most_stages: int) -> Haul | None:
        """As of the base, but what is returned may cost more than the budget: a budget only says what is
        looked at first. So "none" is right with every budget."""
        for done, stages in self._done:
            if stages <= most_stages and part_of(done, goods):
                return Haul((done,), ())
        for failed, stages in self._failed:
            if stages >= most_stages and part_of(goods, failed):
                return None
        hauled = super().haul(goods, budget, most_stages)
        if hauled is None:
            return None
        for some in dict.fromkeys((hauled.goods, goods)):
            if any(part_of(some, failed) for failed, n in self._failed if n >= most_stages):
                continue
            found = self._further(
                self.items(some), most_stages, self.market.floor, self.market.clock.anew()
            )
            if found is not None:
                done = goods_of(self, found)
                self._done.append((done, most_stages))
                return Haul((done,), ())
            self._failed.append((some, most_stages))
        return None

    def deny_owned(self, most_stages: int) -> None:
        """Note that with nothing bought the answer is no."""
        self._failed.append(((0,) * len(self.market.offers), most_stages))

    def basket(self, goods: Goods, most_stages: int) -> Basket:
        """The purchase of some goods."""
        return Basket(self.items(goods), self.market.two_ropes)


def _both(job: Job, track: Track) -> tuple[Buyer, Buyer]:
    """Who buys for a job by money, and who by pieces."""
    money, pieces = by_money(job.market), by_pieces(job.market)
    if job.further is None:
        return Buyer(money, track), Buyer(pieces, track)
    first = Asking(money, track, job.further)
    return first, Asking(pieces, track, job.further, first)


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
        both = [_both(job, Track(job.site, job.market.scenes, grain, job.between)) for job in jobs]
        self.money = tuple(money for money, _ in both)
        self.pieces = tuple(pieces for _, pieces in both)
        self._denied: list[tuple[Buyer, int, Goods]] = []

    def deny_owned(self, job: int, most_stages: int) -> None:
        """Note that a job cannot be done with nothing bought."""
        buyer = self.money[job]
        if isinstance(buyer, Asking):
            buyer.deny_owned(most_stages)

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
        goods = goods_of(buyer, basket.items)
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

        known = None if start is None else goods_of(buyers[0], start.items)
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


def goods_of(buyer: Buyer, pieces: Pieces) -> Goods:
    """So many of each of the buyer's offers."""
    many = {offer.name: n for offer, n in pieces}
    return tuple(many.get(offer.name, 0) for offer in buyer.market.offers)
