"""Stations along the path: how far apart, which way they face, what applies where."""

from dataclasses import replace
from math import cos, sin

import numpy as np
import pytest

from optimiser.rig.ground.stations import lay_stations, path_length, station_at
from optimiser.site.model import BREAKOUT_REACH, Anchor
from tests.geometry.plain import LEVEL, SITE, SLOPE, leg, tree


def test_every_vertex_is_a_station_with_either_direction() -> None:
    st = lay_stations(SITE)
    assert path_length(SITE) == 11.0
    assert st.at[0] == 0.0
    assert st.at[-1] == 11.0
    at_bend = np.flatnonzero(st.at == 6.0)
    assert [tuple(st.along[i]) for i in at_bend] == [(1.0, 0.0, 0.0), (0.8, 0.0, 0.6)]


def test_no_further_apart_than_requested() -> None:
    st = lay_stations(SITE)
    steps = np.diff(st.at)
    assert steps.max() == pytest.approx(0.25)
    assert len(st) == 25 + 21  # 6 m and 5 m in quarters of a metre, both ends


@pytest.mark.parametrize("others", [(), SITE.anchors])
def test_closer_where_an_anchor_is_near(others: tuple[Anchor, ...]) -> None:
    """An eighth of the distance to it: 1 m beside the path, every 0.125 m, however far away others are."""
    near = replace(SITE, anchors=(*others, tree("pear", (3.0, 1.0, 0.0))))
    st = lay_stations(near)
    beside = np.diff(st.at[(st.at > 2.8) & (st.at < 3.2)])
    assert beside.max() <= 0.131
    assert beside.min() >= 0.12


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1, 2.0, -2.7])
def test_as_many_whichever_way_the_path_leads(angle: float) -> None:
    """6 m turned are 6 m to rounding, and are cut into as many pieces."""
    turned = leg((0.0, 0.0, 0.0), (6.0 * cos(angle), 6.0 * sin(angle), 0.0))
    assert len(lay_stations(replace(SITE, legs=(turned,)))) == 25


def test_left_is_left_and_up_is_up() -> None:
    st = lay_stations(SITE)
    assert np.allclose(st.across, (0.0, 1.0, 0.0))
    assert np.allclose(st.normal[0], (0.0, 0.0, 1.0))
    assert np.allclose(st.normal[-1], (-0.6, 0.0, 0.8))
    assert st.slope_sin[-1] == pytest.approx(0.6)
    assert st.slope_cos[-1] == pytest.approx(0.8)


def test_break_out_applies_over_the_first_metre_only() -> None:
    stuck = replace(SITE, legs=(replace(LEVEL, breakout=1.5, apparent=0.8), SLOPE))
    st = lay_stations(stuck)
    first = st.at <= BREAKOUT_REACH + 1e-9
    on_level = st.leg == 0
    assert st.weight[first].tolist() == [2400.0] * first.sum()  # 2000 x 0.8 x 1.5
    assert st.weight[on_level & ~first].tolist() == [1600.0] * (on_level & ~first).sum()
    assert st.resting[on_level].tolist() == [1600.0] * on_level.sum()
    assert st.weight[~on_level].tolist() == [2000.0] * (~on_level).sum()


def test_a_step_stands_at_the_start_of_its_leg() -> None:
    stepped = replace(SITE, legs=(LEVEL, replace(SLOPE, step=0.05)))
    st = lay_stations(stepped)
    where = np.flatnonzero(st.step > 0.0)
    assert st.at[where].tolist() == [6.0]
    assert st.leg[where].tolist() == [1]


def test_a_station_requested() -> None:
    assert station_at(SITE, 3.3).at.tolist() == pytest.approx([3.3])
    assert station_at(SITE, 6.0).leg.tolist() == [0, 1]
