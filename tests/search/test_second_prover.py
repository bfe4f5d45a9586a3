"""Two provers agree: the search, and a model of whole reevings for the constraint solver."""

from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.order import Order
from tests.generated import Recipe, made_up
from tests.search.whole_reevings import Reevings, only_scene

PULL = Recipe(
    trees=4, heights=2, sheaves=3, items=14, regime="puller", spacing=2.0, light=0.4, protected=True
)
WINCH = replace(PULL, regime="easy", puller="hand winch", light=0.6, trees=3)


@pytest.mark.parametrize("number", range(1, 9))
def test_no_reeving_has_a_better_margin(number: int) -> None:
    """The best margin, to its band, and not only up to what is enough."""
    plain = made_up(PULL, number)
    site = replace(plain, preferences=replace(plain.preferences, enough=50.0))
    best, _ = Reevings(only_scene(site)).best_margin()
    ranking = rank(site, RankQuestion(explain=False, compound=False))
    order = Order.of(site.preferences)
    assert [order.band_of(s.margin) for s in ranking][:1] == ([order.band_of(best)] if best else [])


@pytest.mark.parametrize("number", range(1, 7))
def test_no_reeving_takes_fewer_resets(number: int) -> None:
    site = made_up(WINCH, number)
    purchase = site.pullers[0].purchase
    assert purchase is not None
    fewest, _ = Reevings(only_scene(site)).fewest_resets(purchase)
    ranking = rank(
        site, RankQuestion(explain=False, by=("resets", "margin", "rope"), compound=False)
    )
    assert [s.resets for s in ranking][:1] == ([fewest] if fewest < 10_000 else [])


def test_the_sites_have_answers() -> None:
    assert (
        sum(
            bool(len(rank(made_up(PULL, n), RankQuestion(explain=False, compound=False))))
            for n in range(1, 9)
        )
        >= 5
    )
    assert (
        sum(
            bool(len(rank(made_up(WINCH, n), RankQuestion(explain=False, compound=False))))
            for n in range(1, 7)
        )
        >= 4
    )
