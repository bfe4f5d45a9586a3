"""Compares the search for tackle on tackle with its enumeration: python -m tests.compound [--sites 60]."""

import sys
from collections import Counter
from collections.abc import Iterator

from optimiser.site.model import Site
from tests.compound.sites import site
from tests.compound.test_against_enumeration import both_lists
from tests.many import compare_many


def differences(small: Site, met: Counter[str]) -> Iterator[str]:
    found, expected = both_lists(small)
    met.update({"setups": len(expected), "sites with setups": int(bool(expected))})
    listed = [entry.sort for entry in found]
    if listed != expected:
        yield f"{listed}, the enumeration has {expected}"


if __name__ == "__main__":
    sys.exit(compare_many(__doc__, site, differences, sites=60))
