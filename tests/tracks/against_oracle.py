"""Where a puller stands, in the search against the exhaustive enumeration over all candidate spots: the
same list, order and numbers, and the same count of walks.
"""

from unittest.mock import patch

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Ranking
from optimiser.site.model import Site
from tests.oracle.enumeration import enumerate_setups
from tests.oracle.stands import every_stand
from tests.search.test_against_oracle import _agree as agree
from tests.tracks.sites import site

QUESTION = RankQuestion(explain=False, compound=False)


def at_candidates(made: Site) -> Ranking:
    """The ranking before any spot is refined."""

    def as_it_is(filled: Filled, *_: object) -> Filled:
        return filled

    with patch("optimiser.search.listing.refined", as_it_is):
        return rank(made, QUESTION)


def compared(number: int) -> Ranking:
    """The ranking of a site, which is that of the enumeration; each rig stands at a candidate."""
    made = site(number)
    ranking = at_candidates(made)
    agree(ranking, enumerate_setups(made))
    places = [(p.position, round(p.run, 6)) for p in every_stand(made, made.pullers[0])]
    for setup in ranking:
        assert (setup.puller.position, round(setup.puller.run, 6)) in places
    return ranking
