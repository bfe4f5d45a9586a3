"""Formulas of anchors against statics tried out point by point: only what is in equilibrium is shared."""

from math import cos, inf, radians, sin

import numpy as np
import pytest
from scipy.optimize import minimize

from optimiser.mechanics.anchor import on_ground, shackle_at_rest

SLOPES = (0.0, 5.0, 14.0, 30.0, 44.0)
RISES = (0.0, 3.0, 12.0, 25.0, 44.0)


def _pulls(rise: float) -> np.ndarray:
    """(n, 2) unit vectors of pulls that rise by 0 to `rise`: forward, up."""
    angles = np.linspace(0.0, radians(rise), 2001)
    return np.stack([np.cos(angles), np.sin(angles)], axis=1)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("rise", RISES)
@pytest.mark.parametrize("friction", [0.15, 0.4, 0.9])
def test_what_slides(slope: float, rise: float, friction: float) -> None:
    """The ground falls forward; along it and square to it weight, pull and friction are added up."""
    fall = radians(slope)
    along, off = np.array([cos(fall), -sin(fall)]), np.array([sin(fall), cos(fall)])
    pulls, weight = _pulls(rise), np.array([0.0, -900.0])
    moves = -weight @ off * friction - weight @ along  # to be overcome with no pull at all
    each = pulls @ along + friction * (pulls @ off)
    least = 0.0 if moves <= 0.0 else float(min(moves / each[each > 0.0]))
    found = on_ground.sliding_pull(weight=900.0, friction=friction, slope=fall, rise=radians(rise))
    assert found == pytest.approx(least, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("rise", RISES)
@pytest.mark.parametrize(("height", "centre"), [(0.3, 0.4), (1.1, 0.4), (0.5, 1.2)])
def test_what_tips(slope: float, rise: float, height: float, centre: float) -> None:
    """Moments about the front edge of the foot, by cross products."""
    fall = radians(slope)
    along, off = np.array([cos(fall), -sin(fall)]), np.array([sin(fall), cos(fall)])
    middle = -0.5 * along  # seen from the edge
    centred, drawn = middle + centre * off, middle + height * off
    pulls, weight = _pulls(rise), np.array([0.0, -900.0])
    keeps = centred[0] * weight[1] - centred[1] * weight[0]  # backwards where positive
    tips = -(drawn[0] * pulls[:, 1] - drawn[1] * pulls[:, 0])
    least = 0.0 if keeps <= 0.0 else min(keeps / tips[tips > 0.0], default=inf)
    found = on_ground.tipping_pull(
        weight=900.0, half_foot=0.5, height=height, centre=centre, slope=fall, rise=radians(rise)
    )
    assert found == pytest.approx(float(least), rel=1e-6, abs=1e-9)


def _on_sling(first: np.ndarray, second: np.ndarray, legs: float, at: np.ndarray) -> np.ndarray:
    """A place of the shackle by two angles: out from between the trees as far as the legs reach."""
    way = np.array([cos(at[0]) * cos(at[1]), sin(at[0]) * cos(at[1]), sin(at[1])])
    near, far = 0.0, legs
    middle = (first + second) / 2.0
    for _ in range(80):
        here = middle + way * (near + far) / 2.0
        reaches = np.linalg.norm(here - first) + np.linalg.norm(here - second) <= legs
        near, far = ((near + far) / 2.0, far) if reaches else (near, (near + far) / 2.0)
    return middle + way * near


@pytest.mark.parametrize("legs", [4.2, 5.0, 9.0])
@pytest.mark.parametrize(
    "parts",
    [
        [((20.0, 3.0, -1.0), 1.0)],
        [((20.0, 3.0, -1.0), 1.0), ((6.0, -9.0, 0.0), 0.9)],
        [((30.0, 0.5, -2.0), 1.0), ((4.0, 8.0, 0.5), 1.1), ((7.0, -3.0, 0.0), 0.8)],
    ],
)
def test_where_a_shackle_comes_to_rest(
    legs: float, parts: list[tuple[tuple[float, float, float], float]]
) -> None:
    """Where tensions times lengths are least, found by trying."""
    first, second = np.array([0.0, -2.0, 0.4]), np.array([0.3, 2.0, 0.8])
    ends, tensions = np.array([end for end, _ in parts]), np.array([t for _, t in parts])

    def worth(at: np.ndarray) -> float:
        here = _on_sling(first, second, legs, at)
        return float(tensions @ np.linalg.norm(ends - here, axis=1))

    found = [minimize(worth, begin, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-13})
             for begin in ([0.0, 0.0], [1.2, 0.0], [-1.2, 0.0])]  # fmt: skip
    best = min(found, key=lambda one: one.fun)
    place = shackle_at_rest.settled(
        first=first, second=second, legs=legs, ends=ends[:, None, :], tensions=tensions[:, None]
    )[0]
    assert np.linalg.norm(place - first) + np.linalg.norm(place - second) == pytest.approx(legs)
    assert float(tensions @ np.linalg.norm(ends - place, axis=1)) <= best.fun + 1e-9
    assert place == pytest.approx(_on_sling(first, second, legs, best.x), abs=1e-4)
