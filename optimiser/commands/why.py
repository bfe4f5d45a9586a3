"""`bankhaul why`: one reeving held against every check."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import CORNERS, form_option, load_site, rules_named, tell

if TYPE_CHECKING:
    from optimiser.rig import Walk
    from optimiser.site.document import Corner
    from optimiser.site.model import Site


@click.command("why")
@click.argument("words", nargs=-1, required=True, metavar="[SITE] REEVING")
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
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    without: tuple[str, ...],
    guesses: "Corner",
    form: str,
) -> None:
    """Say why a reeving works, or why it does not.

    REEVING is written as rank prints it with --format csv or json: places from the standing end to
    the puller, in quotes. Every check is listed with its number and limit, and each failure with the
    smallest change that cures it.

    Example: bankhaul why site.toml "load > ash@0.4 m > load > oak@0.6 m > tractor"
    """
    from optimiser.explain.telling import report, why_json
    from optimiser.explain.why import explain
    from optimiser.notation import parse_lines

    if len(words) > 2:
        raise click.UsageError(
            f"expected a SITE and a REEVING, got {len(words)} arguments: put the reeving in quotes"
        )
    site = load_site(words[0] if len(words) == 2 else None, guesses)
    walk, *others = parse_lines(words[-1], site)
    rules = site.preferences.rules - frozenset(without) if without else None
    if others:
        works = _two_ropes(site, (walk, others[0]), form)
        ctx.exit(0 if works else 3)
    explained = explain(site, walk, rules=rules)
    system = site.preferences.units
    tell(report(explained, system), form, system, why_json(explained) if form == "json" else None)
    if not explained.works:
        ctx.exit(3)


def _two_ropes(site: "Site", walks: "tuple[Walk, Walk]", form: str) -> bool:
    """Tell whether tackle on tackle works, with everything it carries, or what stops it."""
    from optimiser.compound.why import explain
    from optimiser.detail import detail
    from optimiser.tables import setup_json

    found = explain(site, walks)
    system = site.preferences.units
    if found.setup is not None:
        data = setup_json(found.setup, full=True) if form == "json" else None
        tell([("", "It works."), *detail(site, found.setup)], form, system, data)
        return True
    stops = [{"stops": text} for text in found.stops]
    told = "It does not work.\n" + "\n".join(f"- {text}" for text in found.stops)
    tell([("", told)], form, system, {"works": False, "stops": stops} if form == "json" else None)
    return False
