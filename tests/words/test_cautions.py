"""The cautions: each one comes when its numbers call for it, and stays away when they do not."""

import tomllib
from dataclasses import replace
from importlib.resources import files
from math import cos, radians, sin

import numpy as np
import pytest

from catalogue.pullers import PulledBy
from optimiser.rig.cautions import hauling as checks
from optimiser.rig.cautions.hauling import cautions, stored_energy
from optimiser.rig.ground.plan_view import cross, inside
from optimiser.rig.setup import Setup
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Hitch, Puller, Site
from shared.sources import load_sources
from tests.words.hand_made import ASH, PULLER, SETUP, SITE, WINCH, tree

ALWAYS = ("inspect", "clear_of_line", "no_people", "watch_anchors", "estimate", "who_decides")


def texts(setup: Setup, site: Site = SITE) -> dict[str, str]:
    return {c.key: c.text for c in cautions(site, setup)}


def hauled_by(puller: Puller, **changes: object) -> Setup:
    return replace(SETUP, puller=replace(puller, **changes))  # type: ignore[arg-type]


def quiet() -> Setup:
    """The hand-made setup without anything to be warned of."""
    rows = tuple(replace(row, runs_back=0.0) for row in SETUP.profile)
    return replace(SETUP, profile=rows, weakest="block at ash")


def test_what_always_applies_is_always_printed_and_comes_last() -> None:
    found = cautions(SITE, SETUP)

    assert tuple(c.key for c in found if c.always) == ALWAYS
    assert all(c.always for c in found[-len(ALWAYS) :])


def test_a_quiet_setup_calls_only_for_what_a_hand_winch_calls_for() -> None:
    assert set(texts(quiet())) == {*ALWAYS, "puller_in_line"}


def test_every_text_has_a_source_in_the_list_and_a_check() -> None:
    text = (
        files("optimiser.rig.cautions")
        .joinpath("data", "cautions.toml")
        .read_text(encoding="utf-8")
    )
    entries = tomllib.loads(text)

    assert {entry["source"] for entry in entries.values()} <= set(load_sources())
    named = {key for key, entry in entries.items() if not entry.get("always")}
    assert named == set(checks.BOOK.checks)


def test_unrated_piece() -> None:
    assert (
        "UNRATED: old hook and ash."
        in texts(replace(SETUP, unrated=("old hook", "ash")))["unrated"]
    )


def test_margin_below_what_is_wanted() -> None:
    site = replace(SITE, preferences=replace(SITE.preferences, margin_wanted=3.5))

    assert texts(quiet(), site)["margin_short"].startswith("The margin is 3.14, less than the 3.50")


def test_roll_back_names_the_holding_force_and_the_stretch() -> None:
    rows = tuple(replace(r, runs_back=600.0 if r.at > 5 else 0.0) for r in SETUP.profile)
    text = texts(replace(SETUP, profile=rows))["runs_back"]

    assert "made for 0.60 kN along the slope" in text
    assert "from 5.22 m to 10.44 m" in text


def test_puller_on_the_way_the_load_would_run_back() -> None:
    below = hauled_by(WINCH, position=(1.0, 1.0, 0.3))
    beside = hauled_by(WINCH, position=(1.0, 8.0, 0.3))

    assert "puller_below" in texts(below)
    assert "puller_below" not in texts(beside)
    assert "puller_below" not in texts(replace(quiet(), puller=below.puller))


def test_puller_inside_the_angle_of_the_rope() -> None:
    """The rope turns at `oak`, from the load to `ash`: between them is the bight."""
    walk = (LOAD, Place(PlaceKind.ANCHOR, "oak", 0.4), ASH, PULLER)
    between = hauled_by(WINCH, position=(12.0, 2.0, 3.0))
    outside = hauled_by(WINCH, position=(18.0, 2.0, 3.0))

    assert "inside the angle of the rope at oak" in texts(replace(between, walk=walk))["in_bight"]
    assert "in_bight" not in texts(replace(outside, walk=walk))


def test_driver_is_not_advised_to_stand_beside_the_line() -> None:
    car = hauled_by(WINCH, kind=PulledBy.VEHICLE, purchase=None, run=10.0, anchor=None)

    assert "puller_in_line" in texts(SETUP)
    assert "puller_in_line" not in texts(car)


def test_parts_that_cross_seen_from_above() -> None:
    walk = (Place(PlaceKind.ANCHOR, "oak", 0.4), LOAD, ASH, PULLER)
    across = replace(SETUP, walk=walk, puller=replace(WINCH, position=(10.0, 6.0, 3.0)))

    assert (
        "oak to the load with ash to winch, with the load at 0.00 m" in texts(across)["lines_cross"]
    )
    assert "lines_cross" not in texts(SETUP)


def test_stored_energy_of_a_stretchy_rope() -> None:
    """E = T² L e / 2B by hand: 2 kN in 40 m of rope that stretches 0.3 at 25 kN: 960 J."""
    tight = replace(SETUP, pull=2_000.0, rope_needed=40.0)

    assert stored_energy(tight) == pytest.approx(960.0)
    # 960 J / (10 kg x 9.80665 m/s²) = 9.79 m
    assert "up to 960 J" in texts(tight)["stored_energy"]
    assert "10 kg falling 9.79 m" in texts(tight)["stored_energy"]
    assert "stored_energy" not in texts(SETUP)


