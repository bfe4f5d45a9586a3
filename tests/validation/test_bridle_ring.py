"""Where a bridle's ring comes to rest: closed forms, a physics engine, and a general minimiser.

The minimiser is scipy's (SLSQP): parts of constant tension pull the ring to where the sum of tension
times length is least, within what the legs allow.
"""

from math import atan2, cos, hypot, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from optimiser.mechanics.line.bridle import leg_tensions, nearest_ring, settled_ring
from optimiser.mechanics.values import Vec
from tests.validation.ring_engine import STIFF, settle

LEFT, RIGHT = (0.0, 0.4, 0.3), (0.0, -0.4, 0.3)


def ring_and_legs(
    hitches: tuple[Vec, Vec], legs: tuple[float, float], ends: list[Vec], tensions: list[float]
) -> tuple[np.ndarray, np.ndarray]:
    first, second = (np.array([h], dtype=float) for h in hitches)
    places = np.array(ends, dtype=float)[:, None, :]
    ring = settled_ring(
        first=first, second=second, legs=legs, ends=places, tensions=np.array(tensions)[:, None]
    )
    way = places[:, 0] - ring
    pull = (np.array(tensions)[:, None] * way / np.linalg.norm(way, axis=1)[:, None]).sum(axis=0)
    both = leg_tensions(first=first, second=second, legs=legs, pull=pull[None])
    return ring[0], both[:, 0]


def test_a_pull_in_the_middle_shares_alike() -> None:
    """T = P / (2 cos half), sin half = 0.4 / 1.5; the ring lies straight before the middle."""
    ring, legs = ring_and_legs((LEFT, RIGHT), (1.5, 1.5), [(9.0, 0.0, 0.3)], [1000.0])
    reach = sqrt(1.5**2 - 0.4**2)

    assert ring == pytest.approx((reach, 0.0, 0.3), abs=1e-9)
    assert legs == pytest.approx((500.0 * 1.5 / reach,) * 2, rel=1e-9)


@pytest.mark.parametrize("rise", [-20.0, 10.0, 45.0])
def test_the_ring_swings_up_and_down_into_the_pull(rise: float) -> None:
    """A place in the plane between the hitches, at a slope seen from their middle: the ring lies on the
    straight line to it, and the legs carry as on the level."""
    a = radians(rise)
    place = (8.0 * cos(a), 0.0, 0.3 + 8.0 * sin(a))
    ring, legs = ring_and_legs((LEFT, RIGHT), (1.5, 1.5), [place], [1000.0])
    reach = sqrt(1.5**2 - 0.4**2)

    assert ring == pytest.approx((reach * cos(a), 0.0, 0.3 + reach * sin(a)), abs=1e-9)
    assert legs == pytest.approx((500.0 * 1.5 / reach,) * 2, rel=1e-9)


def test_a_pull_along_one_leg_leaves_the_other_nothing() -> None:
    """In line with the left leg of the bridle drawn out straight: it has all, and the ring stays."""
    reach = sqrt(1.5**2 - 0.4**2)
    way = np.array((reach, -0.4, 0.0)) / 1.5
    place = np.array(LEFT) + 10.0 * way
    ring, legs = ring_and_legs((LEFT, RIGHT), (1.5, 1.5), [tuple(place)], [1000.0])

    assert ring == pytest.approx((reach, 0.0, 0.3), abs=1e-9)
    assert legs == pytest.approx((1000.0, 0.0), abs=1e-5)


@pytest.mark.parametrize("aside", [6.0, -6.0])
def test_beyond_that_the_leg_hangs_slack_and_the_ring_lies_in_line_with_the_other(
    aside: float,
) -> None:
    place = (4.0, -aside, 0.3)
    ring, legs = ring_and_legs((LEFT, RIGHT), (1.5, 1.5), [place], [1000.0])
    taut, slack = (LEFT, 1) if aside > 0 else (RIGHT, 0)
    angle = atan2(place[1] - taut[1], place[0] - taut[0])

    assert legs[slack] == 0.0
    assert legs[1 - slack] == pytest.approx(1000.0, rel=1e-9)
    assert ring == pytest.approx(
        (taut[0] + 1.5 * cos(angle), taut[1] + 1.5 * sin(angle), 0.3), abs=1e-9
    )


