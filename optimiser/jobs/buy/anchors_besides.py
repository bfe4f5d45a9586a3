"""Looks for a purchase that costs less where an anchor is made besides: pickets are driven, or two trees
share the pull of a sling."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import inf

from catalogue.prices import PricedItem
from optimiser.jobs.buy.goals import LEAST_MONEY, NOTHING
from optimiser.jobs.buy.results import Driven, Option, Tied
from optimiser.jobs.buy.shown import Shown
from optimiser.jobs.buy.stall import for_haul
from optimiser.jobs.proposed import SYSTEMS, P, pickets, slings, used, with_pickets, with_slings
from optimiser.jobs.question import BuyQuestion
from optimiser.search.buying.least import OutOfTime, by_money
from optimiser.search.buying.worth import worth
from optimiser.search.clock import Clock
from optimiser.search.stock.offers import offers
from optimiser.search.stock.purse import STEP
from optimiser.site.model import Site

PATIENCE = 3.0
"""Effort for each kind of anchor, where no time limit is given."""


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
    each = [pickets(site, system) for system in SYSTEMS]
    groups = [(some, with_pickets(site, some)) for some in each]
    found = _cheaper(groups, question, items, clock, least)
    return None if found is None else Driven(pickets=found[0], option=found[1])


def tied(
    site: Site,
    question: BuyQuestion,
    items: Iterable[PricedItem],
    clock: Clock,
    least: float = inf,
) -> Tied | None:
    """The same with a sling between two trees that the file does not let share a pull yet."""
    some = slings(site)
    groups = [(some, with_slings(site, some))] if some else []
    found = _cheaper(groups, question, items, clock, least)
    return None if found is None else Tied(sling=found[0], option=found[1])


def _cheaper(
    groups: Sequence[tuple[tuple[P, ...], Site]],
    question: BuyQuestion,
    items: Iterable[PricedItem],
    clock: Clock,
    least: float,
) -> tuple[P, Option] | None:
    """The first of some proposed anchors, each group with the site that has it, for which nothing has to be
    bought, else for which what has to be is a good deal less than `least`."""
    clock = clock.share(0.5) if clock.limited else clock.within(PATIENCE)
    for some, richer in groups:
        shown = Shown(richer, question, clock)
        setup, _ = shown.best((), clock=clock.share(0.3))
        mine = None if setup is None else used(some, setup.walk)
        if setup is not None and mine is not None:
            return mine, shown.of_owned(NOTHING, setup)
    priced = tuple(items)
    for some, richer in groups:
        option = _bought(richer, question, priced, clock, least)
        mine = None if option is None else used(some, option.setup.walk)
        if option is not None and mine is not None:
            return mine, option
    return None


def _bought(
    site: Site, question: BuyQuestion, items: tuple[PricedItem, ...], clock: Clock, least: float
) -> Option | None:
    """The least money in one stage, if that is a good deal less than `least`; None where it is not, or
    nothing was found in time."""
    stall = for_haul(site, offers(site, items), question, clock, loose=False)
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
