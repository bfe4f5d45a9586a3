"""Strokes and resets from geometry: the length of line on both ends of the puller's run."""

from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalogue.pullers import PulledBy
from optimiser.rig.forces.travel import ENDLESS, stroke_ends, strokes
from optimiser.site.model import Puller


def puller(*, run: float = 0.0, purchase: float | None = None) -> Puller:
    return Puller(
        name="p", kind=PulledBy.VEHICLE, position=(0.0, 0.0, 0.0), height=0.0, heading=(1.0, 0.0, 0.0),
        run=run, purchase=purchase, limit=1000.0, limit_factors=(), hitch_rating=None,
        hitch_eye=None, needs_termination=False,
    )  # fmt: skip


AT = np.linspace(0.0, 12.0, 49)


def test_three_parts_take_three_times_the_way() -> None:
    """12 m of path with three parts bring in 36 m: a run of 10 m does it in four strokes."""
    near = 60.0 - 3.0 * AT

    assert strokes(puller=puller(run=10.0), near=near, far=near + 10.0) == 4
    ends = stroke_ends(puller=puller(run=10.0), at=AT, near=near, far=near + 10.0)
    assert ends == pytest.approx([10 / 3, 20 / 3, 10.0])


def test_a_run_that_just_does_needs_no_reset() -> None:
    near = 60.0 - AT

    assert strokes(puller=puller(run=12.0), near=near, far=near + 12.0) == 1
    assert strokes(puller=puller(run=11.99), near=near, far=near + 11.99) == 2


def test_a_hand_winch_is_run_out_after_its_purchase() -> None:
    near = 20.0 - AT

    assert strokes(puller=puller(purchase=1.5), near=near, far=near) == 8
    assert len(stroke_ends(puller=puller(purchase=1.5), at=AT, near=near, far=near)) == 7


def test_a_line_at_an_angle_brings_in_less_than_the_run() -> None:
    """The lead block is 4 m to the side of a vehicle that drives 6 m off at a right angle to it:
    the line grows from 4 m to hypot(4, 6) = 7.21 m, so a stroke brings in 3.21 m, not 6 m."""
    gain = hypot(4.0, 6.0) - 4.0
    near = 30.0 - AT

    assert strokes(puller=puller(run=6.0), near=near, far=near + gain) == int(np.ceil(12.0 / gain))


def test_a_line_straight_from_the_load_turns_as_the_load_comes() -> None:
    """The load comes along x towards a vehicle that drives off along y: far from it the vehicle's
    run brings in little. Each stroke ends where the line to the far end has the length it began
    with."""
    x = 20.0 - AT
    near, far = np.hypot(x, 3.0), np.hypot(x, 11.0)
    ends = stroke_ends(puller=puller(run=8.0), at=AT, near=near, far=far)

    begin = np.interp([0.0, *ends[:-1]], AT, near)
    assert np.interp(ends, AT, far) == pytest.approx(begin, abs=1e-6)
    assert strokes(puller=puller(run=8.0), near=near, far=far) == len(ends) + 1


def test_a_puller_that_brings_in_nothing_never_gets_there() -> None:
    near = 30.0 - AT

    assert strokes(puller=puller(run=5.0), near=near, far=near) == ENDLESS


@given(
    drops=st.lists(st.floats(-0.4, 1.5), min_size=3, max_size=20),
    gain=st.floats(0.9, 4.0),
    cut=st.tuples(st.integers(0, 20), st.integers(0, 20)),
)
def test_a_shorter_stretch_never_takes_more(
    drops: list[float], gain: float, cut: tuple[int, int]
) -> None:
    near = 40.0 - np.cumsum(drops)
    far = near + gain
    first, last = sorted(c % len(near) for c in cut)
    whole = strokes(puller=puller(run=9.0), near=near, far=far)

    if first < last:
        part = slice(first, last + 1)
        assert strokes(puller=puller(run=9.0), near=near[part], far=far[part]) <= whole
