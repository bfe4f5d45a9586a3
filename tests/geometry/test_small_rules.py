"""Small pieces of geometry on figures at which each of their terms counts, by hand."""

from dataclasses import replace
from math import atan2, cos, pi, sin

import numpy as np
import pytest

from optimiser.jobs.ranges.kept_to import FigureKind, resting
from optimiser.jobs.ranges.worked_out import _tangent as tangent
from optimiser.jobs.stages.changeover import change
from optimiser.rig.ground.keepout import Danger, areas, recoil_length
from optimiser.rig.ground.plan_view import crossings, inside
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.ground.sweeping import dips_along_run
from optimiser.rig.walk import Place, PlaceKind
from tests.geometry.plain import SITE, leg, scene
from tests.geometry.plain import tree as plain_tree
from tests.words.hand_made import SETUP
from tests.words.hand_made import SITE as TRAILER
from tests.words.hand_made import tree


@pytest.mark.parametrize(
    ("point", "within"),
    [
        ((1.0, 1.0), True), ((3.0, 3.0), False), ((-0.1, 1.0), False), ((1.0, -0.1), False),
        ((0.0, 1.0), False), ((5.0, -1.0), False),
    ],
)  # fmt: skip
def test_inside_a_triangle(point: tuple[float, float], within: bool) -> None:
    corners = ((0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    for a, b, c in (corners, corners[::-1]):
        assert inside(point, a, b, c) == within


@pytest.mark.parametrize(("last", "cross"), [((0.0, 4.0), True), ((8.0, 4.0), False)])
def test_parts_of_a_rope_that_cross(last: tuple[float, float], cross: bool) -> None:
    """From a corner of a square over the opposite one, along a side, and over the other diagonal."""
    spots = {"a": (0.0, 0.0), "b": (4.0, 4.0), "c": (4.0, 0.0), "d": last}
    site = replace(TRAILER, anchors=tuple(tree(name, *at) for name, at in spots.items()))
    walk = tuple(Place(kind=PlaceKind.ANCHOR, name=name, height=0.4) for name in "abcd")
    setup = replace(SETUP, walk=walk)
    found = [(str(one[0].name), str(other[0].name)) for one, other, _ in crossings(site, setup)]
    assert found == ([("a", "c")] if cross else [])


def test_a_parted_line_flies_beyond_both_of_its_ends() -> None:
    """Of a part that leads aslant: the four corners of its lane, 2 m to either side (a choice)."""
    a, b = (2.0, 1.0), (14.0, 10.0)
    site = replace(TRAILER, anchors=(tree("a", *a), tree("b", *b)))
    walk = tuple(Place(kind=PlaceKind.ANCHOR, name=name, height=0.4) for name in "ab")
    lanes = [
        np.array(area.corners)
        for area in areas(site, replace(SETUP, walk=walk))
        if area.danger is Danger.RECOIL
    ]
    long = float(recoil_length(15.0))
    way, aside = np.array((0.8, 0.6)), 2.0 * np.array((-0.6, 0.8))
    ends = np.array(a) - long * way, np.array(b) + long * way
    wanted = {tuple(np.round(end + side, 6)) for end in ends for side in (aside, -aside)}
    assert any({tuple(np.round(c, 6)) for c in lane} == wanted for lane in lanes)


def test_a_further_station_on_the_second_leg() -> None:
    laid = lay_stations(SITE, (2.03, 8.37))
    assert {2.03, 8.37} <= {round(float(at), 9) for at in laid.at}
    assert len(laid) == len(lay_stations(SITE)) + 2


@pytest.mark.parametrize("far", [True, False])
def test_stations_are_as_close_as_the_nearest_tree_asks_for(far: bool) -> None:
    """One tree 1 m beside the path, and perhaps others far away."""
    near = plain_tree("pear", (3.0, 1.0, 0.0))
    site = replace(SITE, anchors=(*(SITE.anchors if far else ()), near))
    laid = lay_stations(site)
    beside = np.diff(laid.at[(laid.at > 2.8) & (laid.at < 3.2)])
    assert beside.max() <= 0.131


def test_a_line_to_the_load_leads_back_the_way_it_came() -> None:
    """From each tree to the hitch: the unit vector the other way round."""
    one = scene()
    hitch, there = one.reach.hitch[0], one.places[1]
    tip = one.position[1]
    way = (hitch - tip) / np.linalg.norm(hitch - tip)
    assert there.name == "oak"
    assert one.reach.at_place[1, 0] == pytest.approx(way)


@pytest.mark.parametrize(("height", "low"), [(1.2, True), (0.2, False)])
def test_a_line_dips_between_two_of_several_spots(height: float, low: bool) -> None:
    """It sweeps over a knoll half way only between the second spot and the third."""
    spots = np.array([(10.0, y, 1.0) for y in (-9.0, -3.0, 3.0, 9.0)])
    knoll = np.array([(5.0, 0.0, height)])
    site = replace(SITE, preferences=replace(SITE.preferences, ground_known_within=0.5))
    found = dips_along_run(site, knoll, np.array([(0.0, 0.0, 1.0)]), spots, both_ends=False)
    assert found.tolist() == [low]


def test_what_is_to_spare_where_the_load_rests_on_ground_that_falls() -> None:
    """Resistance counted on, times the cosine, less the sine: whichever way the ground leads."""
    for rise in (1.0, -1.0):
        site = replace(SITE, legs=(leg((0.0, 0.0, 0.0), (60.0, 0.0, rise)),))
        (figure,) = resting(site).values()
        angle = atan2(1.0, 60.0)
        sure = 0.05 * site.preferences.resistance_counted_on
        assert figure.kind is FigureKind.REST
        assert figure.value == pytest.approx(sure * cos(angle) - sin(angle))


def test_how_steep_a_leg_is_whichever_way_it_leads() -> None:
    assert tangent(leg((1.0, 2.0, 5.0), (4.0, 6.0, 6.0))) == pytest.approx(0.2)
    assert tangent(leg((1.0, 2.0, 5.0), (1.0, 6.0, 4.0))) == pytest.approx(-0.25)


@pytest.mark.parametrize("aside", [1.0, -1.0])
def test_a_change_at_a_bend(aside: float) -> None:
    """From level ground onto a slope of 1 in 20 that leads 60 degrees aside: what is to spare is that of the
    slope, where it is less, and the load is turned by what the path turns in plan."""
    way = (cos(pi / 3.0), aside * sin(pi / 3.0))
    end = (6.0 + 10.0 * way[0], 10.0 * way[1], 0.5)
    legs = (
        replace(leg((0.0, 0.0, 0.0), (6.0, 0.0, 0.0)), resistance_low=0.4),
        replace(leg((6.0, 0.0, 0.0), end), resistance_low=0.4),
    )
    site = replace(TRAILER, legs=legs)
    before, after = replace(SETUP, to_m=6.0), replace(SETUP, from_m=6.0)
    found = change(site, before, after, "")
    angle = atan2(0.5, 10.0)
    sure = 0.4 * site.preferences.resistance_counted_on
    weight = site.load.weight
    assert found.to_spare == pytest.approx(weight * (sure * cos(angle) - sin(angle)))
    assert found.turns == pytest.approx(pi / 3.0)
