"""Small pieces of geometry on figures at which each of their terms counts, by hand."""

from dataclasses import replace
from math import atan2, cos, pi, radians, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.jobs.ranges.kept_to import FigureKind, resting
from optimiser.jobs.ranges.worked_out import _tangent as tangent
from optimiser.jobs.stages.changeover import change
from optimiser.rig.forces.evaluate import mixed
from optimiser.rig.ground.clearance import Runs, over
from optimiser.rig.ground.gaps import of_nose
from optimiser.rig.ground.keepout import Danger, areas, recoil_length
from optimiser.rig.ground.plan_view import crossings, inside
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.ground.strings import Edges, laid_on_crests
from optimiser.rig.ground.sweeping import dips_along_run
from optimiser.rig.refit import own_stations
from optimiser.rig.walk import Place, PlaceKind
from tests.geometry.plain import SITE, leg, scene, with_post
from tests.geometry.test_works import looked_at
from tests.words.hand_made import SETUP, tree
from tests.words.hand_made import SITE as TRAILER


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


def test_how_far_ahead_and_aside_of_the_nose_a_tree_stands() -> None:
    """From the load at the start of a level leg, its nose 1 m ahead: either side of it."""
    one = scene()
    for place in (1, 2):
        ahead, beside = one.reach.from_nose(place)
        assert ahead[0] == pytest.approx(29.0)
        assert beside[0] == pytest.approx(5.0)


def test_how_near_the_nose_comes_to_what_its_line_leads_to() -> None:
    """To the first tree only, as the second is not led to from the load; the least of all stations: at the
    end of the slope the nose is 10.8 m along x, and the trunk 0.2 m thick round its middle, 5 m aside."""
    one = scene()
    found = dict(of_nose(one, [(0, 1), (1, 2)]))
    assert found.keys() == {"oak"}
    every = [
        max(aside - 0.6 - 0.2, -2.0 - 0.2 - ahead, ahead - 0.2)
        for ahead, aside in zip(*one.reach.from_nose(1), strict=True)
    ]
    assert found["oak"] == pytest.approx(min(every))
    assert min(every) < max(every) - 1.0


@pytest.mark.parametrize("spot", [0, -1])
def test_a_straight_line_to_the_puller_runs_free_to_each_of_its_spots(spot: int) -> None:
    """A post half way from the load at the end of its path to the first, or the last, place of the run."""
    bare = scene()
    assert bare.reach.clear[-1, -1]
    middle = (bare.reach.hitch[-1] + bare.spots[spot]) / 2.0
    blocked = scene(with_post((float(middle[0]), float(middle[1]), 0.0), radius=0.05, top=9.0))
    assert not blocked.reach.clear[-1, -1]


@pytest.mark.parametrize(("resists", "runs"), [(0.33, True), (0.40, False)])
def test_what_falls_runs_on_where_the_ground_resists_less_than_its_slope(
    resists: float, runs: bool
) -> None:
    """Down 20 degrees: with less than the tangent, 0.364, at the least of a range."""
    end = (6.0 * cos(radians(20.0)), 0.0, -6.0 * sin(radians(20.0)))
    falls = replace(leg((0.0, 0.0, 0.0), end), resistance=0.6, resistance_least=resists)
    assert bool(looked_at(replace(SITE, legs=(falls,))).may_run_on.any()) == runs


