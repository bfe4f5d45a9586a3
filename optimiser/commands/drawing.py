"""Shares among the commands that write a sheet its options, the checks, the writing."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from optimiser.sheet.booklet import Booklet
    from optimiser.sheet.page import Sheet

Wrapped = TypeVar("Wrapped", bound=Callable[..., Any])


def output_option(
    *, required: bool, text: str = "Write a sheet to take along to this file"
) -> Callable[[Wrapped], Wrapped]:
    """`--output`: the file a sheet is written to."""
    text = "The file to write" if required else text

    def wrap(function: Wrapped) -> Wrapped:
        function = force_option(function)
        return click.option(
            "-o",
            "--output",
            type=click.Path(dir_okay=False, path_type=Path),
            required=required,
            metavar="FILE",
            callback=lambda _ctx, _param, value: checked(value),
            help=f"{text}: .html, .pdf, .svg or .png.",
        )(function)

    return wrap


def force_option(function: Wrapped) -> Wrapped:
    """`--force`: whether a file is written through a link."""
    return click.option(
        "--force", is_flag=True, help="Write through a link, if the file to write is one."
    )(function)


def paper_option(function: Wrapped) -> Wrapped:
    """`--paper`: of a PDF."""
    return click.option(
        "--paper",
        type=click.Choice(("a4", "letter")),
        default="a4",
        show_default=True,
        help="Paper of a PDF; HTML fits both.",
    )(function)


def checked(output: Path | None) -> Path | None:
    """The file, if it is of a known kind, before anything is searched. Raises click.BadParameter."""
    from optimiser.sheet.kinds import KINDS

    if output is not None and output.suffix.lower() not in KINDS:
        raise click.BadParameter(
            f"'{output}' ends in none of {', '.join(KINDS)}", param_hint="--output"
        )
    return output


def check_output(output: Path | None, site: str | None, force: bool) -> None:
    """Whether the file can be written, before anything is searched. `site`: the argument that names the site
    file. Raises InputError."""
    from shared.files import check_target

    if output is not None:
        check_target(output, read=() if site in (None, "-") else (str(site),), force=force)


def written(made: "Sheet", output: Path, paper: str, force: bool) -> None:
    """Write a sheet and print where it is. Raises InputError, or click.FileError."""
    from optimiser.sheet.write import booklet

    put(booklet(made), output, paper, force)


def put(made: "Booklet", output: Path, paper: str, force: bool, *, beside: bool = False) -> None:
    """Write pages and print where they are; `beside`: an answer is printed too, so not into that. Raises
    InputError, or click.FileError."""
    from optimiser.sheet.booklet import targets, write_booklet
    from shared.files import check_target
    from shared.progress import Progress

    for each in targets(made, output):
        check_target(each, force=force)

    try:
        with Progress() as progress:
            files = write_booklet(made, output, paper, progress)
        for target in files:
            click.echo(f"wrote {target}", err=beside)
    except OSError as problem:
        raise click.FileError(str(output), hint=problem.strerror or str(problem)) from problem
