"""Compares many made-up sites with trees that share a pull: `python -m tests.shared --sites 200`."""

from tests.comparing import compare_many
from tests.shared.test_against_oracle import compared, slung

if __name__ == "__main__":
    compare_many(
        __doc__,
        compared,
        lambda _, ranking: {"with a sling between two trees": sum(map(slung, ranking))},
    )
