"""Lines against trunks, posts and ground, by hand."""

from dataclasses import replace

import numpy as np
import pytest

from optimiser.rig.ground.clearance import Runs, runs_hit_post
from optimiser.rig.ground.sweeping import sweeps_post, swept_along_run
from optimiser.site.model import Obstacle
from tests.geometry.plain import SITE, scene, tree, with_post

POST = Obstacle(name="post", position=(5.0, 0.0, 1.0), radius=0.2, top=2.0)
"""0.2 m in radius, up to 3 m."""


def meets(begin: tuple[float, float, float], end: tuple[float, float, float]) -> bool:
    return bool(runs_hit_post(Runs.between(np.array(begin), np.array(end)), POST))


@pytest.mark.parametrize(("aside", "hit"), [(0.0, True), (0.19, True), (0.21, False)])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_post_is_as_thick_as_it_is(aside: float, hit: bool, side: float) -> None:
    y = side * aside
    assert meets((0.0, y, 2.0), (10.0, y, 2.0)) == hit
    assert meets((10.0, y, 2.0), (0.0, y, 2.0)) == hit


@pytest.mark.parametrize(("height", "hit"), [(2.9, True), (3.1, False)])
def test_a_post_is_as_high_as_it_is(height: float, hit: bool) -> None:
    assert meets((0.0, 0.0, height), (10.0, 0.0, height)) == hit


def test_a_rising_line_is_judged_where_it_meets_the_post() -> None:
    """From 2 m to 4 m over 10 m it is at 2.96 m over the near edge: under the top of 3 m. Only
    a line that is over 3 m at the lower edge passes."""
    assert meets((0.0, 0.0, 2.0), (10.0, 0.0, 4.0))
    assert not meets((0.0, 0.0, 2.1), (10.0, 0.0, 4.1))


def test_the_edge_of_the_post_is_where_its_circle_is_cut() -> None:
    """Rising 1 in 5: over the middle it comes in at 4.80 m, 2.99 m up. At 0.12 m aside (3, 4, 5) the circle
    of 0.2 m is cut 0.16 m before its middle, at 4.84 m, where this line is at 3.003 m."""
    assert meets((0.0, 0.0, 2.03), (10.0, 0.0, 4.03))
    assert not meets((0.0, 0.12, 2.035), (10.0, 0.12, 4.035))
    assert meets((0.0, 0.12, 2.025), (10.0, 0.12, 4.025))


@pytest.mark.parametrize(
    ("still", "goes", "hit"),
    [
        ((0.0, 0.0, 2.0), ((10.0, -3.0, 2.0), (10.0, 3.0, 2.0)), True),
        ((0.0, 0.0, 2.0), ((10.0, 3.0, 2.0), (10.0, -3.0, 2.0)), True),
        ((0.0, 0.0, 4.0), ((10.0, -3.0, 4.0), (10.0, 3.0, 4.0)), False),  # over its top
        ((0.0, 0.0, 2.0), ((10.0, -3.0, 3.9), (10.0, 3.0, 3.9)), True),  # 2.95 m there
        ((0.0, 0.0, 2.0), ((10.0, -3.0, 4.1), (10.0, 3.0, 4.1)), False),  # 3.05 m there
        ((0.0, 0.0, 2.0), ((10.0, 1.0, 2.0), (10.0, 3.0, 2.0)), False),  # beside it all the way
        ((0.0, 0.0, 2.0), ((4.0, -3.0, 2.0), (4.0, 3.0, 2.0)), False),  # ends before it
        ((9.0, 0.0, 2.0), ((19.0, -3.0, 2.0), (19.0, 3.0, 2.0)), False),  # begins behind it
    ],
)
def test_a_line_may_not_sweep_over_a_post(
    still: tuple[float, float, float], goes: tuple[tuple[float, float, float], ...], hit: bool
) -> None:
    """One end stays; neither where it begins nor where it ends does the line meet the post."""
    before, after = (Runs.between(np.array(still), np.array(end)) for end in goes)
    assert not runs_hit_post(before, POST)
    assert not runs_hit_post(after, POST)
    assert bool(sweeps_post(before, after, POST)) == hit
    before, after = (Runs.between(np.array(end), np.array(still)) for end in goes)
    assert bool(sweeps_post(before, after, POST)) == hit


