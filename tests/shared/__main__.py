"""Compares many made-up sites with trees that share a pull: `python -m tests.shared --sites 200`."""

import sys

from tests.many import compare_rankings
from tests.shared.test_against_oracle import compared, slung

if __name__ == "__main__":
    sys.exit(
        compare_rankings(
            __doc__,
            compared,
            lambda _, ranking: {"with a sling between two trees": sum(map(slung, ranking))},
        )
    )
