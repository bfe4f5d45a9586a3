"""Virtual work: between two moves of the grip the second rope comes in by the ideal advantage times
what the load moves (numeric derivative of lengths that are measured from the coordinates alone)."""

import itertools
from math import dist

import numpy as np
import pytest

from optimiser.rig.ground.scene import GRIP_NUMBER, Scene, scenes
from optimiser.rig.ground.stations import Stations, station_at
from optimiser.rig.two_ropes.evaluate import evaluate_pairs
from optimiser.rig.two_ropes.second_rope import Tackle
from tests.compound.sites import site

STEP = 1e-4


def at(number: int, along: float) -> Scene:
    small = site(number)
    found: Stations = station_at(small, along)
    return next(scenes(small, found.pick(slice(0, 1))))


def second_rope(scene: Scene, first: list[int], tackle: Tackle, first_length: float) -> float:
    """m of the second rope from its standing end to the standing block's place, when the first rope
    has that length from its standing end to the grip."""
    where = [tuple(scene.hitch[0] if n == 0 else scene.position[n]) for n in first]
    used = sum(dist(a, b) for a, b in itertools.pairwise(where))
    anchor = tuple(scene.position[tackle.anchor])
    out = first_length - used
    whole = dist(where[-1], anchor)
    grip = tuple(a + out / whole * (b - a) for a, b in zip(where[-1], anchor, strict=True))
    return tackle.parts * dist(grip, anchor)


@pytest.mark.parametrize("number", [0, 3, 6, 9, 12])
@pytest.mark.parametrize("first", [[0], [0, 1], [0, 1, 0], [2, 0, 1], [1, 0, 2, 0]])
@pytest.mark.parametrize("parts", [2, 3, 4])
def test_ideal_advantage_is_the_rope_taken_in(number: int, first: list[int], parts: int) -> None:
    tackle = Tackle(tuple(3 if (parts - k) % 2 == 0 else GRIP_NUMBER for k in range(parts + 1)))
    along = 2.0
    here, ahead, behind = (at(number, along + d) for d in (0.0, STEP, -STEP))
    etas = np.ones((1, len(first) - 1 + parts))
    rig = evaluate_pairs(here, np.array([first]), np.array([tackle.numbers]), etas)
    grip_at = 1.0  # m beyond the first rope's last place
    where = [tuple(here.hitch[0] if n == 0 else here.position[n]) for n in first]
    line = sum(dist(a, b) for a, b in itertools.pairwise(where)) + grip_at

    taken = second_rope(behind, first, tackle, line) - second_rope(ahead, first, tackle, line)

    assert rig.ideal_advance[0, 0] == pytest.approx(taken / (2.0 * STEP), rel=1e-5)
    assert rig.advance[0, 0] == pytest.approx(rig.ideal_advance[0, 0], rel=1e-9)
