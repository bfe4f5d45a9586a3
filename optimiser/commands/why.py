"""`bankhaul why`: one reeving put through every check; of a site by itself, the best setup or the nearest
misses."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimiser.commands.options import (
    CORNERS,
    answer,
    find_setups,
    form_option,
    hold_option,
    load_site,
    measured_answers,
    rules_named,
    searching,
)

if TYPE_CHECKING:
    from optimiser.jobs.question import WhyQuestion
    from optimiser.jobs.why.two_ropes import ExplainedPair
    from optimiser.jobs.why.why import Explained
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site

EXAMPLE = '"load > ash@0.4 m > load > oak@0.6 m > tractor"'


@click.command("why")
@click.argument("words", nargs=-1, metavar="[SITE] [REEVING]")
@click.option(
    "--without-rule",
    "without",
    callback=lambda _ctx, _param, words: rules_named(words),
    multiple=True,
    metavar="NAME",
    help="Switch a rule of the search off (may be repeated); see rank --rules.",
)
@click.option(
    "--guesses",
    type=click.Choice(CORNERS),
    default="worst",
    show_default=True,
    help="Which end of every range in the site to plan for.",
)
@hold_option
@click.option(
    "--down",
    is_flag=True,
    help="REEVING lets the load down, as lower prints it: to the trunk of its turns, or the puller that "
    "pays out.",
)
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    without: tuple[str, ...],
    guesses: "Corner",
    hold: bool,
    down: bool,
    form: str,
) -> None:
    """Say why a reeving works, or why it does not.

    SITE is a site file (its name ends in .toml, or the file exists; - for standard input). Without
    SITE the demonstration site is taken.

    REEVING is written as rank prints it with --format csv or json: places from the standing end to
    the puller, with > between them, all in quotes. Every check is listed with its number and limit,
    and each failure with the smallest change that cures it. Without REEVING the best setup of the
    site is explained, or, where no setup works, what comes nearest and what would cure it. With --hold
    the second line that the rest of the gear gives it is checked too, or what keeps there from being
    one is named.

    \b
    Example: bankhaul why "load > near pine@1 m > load > young ash@0.75 m > small tractor"
    """
    from optimiser.jobs.question import WhyQuestion

    if hold and down:
        raise click.UsageError("a way down is a line that holds: leave out either --hold or --down")
    path, reeving = sorted_out(words)
    site = load_site(path, guesses)
    question = WhyQuestion(without=without, hold=hold, down=down)
    if down:
        works = _down(site, path, reeving, question, form)
    elif reeving is None:
        works = _site(site, path, question, form)
    else:
        # A bad file waits for none of it.
        from optimiser.jobs.why.ways_down.let_down import ExplainedDown
        from optimiser.jobs.why.why import explain_reeving

        with searching():
            explained = explain_reeving(site, reeving, question)
        assert not isinstance(explained, ExplainedDown)
        works = _print(site, explained, form)
    if not works:
        ctx.exit(3)


def sorted_out(words: tuple[str, ...]) -> tuple[str | None, str | None]:
    """Which argument is the site and which the reeving. Raises click.UsageError."""
    if len(words) > 2:
        raise click.UsageError(
            f"expected a SITE and a REEVING, got {len(words)} arguments: put the reeving in quotes"
        )
    if not words:
        return None, None
    first, last = words[0], words[-1]
    if len(words) == 2:
        if is_site(last) and not is_site(first):
            raise click.UsageError("the SITE comes before the REEVING: turn the two around")
        return first, last
    if is_site(first):
        return first, None
    if not _reads_as_reeving(first):
        raise click.UsageError(
            f"'{first}' is neither a SITE (no such file, and it does not end in .toml) nor a REEVING "
            f"(places with > between them). Put a reeving in quotes, such as {EXAMPLE}: without them "
            "the shell takes what comes after > for the name of a file to write to"
        )
    return None, first


def is_site(word: str) -> bool:
    """Whether an argument names a site file."""
    try:
        exists = Path(word).exists()
    except (OSError, ValueError):
        exists = False
    return word == "-" or word.lower().endswith(".toml") or exists


def _reads_as_reeving(word: str) -> bool:
    return ">" in word or word.lstrip().startswith("[")


def _print(site: "Site", explained: "Explained | ExplainedPair", form: str, lead: str = "") -> bool:
    """Print whether a reeving works, and why or why not; `lead`: a sentence before the checks of one rope."""
    from optimiser.jobs.why.two_ropes import ExplainedPair
    from optimiser.telling.why import report, why_json

    if isinstance(explained, ExplainedPair):
        return _two_ropes(site, explained, form)
    system = site.preferences.units
    blocks = [("", lead), *report(explained, system)] if lead else report(explained, system)
    works = [explained.setup] if explained.works and explained.setup is not None else []
    measured = measured_answers(site, [("This setup", setup) for setup in works])
    answer(site, blocks, form, why_json(explained) if form == "json" else None, measured=measured)
    return explained.works or bool(explained.if_stands)


def _site(site: "Site", path: str | None, question: "WhyQuestion", form: str) -> bool:
    """Print the best setup of a site, or what comes nearest."""
    from optimiser.commands.rank import nothing_feasible
    from optimiser.jobs.question import RankQuestion
    from optimiser.jobs.why.why import explain_lines
    from optimiser.telling.onward import after_rank
    from optimiser.telling.tables import miss_json

    ranking = find_setups(site, RankQuestion(top=1, without=question.without, hold=question.hold))
    if ranking.setups:
        where = "the demonstration site" if path is None else site.title
        lead = (
            f"The best setup for {where}, held against every check. For another one give its reeving "
            "too, as `bankhaul rank --format csv` prints it."
        )
        with searching():
            best = explain_lines(site, [line.walk for line in ranking[0].lines], question)
        return _print(site, best, form, lead)
    data: dict[str, Any] = {
        "works": False,
        "status": str(ranking.status),
        "proven": ranking.proven,
        "misses": [miss_json(miss) for miss in ranking.misses],
    }
    after = after_rank(path, ranking)
    data["next"] = after
    blocks = nothing_feasible(site, ranking, after)
    answer(site, blocks, form, data if form == "json" else None)
    return False


def _down(
    site: "Site", path: str | None, reeving: str | None, question: "WhyQuestion", form: str
) -> bool:
    """Print why a way down works, or why not; without a reeving the best one, or what `lower` says."""
    from optimiser.jobs.lower.answer import lower
    from optimiser.jobs.question import LowerQuestion
    from optimiser.jobs.why.ways_down.let_down import explain_down
    from optimiser.rig.notation import parse_way_down
    from optimiser.telling.lower import lowering_json, report
    from optimiser.telling.onward import after_lower, sentence
    from optimiser.telling.why import EXPLAINED_DOWN, report_down

    if reeving is None:
        with searching() as progress:
            found = lower(site, LowerQuestion(top=1, without=question.without), progress=progress)
        if not found.setups:
            after = "" if found.feasible else after_lower(path, found, None)
            data = lowering_json(found) if form == "json" else None
            blocks = [*report(found.site, found), *([("", sentence(after))] if after else [])]
            answer(site, blocks, form, data)
            return found.feasible
        walk, turns = found[0].walk, found[0].turns or None
    else:
        walk, turns = parse_way_down(reeving, site)
    with searching():
        explained = explain_down(site, walk, turns, question)
    data = EXPLAINED_DOWN.json(explained) if form == "json" else None
    answer(site, report_down(explained, site.preferences.units), form, data)
    return explained.works


def _two_ropes(site: "Site", found: "ExplainedPair", form: str) -> bool:
    """Print that tackle on tackle works, with everything it carries, or what stops it."""
    from optimiser.telling.detail import detail
    from optimiser.telling.tables import setup_json

    if found.setup is not None:
        data = setup_json(found.setup, full=True) if form == "json" else None
        measured = measured_answers(site, [("This setup", found.setup)])
        answer(site, [("", "It works."), *detail(site, found.setup)], form, data, measured=measured)
        return True
    from optimiser.telling.why import CURE, STOPPED_BY

    stops = [STOPPED_BY.json(text) for text in found.stops]
    wording = "It does not work.\n" + "\n".join(f"- {text}" for text in found.stops)
    blocks: list[tuple[str, str]] = [("", wording)]
    if found.cures:
        each = "\n".join(f"- {change.text}" for change in found.cures)
        blocks.append(("What would cure it", each))
    cures = [CURE.json(change) for change in found.cures]
    data = {"works": False, "stops": stops, "cures": cures} if form == "json" else None
    answer(site, blocks, form, data)
    return False
