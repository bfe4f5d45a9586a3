"""Where the line takes hold, where the puller stands, and how far the load's nose reaches."""

from dataclasses import replace
from math import sqrt

import numpy as np
import numpy.typing as npt
import pytest

from catalogue.pullers import PulledBy
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.places import Places
from optimiser.rig.ground.strings import edges_of
from optimiser.rig.once import Lately
from optimiser.site.model import Obstacle, Site
from tests.edges.sites import kind
from tests.geometry.plain import SITE, scene, tree


def test_hitch_ahead_left_and_up() -> None:
    """On the level; then on 3 : 4, where ahead is along the slope and up is plumb."""
    left, right = scene(hold=0), scene(hold=1)
    assert left.hitch[0].tolist() == pytest.approx([0.9, 0.4, 0.5])
    assert right.hitch[0].tolist() == pytest.approx([0.9, -0.4, 0.5])
    assert left.hitch[-1].tolist() == pytest.approx([10.0 + 0.72, 0.4, 3.0 + 0.54 + 0.5])


def test_ring_of_a_bridle() -> None:
    """Legs of 1.5 m from two lugs 0.8 m apart: the ring is sqrt(1.5^2 - 0.4^2) ahead of them."""
    bridled = replace(SITE, load=replace(SITE.load, may_bridle=True, bridle_leg=1.5))
    ring = attachments(bridled)[2]
    assert ring.bridled
    assert ring.ahead == pytest.approx(0.9 + sqrt(1.5**2 - 0.4**2))
    assert (ring.left, ring.height) == pytest.approx((0.0, 0.5))


def test_legs_too_short_for_a_bridle() -> None:
    """Beyond 120 degrees between them (half the distance over 0.87 of a leg) there is none."""
    tight = replace(SITE, load=replace(SITE.load, may_bridle=True, bridle_leg=0.45))
    assert len(attachments(tight)) == 2
    wide = replace(SITE, load=replace(SITE.load, may_bridle=True, bridle_leg=0.47))
    assert len(attachments(wide)) == 3


def test_the_puller_goes_the_whole_of_its_run() -> None:
    spots = scene().spots
    assert spots[0].tolist() == [20.0, 12.0, 3.5]
    assert spots[-1].tolist() == [20.0, 20.0, 3.5]


def test_a_winch_has_the_lever_of_its_height() -> None:
    """0.7 m up the oak, and 0.3 m of least lever besides."""
    winch = replace(
        SITE.pullers[0], kind=PulledBy.HAND_WINCH, run=0.0, purchase=2.0, anchor="oak", height=0.7,
        position=(30.0, 5.0, 3.0),
    )  # fmt: skip
    found = scene(replace(SITE, pullers=(winch,)))
    assert found.lever[found.puller_number] == pytest.approx(1.0)
    assert found.lever[1] == pytest.approx(1.3)  # a strap 1 m up
    assert found.anchor_of[found.puller_number] == 0


def test_the_nose_stops_before_an_anchor_in_its_way() -> None:
    """The load reaches 1 m ahead of its point, along the slope of 3 : 4; a pole of 0.2 m in radius
    may come no nearer than that to the nose. (A pole's foot at x, 3 m up, lies 0.8 (x - 10) m
    beyond the end of the path, along the slope.)"""
    for x, free in ((11.6, True), (11.4, False)):
        ahead = replace(SITE, anchors=(tree("pole", (x, 0.0, 3.0), heights=(0.0,)),))
        nose = scene(ahead).nose_free(1)
        assert bool(nose[-1]) == free  # 0.8 x 1.6 = 1.28 m, and 1.12 m
        assert nose[0]


def test_an_anchor_beside_the_way_is_passed() -> None:
    """Half the width of 1.2 m and the radius of 0.2 m: 0.8 m aside is in the way, 0.85 m is not."""
    for aside, free in ((0.75, False), (0.85, True)):
        beside = replace(SITE, anchors=(tree("pole", (3.0, aside, 0.0), heights=(0.0,)),))
        assert bool(scene(beside).nose_free(1).all()) == free


# ---- what is worked out once ----------------------------------------------------------------------


def test_lines_over_the_same_ground_are_tabulated_once() -> None:
    """Another weight changes no line; a post that is higher may. What is used twice cannot be written
    into."""

    def lengths(site: Site) -> npt.NDArray[np.float64]:
        found = Places(site, site.pullers[0], edges_of(site, kind("log", "bark", 0.1))).to_puller
        assert found is not None
        return found.length

    post = Obstacle(name="post", position=(5.0, 6.0, 0.0), radius=0.1, top=1.0)
    here = replace(SITE, obstacles=(post,))
    heavier = replace(here, load=replace(here.load, weight=2.0 * here.load.weight))
    higher = replace(here, obstacles=(replace(post, top=2.0),))
    first = lengths(here)

    assert np.shares_memory(lengths(heavier), first)
    assert not np.shares_memory(lengths(higher), first)
    with pytest.raises(ValueError, match="read-only"):
        first[0] = 0.0


def test_of_what_is_remembered_the_oldest_goes_first() -> None:
    """Three of size 2 where there is room for 5: the one used last before the third came stays."""
    done: list[str] = []
    lately: Lately[str] = Lately(5)

    def work(key: str) -> str:
        done.append(key)
        return key

    def looked_up(key: str) -> None:
        assert lately.once(key, 2, lambda: work(key)) == key

    for key in "abacab":
        looked_up(key)
    assert done == ["a", "b", "c", "b"]
