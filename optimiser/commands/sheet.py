"""`bankhaul sheet`: the field sheet of one setup."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.options import find_setups, load_site, search_options, tell

if TYPE_CHECKING:
    from optimiser.sheet.page import Sheet
    from optimiser.site.document import Corner


@click.command("sheet")
@click.argument("words", nargs=-1, metavar="[SITE] [N|stages]")
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    metavar="FILE",
    help="The file to write: .html, .pdf, .svg or .png.",
)
@click.option(
    "--paper",
    type=click.Choice(("a4", "letter")),
    default="a4",
    show_default=True,
    help="Paper of a PDF; HTML fits both.",
)
@click.option(
    "--compare",
    type=click.IntRange(min=0, max=4),
    default=2,
    show_default=True,
    metavar="COUNT",
    help="How many of the other best setups the chart shows too.",
)
@search_options
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    output: Path,
    paper: str,
    compare: int,
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
) -> None:
    """Draw the sheet to take along for setup N of the ranking, or for all stages.

    Plan and side view to scale, the run of the rope, steps, gear, loads, when to stop, and where
    nobody stands. HTML is one file for a phone or a printer; SVG and PNG hold the drawings only.
    N is 1 if left out; the word stages stands for the plan in stages, a page each.

    Example: bankhaul sheet site.toml 2 -o haul.html
    """
    from optimiser.commands.rank import nothing_feasible
    from optimiser.commands.show import parted
    from optimiser.sheet.page import sheet

    _checked(output)
    staged = words[-1:] == ("stages",)
    path, number = parted(words[:-1] if staged else words)
    if staged and len(words) > 1 and path is None:
        raise click.UsageError("give either the number of a setup or the word stages, not both")
    site = load_site(path, guesses)
    if staged:
        from optimiser.sheet.page import plan_sheet
        from optimiser.staging.plan import plan_stages
        from optimiser.staging.telling import report
        from shared.progress import Progress

        rules = site.preferences.rules - frozenset(without) if without else None
        with Progress() as progress:
            plan = plan_stages(
                site, order=by, rules=rules, time_limit=time_limit, progress=progress
            )
        if not plan.stages:
            tell(report(site, plan, guesses), "table", site.preferences.units)
            ctx.exit(3)
        made = plan_sheet(site, plan)
    else:
        top = max(10, number)
        found = find_setups(site, by=by, without=without, time_limit=time_limit, top=top)
        if not found.setups:
            tell(nothing_feasible(site, found), "table", site.preferences.units)
            ctx.exit(3)
        if number > len(found.setups):
            raise click.BadParameter(
                f"there is no setup {number}: the ranking has {len(found.setups)}", param_hint="N"
            )
        setup = found.setups[number - 1]
        others = [other for other in found.setups if other is not setup][:compare]
        made = sheet(site, [setup], others)
    _written(made, output, paper)


def _written(made: "Sheet", output: Path, paper: str) -> None:
    from optimiser.sheet.write import write

    try:
        for target in write(made, output, paper):
            click.echo(f"wrote {target}")
    except OSError as problem:
        raise click.FileError(str(output), hint=problem.strerror or str(problem)) from problem


def _checked(output: Path) -> None:
    """Whether the file can be of a known kind, before anything is searched. Raises click.BadParameter."""
    from optimiser.sheet.write import KINDS

    if output.suffix.lower() not in KINDS:
        raise click.BadParameter(
            f"'{output}' ends in none of {', '.join(KINDS)}", param_hint="--output"
        )
