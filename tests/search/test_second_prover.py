"""Two provers agree: the search, and a model of whole reevings for the constraint solver."""

from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.mechanics.values import Vec
from optimiser.rig.order import Order
from optimiser.site.anchors import Tree
from optimiser.site.model import Site
from tests.generated import Recipe, made_up
from tests.search.whole_reevings import Reevings, only_scene

PULL = Recipe(
    trees=4, heights=2, sheaves=3, items=14, regime="puller", spacing=2.0, light=0.4, protected=True
)
WINCH = replace(PULL, regime="easy", puller="hand winch", light=0.6, trees=3)
STRAIGHT = (1, 2, 3, 5, 8, 11, 12, 19)
"""Of the sites with a vehicle those on which no line bends."""


def _sites(recipe: Recipe, number: int) -> Site:
    """The made-up site with ground that rises evenly, under the trees as well: no line bends over it, so
    that the tension of every part of the rope is a power of the sheaves' efficiency."""
    site = made_up(recipe, number)
    (begin, _, low), (end, _, high) = site.legs[0].start, site.legs[-1].end
    slope = (high - low) / (end - begin)

    def even(at: Vec) -> Vec:
        return at[0], at[1], low + slope * (at[0] - begin)

    def lifted(at: Vec) -> Vec:
        return at[0], at[1], at[2] + slope * (at[0] - end) + 0.4

    legs = (replace(leg, start=even(leg.start), end=even(leg.end)) for leg in site.legs)
    trees = (replace(a, position=lifted(a.position)) for a in site.anchors if isinstance(a, Tree))
    pullers = (replace(p, position=lifted(p.position)) for p in site.pullers)
    return replace(site, legs=tuple(legs), anchors=tuple(trees), pullers=tuple(pullers))


@pytest.mark.parametrize("number", STRAIGHT)
def test_no_reeving_has_a_better_margin(number: int) -> None:
    """The best margin, to its band, and not only up to what is enough."""
    plain = _sites(PULL, number)
    site = replace(plain, preferences=replace(plain.preferences, enough=50.0))
    best, _ = Reevings(only_scene(site)).best_margin()
    ranking = rank(site, RankQuestion(explain=False, compound=False))
    order = Order.of(site.preferences)
    assert [order.band_of(s.margin) for s in ranking][:1] == ([order.band_of(best)] if best else [])


@pytest.mark.parametrize("number", range(1, 7))
def test_no_reeving_takes_fewer_resets(number: int) -> None:
    site = _sites(WINCH, number)
    purchase = site.pullers[0].purchase
    assert purchase is not None
    fewest, _ = Reevings(only_scene(site)).fewest_resets(purchase)
    ranking = rank(
        site, RankQuestion(explain=False, by=("resets", "margin", "rope"), compound=False)
    )
    assert [s.resets for s in ranking][:1] == ([fewest] if fewest < 10_000 else [])


def test_the_sites_have_answers() -> None:
    assert all(
        len(rank(_sites(PULL, n), RankQuestion(explain=False, compound=False))) for n in STRAIGHT
    )
    assert (
        sum(
            bool(len(rank(_sites(WINCH, n), RankQuestion(explain=False, compound=False))))
            for n in range(1, 7)
        )
        >= 4
    )
