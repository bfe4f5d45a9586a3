"""Trees that share a pull, in the search against the exhaustive enumeration: the same list and numbers.

`python -m tests.shared --sites 200` compares many.
"""

from collections import Counter

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Ranking, Setup
from tests.oracle.enumeration import enumerate_setups
from tests.search.test_against_oracle import _agree as agree
from tests.shared.sites import site

QUICK = (1, 180)


def compared(number: int) -> Ranking:
    """The ranking of a site, which is that of the enumeration."""
    made = site(number)
    ranking = rank(made, RankQuestion(explain=False, compound=False))
    agree(ranking, enumerate_setups(made))
    return ranking


def slung(setup: Setup) -> bool:
    """Whether two trees share a pull in it."""
    return any(" & " in place.name for place in setup.walk)


@pytest.mark.parametrize("number", QUICK)
def test_same_list_as_the_enumeration(number: int) -> None:
    compared(number)


def test_slings_are_among_them() -> None:
    met: Counter[bool] = Counter()
    for number in QUICK:
        found = rank(site(number), RankQuestion(explain=False, compound=False))
        met.update(slung(setup) for setup in found)
    assert met[True] >= 2
