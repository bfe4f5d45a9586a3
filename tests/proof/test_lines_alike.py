"""The search and the re-check, which share no formula, find the same lines free of ground and posts."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from optimiser.proof.place.ground import Ground, meets
from optimiser.rig.ground.clearance import (
    Runs,
    ground_points,
    kept_clear,
    runs_hit_post,
    touches_ground,
)
from optimiser.site.model import Obstacle, Site
from tests.geometry.plain import SITE, leg

BUMPS = (
    (0.0, 0.0, 0.0), (3.0, 0.5, 1.2), (6.0, 0.0, 0.2), (9.0, -1.0, 2.4), (12.0, -1.0, 2.2), (16.0, 2.0, 3.5),
)  # fmt: skip
"""Feet, crests and bends."""
MANY = 400


def bumpy() -> Site:
    legs = [leg(a, b) for a, b in pairwise(BUMPS)]
    return replace(SITE, legs=tuple(legs), anchors=(), obstacles=())


def lines(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """(MANY, 3) two ends, low over the ground and beyond it at either side."""
    rng = np.random.default_rng(seed)
    low, high = np.array((-2.0, -3.0, 0.2)), np.array((18.0, 4.0, 5.0))
    return rng.uniform(low, high, (MANY, 3)), rng.uniform(low, high, (MANY, 3))


@pytest.mark.parametrize("from_load", [True, False])
@pytest.mark.parametrize("clearance", [0.0, 0.3])
def test_the_ground(from_load: bool, clearance: float) -> None:
    site = bumpy()
    site = replace(site, preferences=replace(site.preferences, clearance=clearance))
    begin, end = lines(3)
    touched = touches_ground(
        Runs.between(begin, end), ground_points(site),
        within=site.preferences.ground_known_within, above=clearance, both_ends=not from_load,
    )  # fmt: skip
    ground = Ground(site)
    assert 0.1 * MANY < touched.sum() < 0.9 * MANY
    assert (ground.stops(begin, end, from_load=from_load) == touched).all()
    drawn = [
        ground.string(tuple(a), tuple(b), from_load=from_load).blocked
        for a, b in zip(begin.tolist(), end.tolist(), strict=True)
    ]
    assert drawn == touched.tolist()


@pytest.mark.parametrize("clearance", [0.0, 0.3])
def test_a_post(clearance: float) -> None:
    post = Obstacle(name="post", position=(7.0, 0.5, 1.0), radius=0.8, top=1.5)
    site = replace(bumpy(), obstacles=(post,))
    site = replace(site, preferences=replace(site.preferences, clearance=clearance))
    begin, end = lines(5)
    (wide,) = kept_clear(site, ())
    hit = runs_hit_post(Runs.between(begin, end), wide)
    ground = Ground(site)
    found = [
        any(meets(ground.string(tuple(a), tuple(b)), one) for one in ground.posts)
        for a, b in zip(begin.tolist(), end.tolist(), strict=True)
    ]
    assert 0.02 * MANY < hit.sum() < 0.5 * MANY
    assert found == hit.tolist()
