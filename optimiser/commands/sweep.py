"""`bankhaul sweep`: the best setup while one or two numbers of the site are varied."""

from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.drawing import check_output, force_option
from optimiser.commands.options import (
    answer,
    form_option,
    hold_option,
    join_ropes_option,
    search_options,
)

if TYPE_CHECKING:
    from optimiser.site.document.quantity import Corner


@click.command("sweep")
@click.argument("words", nargs=-1, metavar="[SITE] KEY=FROM..TO [KEY=FROM..TO]")
@click.option(
    "--steps",
    type=click.IntRange(min=2, max=200),
    metavar="N",
    help="Values on each axis, both ends included; 9 for one number, 7 for two if left out.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Draw it too: .svg, .png or .pdf; curves for one number, a map for two.",
)
@force_option
@click.option(
    "--processes",
    type=click.IntRange(min=1, max=256),
    metavar="N",
    help="How many cells are worked out at once; as many as there are cores if left out.",
)
@click.option(
    "--buying",
    is_flag=True,
    help="Tell also the least money with which something works in each cell (takes long).",
)
@click.option(
    "--compound",
    is_flag=True,
    help="Count tackle on tackle (a second rope's blocks gripping the first) in each cell too.",
)
@click.option(
    "--down",
    is_flag=True,
    help="The best way down in each cell (as lower lists them first), in place of the best haul.",
)
@join_ropes_option
@search_options
@hold_option
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    steps: int | None,
    output: Path | None,
    force: bool,
    processes: int | None,
    buying: bool,
    compound: bool,
    join_ropes: bool | None,
    down: bool,
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    hold: bool,
    form: str,
) -> None:
    """Vary one or two numbers of SITE and see where the best setup, or way down, changes.

    KEY is any number of the site file by its place in it, FROM..TO in its unit. The time limit holds
    for each cell.

    \b
    Example: bankhaul sweep "load.weight=400..900 kg" --steps 2
    """
    from optimiser.jobs.question import SweepQuestion
    from optimiser.jobs.sweep.axes import axis
    from optimiser.jobs.sweep.cost import least_cost
    from optimiser.jobs.sweep.run import sweep
    from optimiser.site.reading import read_document, site_from_document
    from optimiser.telling.sweep import report, sweep_json
    from shared.progress import Progress, clear_line

    if buying and hold:
        raise click.UsageError("--buying counts no second lines: leave out either it or --hold")
    given = {"--hold": hold, "--buying": buying, "--compound": compound, "--by": by is not None}
    given |= {"--join-ropes": join_ropes is True, "--whole-ropes": join_ropes is False}
    if down and any(given.values()):
        option = next(name for name, there in given.items() if there)
        raise click.UsageError(f"{option} is of hauls: leave out either it or --down")
    _checked(output)
    path, requested = parted(words)
    check_output(output, path, force)
    document = read_document(path)
    axes = [axis(document, word) for word in requested]
    question = SweepQuestion(
        steps=steps,
        guesses=guesses,
        by=by,
        without=without,
        time_limit=time_limit,
        compound=compound,
        join_ropes=join_ropes,
        hold=hold,
        down=down,
    )
    with Progress() as progress:
        found = sweep(
            document,
            axes,
            question,
            processes=processes,
            cost=least_cost if buying else None,
            progress=progress,
        )
    system = document.site.preferences.units
    ends = [
        site_from_document(
            document,
            guesses,
            {one.key: one.text(value) for one, value in zip(axes, point, strict=True)},
        )
        for point in product(*((one.low, one.high) for one in axes))
    ]
    blocks = report(found, system, priced=buying)
    answer(
        ends[0],
        blocks,
        form,
        sweep_json(found, system) if form == "json" else None,
        varied=ends,
    )
    if output is not None:
        from optimiser.telling.sweep_picture import write

        try:
            write(found, output, system)
        except OSError as problem:
            raise click.FileError(str(output), hint=problem.strerror or str(problem)) from problem
        clear_line()
        click.echo(f"wrote {output}", err=True)
    if not any(cell.works for cell in found.cells):
        ctx.exit(3)


def parted(words: tuple[str, ...]) -> tuple[str | None, tuple[str, ...]]:
    """The site and what is varied among the arguments. Raises click.UsageError."""
    first = words[:1]
    path = first[0] if first and not _varies(first[0]) else None
    requested = words if path is None else words[1:]
    if not requested:
        raise click.UsageError(
            "nothing to vary: expected KEY=FROM..TO, such as load.weight=200..400 kg"
        )
    if len(requested) > 2:
        raise click.UsageError(f"at most two numbers can be varied, got {len(requested)}")
    return path, requested


def _varies(word: str) -> bool:
    return "=" in word and not Path(word).exists()


def _checked(output: Path | None) -> None:
    """Whether the picture can be of a known kind, before anything is worked out."""
    from optimiser.telling.sweep_picture import KINDS

    if output is not None and output.suffix.lower() not in KINDS:
        raise click.BadParameter(
            f"'{output}' ends in none of {', '.join(KINDS)}", param_hint="--output"
        )