def test_jerks_and_what_the_figures_allow_for_them() -> None:
    people = hauled_by(WINCH, kind=PulledBy.PEOPLE, dynamic=1.3)
    steady = hauled_by(WINCH, kind=PulledBy.VEHICLE, dynamic=1.0)

    assert "1.30 times the steady one" in texts(people)["jerks"]
    assert "allow nothing for a jerk" in texts(steady)["jerks"]
    assert "jerks" not in texts(SETUP)


def test_vehicle_on_a_slope() -> None:
    heading = (cos(radians(8)), 0.0, -sin(radians(8)))
    car = hauled_by(WINCH, name="car", kind=PulledBy.VEHICLE, heading=heading)

    text = texts(car)["vehicle_on_slope"]
    assert "The puller (car) stands on a slope of 8 ° (pulling downhill)" in text
    assert "vehicle_on_slope" not in texts(hauled_by(WINCH, kind=PulledBy.VEHICLE))


def test_side_pull_near_its_limit() -> None:
    """0.20 to the right on wheels, of a limit of 0.27: 74 %."""
    rows = tuple(replace(row, side_pull=-0.2) for row in SETUP.profile)
    text = texts(replace(SETUP, profile=rows))["side_pull"]

    assert "0.20 of the forward pull to the right" in text
    assert "74 % of the limit of 0.27" in text


def test_hitch_behind_the_middle_of_the_load() -> None:
    """3 m long with its nose 1 m ahead of where it is reckoned from: the middle is 0.5 m behind that."""
    for ahead, found in ((-0.4, None), (-1.4, "0.90 m behind its middle")):
        hitch = Hitch(name="tail", ahead=ahead, left=0.0, height=0.4, rating=10_000.0)
        load = replace(SITE.load, hitches=(hitch,), length=3.0, overhang=1.0)
        text = texts(replace(SETUP, attachment="tail"), replace(SITE, load=load))
        assert ("behind_middle" in text) is (found is not None)
        assert found is None or found in text["behind_middle"]


def test_hitch_off_the_centre_line_turns_the_load() -> None:
    """420 N x 2.5 on the load, 0.4 m left of the centre: 420 N·m that turn it to the right."""
    hitch = Hitch(name="left eye", ahead=0.5, left=0.4, height=0.4, rating=10_000.0)
    site = replace(SITE, load=replace(SITE.load, hitches=(hitch,)))
    text = texts(replace(SETUP, attachment="left eye"), site)["off_centre"]

    assert "0.40 m to the left" in text
    assert "turns the load to the right with up to 0.42 kN·m" in text


def test_lip_and_protected_edge_on_the_way() -> None:
    leg = replace(SITE.legs[0], step=0.08, edge_protected=True)
    text = texts(SETUP, replace(SITE, legs=(leg,)))

    assert "A lip 0.08 m high, at 0.00 m of the path" in text["lip"]
    assert "from 0.00 m to 10.44 m" in text["ground_edge"]


def test_knot_as_the_weakest_piece() -> None:
    assert "bowline leaves 60 %" in texts(SETUP)["knot_weakest"]
    assert "knot_weakest" not in texts(replace(SETUP, weakest="block at ash"))


def test_tree_as_the_weakest_piece() -> None:
    stem = replace(SETUP.components[0], name="ash", item="ash", place="ash", unit="N·m")
    weak = replace(SETUP, weakest="ash", components=(*SETUP.components, stem))

    assert "is a tree, ash" in texts(weak)["tree_weakest"]


def test_thin_tree() -> None:
    thin = (tree("ash", 14.0, 0.0, diameter=0.16), SITE.anchors[1])

    assert "ash is a thin tree (160 mm)" in texts(SETUP, replace(SITE, anchors=thin))["thin_tree"]
    assert "thin_tree" not in texts(SETUP)
    below_winch = (SITE.anchors[0], tree("oak", 14.0, 6.0, diameter=0.16))
    assert "oak is a thin tree" in texts(SETUP, replace(SITE, anchors=below_winch))["thin_tree"]


def test_strap_high_on_a_stem() -> None:
    """Levers are height + 0.3 m: 1.1 m against 0.5 m, 2.2 times the moment."""
    high = replace(SETUP, walk=(LOAD, Place(PlaceKind.ANCHOR, "ash", 0.8), LOAD, PULLER))
    text = texts(high)["high_strap"]

    assert "ash is 0.80 m up" in text
    assert "2.20 times the moment" in text


def test_plan_geometry() -> None:
    assert inside((1.0, 1.0), (0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    assert not inside((3.0, 3.0), (0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    assert not inside((2.0, 0.0), (0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    corners = [np.array(at) for at in ((0.0, 0.0), (2.0, 2.0), (0.0, 2.0), (2.0, 0.0))]
    assert cross(*corners)
    assert not cross(corners[0], corners[1] / 2.0, corners[1] / 2.0, corners[3])
    where = np.array([(0.0, 2.0), (1.0, 1.0), (3.0, 1.0)])  # one end at three times
    assert cross(corners[0], corners[1], where, corners[3]).tolist() == [True, False, False]
