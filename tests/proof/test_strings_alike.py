"""The search and the re-check, which share no formula, draw the same lines tight over the same ground: where
they bend, on what, by how much, how long they are, and what is in their way."""

from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from catalogue.book import load_catalogue
from catalogue.gear import Protector
from optimiser.proof.loads.taut_line import toward
from optimiser.proof.place.ground import Ground, meets
from optimiser.proof.place.string import String, apart
from optimiser.rig.ground.clearance import Runs
from optimiser.rig.ground.strings import Strings, bends, edges_of, strings
from optimiser.site.model import Obstacle, Site
from tests.geometry.plain import SITE, leg
from tests.proof.test_lines_alike import BUMPS, lines

BOOK = load_catalogue().protectors
ROUGH, SMOOTH = BOOK["log-bark-20"], BOOK["log-peeled-20"]
LAID = (
    (ROUGH, ROUGH, SMOOTH, ROUGH, SMOOTH),
    (SMOOTH, None, ROUGH, SMOOTH, None),
    (None, ROUGH, ROUGH, None, SMOOTH),
)
"""What lies on each leg; None: the ground is bare."""
POST = Obstacle(name="post", position=(7.5, -0.2, 0.9), radius=0.5, top=2.2)
NOBODY = np.array([[""]])


def laid(kinds: tuple[Protector | None, ...], *posts: Obstacle) -> Site:
    """Feet, crests and bends with something on them."""
    legs = [leg(a, b) for a, b in pairwise(BUMPS)]
    covered = tuple(
        replace(one, edge_protected=kind is not None, protector=kind)
        for one, kind in zip(legs, kinds, strict=True)
    )
    return replace(SITE, legs=covered, anchors=(), obstacles=posts)


def drawn(site: Site, seed: int, *, from_load: bool) -> tuple[Strings, list[String]]:
    """Lines low over the ground and beyond it at either side, by both."""
    edges = edges_of(site, None)
    assert edges is not None
    begin, end = lines(seed)
    own = np.broadcast_to(NOBODY, (len(begin), 1))
    mine = strings(edges, begin, end, both_ends=not from_load, own=own)
    ground = Ground(site)
    theirs = [
        ground.string(tuple(a), tuple(b), from_load=from_load)
        for a, b in zip(begin.tolist(), end.tolist(), strict=True)
    ]
    return mine, theirs


@pytest.mark.parametrize("from_load", [True, False])
@pytest.mark.parametrize("kinds", LAID)
def test_they_run_alike(kinds: tuple[Protector | None, ...], from_load: bool) -> None:
    site = laid(kinds)
    mine, theirs = drawn(site, 7, from_load=from_load)
    edges = edges_of(site, None)
    assert edges is not None
    bent = [bool(one.touches) for one in theirs]
    assert 20 < sum(bent) < len(bent) - 20
    assert mine.bent.tolist() == bent
    assert mine.length == pytest.approx(np.array([one.length for one in theirs]))
    assert mine.begin == pytest.approx(
        np.array([toward(one.begin, one.next)[0] for one in theirs]), abs=1e-9
    )
    assert mine.end == pytest.approx(
        np.array([toward(one.end, one.before)[0] for one in theirs]), abs=1e-9
    )
    assert mine.first == pytest.approx(np.array([apart(one.begin, one.next) for one in theirs]))
    assert mine.last == pytest.approx(np.array([apart(one.before, one.end) for one in theirs]))
    for number, kind in enumerate(edges.kinds):
        turned = [
            sum(touch.turn for touch in one.touches if touch.spot.protector == kind)
            for one in theirs
        ]
        assert mine.turned[:, number] == pytest.approx(np.array(turned), abs=1e-9)
        over = mine.runs_over([other == kind for other in edges.kinds])
        assert over.tolist() == [turn > 1e-9 for turn in turned]
    assert mine.runs_over([True for _ in edges.kinds]).tolist() == bent
    square = mine.shaped((20, len(bent) // 20))
    assert square.runs_over([True for _ in edges.kinds]).ravel().tolist() == bent
    assert square.bent.ravel().tolist() == bent


@pytest.mark.parametrize("from_load", [True, False])
@pytest.mark.parametrize("kinds", LAID)
@pytest.mark.parametrize("posts", [(), (POST,)])
def test_the_same_is_in_their_way(
    kinds: tuple[Protector | None, ...], from_load: bool, posts: tuple[Obstacle, ...]
) -> None:
    site = laid(kinds, *posts)
    mine, theirs = drawn(site, 11, from_load=from_load)
    ground = Ground(site)
    free = [
        not one.blocked and not any(meets(one, post) for post in ground.posts) for one in theirs
    ]
    assert mine.free.tolist() == free
    if posts or None in kinds:
        assert 10 < sum(free) < len(free) - 10


@pytest.mark.parametrize("seed", range(3))
def test_a_hitch_that_comes_up_to_a_crest_lower_than_the_rope_lies_there(seed: int) -> None:
    """Within a decimetre or two of where it bends first: hauled into what lies there or not."""
    site = laid(LAID[0])
    edges = edges_of(site, None)
    assert edges is not None
    made = np.random.default_rng(seed)
    high = max(high for at, high in zip(edges.along, edges.high, strict=True) if at < 4.0)
    crest = np.array([*BUMPS[1][:2], high])
    begin = crest + made.uniform((-0.2, -0.1, -0.1), (0.05, 0.1, 0.1), (300, 3))
    end = np.column_stack(
        [made.uniform(8.0, 12.0, 300), made.uniform(-2.0, 2.0, 300), np.zeros(300)]
    )
    own = np.broadcast_to(NOBODY, (300, 1))
    mine = strings(edges, begin, end, both_ends=False, own=own)
    ground = Ground(site)
    theirs = [
        not ground.string(tuple(a), tuple(b), from_load=True).blocked
        for a, b in zip(begin.tolist(), end.tolist(), strict=True)
    ]
    assert 10 < sum(theirs) < 290
    assert mine.free.tolist() == theirs


@pytest.mark.parametrize("kinds", LAID)
def test_they_touch_at_the_same_places(kinds: tuple[Protector | None, ...]) -> None:
    """Point after point, from the beginning, and as far to the left of the path."""
    site = laid(kinds)
    edges = edges_of(site, None)
    assert edges is not None
    begin, end = lines(13)
    runs = Runs.between(begin, end)
    found = bends(edges, runs, both_ends=False)
    ground = Ground(site)
    counted: dict[int, int] = defaultdict(int)
    for i, (a, b) in enumerate(zip(begin.tolist(), end.tolist(), strict=True)):
        touches = ground.string(tuple(a), tuple(b), from_load=True).touches
        points = [int(point) for point in found.point[i] if point >= 0]
        counted[len(points)] += 1
        assert len(points) == len(touches)
        for k, (point, touch) in enumerate(zip(points, touches, strict=True)):
            assert edges.along[point] == pytest.approx(touch.spot.at)
            assert found.angle[i, k] == pytest.approx(touch.turn)
            at = found.knots[i, k + 1]
            aside = edges.left_of(point, runs.pick(np.array([i])), np.array([at]))
            assert float(aside[0]) == pytest.approx(touch.left, abs=1e-9)
    assert counted[1] > 20
    assert counted[2] > 5
