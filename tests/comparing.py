"""Runs a comparison with the enumeration on many made-up sites, by number: what `python -m tests.made`,
`tests.shared` and `tests.tracks` have in common."""

import argparse
from collections import Counter
from collections.abc import Callable, Mapping

from optimiser.rig.setup import Ranking

Counts = Mapping[str, int]


def compare_many(
    about: str | None, compared: Callable[[int], Ranking], met: Callable[[int, Ranking], Counts]
) -> None:
    """Compares the sites that the command line wants, and prints how many agree and what was met on them.

    `compared`: raises where a site's ranking is not that of the enumeration, so the first such site ends it.
    `met`: what there was on a site, to be summed up.
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--sites", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    every: Counter[str] = Counter()
    for number in range(options.first, options.first + options.sites):
        ranking = compared(number)
        every["setups"] += len(ranking)
        every["sites without a setup"] += not len(ranking)
        every.update(met(number, ranking))
        print(number, dict(every), flush=True)
    print(f"{options.sites} sites agree: {dict(every)}")
