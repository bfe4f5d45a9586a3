"""Anchors that are made, in the search against the exhaustive enumeration: the same list, order and numbers.

`python -m tests.made --sites 200` compares many.
"""

from collections import Counter
from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Ranking
from optimiser.site.anchors import RatedAnchor
from optimiser.site.model import Site
from tests.made.sites import site
from tests.oracle.enumeration import enumerate_setups
from tests.search.test_against_oracle import _agree as agree

QUICK = (0, 2, 3)


def compared(number: int) -> Ranking:
    """The ranking of a site, which is that of the enumeration."""
    made = site(number)
    ranking = rank(made, RankQuestion(explain=False, compound=False))
    agree(ranking, enumerate_setups(made))
    return ranking


@pytest.mark.parametrize("number", QUICK)
def test_same_list_as_the_enumeration(number: int) -> None:
    compared(number)


def test_what_is_made_decides() -> None:
    """Lists in which nothing is made, or in which no limit of a made anchor matters, would agree too."""
    met: Counter[str] = Counter()
    for number in QUICK:
        made = site(number)
        free = rank(_without_limits(number), RankQuestion(explain=False, compound=False))
        kept = rank(made, RankQuestion(explain=False, compound=False))
        met["made"] += sum(bool(setup.made) for setup in kept)
        met["differs"] += [s.walk for s in free] != [s.walk for s in kept]
    assert met["made"] >= 5
    assert met["differs"] >= 1


def _without_limits(number: int) -> Site:
    made = site(number)
    anchors = tuple(
        replace(a, directions=None, uses=()) if isinstance(a, RatedAnchor) else a
        for a in made.anchors
    )
    return replace(made, anchors=anchors, stock=())
