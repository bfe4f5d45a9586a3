"""The rig's pull on the load against a general physics engine that knows nothing of reevings."""

from itertools import pairwise

import numpy as np
import pytest

from tests.validation.physics_engine import axes, settle
from tests.validation.sample_rigs import SAMPLES, SampleRig, evaluated, points

NAMES = [rig.name for rig in SAMPLES]


def test_there_are_enough_reevings() -> None:
    assert len(SAMPLES) >= 8
    assert len({rig.walk for rig in SAMPLES}) >= 8


@pytest.mark.parametrize("rig", SAMPLES, ids=NAMES)
def test_settled_force_ratio(rig: SampleRig) -> None:
    """Engine settled to rest: advantage along the path within 0.5 % of the evaluator's, pull across
    and off the ground within 0.5 % of the whole."""
    engine = settle(rig)
    assert engine.speed < 1e-6
    ours = evaluated(rig, hitch=engine.hitch)
    whole = float(np.linalg.norm(engine.pull))
    assert ours.ideal_advance[0, 0] == pytest.approx(engine.pull[0], rel=0.005)
    assert ours.advance[0, 0] == pytest.approx(engine.pull[0], rel=0.005)
    assert ours.sideways[0, 0] == pytest.approx(engine.pull[1], abs=0.005 * whole)
    assert ours.lift[0, 0] == pytest.approx(engine.pull[2], abs=0.005 * whole)


@pytest.mark.parametrize("rig", SAMPLES, ids=NAMES)
def test_settled_force_against_vectors_added_by_hand(rig: SampleRig) -> None:
    """The engine itself against first principles: unit vectors of the parts at the load, added."""
    engine = settle(rig, seconds=4.0)
    nodes = points(rig, engine.hitch)
    total = np.zeros(3)
    for (a, b), (start, end) in zip(pairwise(rig.walk), pairwise(nodes), strict=True):
        away = (end - start) / np.linalg.norm(end - start)
        total += away if a == "load" else -away if b == "load" else 0.0 * away
    np.testing.assert_allclose(axes(rig.direction) @ total, engine.pull, atol=2e-3)


@pytest.mark.parametrize("rig", SAMPLES, ids=NAMES)
def test_virtual_work(rig: SampleRig) -> None:
    """Rope taken in per metre of travel, by central difference, is the ideal advantage."""
    hitch, step = np.array(rig.hitch), 1e-5

    def rope(shift: float) -> float:
        nodes = points(rig, hitch + shift * rig.direction)
        return sum(float(np.linalg.norm(b - a)) for a, b in pairwise(nodes))

    taken = (rope(-step) - rope(step)) / (2.0 * step)
    ours = evaluated(rig, hitch=hitch)
    assert ours.ideal_advance[0, 0] == pytest.approx(taken, abs=1e-8)
    assert ours.total_length[0, 0] == pytest.approx(rope(0.0), abs=1e-12)
