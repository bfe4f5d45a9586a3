"""Small formulas of statics by hand, on figures at which each of their terms counts. Where no source is
named it is plain statics or geometry.
"""

from math import cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest

from catalogue.files import species
from optimiser.mechanics.anchor.built import deadman
from optimiser.mechanics.anchor.stem import stem_volume
from optimiser.mechanics.anchor.tree import anchor_strength
from optimiser.mechanics.ground.bars import pivot_force
from optimiser.mechanics.hardware.strap import round_trunk
from optimiser.mechanics.line.bridle import settled_ring
from optimiser.mechanics.line.edge import shifting
from optimiser.mechanics.values import AnchorStrength


def test_the_pivot_of_a_bar_bears_both_or_their_difference() -> None:
    """A bar in balance: between the hands and the load it bears both; outside of them what is left."""
    assert pivot_force(load=900.0, effort=300.0, between=True) == 1200.0
    assert pivot_force(load=900.0, effort=300.0, between=False) == 600.0
    assert pivot_force(load=300.0, effort=900.0, between=False) == 600.0


def test_no_stem_volume_for_what_is_lower_than_breast_height() -> None:
    """The published form counts from 1.3 m up (fonweban-2012)."""
    form = (1e-4, 1.8, 0.9)
    with pytest.raises(ValueError, match="breast height"):
        stem_volume(diameter=0.3, height=1.29, form=form)
    assert stem_volume(diameter=0.3, height=1.31, form=form) == pytest.approx(
        1e-4 * 30.0**1.8 * 1.31**0.9
    )


@pytest.mark.parametrize(("tight", "other"), [(0.0, 60.0), (60.0, 0.0), (10.0, -70.0)])
def test_a_rope_pulls_level_on_its_edge_by_the_difference_of_its_parts(
    tight: float, other: float
) -> None:
    """Either way: whichever part is the steeper."""
    a, b = radians(tight), radians(other)
    found = shifting(tension=800.0, left=0.9, rise=(a, b))
    assert float(found) == pytest.approx(abs(800.0 * cos(a) - 720.0 * cos(b)))


def test_a_strap_as_a_noose_and_as_a_basket() -> None:
    """Round a trunk of 0.2 m radius with 3 m: the noose takes the way round it up to where its legs, 120
    degrees apart, leave it, and the rest stands off."""
    radius, length = 0.2, 3.0
    ways = {
        way.how: way
        for way in round_trunk(
            length=length, radius=radius, wll=10_000.0, choker_factor=0.8, basket_factor=2.0
        )
    }
    half = radians(60.0)
    straight = radius / (sin(half) / cos(half))
    bent = radius * (2.0 * pi - (pi - 2.0 * half))
    noose = 2.0 * straight + bent
    assert ways["choker"].standoff == pytest.approx(radius / sin(half) + length - noose)


@pytest.mark.parametrize(("basket", "first"), [(2.0, "basket"), (0.4, "choker")])
def test_the_stronger_way_of_a_strap_comes_first(basket: float, first: str) -> None:
    ways = round_trunk(
        length=3.0, radius=0.2, wll=10_000.0, choker_factor=0.8, basket_factor=basket
    )
    assert len(ways) == 2
    assert ways[0].how == first


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("to", [(50.0, 0.0), (50.0, 30.0), (50.0, -30.0), (3.0, 40.0)])
def test_the_ring_of_a_bridle_is_where_the_line_is_shortest(
    to: tuple[float, float], swapped: bool
) -> None:
    """Of all places that both legs allow, tried out one by one; whichever hitch is named first."""
    one, two = np.array([[0.0, 0.5, 0.0]]), np.array([[0.0, -0.5, 0.0]])
    first, second = (two, one) if swapped else (one, two)
    end = np.array([[[*to, 0.0]]])
    found = settled_ring(
        first=first, second=second, legs=(1.0, 1.0), ends=end, tensions=np.ones((1, 1))
    )[0]
    around = np.linspace(0.0, 2.0 * pi, 200_001)
    best = min(
        (
            hypot(to[0] - x, to[1] - y)
            for hitch in (0.5, -0.5)
            for x, y in zip(np.cos(around), hitch + np.sin(around), strict=True)
            if hypot(x, y - 0.5) <= 1.0 + 1e-9 and hypot(x, y + 0.5) <= 1.0 + 1e-9
        )
    )
    assert hypot(to[0] - found[0], to[1] - found[1]) == pytest.approx(best, abs=1e-4)
    if to[1] == 0.0:
        assert found == pytest.approx((sqrt(0.75), 0.0, 0.0), abs=1e-9)


def test_a_buried_log_by_each_of_its_limits() -> None:
    """Pulled at its middle under even pressure M = F L / 8: F = 8 S f / L, with what the wood stands over
    1.5 where it yields and over 5 where it breaks; S of what is inside the bark."""
    wood = species()["pine-scots"]

    def log(sling: float | None) -> AnchorStrength:
        return deadman(
            diameter=0.3, length=1.4, depth=1.0, run=3.0, soil="loam", wood=wood, sling=sling
        )

    values = {factor.name: factor.value for factor in log(50_000.0).factors}
    modulus = values["section modulus in bark"]
    yields = values["allowed: green wood yields in bending"]
    assert yields == pytest.approx(8.0 * modulus * wood.compression / 1.5 / 1.4)
    breaks = values["allowed: the log breaks at its knots"]
    assert breaks == pytest.approx(8.0 * modulus * wood.knot_factor * wood.rupture / 5.0 / 1.4)
    ground = values["allowed: the ground before the log"]
    assert log(50_000.0).capacity == pytest.approx(min(yields, breaks, ground))
    assert log(9_000.0).capacity == 9_000.0
    assert log(None).capacity is None
    assert "no rating" in log(None).governs


@pytest.mark.parametrize(
    ("soil", "rooting", "known"),
    [("free-draining", "deep", True), ("free-draining", None, False), (None, "deep", False)],
)
def test_what_is_not_known_of_the_ground_of_a_tree_is_named(
    soil: str | None, rooting: str | None, known: bool
) -> None:
    found = anchor_strength(
        diameter=0.3, species=species()["pine-scots"], height=20.0, soil=soil, rooting=rooting
    )
    assert any("soil or rooting depth not known" in text for text in found.outside) != known
