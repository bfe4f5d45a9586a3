"""`bankhaul stages`: the haul as a chain of setups, each on a stretch of the path."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import (
    answer,
    compound_option,
    form_option,
    hold_option,
    join_ropes_option,
    limit_options,
    load_site,
    measured_answers,
    order_named,
    searching,
    site_argument,
)

if TYPE_CHECKING:
    from optimiser.jobs.question import StagesQuestion
    from optimiser.jobs.stages.results import Plan
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site


def _order(
    _ctx: click.Context, _param: click.Parameter, text: str | None
) -> tuple[str, ...] | None:
    from optimiser.site.counts import PLAN_COUNTS

    return None if text is None else order_named(text, PLAN_COUNTS)


@click.command("stages")
@site_argument
@click.option(
    "--most-stages",
    type=click.IntRange(min=1),
    default=4,
    show_default=True,
    metavar="N",
    help="How many stages there may be.",
)
@click.option(
    "--by",
    callback=_order,
    metavar="KEY,KEY...",
    help="What counts, most important first: stages, margin, resets, rope, parts, pull. Stages come "
    "first unless named; the rest is as in rank.",
)
@compound_option
@join_ropes_option
@hold_option
@limit_options
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    site: str | None,
    most_stages: int,
    by: tuple[str, ...] | None,
    join_ropes: bool | None,
    compound: bool | None,
    hold: bool,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    form: str,
) -> None:
    """Plan the haul in stages where one setup does not serve the whole path.

    For each stage: from where to where, the same detail as show, and what to do before the next.
    The plan is proven the best: fewest stages first, then by the order that rank uses, so that where
    one stage is enough it is the setup that rank has first.

    \b
    Example: bankhaul stages --most-stages 3 --by stages,margin
    """
    from optimiser.jobs.question import StagesQuestion
    from optimiser.telling.onward import after_stages, sentence
    from optimiser.telling.stages import plan_json, report

    loaded = load_site(site, guesses)
    question = StagesQuestion(
        by=by,
        most_stages=most_stages,
        without=without,
        compound=compound,
        join_ropes=join_ropes,
        time_limit=time_limit,
        hold=hold,
    )
    plan = find_plan(loaded, question)
    named = [(f"Stage {number}", stage) for number, stage in enumerate(plan.stages, 1)]
    measured = measured_answers(loaded, named)
    after = "" if plan.stages else after_stages(site, plan, time_limit)
    data = plan_json(plan) | ({"next": after} if after else {}) if form == "json" else None
    blocks = report(loaded, plan, guesses)
    blocks = [*blocks, ("", sentence(after))] if after else blocks
    answer(loaded, blocks, form, data, measured=measured)
    if not plan.stages:
        ctx.exit(3)


def find_plan(site: "Site", question: "StagesQuestion") -> "Plan":
    """Plan the stages of a site, with a sign of life."""
    from optimiser.jobs.stages.plan import plan_stages

    with searching() as progress:
        return plan_stages(site, question, progress=progress)
