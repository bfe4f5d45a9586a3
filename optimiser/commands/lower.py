"""`bankhaul lower`: the way back down, held."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimiser.commands.drawing import check_output, output_option, paper_option, written
from optimiser.commands.options import (
    CORNERS,
    MOST_MEASURED,
    answer,
    cautioned,
    form_option,
    load_site,
    noted_limit,
    remind,
    rules_named,
    searching,
    site_argument,
)
from shared.progress import clear_line

if TYPE_CHECKING:
    from optimiser.jobs.lower.results import Lowering, LoweringSetup
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site
    from optimiser.telling.worst_ends import Answer


def force_given(_ctx: click.Context, param: click.Parameter, text: str | None) -> float | None:
    """The force that an option gives with its unit, N. Raises click.BadParameter."""
    from shared.units import Dimension
    from shared.written import parse

    if text is None:
        return None
    try:
        interval = parse(text, Dimension.FORCE)
        if not interval.certain or interval.stated <= 0.0:
            raise ValueError(f"expected one force above 0, got '{text}'")
    except ValueError as error:
        raise click.BadParameter(str(error), param=param) from error
    return interval.stated


@click.command("lower")
@site_argument
@click.option(
    "--top",
    type=click.IntRange(min=1),
    default=5,
    show_default=True,
    metavar="N",
    help="How many holds to list.",
)
@click.option(
    "--show",
    "number",
    type=click.IntRange(min=1),
    metavar="N",
    help="Explain hold (or stage) number N: gear, forces, cautions, how wrong each guess may be.",
)
@click.option(
    "--hold",
    callback=force_given,
    metavar="FORCE",
    help='What the hand on the rope is asked for at most, such as "150 N".',
)
@click.option(
    "--most-sheaves",
    type=click.IntRange(min=0, max=12),
    metavar="N",
    help="The most sheaves in a hold; 3 if left out. Turns hold more than sheaves do.",
)
@click.option(
    "--without-rule",
    "without",
    callback=lambda _ctx, _param, words: rules_named(words),
    multiple=True,
    metavar="NAME",
    help="Switch a rule of the search off (may be repeated); see rank --rules.",
)
@click.option(
    "--time-limit",
    type=click.FloatRange(min=0.0, min_open=True),
    callback=noted_limit,
    metavar="SECONDS",
    help="Stop searching after this time; the list then is not proven.",
)
@click.option(
    "--guesses",
    type=click.Choice(CORNERS),
    default="worst",
    show_default=True,
    help="Which end of every range in the site to plan for.",
)
@output_option(required=False)
@paper_option
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    site: str | None,
    top: int,
    number: int | None,
    hold: float | None,
    most_sheaves: int | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    output: Path | None,
    force: bool,
    paper: str,
    form: str,
) -> None:
    """Let the load down again, from the higher end of the path to the lower.

    Says where it runs away, where that is too close to call and where it needs a push, how the rope
    holds it, how many turns round which tree, what the hand feels, and the stages where one hold does
    not do. With -o it draws the sheet to take along, as sheet does: of hold (or stage) N of --show,
    else of the best hold or of every stage.

    \b
    Example: bankhaul lower --hold "150 N" --show 1 -o down.html
    """
    from optimiser.jobs.lower.answer import lower
    from optimiser.jobs.question import LowerQuestion
    from optimiser.telling.lower import lowering_json, report
    from optimiser.telling.onward import after_lower, sentence

    check_output(output, site, force)
    loaded = load_site(site, guesses)
    question = LowerQuestion(
        top=max(top, number or 0),
        hold=hold,
        most_sheaves=most_sheaves,
        without=without,
        time_limit=time_limit,
    )
    with searching() as progress:
        found = lower(loaded, question, progress=progress)
    if output is not None and found.feasible and (found.setups or found.stages):
        from optimiser.sheet.page import lowering_sheet

        if number is not None:
            _numbered(found, number)
        remind(loaded)
        written(lowering_sheet(found.site, doubted(found, number), number), output, paper, force)
        return
    if number is not None and (found.setups or found.stages):
        _show(loaded, found, number, form)
    else:
        after = "" if found.feasible else after_lower(site, found, time_limit)
        data = lowering_json(found) | ({"next": after} if after else {}) if form == "json" else None
        measured = _measured(found, 1, found.setups[:MOST_MEASURED] or found.stages)
        blocks = report(found.site, found, guesses, measured if found.setups else ())
        blocks = [*blocks, ("", sentence(after))] if after else blocks
        first = 1 if found.setups else len(measured)  # a plan holds only where all its stages do
        answer(loaded, blocks, form, data, measured=measured[:first], others=measured[first:])
    if output is not None:
        clear_line()
        click.echo("no sheet written: there is no hold to draw", err=True)
    if not found.feasible:
        ctx.exit(3)


def _show(site: "Site", found: "Lowering", number: int, form: str) -> None:
    """Print hold or stage N in full: with how wrong each guess may be, and what to measure."""
    from optimiser.jobs.lower.guessed import break_evens, worth_measuring
    from optimiser.jobs.ranges.breakeven import MEASURED, MOST
    from optimiser.telling import ranges
    from optimiser.telling.lower import setup_report
    from optimiser.telling.spelt_out import LET_DOWN, LetDown
    from optimiser.telling.worst_ends import blocks as left_open_blocks

    setup = _numbered(found, number)
    limits = break_evens(site, found, setup)
    known = worth_measuring(site, found, setup, many=MOST)
    shown = LetDown(setup=setup, limits=limits, worth=known[:MEASURED])
    data: Any = LET_DOWN.json(shown) if form == "json" else None
    measured = _measured(found, number, [setup])
    blocks = [
        *setup_report(found.site, setup, found.notes),
        *ranges.blocks(site, limits, shown.worth, planned=setup.margin),
        *(block for _, each in measured for block in left_open_blocks(site, each, known)),
    ]
    answer(site, blocks, form, data, measured=measured)


def _measured(
    found: "Lowering", first: int, setups: "Sequence[LoweringSetup]"
) -> "tuple[Answer, ...]":
    """What the readings of the site leave open of some ways down, numbered from `first`."""
    if found.site.surveyed is None:
        return ()
    from optimiser.jobs.lower.again import (
        left_open,
        rest_left_open,
    )  # only where there are readings
    from optimiser.jobs.ranges.elsewhere import Elsewhere
    from shared.progress import Progress

    if not found.needs_hold:
        rest = rest_left_open(found)
        return () if rest is None else (("The load", rest),)
    word = "Hold" if found.setups else "Stage"
    sites, out = Elsewhere(found.site), []
    with Progress() as progress:
        for n, setup in enumerate(setups, first):
            progress(f"what the readings leave open of {word.lower()} {n}")
            each = left_open(found, setup, elsewhere=sites)
            if each is not None:
                out.append((f"{word} {n}", each))
    return tuple(out)


def doubted(found: "Lowering", number: int | None) -> "Lowering":
    """The answer for a sheet, of one or (None) of all that it draws: with a caution where that may fail for
    the readings of the site."""
    listed = found.setups or found.stages
    chosen = number or (1 if found.setups else None)
    marked = tuple(
        cautioned(found.site, setup, _measured(found, n, [setup])) if chosen in (None, n) else setup
        for n, setup in enumerate(listed, 1)
    )
    return replace(found, setups=marked) if found.setups else replace(found, stages=marked)


def _numbered(answer: "Lowering", number: int) -> "LoweringSetup":
    """Hold or stage of that number. Raises click.BadParameter."""
    listed = answer.setups or answer.stages
    if number > len(listed):
        what = "holds" if answer.setups else "stages"
        raise click.BadParameter(f"there are {len(listed)} {what}", param_hint="--show")
    return listed[number - 1]
