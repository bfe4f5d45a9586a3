"""Lays out the sheets of many made-up sites: `python -m tests.sheet --sites 200 --compounds 60`.

Ends with 1 where a label overlaps another, leaves the page or finds no room.
"""

import argparse
import sys
from itertools import chain

from tests.sheet.layouts import made_up_compounds, made_up_setups, wrong_on


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.sheet", description=__doc__)
    parser.add_argument("--sites", type=int, default=200, help="sites with one rope")
    parser.add_argument("--compounds", type=int, default=60, help="sites with two ropes")
    options = parser.parse_args()
    many, bad = 0, 0
    for rigged in chain(made_up_setups(options.sites), made_up_compounds(options.compounds)):
        many += 1
        for wrong in wrong_on(rigged):
            bad += 1
            print(wrong, flush=True)
    print(f"{many} sheets laid out, {bad} faults")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
