"""How often the haul stops: places at which the puller, or the grip, or both are moved."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.rig.two_ropes.work import Geometry, work
from optimiser.site.model import Puller
from tests.compound.straight import in_line

WINCH: Puller = replace(in_line().pullers[0], run=0.0, purchase=6.0)


def straight(length: float, *, span: float = 12.0, parts: int = 3) -> Geometry:
    """A first rope with one part to the load, which comes straight towards its last place."""
    at = np.linspace(0.0, length, 41)
    return Geometry(
        at=at, span=np.full(41, span), other=60.0 - at, parts=parts, fixed_near=5.0, fixed_far=5.0,
        least_out=1.0, least_in=2.0,
    )  # fmt: skip


def test_strokes_of_the_puller_alone() -> None:
    """The grip has 9 m to go, 3 parts on it: a winch of 6 m takes in 2 m of the way each time."""
    found = work(straight(8.0), puller=WINCH, most_out=50.0)

    assert found is not None
    assert found.strokes == 4
    assert found.stops == pytest.approx((2.0, 4.0, 6.0))
    assert found.moved == ()
    assert found.hauled == pytest.approx(24.0)


def test_the_grip_is_moved_where_the_puller_stops_anyway() -> None:
    """The grip has 5 m to go: after two strokes it could not serve the whole of a third, so it is
    moved there, and each stroke is a whole one: 6 strokes for 12 m, not 7."""
    found = work(straight(12.0, span=8.0), puller=WINCH, most_out=50.0)

    assert found is not None
    assert found.strokes == 6
    assert found.moved == pytest.approx((4.0, 8.0))
    assert set(found.moved) <= set(found.stops)
    assert found.run == pytest.approx(4.0)


def test_rope_of_both() -> None:
    """The first from its standing end to the grip where it is nearest; the second 3 parts to there."""
    found = work(straight(12.0, span=8.0), puller=WINCH, most_out=50.0)

    assert found is not None
    assert found.first == pytest.approx(60.0 + 1.0)
    assert found.second == pytest.approx(3.0 * 7.0 + 5.0)


def test_a_short_second_rope_moves_the_grip_more_often() -> None:
    far, near = (work(straight(12.0), puller=WINCH, most_out=out) for out in (50.0, 3.0))

    assert far is not None
    assert near is not None
    assert len(near.moved) > len(far.moved)
    assert near.second < far.second
    assert near.first > far.first
    assert work(straight(12.0), puller=WINCH, most_out=2.4) is None  # less than half a metre to go


def test_the_load_is_turned_in_one_go() -> None:
    """At a bend the lengths change with the load where it is: no stop falls in between."""
    plain = straight(8.0)
    at = np.concatenate([plain.at[:21], plain.at[20:]])
    other = np.concatenate([plain.other[:21], plain.other[20:] - 1.0])
    bent = replace(plain, at=at, span=np.full(42, 12.0), other=other)
    found = work(bent, puller=replace(WINCH, purchase=7.2), most_out=50.0)

    assert found is not None
    assert found.stops == pytest.approx((2.4, 4.0, 5.4, 7.8))


@given(data=st.data())
def test_a_part_of_the_way_never_takes_more(data: st.DataObject) -> None:
    """What staged plans rest on: fewer strokes, no more rope, on any part of a stretch."""
    steps = data.draw(st.lists(st.floats(0.01, 0.8), min_size=6, max_size=24))
    spans = data.draw(st.lists(st.floats(-0.3, 0.05), min_size=len(steps), max_size=len(steps)))
    at = np.arange(len(steps) + 1, dtype=float)
    whole = Geometry(
        at=at, span=9.0 + np.concatenate([[0.0], np.cumsum(spans)]),
        other=40.0 - np.concatenate([[0.0], np.cumsum(steps)]), parts=2, fixed_near=4.0,
        fixed_far=4.0, least_out=0.8, least_in=1.2,
    )  # fmt: skip
    begin = data.draw(st.integers(0, len(steps) - 2))
    end = data.draw(st.integers(begin + 2, len(steps)))
    some = slice(begin, end + 1)
    part = replace(whole, at=at[some], span=whole.span[some], other=whole.other[some])
    puller = replace(WINCH, purchase=data.draw(st.floats(2.0, 5.0)))
    out = data.draw(st.floats(2.5, 9.0))
    of_whole = work(whole, puller=puller, most_out=out)
    of_part = work(part, puller=puller, most_out=out)

    if of_whole is None:
        return
    assert of_part is not None
    assert of_part.strokes <= of_whole.strokes
    assert of_part.first <= of_whole.first + 1e-9
    assert of_part.second <= of_whole.second + 1e-9
    assert all(a < b for a, b in pairwise(of_whole.stops))
