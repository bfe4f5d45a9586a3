"""How often several things that take in rope together take a new grip, against trying out every place."""

import numpy as np
import pytest

from optimiser.rig.forces.travel import ENDLESS, joint_grips

Track = tuple[list[float], list[float]]
FINE = 400


def tried_out(bands: list[Track]) -> int:
    """Each piece of the way as far as one length of each still lies between near and far."""
    index = np.linspace(0.0, len(bands[0][0]) - 1.0, FINE * (len(bands[0][0]) - 1) + 1)
    known = [[np.interp(index, range(len(side)), side) for side in band] for band in bands]
    grips, begin = 0, 0
    for k in range(len(index)):
        if any(near[begin : k + 1].max() > far[begin : k + 1].min() + 1e-9 for near, far in known):
            grips, begin = grips + 1, k - 1
    return grips


@pytest.mark.parametrize("seed", range(12))
def test_as_few_as_do(seed: int) -> None:
    rng = np.random.default_rng(seed)
    bands: list[Track] = []
    for _ in range(2):
        near = np.cumsum(rng.uniform(-1.2, 0.9, 7)) + 30.0
        bands.append((near.tolist(), (near + rng.uniform(0.8, 3.0)).tolist()))
    found = joint_grips([(np.array(near), np.array(far)) for near, far in bands])
    assert len(found) == tried_out(bands)
    assert found == sorted(found)


def test_where_nothing_is_taken_in_there_is_no_end() -> None:
    near = np.array([5.0, 4.0, 3.0])
    assert len(joint_grips([(near, near)])) == ENDLESS - 1
