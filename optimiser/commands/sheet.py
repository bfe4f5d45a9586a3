"""`bankhaul sheet`: the field sheet of one setup, or of a plan in stages."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.drawing import check_output, output_option, paper_option, written
from optimiser.commands.lower import doubted
from optimiser.commands.options import (
    answer,
    cautioned,
    compound_option,
    find_setups,
    hold_option,
    join_ropes_option,
    load_site,
    measured_answers,
    remind,
    search_options,
    searching,
)

if TYPE_CHECKING:
    from optimiser.jobs.question import HaulQuestion
    from optimiser.rig.setup import Setup
    from optimiser.sheet.page import Sheet
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site


@click.command("sheet")
@click.argument("words", nargs=-1, metavar="[SITE] [N|stages]")
@output_option(required=True)
@paper_option
@click.option(
    "--compare",
    type=click.IntRange(min=0, max=4),
    default=2,
    show_default=True,
    metavar="COUNT",
    help="How many of the other best setups the chart shows too; not of stages.",
)
@search_options
@compound_option
@join_ropes_option
@hold_option
@click.option(
    "--both",
    is_flag=True,
    help="One sheet of the haul and of the best way down, with one list of gear for both and what is "
    "re-rigged between them; in the order of the site's trips.",
)
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    output: Path,
    force: bool,
    paper: str,
    compare: int,
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    compound: bool | None,
    join_ropes: bool | None,
    hold: bool,
    both: bool,
) -> None:
    """Draw the sheet to take along for setup N of the ranking, or for all stages.

    Plan and side view to scale, the run of the rope, steps, gear, loads, when to stop, and where
    nobody stands. HTML is one file for a phone or a printer; SVG and PNG hold the drawings only.
    N is 1 if left out; the word stages stands for the plan in stages, a page each. For the way down
    alone see lower -o; --both has haul and way down.

    \b
    Example: bankhaul sheet 2 -o haul.html
    """
    from optimiser.commands.rank import nothing_feasible
    from optimiser.commands.show import numbered, parted
    from optimiser.commands.stages import find_plan
    from optimiser.jobs.question import RankQuestion, StagesQuestion
    from optimiser.sheet.page import plan_sheet, sheet
    from optimiser.telling.onward import after_rank, after_stages, sentence
    from optimiser.telling.stages import report

    staged = words[-1:] == ("stages",)
    path, number = parted(words[:-1] if staged else words)
    check_output(output, path, force)
    if staged:
        if len(words) > 1 and path is None:
            raise click.UsageError("give either the number of a setup or the word stages, not both")
        _not_of_stages(ctx)
        site = load_site(path, guesses)
        if both:
            _check_rises(site)
        stages = StagesQuestion(
            by=by,
            without=without,
            compound=compound,
            join_ropes=join_ropes,
            time_limit=time_limit,
            hold=hold,
        )
        plan = find_plan(site, stages)
        if not plan.stages:
            after = sentence(after_stages(path, plan, time_limit))
            answer(site, [*report(site, plan, guesses), ("", after)], "table")
            ctx.exit(3)
        made = plan_sheet(site, replace(plan, stages=_cautioned(site, "Stage", plan.stages)))
        made = _with_way_down(ctx, site, made, stages) if both else made
        remind(site)
        written(made, output, paper, force)
        return
    site = load_site(path, guesses)
    if both:
        _check_rises(site)
    question = RankQuestion(
        top=max(10, number),
        by=by,
        without=without,
        compound=compound,
        join_ropes=join_ropes,
        hold=hold,
        time_limit=time_limit,
    )
    found = find_setups(site, question)
    if not found.setups:
        after = after_rank(path, found, time_limit)
        answer(site, nothing_feasible(site, found, after), "table")
        ctx.exit(3)
    setup = numbered(found, number)
    others = [other for other in found.setups if other is not setup][:compare]
    chosen = _cautioned(site, "Setup", [setup], number)
    made = sheet(site, chosen, others)
    made = _with_way_down(ctx, site, made, question) if both else made
    remind(site)
    written(made, output, paper, force)


def _cautioned(
    site: "Site", word: str, setups: "Sequence[Setup]", first: int = 1
) -> "tuple[Setup, ...]":
    """Setups numbered from `first`, with a caution where they may fail for the readings of the site."""
    return tuple(
        cautioned(site, setup, measured_answers(site, [(f"{word} {number}", setup)]))
        for number, setup in enumerate(setups, first)
    )


def _not_of_stages(ctx: click.Context) -> None:
    """Raises click.UsageError where an option is given that has no meaning for stages."""
    given = ctx.get_parameter_source("compare")
    if given is not None and given is click.core.ParameterSource.COMMANDLINE:
        raise click.UsageError(
            "--compare is of single setups: the sheet of stages shows the stages of one plan"
        )


def _check_rises(site: "Site") -> None:
    """Raises click.BadParameter for a path on which haul and way down would both lead downhill."""
    from optimiser.jobs.lower.downhill import falls_both_ways

    fault = falls_both_ways(site, site.name)
    if fault:
        raise click.BadParameter(fault, param_hint="--both")


def _with_way_down(
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
    from optimiser.site.model import Trip
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
    lettered = [place for page in haul.pages[:1] for place in page.drawn.places]
    down = lowering_sheet(found.site, doubted(found, None), lettered=lettered)
    return both_ways(haul, down, down_first=site.preferences.trips[0] is Trip.DOWN)
