"""Compares tackle on tackle on a bridled load with its enumeration: `python -m tests.compound.bridled`."""

import sys
from collections import Counter
from collections.abc import Iterator

from optimiser.site.model import Site
from tests.compound.sites import bridled
from tests.compound.test_against_enumeration import both_lists
from tests.many import compare_many


def differences(small: Site, met: Counter[str]) -> Iterator[str]:
    found, expected = both_lists(small)
    on_bridle = [entry.filled.variant.row.scene.attachment.leg is not None for entry in found]
    met.update({"setups": len(expected), "bridled setups": sum(on_bridle)})
    met.update({"sites with a bridled setup": int(any(on_bridle))})
    listed = [entry.sort for entry in found]
    if listed != expected:
        yield f"{listed}, the enumeration has {expected}"


if __name__ == "__main__":
    sys.exit(compare_many(__doc__, bridled, differences, sites=60))
