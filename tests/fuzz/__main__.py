"""Runs changed site files through the program: `python -m tests.fuzz --cases 5000`.

Every case must end with an answer or a clear error: exit code 0, 2 or 3, no traceback, nothing that
is no number, within 20 s. `--save tests/fuzz/corpus` keeps a find as a file of the corpus, which
the tests run for ever after. `--only N` runs one case and prints what it gives.
"""

import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import click

from tests.fuzz.cases import LIMIT, Case, case
from tests.fuzz.judge import faults, run
from tests.fuzz.keeping import saved

MEMORY = 6 * 2**30
"""Bytes of address space: a case that wants more is a find, and not the end of the machine."""


def limit_memory() -> None:
    """Makes too large a wish a MemoryError."""
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, most))


def report(one: Case, found: list[str]) -> None:
    """Print a find."""
    click.echo(f"case {one.number}: {' '.join(one.arguments)}")
    for line in one.done:
        click.echo(f"    {line.encode('ascii', 'backslashreplace').decode()}")
    for line in found:
        click.echo(f"  ! {line.encode('ascii', 'backslashreplace').decode()}")


@click.command()
@click.option("--cases", default=500, show_default=True, help="How many.")
@click.option("--first", default=0, show_default=True, help="Number of the first.")
@click.option("--seed", default=0, show_default=True, help="Other seeds are other cases.")
@click.option("--only", type=int, help="Run this one case and print what it gives.")
@click.option("--limit", default=LIMIT, show_default=True, help="s given to --time-limit.")
@click.option("--save", type=click.Path(), help="Keep finds as files in this folder.")
@click.option("--most-finds", default=50, show_default=True, help="Stop after so many.")
def main(
    cases: int,
    first: int,
    seed: int,
    only: int | None,
    limit: str,
    save: str | None,
    most_finds: int,
) -> None:
    """Run site files that were sound and then changed through the program."""
    limit_memory()
    numbers = range(first, first + cases) if only is None else [only]
    codes: Counter[object] = Counter()
    finds, slowest, began = 0, (0.0, -1), time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in numbers:
            one = case(number, seed, limit)
            answer = run(one.arguments, one.text, Path(folder))
            codes[answer.code] += 1
            slowest = max(slowest, (answer.took, number))
            found = faults(one.arguments, one.text, answer)
            if found:
                finds += 1
                report(one, found)
                if save is not None:
                    click.echo(f"  saved as {saved(one, found, Path(save))}")
            if only is not None:
                click.echo(one.text.decode("utf-8", "replace"))
                click.echo(f"exit {answer.code} after {answer.took:.2f} s; {one.done}")
                click.echo(answer.out + answer.err + answer.broken)
            if finds >= most_finds:
                break
    ran = sum(codes.values())
    result = ", ".join(f"{many} of exit {code}" for code, many in sorted(codes.items(), key=str))
    click.echo(
        f"{ran} cases in {time.perf_counter() - began:.0f} s: {result}; slowest {slowest[0]:.1f} s "
        f"(case {slowest[1]}); {finds} finds"
    )
    sys.exit(1 if finds else 0)


if __name__ == "__main__":
    main()
