"""Staged plans against every chain of every setup on a small site, whatever the order of counts."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.rig.order import Order
from optimiser.site.model import Site
from tests.generated import Recipe, made_up, on_unknown_ground
from tests.long import cases
from tests.stages.exhaustive import Score, plans

SMALL = Recipe(trees=3, heights=1, sheaves=2, items=12)
ORDERS: tuple[tuple[str, ...], ...] = (
    (),
    ("margin",),
    ("resets", "stages"),
    ("stages", "rope"),
    ("margin", "stages"),
    ("rope", "stages"),
)
WORTH: dict[str, Callable[[Score], float]] = {
    "stages": lambda score: score[0],
    "resets": lambda score: score[1],
    "margin": lambda score: -score[2],
    "rope": lambda score: score[3],
}


def small(seed: int, rope: float, weight: float) -> Site:
    """A made-up site with one short rope, a short run of the puller and a load made lighter."""
    site = on_unknown_ground(made_up(SMALL, seed))  # lines are straight
    return replace(
        site,
        gear=tuple(replace(p, length=rope) if p.length else p for p in site.gear),
        load=replace(site.load, weight=site.load.weight * weight),
        pullers=tuple(replace(puller, run=6.0) for puller in site.pullers),
    )


@pytest.mark.parametrize(
    ("seed", "rope", "weight"),
    cases(
        [(1, 42.0, 0.75), (2, 42.0, 0.75), (3, 48.0, 0.9)],
        quick=[(3, 48.0, 0.9)],
        seldom=[(1, 42.0, 0.75), (2, 42.0, 0.75)],
    ),
)
def test_no_chain_of_setups_is_better(seed: int, rope: float, weight: float) -> None:
    site = small(seed, rope, weight)
    every = plans(site, grain=1.0, most_stages=4)

    assert every
    for order in ORDERS:
        plan = plan_stages(site, StagesQuestion(grain=1.0, by=order, join_ropes=False))
        best = min(every, key=lambda score: [WORTH[name](score) for name in plan.order])
        band = Order.of(site.preferences).band_of(plan.margin or 0.0)
        assert plan.proven
        assert (len(plan.stages), plan.resets, band) == best[:3], plan.order
        assert plan.rope_needed == pytest.approx(best[3], abs=0.0101), plan.order


@pytest.mark.parametrize(
    ("seed", "rope", "weight"),
    cases([(0, 44.0, 0.9), (4, 36.0, 0.6)], quick=[(0, 44.0, 0.9)], seldom=[(4, 36.0, 0.6)]),
)
def test_a_rope_is_lengthened_where_that_saves_a_stage(
    seed: int, rope: float, weight: float
) -> None:
    site = small(seed, rope, weight)
    single = plans(site, grain=1.0, most_stages=3)
    longer = plans(site, grain=1.0, most_stages=3, longer=True)
    plan = plan_stages(site, StagesQuestion(grain=1.0, most_stages=3))
    best = min(longer, key=lambda score: [WORTH[name](score) for name in plan.order])
    band = Order.of(site.preferences).band_of(plan.margin or 0.0)

    assert best[0] < min((score[0] for score in single), default=99)
    assert (len(plan.stages), plan.resets, band) == best[:3]
    assert plan.rope_needed == pytest.approx(best[3], abs=0.0101)


def test_enumeration_finds_nothing_where_no_plan_is() -> None:
    site = small(1, 30.0, 0.6)

    assert not plans(site, grain=1.0, most_stages=4)
    plan = plan_stages(site, StagesQuestion(grain=1.0, explain=False))
    assert not plan.stages
    assert plan.proven
