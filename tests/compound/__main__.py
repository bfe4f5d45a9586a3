"""Compares the search for tackle on tackle with its enumeration: python -m tests.compound [--sites 60]."""

import argparse
import sys

from tests.compound.sites import site
from tests.compound.test_against_enumeration import both_lists


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.compound", description=__doc__)
    parser.add_argument("--sites", type=int, default=60)
    parser.add_argument("--first", type=int, default=0)
    wanted = parser.parse_args()
    off = listed = 0
    for number in range(wanted.first, wanted.first + wanted.sites):
        found, expected = both_lists(site(number))
        same = [entry.sort for entry in found] == expected
        off += not same
        listed += bool(expected)
        print(
            f"site {number}: {len(expected)} setups, {'the same' if same else 'DIFFERENT'}",
            flush=True,
        )
    print(f"{wanted.sites} sites, {listed} with setups, {off} differ")
    return int(off > 0)


if __name__ == "__main__":
    sys.exit(main())
