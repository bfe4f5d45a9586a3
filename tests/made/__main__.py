"""Compares many made-up sites with anchors that are made: `python -m tests.made --sites 200`."""

import argparse
from collections import Counter

from tests.made.test_against_oracle import compared


def main() -> None:
    """Prints how many sites agree; stops at the first that does not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    met: Counter[str] = Counter()
    for number in range(options.first, options.first + options.sites):
        ranking = compared(number)
        met["setups"] += len(ranking)
        met["with something made"] += sum(bool(setup.made) for setup in ranking)
        met["sites without a setup"] += not len(ranking)
    print(f"{options.sites} sites agree: {dict(met)}")


if __name__ == "__main__":
    main()
