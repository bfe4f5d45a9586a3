"""Looks for a purchase that costs less where somebody drives pickets for an anchor, too."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import inf

from catalogue.prices import PricedItem
from optimiser.jobs.buy.goals import LEAST_MONEY, NOTHING
from optimiser.jobs.buy.results import Driven, Option
from optimiser.jobs.buy.shown import Shown
from optimiser.jobs.buy.stall import Stall
from optimiser.jobs.proposed import SYSTEMS, Pickets, pickets, with_pickets
from optimiser.jobs.question import BuyQuestion
from optimiser.search.buying.least import OutOfTime, by_money
from optimiser.search.buying.worth import worth
from optimiser.search.clock import Clock
from optimiser.search.stock.offers import offers
from optimiser.search.stock.purse import STEP
from optimiser.site.model import Site

PATIENCE = 3.0
"""Effort for all of it, where no time limit is given."""


@dataclass(frozen=True)
class _Spots:
    """The site where pickets of one system may be driven at one of some spots."""

    proposed: tuple[Pickets, ...]
    site: Site

    def used(self, option: Option) -> Driven | None:
        """The option with the pickets that it needs; None where it needs none."""
        names = {place.name for place in option.setup.walk}
        mine = next((one for one in self.proposed if one.name in names), None)
        return None if mine is None else Driven(pickets=mine, option=option)


def driven(
    site: Site,
    question: BuyQuestion,
    items: Iterable[PricedItem],
    clock: Clock,
    least: float = inf,
) -> Driven | None:
    """What has to be bought besides pickets that are driven, hauled in one stage; the pickets themselves
    are in no price. None where that is not found to cost a good deal less than `least`, the least money
    without them; nothing bought comes before all else, then the least work."""
    clock = clock.share(0.5) if clock.limited else clock.within(PATIENCE)
    each = [_Spots(some, with_pickets(site, some)) for some in (pickets(site, s) for s in SYSTEMS)]
    for spots in each:
        shown = Shown(spots.site, question, clock)
        setup, _ = shown.best((), clock=clock.share(0.3))
        free = None if setup is None else spots.used(shown.of_owned(NOTHING, setup))
        if free is not None:
            return free
    priced = tuple(items)
    for spots in each:
        option = _bought(spots.site, question, priced, clock, least)
        found = None if option is None else spots.used(option)
        if found is not None:
            return found
    return None


def _bought(
    site: Site, question: BuyQuestion, items: tuple[PricedItem, ...], clock: Clock, least: float
) -> Option | None:
    """The least money in one stage, if that is a good deal less than `least`; None where it is not, or
    nothing was found in time."""
    stall = Stall.at(site, offers(site, items), question, clock, loose=False)
    market = by_money(replace(stall.job.market, clock=clock))
    most = inf if least == inf else round(100.0 * least / worth().limit(1.0)) - STEP
    proven = True
    try:
        start = market.within(most)
        if start is None:
            return None
        try:
            found = market.least(start)
        except OutOfTime as out:
            found, proven = out.found or start, False
        assert found is not None
        return stall.shown.in_one(found, LEAST_MONEY, proven=proven)
    except OutOfTime:
        return None
