"""Compares many made-up sites from the command line, for modules that say what differs on one."""

import argparse
from collections import Counter
from collections.abc import Callable, Iterable

from optimiser.site.model import Site

Differences = Callable[[Site, Counter[str]], Iterable[str]]
"""What differs on a site; counts in the second what there was to compare."""


def compare_many(
    text: str | None, site: Callable[[int], Site], differences: Differences, *, sites: int
) -> int:
    """Compares as many sites as requested, `sites` where none are; prints what differs and how much there was
    to compare. Returns 1 where anything differs. `text`: what the command is for."""
    parser = argparse.ArgumentParser(description=text)
    parser.add_argument("--sites", type=int, default=sites)
    parser.add_argument("--first", type=int, default=0)
    args = parser.parse_args()
    met: Counter[str] = Counter()
    wrong = 0
    for number in range(args.first, args.first + args.sites):
        for found in differences(site(number), met):
            wrong += 1
            print(f"site {number}: {found}", flush=True)
    print(", ".join(f"{many} {name}" for name, many in met.most_common()))
    print(f"{wrong} differences")
    return 1 if wrong else 0
