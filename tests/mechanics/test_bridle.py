"""Two-leg bridles: every state balances, slack legs are found, the load's turning is seen."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.mechanics.line.bridle import bridle, turning_arm, turning_moment

LEFT, RIGHT = (0.0, 0.4, 0.3), (0.0, -0.4, 0.3)
directions = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: sum(x * x for x in v) > 0.01)


def test_straight_pull_shares_alike() -> None:
    """A pull straight ahead on equal legs: T = P / (2 cos θ), sin θ = 0.4 / 1.5."""
    state = bridle(hitches=(LEFT, RIGHT), legs=(1.5, 1.5), pull=(1000.0, 0.0, 0.0))
    half = np.arcsin(0.4 / 1.5)
    assert state.tensions == pytest.approx((500.0 / np.cos(half),) * 2)
    assert state.included_angle == pytest.approx(2.0 * half)
    assert state.ring == pytest.approx((1.5 * np.cos(half), 0.0, 0.3))


def test_pull_from_the_left_loads_the_right_leg() -> None:
    """The leg that the pull draws away from carries more."""
    state = bridle(hitches=(LEFT, RIGHT), legs=(1.5, 1.5), pull=(1000.0, 200.0, 0.0))
    assert state.slack is None
    assert state.tensions[1] > state.tensions[0] > 0.0


@pytest.mark.parametrize(("sideways", "loose"), [(2000.0, 0), (-2000.0, 1)])
def test_far_from_the_side_one_leg_goes_slack(sideways: float, loose: int) -> None:
    state = bridle(hitches=(LEFT, RIGHT), legs=(1.5, 1.5), pull=(500.0, sideways, 0.0))
    assert state.slack == loose
    assert state.tensions[loose] == 0.0
    assert state.tensions[1 - loose] == pytest.approx(np.hypot(500.0, sideways))


@given(pull=directions, first=st.floats(0.5, 3.0), second=st.floats(0.5, 3.0))
def test_ring_balances_and_legs_reach(
    pull: tuple[float, float, float], first: float, second: float
) -> None:
    """Legs pull the ring back with exactly the pull; no leg is longer than it is; none pushes."""
    state = bridle(hitches=(LEFT, RIGHT), legs=(first, second), pull=pull)
    ring, total = np.array(state.ring), np.zeros(3)
    for hitch, leg, tension in zip((LEFT, RIGHT), (first, second), state.tensions, strict=True):
        away = ring - np.array(hitch)
        assert np.linalg.norm(away) <= leg + 1e-9
        assert tension >= 0.0
        total += tension * away / np.linalg.norm(away)
    np.testing.assert_allclose(total, pull, atol=1e-7)


def test_legs_that_do_not_meet_are_refused() -> None:
    with pytest.raises(ValueError, match="do not meet"):
        bridle(hitches=(LEFT, RIGHT), legs=(0.3, 0.4), pull=(1.0, 0.0, 0.0))
    with pytest.raises(ValueError, match="must be a force"):
        bridle(hitches=(LEFT, RIGHT), legs=(1.0, 1.0), pull=(0.0, 0.0, 0.0))


def test_pull_off_the_centre_line_turns_the_load() -> None:
    """1,000 N ahead at a hitch 0.4 m to the left turns the load to the right: −400 N·m."""
    given_at = {
        "hitch": LEFT,
        "pull": (1000.0, 0.0, 0.0),
        "centre": (0.0, 0.0, 0.0),
        "normal": (0.0, 0.0, 1.0),
    }
    assert turning_moment(**given_at) == pytest.approx(-400.0)
    assert turning_arm(**given_at) == pytest.approx(0.4)
