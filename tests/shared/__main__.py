"""Compares many made-up sites with trees that share a pull: `python -m tests.shared --sites 200`."""

import argparse
from collections import Counter

from tests.shared.test_against_oracle import compared, slung


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
        met["with a sling between two trees"] += sum(map(slung, ranking))
        met["sites without a setup"] += not len(ranking)
        print(number, dict(met), flush=True)
    print(f"{options.sites} sites agree: {dict(met)}")


if __name__ == "__main__":
    main()
