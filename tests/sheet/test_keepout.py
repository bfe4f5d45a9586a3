"""Keep-out areas by hand on a plain job: path along x, ash ahead of it, oak to its left."""

from dataclasses import replace

import pytest

from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.ground.keepout import Danger, areas, faults, hull, standing_faults
from optimiser.rig.ground.plan_view import turn
from optimiser.rig.setup import Setup
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Puller
from tests.words.hand_made import ASH, PULLER, SETUP, SITE, WINCH

ROWS = tuple(replace(row, runs_back=0.0) for row in SETUP.profile)
LEVEL = replace(SETUP, profile=ROWS)
OAK = Place(PlaceKind.ANCHOR, "oak", 0.4)


def standing(x: float, y: float, setup: Setup = LEVEL, **changes: object) -> Setup:
    puller: Puller = replace(WINCH, position=(x, y, 3.0), anchor=None, **changes)  # type: ignore[arg-type]
    return replace(setup, puller=puller)


def dangers(setup: Setup) -> list[Danger]:
    return [fault.danger for fault in faults(SITE, setup)]


def test_the_hand_made_winch_stands_well() -> None:
    assert standing_faults(SITE, LEVEL) == ()


def test_a_puller_behind_the_tree_stands_in_line_with_the_part_that_ends_there() -> None:
    """The part from the load to ash lies on x; with the load at its start it is 14 m long, so that it
    may fly to x = 28, in a lane of 2 m to either side."""
    assert dangers(standing(27.9, 1.9)) == [Danger.RECOIL]
    assert dangers(standing(28.1, 0.0)) == []
    assert dangers(standing(27.0, 2.1)) == []


def test_the_part_the_puller_hauls_on_is_no_fault() -> None:
    assert dangers(standing(20.0, 0.0, replace(LEVEL, walk=(LOAD, PULLER)))) == []


def test_a_puller_inside_the_angle_at_a_block() -> None:
    """The rope comes from oak, turns at the load and goes to ash: between them nobody stands."""
    walk = (OAK, LOAD, ASH, PULLER)
    inside = standing(9.0, 2.0, replace(LEVEL, walk=walk))

    assert Danger.BIGHT in dangers(inside)
    assert "inside the angle of the rope at the load" in standing_faults(SITE, inside)[0]
    assert Danger.BIGHT not in dangers(standing(9.0, -9.0, replace(LEVEL, walk=walk)))


def test_a_puller_below_a_load_that_can_run_back() -> None:
    low = replace(WINCH, position=(-4.0, 2.5, 0.0), anchor=None)
    walk = (LOAD, PULLER)

    assert dangers(replace(SETUP, walk=walk, puller=low)) == [Danger.BELOW]
    assert dangers(replace(LEVEL, walk=walk, puller=low)) == []  # it holds by itself
    aside = replace(low, position=(-4.0, 3.5, 0.0))
    assert dangers(replace(SETUP, walk=walk, puller=aside)) == []


def test_every_danger_has_an_area_and_states_the_same_as_the_cautions() -> None:
    found = areas(SITE, replace(SETUP, walk=(OAK, LOAD, ASH, PULLER)))
    assert {area.danger for area in found} == set(Danger)

    setup = standing(27.0, 0.0)
    record = {c.key: c.text for c in cautions(SITE, setup)}
    assert "in line with the rope from the load to ash" in record["in_line"]


def test_lanes_reach_as_far_beyond_a_part_as_it_is_long() -> None:
    lanes = [a for a in areas(SITE, LEVEL) if a.danger is Danger.RECOIL and ASH in a.about]
    longest = max(lanes, key=lambda a: a.reach)

    assert longest.reach == pytest.approx(14.0)
    assert max(x for x, _ in longest.corners) == pytest.approx(28.0)
    assert min(x for x, _ in longest.corners) == pytest.approx(-14.0)


def test_areas_are_convex_and_turn_left() -> None:
    for area in areas(SITE, replace(SETUP, walk=(OAK, LOAD, ASH, PULLER))):
        assert set(hull(list(area.corners))) == set(area.corners)
        assert all(
            turn(a, b, c) > 0.0
            for a, b, c in zip(
                area.corners, area.corners[1:], (*area.corners[2:], area.corners[0]), strict=False
            )
        )
