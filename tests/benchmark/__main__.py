"""Measures the program: `python -m tests.benchmark [--quick] [--only PART] [-o FILE.md]`.

Prints Markdown: where the time goes, other methods on the same sites, growth with size, how a command
starts, and the goals of the project with what was reached. Times are seconds of one processor unless
said, so that they hold on a machine that does other work besides. Where two methods finish on a site
and their lists differ, it ends with an error.
"""

import sys
from pathlib import Path

import click

from tests.benchmark import (
    children,
    compared,
    every_kind,
    goals,
    growth,
    opened_page,
    questions,
    stages,
    starts,
    tail,
)
from tests.benchmark.page import Page

PARTS = {
    part.__name__.rpartition(".")[2]: part
    for part in (stages, questions, opened_page, compared, growth, tail, every_kind, starts)
}


@click.command()
@click.option("--quick", is_flag=True, help="Fewer sites and repeats: some two minutes.")
@click.option(
    "--only", multiple=True, type=click.Choice(tuple(PARTS)), help="This part (may be repeated)."
)
@click.option("-o", "output", type=click.Path(path_type=Path), help="Write the Markdown here.")
def main(quick: bool, only: tuple[str, ...], output: Path | None) -> None:
    """Measure the program, side by side with other methods."""
    children.compiled()
    page = Page()
    reached = goals.Reached()
    for name, part in PARTS.items():
        if only and name not in only:
            continue
        click.echo(f"measuring: {name}", err=True)
        part.measure(page, reached, quick=quick)
    goals.report(page, reached)
    text = page.text()
    if output is None:
        click.echo(text)
    else:
        output.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
