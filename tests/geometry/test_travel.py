"""How much rope comes in, where its length does not only shrink."""

import numpy as np
import pytest

from optimiser.rig.forces import travel


@pytest.mark.parametrize(
    ("lengths", "comes_in"),
    [
        ([10.0, 9.0, 7.5], 2.5),
        ([10.0, 11.0, 8.0], 2.0),  # at a bend it grows: nothing comes in till it has shrunk again
        ([10.0, 8.0, 9.5, 7.0], 3.0),
        ([10.0, 8.0, 9.5], 2.0),  # and what came in stays in the puller's hands
        ([10.0, 12.0], 0.0),
    ],
)
def test_rope_hauled(lengths: list[float], comes_in: float) -> None:
    assert travel.hauled(np.array(lengths)) == pytest.approx(comes_in)
