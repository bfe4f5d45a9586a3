"""Puts faults into a copy of the program and reports which the tests notice: `python -m tests.mutation`.

Takes half an hour to an hour. Ends with 1 where fewer than 95 % are noticed. With `--machine` the faults are
not those of the list, but a sample of all that a machine can make: of processor time a second where one is
noticed and a dozen where none does, and once over half an hour to see which test runs which line.
"""

import sys
import tempfile
from pathlib import Path

import click

from tests.mutation.bench import Bench, Result
from tests.mutation.faults import faults
from tests.mutation.machine import report as of_machine
from tests.mutation.machine import run as by_machine
from tests.mutation.report import WANTED, markdown, share

REPORT = Path(__file__).with_name("REPORT.md")


@click.command()
@click.option("--only", multiple=True, type=int, help="Number of a fault (may be repeated).")
@click.option("--first", default=1, show_default=True, help="Number of the first.")
@click.option("--short", is_flag=True, help="Run only the tests that are not marked long.")
@click.option("--check", is_flag=True, help="Run the tests on the unspoiled copy first.")
@click.option("--machine", is_flag=True, help="Faults made by the machine instead.")
@click.option("--sample", default=200, show_default=True, help="How many of the machine's.")
@click.option("--seed", default=1, show_default=True, help="Which of the machine's.")
@click.option("--again", is_flag=True, help="Judge the machine's survivors once more.")
@click.option("--last-first", is_flag=True, help="As a second process beside another.")
def main(
    only: tuple[int, ...],
    first: int,
    short: bool,
    check: bool,
    machine: bool,
    sample: int,
    seed: int,
    again: bool,
    last_first: bool,
) -> None:
    """Report which faults the tests notice; a run of all of them writes the report."""
    if machine:
        verdicts = by_machine.run(sample, seed, again=again, last_first=last_first)
        part = of_machine.markdown(verdicts, seed)
        of_machine.written(REPORT, part, of_machine=True)
        click.echo(
            f"{sum(v.caught for v in verdicts)} of {len(verdicts)} noticed; see {REPORT.name}"
        )
        return
    chosen = [f for f in faults() if (f.number in only if only else f.number >= first)]
    results: list[Result] = []
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder), short=short)
        if check:
            for suite in sorted({fault.suite for fault in chosen}):
                failed = bench.sound(suite)
                click.echo(f"unspoiled, {suite}: {failed or 'passes'}")
                if failed:
                    sys.exit(2)
        for fault in chosen:
            try:
                result = bench.judge(fault)
            except ValueError as error:  # the list has rotted: mended by hand
                click.echo(str(error), err=True)
                sys.exit(2)
            results.append(result)
            named = result.by or "NOT NOTICED"
            click.echo(f"{fault.number:3} {result.took:5.0f} s  {fault.what}: {named}")
            sys.stdout.flush()
    click.echo(f"{share(results):.1%} of {len(results)} noticed")
    if not only and first == 1 and not short:
        of_machine.written(REPORT, markdown(results), of_machine=False)
    sys.exit(0 if share(results) >= WANTED else 1)


if __name__ == "__main__":
    main()
