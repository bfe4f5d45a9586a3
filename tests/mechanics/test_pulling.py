"""What a puller can put into its line by where the line comes from: limits of angle and rise."""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest

from catalogue.pullers import PulledBy
from optimiser.rig.ground.pulling import line_angles, line_pull_limit
from optimiser.site.model import Puller

VEHICLE = Puller(
    name="tractor", kind=PulledBy.VEHICLE, position=(0.0, 0.0, 0.0), height=0.5, heading=(0.0, 1.0, 0.0),
    run=10.0, purchase=None, limit=4000.0, limit_factors=(), hitch_rating=10_000.0, hitch_eye=None,
    needs_termination=True, angle_limit=radians(20.0), rise_limit=radians(15.0),
)  # fmt: skip
"""It drives along y, so a line straight behind it comes from where y is less."""


def limit(puller: Puller, *, aside: float, rise: float) -> float:
    """Greatest pull with the line from behind, `aside` and `rise` in degrees off the run."""
    a, r = radians(aside), radians(rise)
    way = 7.0 * np.array([[cos(r) * sin(a), -cos(r) * cos(a), sin(r)]])
    return float(line_pull_limit(puller=puller, way=way)[0])


@pytest.mark.parametrize("aside", [-19.9, 0.0, 19.9])
@pytest.mark.parametrize("rise", [-14.9, 0.0])
def test_within_both_limits_it_pulls_all_it_can(aside: float, rise: float) -> None:
    assert limit(VEHICLE, aside=aside, rise=rise) == pytest.approx(4000.0)


@pytest.mark.parametrize(
    ("aside", "rise"), [(20.1, 0.0), (-20.1, 0.0), (180.0, 0.0), (0.0, 15.1), (0.0, -15.1)]
)
def test_beyond_either_limit_it_pulls_nothing(aside: float, rise: float) -> None:
    assert limit(VEHICLE, aside=aside, rise=rise) == 0.0


def test_a_rising_line_takes_weight_off_the_wheels() -> None:
    """0.5 x 10 kN / (1 + 0.5 sin 10°)."""
    gripping = replace(VEHICLE, limit=5000.0, weight=20_000.0, driven_weight=10_000.0, traction=0.5)
    wanted = 5000.0 / (1.0 + 0.5 * sin(radians(10.0)))
    assert limit(gripping, aside=0.0, rise=10.0) == pytest.approx(wanted)
    assert limit(gripping, aside=0.0, rise=-10.0) == pytest.approx(5000.0)


def test_uphill_its_own_weight_comes_off() -> None:
    """On 3 : 4 of a run: 0.9 x 10 kN x 0.8 - 12 kN x 0.6 = 0; on 0.1: 0.9 x 10 kN cos - 1.2 kN."""
    gripping = replace(VEHICLE, limit=9000.0, weight=12_000.0, driven_weight=10_000.0, traction=0.9)
    steep = replace(gripping, heading=(0.0, 0.8, 0.6))
    behind = np.array([[0.0, -0.8, -0.6]])
    assert float(line_pull_limit(puller=steep, way=behind)[0]) == pytest.approx(0.0, abs=1e-9)
    level = (1.0 - 0.01) ** 0.5
    gentle = replace(gripping, heading=(0.0, level, 0.1))
    back = np.array([[0.0, -level, -0.1]])
    wanted = 9000.0 * level - 1200.0
    assert float(line_pull_limit(puller=gentle, way=back)[0]) == pytest.approx(wanted)


def test_a_winch_and_standing_people_turn_into_the_line() -> None:
    for still in (replace(VEHICLE, purchase=1.5), replace(VEHICLE, run=0.0)):
        assert limit(still, aside=90.0, rise=40.0) == 4000.0


def test_angles_are_off_the_way_back() -> None:
    angle, rise = line_angles(puller=VEHICLE, way=np.array([[0.0, -5.0, 0.0], [0.0, 5.0, 0.0]]))
    assert angle.tolist() == pytest.approx([0.0, radians(180.0)])
    assert rise.tolist() == pytest.approx([0.0, 0.0])
