"""Compares many made-up sites with anchors that are made: `python -m tests.made --sites 200`."""

import sys

from tests.made.test_against_oracle import compared
from tests.many import compare_rankings

if __name__ == "__main__":
    sys.exit(
        compare_rankings(
            __doc__,
            compared,
            lambda _, ranking: {"with something made": sum(bool(setup.made) for setup in ranking)},
        )
    )
