"""Gives an answer as rows for a program: the columns of its listing, as CSV has them."""

from functools import singledispatch
from typing import Any

from optimiser.jobs.buy.results import Purchases
from optimiser.jobs.lever.results import Levering
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.stages.results import Plan
from optimiser.jobs.sweep.results import Sweep
from optimiser.jobs.why.why import Explained
from optimiser.rig.setup import Ranking, Setup
from optimiser.telling import buy, detail, lever, lower, stages, sweep, tables, why
from shared.listing import Listing


def rows(answer: object) -> list[dict[str, Any]]:
    """One mapping a row, in SI at full precision, with the unit in the name of the column: what every library
    of data frames takes. Of a ranking the setups (where nothing works, the nearest misses), of a setup its
    pieces with their loads, of a plan its stages, of a sweep its cells, of purchases the options, of `lower`
    the holds, of `lever` the corners, of `explain_reeving` the checks. Raises TypeError for anything else."""
    return listing_of(answer).records()


@singledispatch
def listing_of(answer: object) -> Listing:
    """The listing of an answer. TypeError where it has none."""
    raise TypeError(f"a {type(answer).__name__} is no answer with rows")


@listing_of.register
def _ranking(answer: Ranking) -> Listing:
    return tables.ranking_listing(answer) if answer.setups else tables.misses_listing(answer.misses)


@listing_of.register
def _setup(answer: Setup) -> Listing:
    return detail.components(answer, "metric")


@listing_of.register
def _plan(answer: Plan) -> Listing:
    return stages.listing(answer)


@listing_of.register
def _purchases(answer: Purchases) -> Listing:
    return buy.options_listing(answer)


@listing_of.register
def _lowering(answer: Lowering) -> Listing:
    return lower.setup_listing(answer.setups or answer.stages)


@listing_of.register
def _levering(answer: Levering) -> Listing:
    return lever.corner_listing(answer)


@listing_of.register
def _sweep(answer: Sweep) -> Listing:
    return sweep.cells_listing(answer, priced=any(cell.cost is not None for cell in answer.cells))


@listing_of.register
def _explained(answer: Explained) -> Listing:
    return why.checks_listing(answer.checks)
