"""Interchangeable trees give one setup, and beaten setups stay away unless requested."""

from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.order import Order
from optimiser.rig.walk import trees
from optimiser.site.anchors import Tree
from optimiser.site.model import Leg, Site
from tests.generated import Recipe, made_up


@pytest.fixture(scope="module")
def mirrored() -> Site:
    """A straight path with the puller in line and two equal trees to its left and right."""
    site = made_up(Recipe(trees=2, heights=2, sheaves=2, items=12), seed=3)
    leg = site.legs[0]
    flat = Leg(
        start=(0.0, 0.0, 0.0),
        end=(10.0, 0.0, 2.0),
        surface=leg.surface,
        motion=leg.motion,
        resistance=0.15,
        resistance_low=0.1,
        edge_protected=True,
    )
    left = site.anchors[0]
    assert isinstance(left, Tree)
    left = replace(left, name="left", position=(16.0, 2.0, 2.0))
    right = replace(left, name="right", position=(16.0, -2.0, 2.0))
    puller = replace(
        site.pullers[0], position=(20.0, 0.0, 2.0), heading=(1.0, 0.0, 0.0), limit=4000.0
    )
    return replace(site, legs=(flat,), anchors=(left, right), pullers=(puller,))


def test_mirrored_trees_are_one_setup(mirrored: Site) -> None:
    """What the left tree does the right one does too: listed once, the other named beside it."""
    ranking = rank(mirrored, RankQuestion(everything=True, top=50, compound=False))
    listed = [trees(setup.walk) for setup in ranking]
    one_lead = [
        walk
        for walk in listed
        if walk in (("load", "left", "puller0"), ("load", "right", "puller0"))
    ]

    assert len(one_lead) == 1
    setup = ranking[listed.index(one_lead[0])]
    assert [trees(walk) for walk in setup.alike] == [("load", "right", "puller0")]


def test_trees_of_other_strength_are_two_setups(mirrored: Site) -> None:
    """The same with one tree weaker: no longer interchangeable."""
    left, right = mirrored.anchors
    assert isinstance(right, Tree)
    assert right.strength.capacity is not None
    weaker = replace(
        right, strength=replace(right.strength, capacity=0.9 * right.strength.capacity)
    )
    ranking = rank(
        replace(mirrored, anchors=(left, weaker)),
        RankQuestion(everything=True, top=50, compound=False),
    )
    listed = [trees(setup.walk) for setup in ranking]

    assert ("load", "left", "puller0") in listed
    assert ("load", "right", "puller0") in listed


def test_beaten_on_every_count_only_when_requested(mirrored: Site) -> None:
    """The default list has no setup that another one beats on margin, resets and rope at once."""
    everything = rank(mirrored, RankQuestion(everything=True, top=50, compound=False))
    default = rank(mirrored, RankQuestion(top=50, compound=False))
    order = Order.of(mirrored.preferences)

    def counts(margin: float, resets: int, rope: float) -> tuple[float, float, float]:
        return (-order.band_of(margin), resets, round(rope, 3))

    keys = [counts(s.margin, s.resets, s.rope_needed) for s in everything]
    beaten = [any(all(o < m for o, m in zip(b, k, strict=True)) for b in keys) for k in keys]
    expected = [s.reeving for s, out in zip(everything, beaten, strict=True) if not out]
    assert [s.reeving for s in default] == expected