CASES = 24


@pytest.mark.parametrize("seed", range(CASES))
def test_as_a_physics_engine_settles_it(seed: int) -> None:
    """The ring within what the engine's legs give, and the legs' tensions within a thousandth of the
    pull. Legs of unequal length and hitches askew among them."""
    rng = np.random.default_rng(seed)
    hitches: tuple[Vec, Vec] = (
        LEFT,
        (float(rng.uniform(-0.5, 0.5)), -0.4, float(rng.uniform(0.1, 0.5))),
    )
    legs = (1.2, float(rng.choice([1.2, 1.0])))
    ends: list[Vec] = [
        (float(rng.uniform(2.5, 9.0)), float(rng.uniform(-4.0, 4.0)), float(rng.uniform(0.0, 3.0)))
        for _ in range(int(rng.integers(1, 4)))
    ]
    tensions = [float(t) for t in rng.uniform(500.0, 1500.0, len(ends))]
    engine = settle(hitches, legs, ends, tensions)
    ring, carried = ring_and_legs(hitches, legs, ends, tensions)

    assert engine.speed < 1e-6
    gives = 3.0 * sum(tensions) / STIFF
    assert float(np.linalg.norm(ring - engine.ring)) < gives
    np.testing.assert_allclose(carried, engine.tensions, atol=1e-3 * sum(tensions))


places = st.tuples(st.floats(2.0, 15.0), st.floats(-6.0, 6.0), st.floats(-1.0, 4.0))


@settings(max_examples=40, deadline=None)
@given(
    ends=st.lists(st.tuples(places, st.floats(0.3, 1.0)), min_size=1, max_size=5),
    half=st.floats(0.1, 1.0),
    legs=st.tuples(st.floats(1.2, 1.6), st.floats(1.2, 1.6)),
)
def test_as_a_general_minimiser_finds_it(
    ends: list[tuple[Vec, float]], half: float, legs: tuple[float, float]
) -> None:
    a, b = np.array((0.0, half, 0.3)), np.array((0.0, -half, 0.3))
    spots, tensions = [np.array(e) for e, _ in ends], [t for _, t in ends]

    def work(ring: np.ndarray) -> float:
        return sum(
            t * float(np.linalg.norm(e - ring)) for e, t in zip(spots, tensions, strict=True)
        )

    ring, _ = ring_and_legs((tuple(a), tuple(b)), legs, [e for e, _ in ends], tensions)
    inside = [
        {"type": "ineq", "fun": lambda r, h=h, leg=leg: leg**2 - ((r - h) ** 2).sum()}
        for h, leg in ((a, legs[0]), (b, legs[1]))
    ]
    found = minimize(
        work, [0.5, 0.0, 0.3], constraints=inside, method="SLSQP",
        options={"ftol": 1e-13, "maxiter": 500},
    )  # fmt: skip

    assert np.linalg.norm(ring - a) <= legs[0] + 1e-9
    assert np.linalg.norm(ring - b) <= legs[1] + 1e-9
    assert work(ring) <= work(found.x) + 1e-6


def test_nearest_to_one_place_is_at_rest_under_a_part_to_it() -> None:
    a, b, place = np.array([LEFT]), np.array([RIGHT]), np.array([[5.0, 3.0, 2.0]])
    near = nearest_ring(first=a, second=b, legs=(1.5, 1.5), to=place)
    rest = settled_ring(
        first=a, second=b, legs=(1.5, 1.5), ends=place[None], tensions=np.ones((1, 1))
    )
    assert near[0] == pytest.approx(rest[0], abs=1e-9)
    assert hypot(*(near[0, :2])) > 0.0
