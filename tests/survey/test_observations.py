"""Every kind of reading: how it changes with the places, against small steps and sympy."""

import math
from collections.abc import Mapping

import numpy as np
import pytest
import sympy

from optimiser.mechanics.arrays import Array
from optimiser.site.survey.observations import (
    Above,
    Along,
    Axis,
    Bearing,
    Coordinate,
    Direction,
    HeightDifference,
    HorizontalAngle,
    Left,
    LevelDistance,
    Observation,
    SlopeDistance,
    VerticalAngle,
)

NORTH = 0.8
PLACES: Mapping[str, Array] = {
    "a": np.array((1.0, 2.0, 0.5)),
    "b": np.array((9.0, -3.0, 4.0)),
    "p": np.array((4.0, 5.0, 3.0)),
}
KINDS: list[Observation] = [
    *(
        kind(start="a", end="b", value=0.0, sigma=0.1, label="")
        for kind in (
            SlopeDistance,
            LevelDistance,
            HeightDifference,
            VerticalAngle,
            Direction,
            Bearing,
        )
    ),
    HorizontalAngle(at="a", start="b", end="p", value=0.0, sigma=0.1, label=""),
    Coordinate(point="a", axis=Axis.Y, value=0.0, sigma=0.1, label=""),
    *(
        kind(start="a", end="b", point="p", value=0.0, sigma=0.1, label="")
        for kind in (Along, Left, Above)
    ),
    Along(start="a", end="b", point="p", value=0.0, sigma=0.1, label="", level=True),
]


@pytest.mark.parametrize("obs", KINDS, ids=lambda obs: f"{obs.word} {obs.variant}")
def test_changes_are_those_of_small_steps(obs: Observation) -> None:
    places = [PLACES[p] for p in obs.points]
    step = 1e-6
    for i, partial in enumerate(obs.partials(places, NORTH)):
        for axis in range(3):
            moved = []
            for way in (step, -step):
                at = [place.copy() for place in places]
                at[i][axis] += way
                moved.append(float(obs.calculated(at, NORTH)))
            assert partial[axis] == pytest.approx((moved[0] - moved[1]) / (2 * step), abs=1e-7)
    up, down = (float(obs.calculated(places, NORTH + way)) for way in (step, -step))
    assert obs.by_north == pytest.approx((up - down) / (2 * step), abs=1e-7)


@pytest.mark.parametrize("obs", KINDS, ids=lambda obs: f"{obs.word} {obs.variant}")
def test_many_at_once_are_as_one_by_one(obs: Observation) -> None:
    chance = np.random.default_rng(1)
    many = [PLACES[p] + chance.normal(size=(5, 3)) for p in obs.points]
    all_at_once = obs.calculated(many, NORTH)
    for i in range(5):
        assert all_at_once[i] == pytest.approx(obs.calculated([at[i] for at in many], NORTH))


def test_offsets_are_what_vector_algebra_gives() -> None:
    """Feet of a perpendicular in plan, by sympy's geometry."""
    a, b, p = (sympy.Point(*(sympy.Rational(str(c)) for c in PLACES[n][:2])) for n in "abp")
    foot = sympy.Line(a, b).projection(p)
    readings = {type(obs): obs for obs in KINDS if isinstance(obs, Left | Above)}
    places = [PLACES[n] for n in "abp"]
    left = float(readings[Left].calculated(places, NORTH))
    assert left == pytest.approx(float(p.distance(foot)))
    share = float(a.distance(foot) / a.distance(b))
    above = float(readings[Above].calculated(places, NORTH))
    assert above == pytest.approx(3.0 - (0.5 + share * 3.5))
    along, level = (obs for obs in KINDS if isinstance(obs, Along))
    assert float(level.calculated(places, NORTH)) == pytest.approx(float(a.distance(foot)))
    assert float(along.calculated(places, NORTH)) == pytest.approx(
        share * float(np.linalg.norm(PLACES["b"] - PLACES["a"]))
    )


def test_an_angle_is_compared_the_short_way_round() -> None:
    bearing = Bearing(
        start="a", end="b", value=math.radians(359), sigma=0.1, label="", defined=False
    )
    places = [np.zeros(3), np.array((math.cos(math.radians(-1)), math.sin(math.radians(-1)), 0))]
    assert float(bearing.residual(places, 0.0)) == pytest.approx(math.radians(2))
