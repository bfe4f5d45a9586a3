"""Compares many made-up sites with anchors that are made: `python -m tests.made --sites 200`."""

from tests.comparing import compare_many
from tests.made.test_against_oracle import compared

if __name__ == "__main__":
    compare_many(
        __doc__,
        compared,
        lambda _, ranking: {"with something made": sum(bool(setup.made) for setup in ranking)},
    )
