"""Distances, places along a bent path and hulls in plan, by other means."""

from dataclasses import replace

import numpy as np
import pytest

from optimiser.rig.ground.keepout import Danger, areas, hull
from optimiser.rig.ground.plan_view import distance_to, load_at, loads_at
from tests.words.hand_made import SETUP, SITE


@pytest.mark.parametrize("seed", range(20))
def test_distance_to_a_stretch_by_many_places_of_it(seed: int) -> None:
    point, a, b = np.random.default_rng(seed).uniform(-5.0, 5.0, (3, 2))
    on = a + np.linspace(0.0, 1.0, 20_001)[:, None] * (b - a)
    least = np.hypot(*(on - point).T).min()
    assert distance_to(tuple(point), tuple(a), tuple(b)) == pytest.approx(least, abs=1e-3)


def test_the_load_on_a_path_of_two_legs() -> None:
    """A leg of 5 m to (4, 0, 3), and one of 13 m on to (4, 12, 8)."""
    (first, *_) = SITE.legs
    legs = (
        replace(first, start=(0.0, 0.0, 0.0), end=(4.0, 0.0, 3.0)),
        replace(first, start=(4.0, 0.0, 3.0), end=(4.0, 12.0, 8.0)),
    )
    bent = replace(SITE, legs=legs)
    there = {0.0: (0.0, 0.0, 0.0), 2.5: (2.0, 0.0, 1.5), 5.0: (4.0, 0.0, 3.0)}
    there |= {11.5: (4.0, 6.0, 5.5), 18.0: (4.0, 12.0, 8.0), 18.5: (4.0, 12.0, 8.0)}
    for at, place in there.items():
        assert load_at(bent, at) == pytest.approx(place)
    assert loads_at(bent, np.array([*there])) == pytest.approx(np.array([*there.values()]))


def test_below_a_load_on_the_second_leg() -> None:
    """3 m beside the path and round its ends, 5 m beyond its foot (choices); a leg of its own each."""
    (first, *_) = SITE.legs
    legs = (
        replace(first, start=(0.0, 0.0, 0.0), end=(4.0, 0.0, 1.0)),
        replace(first, start=(4.0, 0.0, 1.0), end=(4.0, 12.0, 3.0)),
    )
    strips = [
        np.array(area.corners)
        for area in areas(replace(SITE, legs=legs), SETUP)
        if area.danger is Danger.BELOW
    ]
    assert len(strips) == 2
    assert strips[0].min(axis=0) == pytest.approx([-8.0, -3.0], abs=0.1)
    assert strips[0].max(axis=0) == pytest.approx([7.0, 3.0], abs=0.1)
    assert strips[1].min(axis=0) == pytest.approx([1.0, -3.0], abs=0.1)
    assert strips[1][:, 0].max() == pytest.approx(7.0, abs=0.1)


def test_of_fewer_than_three_points_the_hull_is_they_themselves() -> None:
    assert hull([(1.0, 2.0)]) == ((1.0, 2.0),)
    assert hull([(3.0, 1.0), (1.0, 2.0), (3.0, 1.0)]) == ((1.0, 2.0), (3.0, 1.0))
