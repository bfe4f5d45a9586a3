"""Shares of a load on its supports, tipping lines, and how it stands on uneven blocks."""

from math import atan, degrees, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.jobs.lever.stance import stances
from optimiser.mechanics.ground.bars import (
    bar_effort,
    centre_from_weighed,
    pivot_force,
    plumb_foot,
    share_bounds,
    spring_shares,
    triangle_shares,
)
from tests.lever.frame import RECTANGLE, frame

inner = st.floats(0.05, 0.95)


def test_wheelbarrow() -> None:
    """College Physics, section 9.5: 45.0 kg, 7.50 cm and 1.02 m from the wheel: 32.4 N; the wheel
    carries 409 N."""
    weight = 45.0 * 9.80
    effort = bar_effort(load=weight, load_arm=0.075, effort_arm=1.02)

    assert effort == pytest.approx(32.4, abs=0.05)
    assert pivot_force(load=weight, effort=effort, between=False) == pytest.approx(409.0, abs=0.5)


def test_ladder_reactions_as_shares() -> None:
    """University Physics, section 12.2: a 400 N ladder at 53 degrees leans on a smooth wall with
    150.7 N: W (L/2) cos / (L sin)."""
    effort = bar_effort(load=400.0, load_arm=0.5, effort_arm=tan(radians(53.0)))

    assert effort == pytest.approx(150.7, abs=0.05)


def test_three_supports_by_moments() -> None:
    """By hand: a table of legs (0, 0), (2, 0), (0, 1), its weight over (0.5, 0.25): moments about
    the sides give 1/2, 1/4, 1/4."""
    shares = triangle_shares(corners=[(0.0, 0.0), (2.0, 0.0), (0.0, 1.0)], at=(0.5, 0.25))

    assert shares == pytest.approx((0.5, 0.25, 0.25))


def test_three_supports_in_a_line_are_refused() -> None:
    with pytest.raises(ValueError, match="line"):
        triangle_shares(corners=[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)], at=(0.5, 0.0))


@given(x=inner, y=inner)
def test_springs_are_the_closed_form_of_a_rectangle(x: float, y: float) -> None:
    """1/4 +- e_x / 2L +- e_y / 2B, the rectangle of a rigid footing."""
    at = (1.2 * x, 0.8 * y)
    ex, ey = at[0] / 1.2 - 0.5, at[1] / 0.8 - 0.5
    shares = spring_shares(corners=RECTANGLE, at=at)

    assert shares == pytest.approx(
        (
            0.25 + ex / 2 + ey / 2,
            0.25 - ex / 2 + ey / 2,
            0.25 - ex / 2 - ey / 2,
            0.25 + ex / 2 - ey / 2,
        )
    )


@given(x=inner, y=inner)
def test_every_way_of_sharing_closes_the_equilibrium(x: float, y: float) -> None:
    at = (1.2 * x, 0.8 * y)
    # Each end's share of the weight, divided by each side's: what four equal springs would carry.
    product = (x * y, (1.0 - x) * y, (1.0 - x) * (1.0 - y), x * (1.0 - y))
    for shares in (spring_shares(corners=RECTANGLE, at=at), product):
        assert sum(shares) == pytest.approx(1.0)
        for axis in (0, 1):
            moment = sum(s * c[axis] for s, c in zip(shares, RECTANGLE, strict=True))
            assert moment == pytest.approx(at[axis])


@given(x=inner, y=inner)
def test_bounds_of_four_corners(x: float, y: float) -> None:
    """By hand: the most a corner can carry is the lesser of its two lever ratios, the least what
    they leave: max(0, a + b - 1)."""
    bounds = share_bounds(corners=RECTANGLE, at=(1.2 * x, 0.8 * y))
    ratios = [(x, y), (1 - x, y), (1 - x, 1 - y), (x, 1 - y)]

    for (low, high), (a, b) in zip(bounds, ratios, strict=True):
        assert low == pytest.approx(max(0.0, a + b - 1.0), abs=1e-9)
        assert high == pytest.approx(min(a, b), abs=1e-9)


