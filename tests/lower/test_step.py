"""A load let down over a lip in the path, through a site file, against moments about the edge (statics)."""

from math import atan2, cos, hypot, sin, sqrt

import numpy as np
import pytest

from tests.lower.slope_site import RUN, site_text
from tests.piped import answered

RISE, WEIGHT, RADIUS, LIP = 4.0, 150.0 * 9.80665, 0.2, 0.01
SURE = 0.05
"""Half of the resistance stated: what is counted on to hold the load back."""
MIDDLE = hypot(RUN, RISE) / 2.0


def text(share: float, *, lip: bool) -> str:
    found = site_text(RISE, "0.1", dip=0.0).replace("400 kg", "150 kg")
    for key in ("lowest", "highest"):  # so high that the line bends nowhere
        found = found.replace(f'strap_{key} = "0.5 m"', f'strap_{key} = "3 m"')
    found = found.replace('wheel_radius = "20 cm"', f'wheel_radius = "20 cm"\naxle_share = {share}')
    upper = f'to = ["{RUN} m"'
    assert upper in found
    return found.replace(upper, f'step = "1 cm"\n{upper}') if lip else found


def line(share: float, *, lip: bool) -> tuple[float, float]:
    """N in the line at most, and where along the path, m."""
    code, answer = answered(text(share, lip=lip), "lower")
    assert code == 0
    found = next(s for s in answer["setups"] if s["reeving"] == ["load", "oak@3 m"])
    return found["line_N"], found["line_at_m"]


def by_hand(at: float) -> tuple[float, float]:
    """N: to hold the load back at a place of the path, and to let all of it down from the lip there."""
    slope = atan2(RISE, RUN)
    along, off = np.array((cos(slope), 0.0, sin(slope))), np.array((-sin(slope), 0.0, cos(slope)))
    hitch = (at + 0.8) * along + np.array((0.0, 0.0, 0.4))
    way = np.array((RUN + 4.0, 0.4, RISE + 3.0)) - hitch
    forward, lifts = (way / np.linalg.norm(way)) @ np.array([along, off]).T
    holds = WEIGHT * (sin(slope) - SURE * cos(slope)) / (forward - SURE * lifts)
    up, back = RADIUS - LIP, sqrt(RADIUS**2 - (RADIUS - LIP) ** 2)
    turns = WEIGHT * (sin(slope) * up + cos(slope) * back) / (forward * up + lifts * back)
    return float(holds), float(turns)


def test_without_a_lip_it_is_held_back() -> None:
    found, at = line(1.0, lip=False)
    assert found == pytest.approx(by_hand(at)[0], rel=1e-4)


@pytest.mark.parametrize("share", [1.0, 0.6])
def test_over_a_lip_its_share_is_turned_about_the_edge_and_the_rest_is_held(share: float) -> None:
    found, at = line(share, lip=True)
    holds, turns = by_hand(MIDDLE)
    assert at == pytest.approx(MIDDLE)
    assert found == pytest.approx(share * turns + (1.0 - share) * holds, rel=1e-4)


def test_from_a_lip_higher_than_the_axle_nothing_lets_it_down() -> None:
    high = text(1.0, lip=True).replace('step = "1 cm"', 'step = "20 cm"')
    code, answer = answered(high, "lower")
    assert code == 3
    assert not answer["setups"]