@pytest.mark.parametrize("seed", range(6))
def test_where_lines_dip_on_their_way_by_many_places_of_it(seed: int) -> None:
    """To spots at any heights, past points at any height: a point is met where a line passes it lower at any
    of 2,001 places of the puller. What it meets at the first, which is looked at by itself, what is met by
    less than 2 cm only, and what comes near the puller, is left aside."""
    rng = np.random.default_rng(seed)
    met = 0
    for _ in range(60):
        begin = np.array((0.0, 0.0, rng.uniform(-1.0, 2.0)))
        ends = rng.uniform((6.0, -12.0, -2.0), (14.0, 12.0, 5.0), (2, 3))
        point = rng.uniform((2.0, -5.0, -1.0), (9.0, 5.0, 3.0))
        share = np.linspace(0.0, 1.0, 2001)[:, None]
        runs = Runs.between(
            np.broadcast_to(begin, (2001, 3)), ends[0] + share * (ends[1] - ends[0])
        )
        found = {}
        for more in (-0.02, 0.0, 0.02):
            there, inside = over(runs, point[0], point[1], within=2.0 + more, both_ends=False)
            low = inside & (runs.z + there * runs.along_z - point[2] < 0.05 + more)
            found[more] = low.any()
        if found[-0.02] == found[0.02] and there.max() < 0.9 and not low[0]:
            dips = dips_along_run(SITE, point[None], begin[None], ends, both_ends=False)
            assert dips.tolist() == [found[0.0]]
            met += found[0.0]
    assert met > 2


def test_sheaves_that_may_run_free_or_as_rated() -> None:
    """Two of them: some free and some as rated; over an edge with all as rated besides, where the rope may
    rub as much as it can, or less."""
    for over_edge, many in ((False, 3), (True, 8)):
        ev: Any = SimpleNamespace(etas=np.array([[0.9, 0.8]]), rubs=lambda _, over=over_edge: over)
        etas, rubs = mixed(ev, 0)
        assert len(etas) == len(rubs) == many
        assert rubs.sum() == (4 if over_edge else 0)
        assert ([0.9, 0.8] in etas.tolist()) == over_edge


@pytest.mark.parametrize("ends", [(5.5, 6.0), (6.0, 6.0)])
def test_the_stations_of_a_stretch_that_ends_at_a_bend(ends: tuple[float, float]) -> None:
    """There are two at the bend, one for either leg: a rig that ends there has both only if it turns the
    load. A profile of one row says nothing of it."""
    laid = lay_stations(SITE)
    part = laid.pick(laid.between(5.0, 6.0))
    assert (np.round(part.at, 6) == 6.0).sum() == 2
    setup: Any = SimpleNamespace(profile=[SimpleNamespace(at=at) for at in (5.0, *ends)])
    last = own_stations(part, setup).at[-2:]
    assert (np.round(last, 6) == 6.0).sum() == (2 if ends[0] == 6.0 else 1)
    alone: Any = SimpleNamespace(profile=[SimpleNamespace(at=6.0)])
    assert own_stations(part, alone) is part


def test_a_puller_below_a_load_that_may_run_back_stands_badly() -> None:
    """Whatever else its lines do."""
    for below in (True, False):
        there: Any = SimpleNamespace(_below_the_load=below, _reached=lambda _: False)
        assert Scene.stands_badly(there, (1, 0, 2)) == below


def test_nothing_lies_on_crests_where_there_are_no_edges() -> None:
    assert laid_on_crests(SITE) == ()
    edges: Any = SimpleNamespace(laid=("hose", None, "plank"), known=(True, False, False))
    assert Edges.laid_on_uncovered.fget(edges) == (None, "plank")  # type: ignore[attr-defined]


def test_a_step_takes_all_of_the_load_however_little_of_it_is_moved() -> None:
    """Half is moved along, as read off a pull: over a step of 5 cm the whole of it is turned."""
    pulls = {}
    for moved in (1.0, 0.5):
        steep = replace(leg((0.0, 0.0, 0.0), (6.0, 0.0, 0.0)), step=0.05, moved=moved)
        pulls[moved] = float(looked_at(replace(SITE, legs=(steep,))).pull[0, 0])
    assert pulls[0.5] == pytest.approx(pulls[1.0])


def test_a_winch_that_is_moved_by_hand_minds_no_angle() -> None:
    """A vehicle pulls along its run; what takes in rope where it stands is turned to the line."""
    angles = {}
    for purchase in (None, 6.0):
        (puller,) = SITE.pullers
        ev = looked_at(replace(SITE, pullers=(replace(puller, purchase=purchase),)))
        angles[purchase] = max(float(angle.max()) for angle in ev.hauling_angles)
    assert angles[None] > 0.1
    assert angles[6.0] == 0.0
