"""Force needed, ground reaction, roll-back and holding, against figures worked by hand (statics)."""

from math import atan, cos, inf, sin

import numpy as np
import pytest

from optimiser.mechanics.ground import moving, step

SLOPE = {"slope_sin": 0.6, "slope_cos": 0.8}
"""3 up in 4 along: every figure below is exact."""


def test_straight_pull_along_the_slope() -> None:
    """1000 N on 3 : 4 with resistance 0.25: 600 + 200 N."""
    pull = moving.pull_needed(weight=1000.0, **SLOPE, resistance=0.25, advance=1.0, lift=0.0)
    assert pull == pytest.approx(800.0, rel=1e-12)


def test_a_pull_that_lifts_eases_the_load() -> None:
    """With g.t = 1 and g.n = 0.5: 800 / (1 + 0.25 x 0.5)."""
    pull = moving.pull_needed(weight=1000.0, **SLOPE, resistance=0.25, advance=1.0, lift=0.5)
    assert pull == pytest.approx(800.0 / 1.125, rel=1e-12)


@pytest.mark.parametrize(("advance", "lift"), [(0.0, 0.0), (-1.0, 0.5), (0.1, -0.4), (0.1, -0.9)])
def test_a_rig_that_cannot_move_the_load_calls_for_no_end_of_pull(
    advance: float, lift: float
) -> None:
    pull = moving.pull_needed(weight=1000.0, **SLOPE, resistance=0.25, advance=advance, lift=lift)
    assert pull == inf


def test_ground_reaction() -> None:
    """800 N of weight on the slope, less what 300 N of pull lift at g.n = 0.5."""
    assert moving.ground_reaction(weight=1000.0, slope_cos=0.8, pull=300.0, lift=0.5) == 650.0
    assert moving.ground_reaction(weight=1000.0, slope_cos=0.8, pull=2000.0, lift=0.5) < 0.0


def test_runs_back_where_the_slope_is_steeper_than_the_ground_holds() -> None:
    """600 - 0.25 x 800 N; with resistance 0.75 it just stands."""
    assert moving.runs_back(weight=1000.0, **SLOPE, resistance=0.25) == pytest.approx(400.0)
    assert moving.runs_back(weight=1000.0, **SLOPE, resistance=0.75) == pytest.approx(0.0, abs=1e-9)
    assert moving.runs_back(weight=1000.0, **SLOPE, resistance=0.8) == 0.0


def test_side_pull_counts_to_either_side() -> None:
    found = moving.side_pull(sideways=np.array([0.3, -0.3, 0.3]), advance=np.array([1.5, 1.5, 0.0]))
    assert found.tolist() == pytest.approx([0.2, 0.2, inf])


def test_holding_it_back() -> None:
    """(600 - 200) / (1 - 0.25 x 0.4): what lifts takes from the ground what it would hold."""
    held = moving.hold_needed(along=600.0 - 200.0, resistance=0.25, advance=1.0, lift=0.4)
    assert held == pytest.approx(400.0 / 0.9, rel=1e-12)
    assert moving.hold_needed(along=0.0, resistance=0.8, advance=1.0, lift=0.4) == 0.0
    assert moving.hold_needed(along=400.0, resistance=0.25, advance=0.1, lift=0.4) == inf


def test_a_push_starts_it_down() -> None:
    """0.8 x 800 - 600 N."""
    push = moving.push_needed(weight=1000.0, **SLOPE, resistance=0.8)
    assert push == pytest.approx(40.0)
    assert moving.push_needed(weight=1000.0, **SLOPE, resistance=0.5) == 0.0


@pytest.mark.parametrize("resistance", [0.05, 0.25, 0.6])
def test_hauling_and_holding_meet_where_nothing_resists(resistance: float) -> None:
    """The two differ by twice the ground's resistance; for a line along the slope by 2 c N."""
    up = moving.pull_needed(weight=1000.0, **SLOPE, resistance=resistance, advance=2.0, lift=0.0)
    runs = moving.runs_back(weight=1000.0, **SLOPE, resistance=resistance)
    down = moving.hold_needed(along=runs, resistance=resistance, advance=2.0, lift=0.0)
    assert up - down == pytest.approx(2.0 * resistance * 800.0 / 2.0)


def test_a_wheel_over_a_step_by_hand() -> None:
    """r = 0.25 m, h = 0.1 m: arms 0.15 and 0.2 m. 1000 N on the level: 1000 x 0.2 / 0.15 N."""
    level = step.pull_over_step(
        wheel_radius=0.25, step=0.1, slope_sin=0.0, slope_cos=1.0, axle_weight=1000.0,
        advance=1.0, lift=0.0,
    )  # fmt: skip
    assert level == pytest.approx(1000.0 * 0.2 / 0.15)
    upward = step.pull_over_step(
        wheel_radius=0.25, step=0.1, slope_sin=0.0, slope_cos=1.0, axle_weight=1000.0,
        advance=0.6, lift=0.8,
    )  # fmt: skip
    assert upward == pytest.approx(1000.0 * 0.2 / (0.6 * 0.15 + 0.8 * 0.2))


def test_the_best_direction_over_a_step_is_square_to_the_edge() -> None:
    """A pull at the axle does most square to the line from the edge: at atan(q / (r - h))."""
    best = atan(0.2 / 0.15)
    pulls = [
        float(
            step.pull_over_step(
                wheel_radius=0.25, step=0.1, slope_sin=0.0, slope_cos=1.0, axle_weight=1000.0,
                advance=cos(angle), lift=sin(angle),
            )
        )
        for angle in (best, best - 0.2, best + 0.2)
    ]  # fmt: skip
    assert min(pulls) == pulls[0]
    assert pulls[0] == pytest.approx(1000.0 * 0.2 / 0.25)


def test_no_pull_gets_a_wheel_over_a_step_as_high_as_its_axle() -> None:
    assert not step.climbable(wheel_radius=0.25, step=0.25)
    assert not step.climbable(wheel_radius=None, step=0.01)
    assert step.climbable(wheel_radius=None, step=0.0)
    with pytest.raises(ValueError, match="cannot be climbed"):
        step.pull_over_step(
            wheel_radius=0.25, step=0.25, slope_sin=0.0, slope_cos=1.0, axle_weight=1.0,
            advance=1.0, lift=0.0,
        )  # fmt: skip