def test_a_line_that_ends_before_the_post_is_free() -> None:
    assert not meets((0.0, 0.0, 2.0), (4.79, 0.0, 2.0))
    assert meets((0.0, 0.0, 2.0), (4.9, 0.0, 2.0))


def test_a_trunk_is_no_obstacle_to_its_own_line_only() -> None:
    """Two trees in one line with the load: the farther is hidden by the nearer."""
    trees = (tree("near", (20.0, 0.4, 0.0)), tree("far", (30.0, 0.4, 0.0)))
    row = replace(SITE, legs=SITE.legs[:1], anchors=trees)
    free = scene(row).clear_from_load
    assert free[1].all()
    assert not free[2].any()


def test_nor_as_the_puller_goes_along_its_run() -> None:
    """The line from behind a trunk turns round it, over its middle: no matter if it hangs there."""
    row = replace(SITE, anchors=(tree("near", (20.0, 0.0, 0.0)),))
    begin, spots = np.array([[19.9, 0.0, 0.5]]), np.array([[30.0, -3.0, 0.5], [30.0, 3.0, 0.5]])
    assert swept_along_run(row, begin, spots, None)[0]
    assert swept_along_run(row, begin, spots, None, own=["far"])[0]
    assert not swept_along_run(row, begin, spots, None, own=["near"])[0]
    assert not swept_along_run(row, begin, spots, "near")[0]


def test_the_line_over_the_crest_must_clear_it() -> None:
    """From the level the line to a strap 1 m up a tree at the top saws on the edge at 10 m, 3 m up;
    one 9 m up does not, nor any with the edge protected."""
    for height, protected, free in ((1.0, False, False), (9.0, False, True), (1.0, True, True)):
        legs = tuple(replace(leg, edge_protected=protected) for leg in SITE.legs)
        crest = replace(
            SITE, legs=legs, anchors=(tree("oak", (16.0, 0.4, 3.0), heights=(height,)),)
        )
        assert bool(scene(crest).clear_from_load[1, 0]) == free


@pytest.mark.parametrize(
    ("at", "height", "station"),
    [
        ((6.0, 0.4, 0.0), 1.0, 0),  # at the foot of the slope, which the line would meet further on
        ((16.0, 0.4, 3.0), 9.0, -1),  # so steep from the top that it would meet the level behind
    ],
)
def test_ground_beyond_either_end_of_a_line_is_not_in_its_way(
    at: tuple[float, float, float], height: float, station: int
) -> None:
    site = replace(SITE, anchors=(tree("oak", at, heights=(height,)),))
    assert scene(site).clear_from_load[1, station]


def test_clearance_is_kept() -> None:
    """A line 0.5 m up over level ground is free, and not where 0.6 m are wanted."""
    low = replace(
        SITE, legs=SITE.legs[:1], anchors=(tree("oak", (20.0, 0.4, 0.0), heights=(0.5,)),)
    )
    wider = replace(low, preferences=replace(low.preferences, clearance=0.6))
    assert scene(low).clear_from_load[1].all()
    assert not scene(wider).clear_from_load[1, :5].any()


@pytest.mark.parametrize("over_edges", [False, True])
def test_hauling_line_looked_at_over_the_whole_run(over_edges: bool) -> None:
    """From the oak at (30, 5) to the tractor, which drives from (20, 12) to (20, 20): a post in the
    line at the near end, the middle or the far end is in the way; one beside all three is not. So it is
    where lines may run over edges."""
    site = replace(SITE, legs=tuple(replace(leg, edge_protected=over_edges) for leg in SITE.legs))
    for x, y, free in (
        (25.0, 8.5, False),
        (25.0, 10.5, False),
        (25.0, 12.5, False),
        (25.0, 6.0, True),
    ):
        found = scene(with_post((x, y, 3.0), top=5.0, site=site))
        assert bool(found.clear[1, found.puller_number]) == free
        assert bool(found.clear[found.puller_number, 1]) == free


def test_hauling_line_straight_from_the_load_over_the_whole_run() -> None:
    """The load at the start; a post in its line to the far end of the run only."""
    level = replace(SITE, legs=SITE.legs[:1])
    hitch, far = scene(level).hitch[0], scene(level).spots[-1]
    half = (hitch + far) / 2.0
    blocked = scene(with_post((float(half[0]), float(half[1]), 0.0), top=9.0, site=level))
    assert not blocked.clear_from_load[blocked.puller_number, 0]
    assert scene(level).clear_from_load[scene(level).puller_number, 0]
