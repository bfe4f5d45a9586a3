"""Straps round trunks: plane geometry and what is refused."""

from math import acos, asin, pi, radians, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.mechanics.hardware.strap import (
    basket_included_angle,
    basket_length,
    choke_angle_factor,
    choker_capacity,
    choker_length,
    round_trunk,
)


@given(radius=st.floats(0.05, 0.6), standoff=st.floats(1.16, 20.0))
def test_basket_is_as_long_as_the_walk_round_it(radius: float, standoff: float) -> None:
    """Two tangents and the arc between their feet, measured another way: from coordinates."""
    e = standoff * radius
    foot = acos(radius / e)  # angle at the axis between the ring and a tangent's foot
    walked = 2.0 * sqrt(e * e - radius * radius) + radius * (2.0 * pi - 2.0 * foot)
    included = 2.0 * asin(radius / e)
    assert basket_length(radius=radius, included_angle=included) == pytest.approx(walked)
    assert basket_included_angle(length=walked, radius=radius) == pytest.approx(included, rel=1e-6)


@given(length=st.floats(0.3, 30.0), radius=st.floats(0.05, 0.8))
def test_every_way_is_sound(length: float, radius: float) -> None:
    for way in round_trunk(
        length=length, radius=radius, wll=10e3, choker_factor=0.8, basket_factor=2.0
    ):
        assert way.standoff > radius
        assert way.included_angle <= radians(120.0) + 1e-9
        assert way.capacity is not None
        assert 0.0 < way.capacity <= 20e3
        if way.how == "basket":
            # Each leg carries R / (2 cos half): at capacity exactly the straight rating.
            leg = way.capacity / (2.0 * sqrt(1.0 - sin(way.included_angle / 2.0) ** 2))
            assert leg == pytest.approx(10e3)


def test_too_short_a_strap_goes_round_no_way() -> None:
    radius = 0.2
    shortest = basket_length(radius=radius, included_angle=radians(120.0))
    assert not round_trunk(
        length=shortest - 0.01, radius=radius, wll=1e4, choker_factor=0.8, basket_factor=2.0
    )
    ways = round_trunk(
        length=shortest + 0.01, radius=radius, wll=1e4, choker_factor=0.8, basket_factor=2.0
    )
    assert [way.how for way in ways] == ["basket"]
    both = round_trunk(
        length=choker_length(radius=radius), radius=radius, wll=None,
        choker_factor=0.8, basket_factor=2.0,
    )  # fmt: skip
    assert {way.how for way in both} == {"basket", "choker"}
    assert all(way.capacity is None for way in both)


def test_too_flat_legs_are_refused() -> None:
    with pytest.raises(ValueError, match="basket round this trunk"):
        basket_included_angle(length=1.0, radius=0.2)


def test_a_noose_held_open_keeps_less() -> None:
    """The published steps of the angle of choke apply to the choker rating of the strap."""
    for degrees in (150.0, 120.0, 100.0, 75.0, 45.0, 10.0):
        keeps = choke_angle_factor(angle=radians(degrees))
        kept = choker_capacity(wll=10_000.0, choker_factor=0.8, angle=radians(degrees))
        assert kept == pytest.approx(8_000.0 * keeps)
    assert choke_angle_factor(angle=radians(10.0)) < choke_angle_factor(angle=radians(100.0)) < 1.0
    assert choker_capacity(wll=10_000.0, choker_factor=0.8) == pytest.approx(8_000.0)
