"""Works out what a purchase makes possible for a way down, and what stops it."""

from collections.abc import Iterable
from dataclasses import replace

from catalogue.prices import PricedItem
from optimiser.jobs.buy.held import with_pieces_owned
from optimiser.jobs.buy.results import OptionDown
from optimiser.jobs.buy.shown import extra_of, items_of, made_for
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.downhill import upward
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.lower.zones import stretch_to_hold
from optimiser.jobs.question import BuyQuestion, LowerQuestion
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.setup import Miss
from optimiser.search.buying.basket import Basket
from optimiser.search.buying.least import OutOfTime
from optimiser.search.clock import Clock
from optimiser.search.stock.offers import offers_for
from optimiser.site.model import Owned, Site


def rests(site: Site) -> bool:
    """Whether a load needs no rope on its way down: it rests by itself all along it."""
    return stretch_to_hold(lay_stations(upward(site))) is None


class ShownDown:
    """Options with the way down that they make possible. `loose`: pieces without a rating count too, on
    condition."""

    def __init__(self, site: Site, question: BuyQuestion, clock: Clock, *, loose: bool) -> None:
        self.site, self.question, self.clock, self.loose = site, question, clock, loose

    def at(self, site: Site) -> "ShownDown":
        """The same for the site with another margin wanted."""
        return ShownDown(site, self.question, self.clock, loose=self.loose)

    def owned_in_stages(
        self, goal: str, most_stages: int, _compound: bool | None
    ) -> tuple[OptionDown | None, bool]:
        """The way down with what is owned, None where there is none, and whether that is proven."""
        clock = self.clock.share(0.5) if self.clock.limited else self.clock.anew()
        nothing = Basket(())
        plain = self._lowered(self.site, clock)
        found = plain if self._does(plain, most_stages) else None
        if found is None and plain.proven:  # then with what is made on the spot
            richer = self._with(nothing)
            with_more = self._lowered(richer, clock.anew())
            found, plain = (with_more if self._does(with_more, most_stages) else None), with_more
        if found is None:
            return None, plain.proven
        return self._option(nothing, goal, found), True

    def in_stages(self, basket: Basket, goal: str, most_stages: int) -> OptionDown:
        """A purchase with which the load is let down in up to so many stages. Raises OutOfTime."""
        found = self._lowered(self._with(basket), self.clock.anew())
        if not self._does(found, most_stages):
            raise OutOfTime
        return self._option(basket, goal, found)

    def _with(self, basket: Basket) -> Site:
        return with_pieces_owned(self.site, extra_of(basket))[0]

    def _lowered(self, site: Site, clock: Clock) -> Lowering:
        question = LowerQuestion(top=1, without=self.question.without)
        # The ends of ranges are those that the site is read at: it is planned for the worst of them.
        return lower(replace(site, origin=None), question, clock=clock)

    def _does(self, found: Lowering, most_stages: int) -> bool:
        rigs = found.setups or found.stages
        rated = self.loose or not any(rig.unrated for rig in rigs)
        return found.feasible and rated and len(rigs) <= most_stages

    def _option(self, basket: Basket, goal: str, found: Lowering) -> OptionDown:
        rigs = found.setups[:1] or found.stages
        pieces = tuple(extra_of(basket))
        return OptionDown(
            goals=(goal,),
            items=items_of(basket),
            proven=True,
            answer=replace(found, site=replace(found.site, origin=self.site.origin)),
            best=found.proven,
            pieces_bought=pieces,
            made=made_for(self.site, rigs, pieces),
        )


def stopped_by(
    site: Site, items: Iterable[PricedItem], question: BuyQuestion, clock: Clock
) -> tuple[tuple[str, ...], tuple[Miss, ...]]:
    """What stops a way down with the whole price list: in sentences, and what nearly does."""
    free = [replace(item, price=0.0) for item in items]
    pieces: list[Owned] = [
        replace(offer.piece, count=offer.most) for offer in offers_for([site], free, eased=True)
    ]
    richer = with_pieces_owned(site, pieces)[0]
    wanted = LowerQuestion(top=1, without=question.without)
    found = lower(replace(richer, origin=None), wanted, clock=clock.anew())
    return found.reasons, found.misses
