"""Computes what a cell costs: the least money with which something works on its site."""

from optimiser.jobs.question import BuyQuestion
from optimiser.search.clock import Clock
from optimiser.site.model import Site

PATIENCE = 120.0
"""Effort for one cell: beyond it no cost is reported."""


def least_cost(site: Site) -> float | None:
    """The least money (0: what is owned will do) for a setup that is rated throughout, by the price list of
    the program, whose prices are placeholders; None where nothing for sale helps, or it takes too long."""
    from optimiser.jobs.buy.shop import buy  # start-up time: seldom requested

    found = buy(site, BuyQuestion(most_stages=1, steps=0), clock=Clock(None, None).within(PATIENCE))
    rated = [option.cost for option in found.options if not option.if_stands]
    return min(rated, default=None) if found.proven else None