def test_bounds_agree_with_a_linear_programme() -> None:
    from scipy.optimize import linprog

    corners, at = [(0.0, 0.0), (2.0, 0.2), (1.8, 1.4), (-0.3, 1.1)], (0.8, 0.5)
    rows = np.vstack([np.ones(4), np.array(corners).T])
    for i, (low, high) in enumerate(share_bounds(corners=corners, at=at)):
        for sign, bound in ((1.0, low), (-1.0, high)):
            found = linprog(sign * np.eye(4)[i], A_eq=rows, b_eq=[1.0, *at], bounds=(0.0, None))
            assert sign * found.fun == pytest.approx(bound, abs=1e-9)


def test_centre_outside_of_the_corners_tips() -> None:
    with pytest.raises(ValueError, match="tips over"):
        share_bounds(corners=RECTANGLE, at=(1.3, 0.4))


def test_centre_from_weighed_corners() -> None:
    """By hand: 80, 75, 60 and 65 kg at front left, rear left, rear right, front right of 1.2 x 0.8 m:
    145 of 280 in front, 155 of 280 left."""
    x, y = centre_from_weighed(corners=RECTANGLE, weighed=(80.0, 75.0, 60.0, 65.0))

    assert x == pytest.approx(1.2 * 145.0 / 280.0)
    assert y == pytest.approx(0.8 * 155.0 / 280.0)


@given(slope=st.floats(-0.4, 0.4))
def test_plumb_line_on_a_slope(slope: float) -> None:
    """By hand: up a slope the plumb line falls h tan behind."""
    x, y = plumb_foot(at=(0.6, 0.4), height=0.5, rise_ahead=sin(slope), rise_left=0.0)

    assert x == pytest.approx(0.6 - 0.5 * tan(slope))
    assert y == pytest.approx(0.4)


def test_one_corner_on_a_block_leaves_its_neighbour_in_the_air() -> None:
    """By hand: front left on 5 cm: the diagonal front left - rear right is high. The weight is right
    of it (nearer front right), so rear left hangs 5 cm up."""
    found = stances(frame(centre=(0.7, 0.3)), (0.7, 0.3), (0.05, 0.0, 0.0, 0.0))

    assert len(found) == 1
    assert found[0].on == (0, 2, 3)
    assert found[0].gaps == pytest.approx((0.0, 0.05, 0.0, 0.0))


def test_level_stance_has_both_limits() -> None:
    found = stances(frame(), (0.5, 0.35), (0.0,) * 4)

    assert len(found) == 2
    for stance in found:
        assert sum(stance.shares) == pytest.approx(1.0)


def test_tipping_angle_of_a_level_load() -> None:
    """By hand: 0.35 m from the nearest side and 0.6 m high it tips at atan(0.35 / 0.6) = 30.3
    degrees."""
    stance = stances(frame(height=0.6), (0.5, 0.35), (0.0,) * 4)[0]

    assert stance.over == (2, 3)
    assert degrees(stance.spare) == pytest.approx(degrees(atan(0.35 / 0.6)))
    assert degrees(stance.spare) == pytest.approx(30.26, abs=0.01)


def test_slope_takes_from_the_lower_side() -> None:
    """A slope falling to the right by 10 degrees takes 10 degrees off on that side."""
    job = frame(height=0.6, rise_left=radians(10.0))
    stance = stances(job, (0.5, 0.35), (0.0,) * 4)[0]

    assert degrees(stance.spare) == pytest.approx(20.26, abs=0.01)


def test_load_beyond_its_tipping_angle_does_not_stand() -> None:
    job = frame(height=0.6, rise_left=radians(29.0))

    assert stances(job, (0.5, 0.35), (0.0,) * 4)
    assert not stances(frame(height=0.6, rise_left=radians(31.0)), (0.5, 0.35), (0.0,) * 4)


@given(
    x=st.floats(0.2, 0.8),
    y=st.floats(0.2, 0.8),
    stacks=st.tuples(*[st.sampled_from([0.0, 0.05, 0.1])] * 4),
)
def test_no_corner_is_driven_into_its_blocks(
    x: float, y: float, stacks: tuple[float, float, float, float]
) -> None:
    centre = (1.2 * x, 0.8 * y)
    found = stances(frame(height=0.3), centre, stacks)

    assert found
    for stance in found:
        assert min(stance.gaps) >= -1e-9
        assert sum(stance.shares) == pytest.approx(1.0)
        hanging = [i for i in range(4) if stance.gaps[i] > 1e-9]
        assert all(stance.shares[i] == 0.0 for i in hanging)
