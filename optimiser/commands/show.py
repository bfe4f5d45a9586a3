"""`bankhaul show`: one setup spelt out."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import find_setups, form_option, load_site, search_options, tell

if TYPE_CHECKING:
    from optimiser.site.document import Corner


@click.command("show")
@click.argument("words", nargs=-1, metavar="[SITE] [N]")
@search_options
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    form: str,
) -> None:
    """Explain setup N of the ranking.

    What hangs at each place, what every piece carries and stands, the pull along the path, and the
    cautions. N is 1 if left out. A lone number is N; a file named like a number is written ./7.

    Example: bankhaul show site.toml 2
    """
    from optimiser.commands.rank import nothing_feasible
    from optimiser.detail import detail
    from optimiser.tables import ranking_json, setup_json
    from optimiser.words import proof

    path, number = parted(words)
    site = load_site(path, guesses)
    found = find_setups(site, by=by, without=without, time_limit=time_limit, top=max(10, number))
    system = site.preferences.units
    if not found.setups:
        data = ranking_json(found) if form == "json" else None
        tell(nothing_feasible(site, found), form, system, data)
        ctx.exit(3)
    if number > len(found.setups):
        raise click.BadParameter(
            f"there is no setup {number}: the ranking has {len(found.setups)}", param_hint="N"
        )
    setup = found.setups[number - 1]
    data = setup_json(setup, full=True) | {"proven": found.proven} if form == "json" else None
    tell([*detail(site, setup), ("", proof(found))], form, system, data)


def parted(words: tuple[str, ...]) -> tuple[str | None, int]:
    """The site and the number among the arguments. Raises click.BadParameter."""
    if len(words) > 2:
        raise click.UsageError(f"expected a SITE and a number, got {len(words)} arguments")
    if not words:
        return None, 1
    last = words[-1]
    if last.lstrip("+-").isdecimal():
        number = int(last)
        if number < 1:
            raise click.BadParameter(f"setups are numbered from 1, got {last}", param_hint="N")
        return (words[0] if len(words) == 2 else None), number
    if len(words) == 2:
        raise click.BadParameter(f"expected the number of a setup, got '{last}'", param_hint="N")
    return last, 1
