"""What a load does when it is let go of: the closed form, and no jump over the middle."""

from itertools import pairwise
from math import atan, cos, hypot, sin, tan

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from optimiser.mechanics.ground import rest
from optimiser.mechanics.resting import Rest

ANGLES = st.floats(0.0, 1.2)
FRICTIONS = st.floats(0.0, 1.5)
SHARES = st.floats(0.05, 1.0)


def at(angle: float, c: float, share: float) -> tuple[Rest, float]:
    """Status and hold of 1000 N."""
    slope = {"slope_sin": sin(angle), "slope_cos": cos(angle)}
    status = rest.status(**slope, resistance_low=c, resistance_sure=share * c)
    force = rest.hold_along(weight=1000.0, **slope, resistance_sure=share * c)
    return Rest(int(status)), float(force)


@given(angle=ANGLES, c=FRICTIONS, share=SHARES)
def test_by_the_angle_of_friction(angle: float, c: float, share: float) -> None:
    """Statics: a load stays up to a slope of the angle of friction, atan c."""
    status, force = at(angle, c, share)
    if abs(tan(angle) - share * c) < 1e-6:
        return
    rests = angle < atan(share * c)

    assert (status is Rest.RESTS) == rests
    assert (force == 0.0) == rests
    if status is Rest.RUNS:
        assert angle > atan(c)
    if not rests:
        assert force >= 1000.0 * (sin(angle) - share * c * cos(angle)) - 1e-9
        assert force >= 250.0 * sin(angle) - 1e-9


@given(c=FRICTIONS, share=SHARES, part=st.floats(5e-4, 0.95))
def test_the_middle_is_always_passed(c: float, share: float, part: float) -> None:
    """Rest, too close, runs: in this order along a slope that grows by small steps, none left out. The middle
    is 0.002 of sin - c cos wide at least, which grows by hypot(1, c) times the angle at most."""
    edge, step = atan(share * c), part * 0.002 / hypot(1.0, c)
    angles = np.concatenate([np.linspace(0.0, edge, 50), np.arange(edge, edge + 0.02, step)])
    found = [at(float(a), c, share) for a in angles[:3000]]
    places = [int(status) for status, _ in found]

    assert all(0 <= b - a <= 1 for a, b in pairwise(places))
    assert all(b >= a - 1e-9 for (_, a), (_, b) in pairwise(found))


def test_a_level_leg_of_no_friction_rests() -> None:
    assert at(0.0, 0.0, 0.5) == (Rest.RESTS, 0.0)
    assert at(0.001, 0.0, 0.5)[0] is Rest.TOO_CLOSE
    assert at(0.003, 0.0, 0.5)[0] is Rest.RUNS
