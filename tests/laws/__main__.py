"""Tries the laws on made-up banks: `python -m tests.laws --sites 600`.

A law that does not hold is printed with the number of the bank and as few of its features as it takes.
"""

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import click

from tests.laws.banks import features
from tests.laws.judged import BALANCE, LAWS, changed, violated


def smallest(law: str, number: int, folder: Path) -> frozenset[str]:
    """Features that the bank may be without while the law still does not hold."""
    without: frozenset[str] = frozenset()
    for name in features(number):
        if violated(law, number, folder, without=without | {name}):
            without |= {name}
    return without


@click.command()
@click.option("--sites", default=100, show_default=True, help="How many banks.")
@click.option("--first", default=0, show_default=True, help="Number of the first.")
@click.option("--law", "only", multiple=True, type=click.Choice(LAWS), help="Only this law.")
def main(sites: int, first: int, only: tuple[str, ...]) -> None:
    """Print every law that does not hold, and end with 1 if there is one."""
    tried: Counter[str] = Counter()
    broken, began = 0, time.process_time()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for number in range(first, first + sites):
            for law in only or LAWS:
                tried[law] += law == BALANCE or changed(law, number) is not None
                found = violated(law, number, folder)
                if found:
                    broken += 1
                    left = [f for f in features(number) if f not in smallest(law, number, folder)]
                    click.echo(
                        f"bank {number}, {law}: {found}; with {', '.join(left) or 'no feature'}"
                    )
                    sys.stdout.flush()
    click.echo(
        f"{sum(tried.values())} tries of {len(tried)} laws on {sites} banks in "
        f"{time.process_time() - began:.0f} s of work: {broken} do not hold"
    )
    sys.exit(1 if broken else 0)


if __name__ == "__main__":
    main()
