"""Staged plans of one rope or of tackle on tackle against every chain of either on a small site."""

from dataclasses import replace

import pytest

from catalogue.gear import Rope
from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.rig.order import Order
from optimiser.site.model import Site
from tests.compound import sites
from tests.long import cases
from tests.stages.exhaustive import plans
from tests.stages.test_against_enumeration import ORDERS, WORTH


def site(number: int, *, weight: float, rope: float = 1.0) -> Site:
    """A site with two ropes, the load made heavier or the ropes shorter so that one setup of one rope
    will not do."""
    plain = sites.site(number)
    gear = tuple(
        replace(piece, length=rope * piece.length)
        if isinstance(piece.gear, Rope) and piece.length is not None
        else piece
        for piece in plain.gear
    )
    return replace(
        plain,
        gear=gear,
        load=replace(plain.load, weight=weight * plain.load.weight),
        preferences=replace(plain.preferences, most_sheaves=3),
    )


CASES = [(19, 1.0, 0.6)]


@pytest.mark.parametrize(("number", "weight", "rope"), cases(CASES, quick=[(19, 1.0, 0.6)]))
def test_no_chain_of_setups_is_better(number: int, weight: float, rope: float) -> None:
    small = site(number, weight=weight, rope=rope)
    grain = 3.0
    every = plans(small, grain, most_stages=3, two_ropes=True)
    single = plans(small, grain, most_stages=3)

    assert every
    assert every != single
    for order in ORDERS:
        plan = plan_stages(
            small, StagesQuestion(grain=grain, most_stages=3, by=order, join_ropes=False)
        )
        best = min(every, key=lambda score: [WORTH[name](score) for name in plan.order])
        band = Order.of(small.preferences).band_of(plan.margin or 0.0)
        assert plan.proven
        assert (len(plan.stages), plan.resets, band) == best[:3], plan.order
        assert plan.rope_needed == pytest.approx(best[3], abs=0.0101), plan.order
