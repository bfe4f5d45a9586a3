"""`bankhaul lever`: the load raised one corner at a time."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.lower import force_given
from optimiser.commands.options import CORNERS, answer, form_option, load_site, site_argument

if TYPE_CHECKING:
    from optimiser.site.document.quantity import Corner


@click.command("lever")
@site_argument
@click.option(
    "--hand",
    callback=force_given,
    metavar="FORCE",
    help='Force on the end of the bar that may be asked for, such as "300 N".',
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
    ctx: click.Context, site: str | None, hand: float | None, guesses: "Corner", form: str
) -> None:
    """Raise the load one corner at a time, onto wheels, skids or blocking.

    The [lever] table of SITE says where the load stands, where its centre of gravity is, and what
    bar and blocks there are. Says what every corner carries, which corner to raise first, what the
    hand feels, and how far from tipping the load is at every step.

    \b
    Example: bankhaul lever --hand "300 N"
    """
    from optimiser.jobs.lever.answer import lever
    from optimiser.jobs.question import LeverQuestion
    from optimiser.telling.lever import levering_json, report

    loaded = load_site(site, guesses)
    if loaded.lever is None:
        from shared.errors import Fault, InputError

        name = "demonstration site" if site is None else "standard input" if site == "-" else site
        message = (
            "missing: the table that says where the load stands, its centre of gravity, the bar "
            "and the blocks; `bankhaul schema` has its keys"
        )
        raise InputError(name, [Fault("lever", message)])
    found = lever(loaded, LeverQuestion(hand=hand))
    data = levering_json(found) if form == "json" else None
    answer(loaded, report(loaded, found), form, data)
    if not found.feasible:
        ctx.exit(3)
