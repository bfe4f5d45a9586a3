"""Gives a sheet of a haul the pages of the way down: for a load that goes both ways."""

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from optimiser.commands.lower import doubted
from optimiser.commands.options import answer, searching

if TYPE_CHECKING:
    from optimiser.jobs.question import HaulQuestion
    from optimiser.sheet.page import Sheet
    from optimiser.site.model import Site


def check_rises(site: "Site") -> None:
    """Raises click.BadParameter for a path on which haul and way down would both lead downhill."""
    from optimiser.jobs.lower.downhill import falls_both_ways

    fault = falls_both_ways(site, site.name)
    if fault:
        raise click.BadParameter(fault, param_hint="--both")


def with_way_down(
    ctx: click.Context, site: "Site", haul: "Sheet", question: "HaulQuestion"
) -> "Sheet":
    """The sheet of a haul with the best way down that the same gear makes possible. Where there is none, what
    stops it is printed, and the command ends with 3; where the load rests all the way down the sheet says so.
    """
    from optimiser.jobs.lower.answer import lower
    from optimiser.jobs.lower.words import nothing_to_hold
    from optimiser.jobs.question import LowerQuestion
    from optimiser.sheet.both_ways import both_ways
    from optimiser.sheet.page import lowering_sheet
    from optimiser.telling.lower import report

    wanted = LowerQuestion(without=question.without, time_limit=question.time_limit)
    with searching() as progress:
        found = lower(site, wanted, progress=progress)
    if not found.feasible:
        text = "ONLY THE HAUL CAN BE DONE with this gear: no sheet is written. The way down:"
        answer(site, [("", text), *report(found.site, found)], "table")
        ctx.exit(3)
    if not found.needs_hold:
        first = haul.pages[0]
        fact = ("THE WAY DOWN", nothing_to_hold(found))
        return replace(haul, pages=(replace(first, facts=(*first.facts, fact)), *haul.pages[1:]))
    down = lowering_sheet(found.site, doubted(found, None))
    return both_ways(haul, down)
