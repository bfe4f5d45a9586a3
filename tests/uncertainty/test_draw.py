"""What is drawn from ranges and what is not, entry by entry of a site file."""

import pytest

from optimiser.jobs.ranges.corners import is_efficiency
from optimiser.jobs.ranges.samples import Drawn, draw
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.piped import replaced
from tests.ranking.test_put_together import meadow


@pytest.fixture(scope="module")
def drawn() -> tuple[Site, Drawn]:
    text = replaced(
        meadow(30.0, 1),
        ('length = "30.0 m"', 'length = "28 m .. 30 m"'),
        ('name = "roller block"', 'name = "roller block"\nefficiency = "0.8..0.9"'),
        ("[[path.leg]]", '[[path.leg]]\nstep = "1 cm .. 2 cm"'),
    )
    site = read_site(text)
    return site, draw(site, 6)


def test_a_length_that_is_not_sure_is_counted_as_the_shortest(
    drawn: tuple[Site, Drawn],
) -> None:
    """So are a step, as the highest, and what sheaves lose, which is drawn sheaf by sheaf instead."""
    site, found = drawn
    (rope,) = (piece for piece in site.gear if piece.name == "30 m rope")
    assert rope.length == 28.0
    assert site.legs[0].step == 0.02
    for one in found.sites:
        assert one.gear == site.gear
        assert [leg.step for leg in one.legs] == [leg.step for leg in site.legs]
    assert len({one.load.weight for one in found.sites}) == 6


def test_a_share_for_each_sheaf_that_a_rope_may_turn_round(drawn: tuple[Site, Drawn]) -> None:
    """As many as a search takes, and one more over which a second rope leads."""
    site, found = drawn
    assert found.sheaves.shape == (6, site.preferences.most_sheaves + 1)


def test_which_entries_are_the_efficiency_of_sheaves() -> None:
    assert is_efficiency(("gear", 3, "efficiency"))
    assert not is_efficiency(("puller", 0, "efficiency"))
    assert not is_efficiency(("gear", 3, "length"))
