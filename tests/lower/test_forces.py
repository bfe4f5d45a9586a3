"""Letting down: forces against published examples and against hauling."""

from math import cos, exp, pi, radians, sin

import numpy as np
import pytest

from optimiser.mechanics.ground import moving
from optimiser.mechanics.line.capstan import hold_ratio
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.gear.row import HoldOn, RigRow
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from tests.generated import on_unknown_ground
from tests.lower.bank import PEOPLE, bank, rope
from tests.lower.both_looks import both_looks


def test_block_held_and_hauled_on_a_plane() -> None:
    """Bhavikatti, example 5.3: 500 N needs 200 N not to slide down, 300 N to go up; the printed
    friction is wrong, 30 degrees and 0.11547 give both figures."""
    state = {
        "weight": 500.0,
        "slope_sin": sin(radians(30.0)),
        "slope_cos": cos(radians(30.0)),
        "resistance": 0.11547,
    }
    line = {"resistance": 0.11547, "advance": 1.0, "lift": 0.0}

    assert moving.hold_needed(along=moving.runs_back(**state), **line) == pytest.approx(
        200.0, abs=0.01
    )
    up = moving.pull_needed(**state, advance=1.0, lift=0.0)
    assert up == pytest.approx(300.0, abs=0.01)


def test_block_kept_from_sliding_by_a_level_push() -> None:
    """Beer and Johnston, sample 8.2: 800 N on 25 degrees, friction 0.35: 80 N keeps it."""
    slope = radians(25.0)
    runs = moving.runs_back(
        weight=800.0, slope_sin=sin(slope), slope_cos=cos(slope), resistance=0.35
    )
    hold = moving.hold_needed(along=runs, resistance=0.35, advance=cos(slope), lift=-sin(slope))

    assert hold == pytest.approx(80.0, abs=0.5)


def test_load_that_rests_needs_no_hold_but_a_push() -> None:
    """By hand: W = 1000 N, sin 0.1, cos 0.995, c 0.2: it stays; 1000 (0.199 - 0.1) = 99 N starts it."""
    state = {"weight": 1000.0, "slope_sin": 0.1, "slope_cos": 0.995, "resistance": 0.2}

    assert moving.runs_back(**state) == 0.0
    assert moving.push_needed(**state) == pytest.approx(99.0)


def test_rig_that_cannot_hold_is_reported_as_such() -> None:
    held = moving.hold_needed(along=500.0, resistance=0.0, advance=0.0, lift=0.0)

    assert np.isinf(held)


def test_grip_is_the_low_one_and_synthetic_rope_has_two_turns_at_most() -> None:
    polyester, manila = (grip_of(rope(10.0, m).gear) for m in ("polyester", "manila"))  # type: ignore[arg-type]
    assert polyester is not None
    assert manila is not None

    assert polyester.low == 0.2
    assert polyester.most_turns == 2
    assert polyester.ratio(2) == pytest.approx(exp(0.2 * 4.0 * pi))
    assert polyester.ratio(2) == pytest.approx(12.3, abs=0.05)  # the published grid
    assert manila.low == 0.3
    assert manila.ratio(1) == pytest.approx(6.59, abs=0.01)
    assert polyester.low < polyester.high


def test_unknown_fibre_is_taken_for_the_most_slippery() -> None:
    grip = grip_of(rope(10.0, "mystery").gear)  # type: ignore[arg-type]
    hmpe = grip_of(rope(10.0, "hmpe").gear)  # type: ignore[arg-type]

    assert grip is not None
    assert hmpe is not None
    assert grip.low == hmpe.low == 0.1


def _scene(**site: float) -> Scene:
    made = on_unknown_ground(bank(**site))  # type: ignore[arg-type]
    return Scene(made, lay_stations(made), attachments(made)[0], PEOPLE)


WALKS = [(0, 1), (0, 1, 2), (1, 0, 2), (2, 0, 1), (0, 2, 0, 1), (1, 0, 1)]


@pytest.mark.parametrize("walk", WALKS)
def test_without_friction_hauling_and_letting_down_agree(walk: tuple[int, ...]) -> None:
    """On a straight slope with ideal sheaves and ground the same force holds and hauls."""
    scene = _scene(low=0.0, likely=0.0)
    walks, etas = np.array([walk]), np.ones((1, len(walk) - 2))
    up = evaluate(scene, walks, etas)
    rated, free = both_looks(scene, walks, etas)

    np.testing.assert_allclose(rated.pull, up.pull, rtol=1e-12)
    np.testing.assert_allclose(free.pull, up.pull, rtol=1e-12)


@pytest.mark.parametrize("walk", WALKS)
def test_friction_spreads_hauling_and_letting_down_apart(walk: tuple[int, ...]) -> None:
    scene = _scene(low=0.02, likely=0.02)
    walks, etas = np.array([walk]), np.full((1, len(walk) - 2), 0.9)
    up = evaluate(scene, walks, etas)
    rated, free = both_looks(scene, walks, etas)

    assert (rated.pull < up.pull).all()
    assert (rated.pull <= free.pull + 1e-9).all()  # friction of sheaves only helps the hand


def test_standing_part_is_tightest_when_letting_down() -> None:
    """Ashley p. 536: hauling, the hauling part is tightest; lowering, the standing part."""
    scene = _scene()
    walks, etas = np.array([[1, 0, 2]]), np.array([[0.9]])
    rated, _ = both_looks(scene, walks, etas)
    up = evaluate(scene, walks, etas)

    assert rated.tau[0, 0, 0] == pytest.approx(1.0 / 0.9)
    assert rated.tau[1, 0, 0] == 1.0
    assert up.tau[0, 0, 0] == pytest.approx(0.9)


def test_at_a_sheave_the_part_towards_the_standing_end_counts() -> None:
    """Ashley p. 536 again: it is the tighter of the two that run over the sheave when lowering."""
    scene = _scene()
    rated = evaluate(scene, np.array([[1, 0, 2]]), np.array([[0.9]]), Duty.LOWER)
    row = RigRow(rated, 0, HoldOn(None, 0, 1.0, 150.0, 75.0))

    standing, held = (row.tension(part).value for part in (0, 1))
    assert standing == pytest.approx(float(rated.pull.max()) / 0.9 * row.dynamic)
    assert standing > held
    assert row.over_sheave(1).value == standing
    assert row.tension(1).value == held  # what the held end itself bears


def test_hold_ratio_and_row_agree() -> None:
    scene = _scene()
    walks, etas = np.array([[0, 1]]), np.ones((1, 0))
    rated = evaluate(scene, walks, etas, Duty.LOWER)
    held = HoldOn(0, 2, hold_ratio(friction=0.2, turns=2), 150.0, 75.0)
    row = RigRow(rated, 0, held)

    assert row.hand.value == pytest.approx(row.line.value / 12.345, rel=1e-3)
    assert row.line.value == pytest.approx(float(rated.pull.max()))
