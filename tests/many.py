"""Compares many made-up sites from the command line, for modules that say what differs on one."""

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

from optimiser.rig.setup import Ranking

Made = TypeVar("Made")
Counts = Mapping[str, int]


def compare_many(
    text: str | None,
    made: Callable[[int], Made],
    differences: Callable[[Made, Counter[str]], Iterable[str]],
    *,
    sites: int,
) -> int:
    """Compares as many sites as requested, `sites` where none are; prints what differs and how much there was
    to compare, and on standard error which site it is at. Returns 1 where anything differs. `text`: what the
    command is for; `differences`: of what is made for a number; counts in the second what there was to
    compare."""
    parser = argparse.ArgumentParser(description=text)
    parser.add_argument("--sites", type=int, default=sites)
    parser.add_argument("--first", type=int, default=0)
    args = parser.parse_args()
    met: Counter[str] = Counter()
    wrong = 0
    for number in range(args.first, args.first + args.sites):
        for found in differences(made(number), met):
            wrong += 1
            print(f"site {number}: {found}", flush=True)
        print(f"site {number}", file=sys.stderr, flush=True)
    print(f"{args.sites} sites:", ", ".join(f"{many} {name}" for name, many in met.most_common()))
    print(f"{wrong} differences")
    return 1 if wrong else 0


def compare_rankings(
    text: str | None, compared: Callable[[int], Ranking], met: Callable[[int, Ranking], Counts]
) -> int:
    """The same for a comparison that raises where a ranking is not that of the enumeration. `met`: what
    there was on a site besides setups."""

    def differences(number: int, counts: Counter[str]) -> Iterator[str]:
        try:
            ranking = compared(number)
            counts.update(met(number, ranking))
        except AssertionError as error:
            yield str(error) or "the ranking is not that of the enumeration"
            return
        counts.update({"setups": len(ranking), "sites without a setup": int(not len(ranking))})

    return compare_many(text, int, differences, sites=200)


def compare_staged(
    text: str | None,
    compared: Callable[[int, int, bool], tuple[Counts, Iterable[str]]],
    *,
    many: int,
    called: str = "sites",
    flag: str = "",
) -> int:
    """Compares as many things as requested, `many` where none are, each in as many stages as requested;
    prints what differs and how much there was to compare. Returns 1 where anything differs. `compared`: what
    there was of one by its number, in so many stages, with the option `flag` or without, and what differs."""
    parser = argparse.ArgumentParser(description=text)
    parser.add_argument(f"--{called}", dest="many", type=int, default=many)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--stages", type=int, nargs="+", default=[1, 2])
    if flag:
        parser.add_argument(f"--{flag}", dest="flag", action="store_true")
    args = parser.parse_args()
    wrong = 0
    for stages in args.stages:
        met: Counter[str] = Counter()
        for number in range(args.first, args.first + args.many):
            counts, found = compared(number, stages, bool(flag and args.flag))
            met.update({called: 1, **counts})
            for difference in found:
                wrong += 1
                print(f"{called[:-1]} {number}, {stages} stages: {difference}", flush=True)
        print(f"{stages} stages:", ", ".join(f"{many} {name}" for name, many in met.items()))
    return 1 if wrong else 0
