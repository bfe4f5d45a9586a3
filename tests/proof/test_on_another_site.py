"""A right answer put to a site on which it is wrong in one thing, and an answer with one thing moved: the
re-check names it. And small pieces of the re-check by hand.
"""

from dataclasses import replace
from math import dist, pi, sqrt
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from catalogue.gear import Block, MadeTo, Rope, Shackle
from catalogue.ground import Motion
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.claim import of_haul
from optimiser.proof.loads.haul import verify
from optimiser.proof.made_fast import each_end_once
from optimiser.proof.notes import Notes, VerificationError
from optimiser.proof.pieces.ratings import over_sheave
from optimiser.proof.pieces.read_figures import table
from optimiser.proof.place.candidates import _counted, _laid_out, check
from optimiser.proof.place.clear import _nose_free
from optimiser.proof.place.facing import check_together
from optimiser.proof.place.stand import _body, _on_track
from optimiser.proof.ranges import standing_there
from optimiser.proof.rigs import ground_under
from optimiser.proof.sling import AtRest, clear, shared
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site, is_of
from optimiser.site.roaming.rooms import Area, Body, Stand, Track
from tests.commands.test_every_kind import SITES
from tests.proof.rigs import PLAIN, found, plain, ranked
from tests.shared.orchard import orchard
from tests.tracks.lane import SPOT, pickets_text
from tests.tracks.lane import site_text as site_on_a_lane


def picketed() -> tuple[Site, Setup]:
    """With an anchor of pickets that has to face its pulls."""
    return ranked(pickets_text(SPOT, 0.2))


def refused(site: Site, setup: Setup) -> str:
    with pytest.raises(VerificationError) as error:
        verify(site, setup)
    return str(error.value)


def judged(site: Site, setup: Setup, words: str, *, wrong: bool) -> None:
    """It is refused in these words where it is `wrong`, and passes elsewhere."""
    if wrong:
        assert words in refused(site, setup)
    else:
        verify(site, setup)


def test_they_are_right_where_they_come_from() -> None:
    for site, setup in (plain(), picketed()):
        verify(site, setup)


def test_a_side_pull_beyond_the_limit() -> None:
    site, setup = plain()
    most = max(abs(row.side_pull) for row in setup.profile)
    assert all(leg.motion is Motion.ROLLING for leg in site.legs)
    for share, wrong in ((1.01, False), (0.99, True)):
        limits = replace(site.preferences, side_pull_rolling=share * most)
        strict = replace(site, preferences=limits)
        judged(strict, setup, "too far to the side", wrong=wrong)


def test_a_row_of_the_profile_left_out() -> None:
    site, setup = plain()
    rows = setup.profile
    assert "stations" in refused(site, replace(setup, profile=(*rows[:3], *rows[4:])))


def test_a_demand_that_comes_elsewhere() -> None:
    """The tightest part is that of the worst pull, which comes at one place only, and not where it is less
    further on."""
    site, setups = found(PLAIN, 1)
    setup = next(s for s in setups if s.pull_at < s.to_m - 1.0)
    later = next(
        row for row in setup.profile if row.at > setup.pull_at and row.pull < setup.pull * 0.99
    )
    rope = next(part for part in setup.components if part.role is Role.ROPE)
    assert rope.at == setup.pull_at
    parts = tuple(replace(c, at=later.at) if c is rope else c for c in setup.components)
    assert "the worst comes elsewhere" in refused(site, replace(setup, components=parts))


def test_an_anchor_pulled_from_too_many_sides() -> None:
    site, setup = picketed()
    (made,) = setup.made
    assert made.spread is not None
    assert made.spread > 0.005
    for share, wrong in ((1.001, False), (0.9, True)):
        anchors = tuple(
            replace(a, directions=replace(a.directions, aside=share * made.spread))  # type: ignore[type-var]
            if a.name == made.anchor and a.directions is not None
            else a
            for a in site.anchors
        )
        narrow = replace(site, anchors=anchors)
        judged(narrow, setup, "degrees apart", wrong=wrong)


@pytest.mark.parametrize("turned", [-1.5, 1.5])
def test_an_anchor_laid_out_for_other_pulls(turned: float) -> None:
    """Turned by more than half of what its pulls are apart, one of them is beyond."""
    site, setup = picketed()
    (made,) = setup.made
    assert made.way is not None
    assert made.spread is not None
    other = replace(made, way=made.way + turned * made.spread)
    assert "does not face its pulls" in refused(site, replace(setup, made=(other,)))


@pytest.mark.parametrize(("more", "wrong"), [(-0.05, True), (0.05, False)])
def test_the_nose_of_the_load_against_the_tree_ahead(more: float, wrong: bool) -> None:
    """The line leads to it, up a steep path: the nose stops short of its bark by so much, or does not."""
    site, setup = plain()
    tree = site.anchor(setup.walk[1].name)
    last = site.legs[-1]
    way = np.subtract(last.end, last.start) / dist(last.start, last.end)
    ahead = float(np.subtract(tree.position, last.end) @ way)
    nose = replace(site.load, overhang=ahead - tree.radius - more, width=20.0)
    judged(replace(site, load=nose), setup, "runs up against", wrong=wrong)


def test_an_eye_on_the_load_too_narrow_for_the_pin() -> None:
    site, setups = found(PLAIN, 1)
    setup = next(s for s in setups if any(p.kind is PlaceKind.LOAD for p in s.walk[1:]))
    pins = [
        owned.gear.pin_diameter
        for hung in setup.gear
        if hung.role is Role.SHACKLE and setup.walk[hung.nodes[0]].kind is PlaceKind.LOAD
        for owned in site.gear
        if owned.name == hung.item and is_of(owned, Shackle)
    ]
    assert pins
    for share, wrong in ((1.0, False), (0.99, True)):
        hitches = tuple(replace(hitch, eye=share * max(pins)) for hitch in site.load.hitches)
        narrow = replace(site, load=replace(site.load, hitches=hitches))
        judged(narrow, setup, "pin does not go through the eye", wrong=wrong)


def test_where_a_puller_stands_is_the_site_s_own_word_unless_it_has_room() -> None:
    _, setup = plain()
    own = setup.puller
    elsewhere = replace(own, position=(99.0, 9.0, 0.0))
    assert standing_there(own, elsewhere) == own


def test_each_end_of_a_rope_is_used_once() -> None:
    """One end with a thimble, one bare: the thimble's eye is there once."""
    site, setup = plain()
    rope = setup.rope
    knot = next(k for k in site.preferences.knots if MadeTo.SHACKLE in k.made_to)
    one = replace(rope, ends=(knot, None))
    assert each_end_once(one, ((knot, True), (knot, False)))
    assert not each_end_once(one, ((knot, True), (knot, True)))
    assert each_end_once(replace(rope, ends=(knot, knot)), ((knot, True), (knot, True)))


def test_trees_that_share_are_for_one_line() -> None:
    """One rig on a load that leads to them, and two."""
    site, setup = ranked(Path("examples/two-birches.toml").read_text(encoding="utf-8"))
    assert any(" & " in place.name for place in setup.walk)
    for many, wrong in ((1, False), (2, True)):
        notes = Notes()
        check_together(site, [of_haul(setup)] * many, notes)
        assert any("laid out for the pulls of one line" in found for found in notes.found) == wrong


def test_a_rope_with_two_joins_is_refused_in_words() -> None:
    site, setup = ranked(SITES["joined ropes"]())
    join = next(hung for hung in setup.gear if hung.role in (Role.BEND, Role.EXTENSION))
    assert "2 joins in one rope" in refused(site, replace(setup, gear=(*setup.gear, join)))


@pytest.mark.parametrize(
    ("at", "free"),
    [
        ((1.0, 0.0), False), ((1.0, 1.19), False), ((1.0, -1.19), False), ((1.0, 1.21), True),
        ((1.0, -1.21), True), ((1.0, -30.0), True), ((1.21, 0.0), True), ((1.19, 0.0), False),
        ((-1.19, 0.0), False), ((-1.21, 0.0), True),
    ],
)  # fmt: skip
def test_the_nose_beside_ahead_and_behind(at: tuple[float, float], free: bool) -> None:
    """A load 2 m long and 2 m wide, its nose 1 m ahead of where it stands on a slope of 3 in 4, and a trunk
    0.2 m in radius so far ahead, along the slope, and to the left of there."""
    site, _ = plain()
    site = replace(site, load=replace(site.load, length=2.0, width=2.0, overhang=1.0))
    slope: Any = SimpleNamespace(
        along=(0.8, 0.0, 0.6), across=(0.0, 1.0, 0.0), ground=(2.4, 0.0, 1.8)
    )
    ahead, left = at
    trunk = (2.4 + 0.8 * ahead, left, 1.8 + 0.6 * ahead)
    assert _nose_free(site, slope, trunk, 0.2) == free


SPOTS = Area(
    points=((0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 6.0, 0.0), (0.0, 6.0, 0.0)),
    spacing=2.0,
    body=Body(length=3.0, width=2.0, run=6.0),
)
"""Rows of spots 1 m inside its sides: at 1, 3, 5, 7 and 9 m along, and 1, 3 and 5 m aside."""


@pytest.mark.parametrize(
    ("stand", "on"),
    [
        ((3.0, 5.0, 0.0), True), ((3.5, 5.0, 0.0), False), ((3.0, 4.5, 0.0), False),
        ((3.0, 5.0, 0.3), False), ((3.0, 5.0, -0.3), False), ((9.0, 1.0, pi), True),
        ((10.0, 1.0, pi), False), ((9.0, 0.0, pi), False),
    ],
)  # fmt: skip
def test_which_spots_are_candidates(stand: tuple[float, float, float], on: bool) -> None:
    """Along, aside and turned: every 30 degrees of the heading."""
    along, aside, turn = stand
    there = Stand(along=along, aside=aside, turn=turn)
    site, _ = plain()
    for refined in (True, False):
        printed: Any = SimpleNamespace(puller="van", room="area", spots=0, refined=refined)
        notes = Notes()
        check(site, SPOTS, there, printed, notes)
        assert any("wrongly said" in found for found in notes.found) == (refined == on)


@pytest.mark.parametrize("shift", [0.0, 20.0])
@pytest.mark.parametrize(("corner", "along"), [(0.0, 5), (-3.0, 6)])
def test_candidates_along_the_sides_of_a_yard_that_lies_anywhere(
    shift: float, corner: float, along: int
) -> None:
    """Rows of 5 or 6 spots, as far as its last corner leads; 3 rows and 12 headings."""
    places = [(0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (corner, 6.0)]
    points = tuple((x + shift, y - 3.0 * shift, 0.0) for x, y in places)
    assert len(_laid_out(SPOTS.moved(points))) == along * 3 * 12


def test_without_a_run_no_spot_has_room() -> None:
    short = replace(SPOTS, body=replace(SPOTS.body, run=0.9))
    assert _counted(short, (), ((50.0, 0.0), (60.0, 0.0)), 1.0) == (0, 0)
    least, most = _counted(SPOTS, (), ((50.0, 0.0), (60.0, 0.0)), 1.0)
    assert 0 < least <= most


def test_wire_over_a_sheave_that_is_smaller_than_any_published() -> None:
    published = table("rope")["wire_bend"]
    least, share = published["ratios"][0], published["values"][0]
    wire: Any = SimpleNamespace(gear=SimpleNamespace(knottable=False, diameter=0.01))
    for factor, keeps in ((1.0, share), (0.99, 0.0)):
        block: Any = SimpleNamespace(sheave_diameter=factor * least * 0.01)
        assert over_sheave(wire, block) == keeps


def test_a_line_that_leads_straight_up() -> None:
    site, setup = plain()
    owned = {piece.name: piece for piece in site.gear}
    up = ground_under(site, of_haul(setup), owned).string((1.0, 2.0, 3.0), (1.0, 2.0, 7.5))
    assert up.length == pytest.approx(4.5)


@pytest.mark.parametrize(("before", "wrong"), [(1.75, False), (1.7, True)])
def test_what_a_line_leads_to_is_out_of_the_shackles_reach(before: float, wrong: bool) -> None:
    """Legs of 4 m over trees 2 m apart: from the one to a place so far before their middle, and on to the
    other, it is 2 sqrt(1 + 1.75²) = 4.03 m, or 3.94 m."""
    site, setup = ranked(orchard())
    claim, notes = of_haul(setup), Notes()
    ground = ground_under(site, claim, {piece.name: piece for piece in site.gear})
    slung = shared(site, claim)
    assert slung is not None
    middle = [(one + other) / 2.0 for one, other in zip(*slung.ties, strict=True)]
    at, far = ((middle[0] - ahead, middle[1], middle[2]) for ahead in (sqrt(3.0), before))
    place = AtRest(at, ((slung.node, far, False),), pull=1.0, tight=1.0, listed=True)
    clear(ground, claim, slung, [place], notes)
    words = ["what a line leads to is within reach of its sling"]
    assert notes.found == (words if wrong else [])


def test_what_a_piece_without_a_rating_would_have_to_stand() -> None:
    """Stated as a tenth less than comes on it, or as a tenth more."""
    site, _ = plain()
    bare = tuple(replace(p, unrated=True) if is_of(p, Rope) else p for p in site.gear)
    unrated = replace(site, gear=bare)
    setup = rank(unrated, RankQuestion(top=1, explain=False)).setups[0]
    verify(unrated, setup)
    (one,) = setup.if_stands
    for factor, words in ((0.9, "would have to stand"), (1.1, "nothing asks")):
        other = replace(one, force=factor * one.force)
        assert words in refused(unrated, replace(setup, if_stands=(other,)))


def test_a_second_rope_that_hangs_on_nothing_that_could_hold_it() -> None:
    """Without its grip, with a shackle in place of a block, and over a sheave too few."""
    site, setup = ranked(SITES["two ropes"]())
    assert setup.second is not None
    verify(site, setup)
    without = tuple(hung for hung in setup.gear if hung.role is not Role.GRIP)
    refused(site, replace(setup, gear=without))
    blocks = [hung for hung in setup.gear if hung.role is Role.BLOCK]
    pin = next(piece.name for piece in site.gear if is_of(piece, Shackle))
    gear = tuple(replace(h, item=pin) if h is blocks[0] else h for h in setup.gear)
    refused(site, replace(setup, gear=gear))
    few = tuple(
        replace(p, gear=replace(p.gear, sheaves=len(blocks[0].nodes) - 1))
        if p.name == blocks[0].item and is_of(p, Block)
        else p
        for p in site.gear
    )
    assert "too few sheaves" in refused(replace(site, gear=few), setup)


@pytest.mark.parametrize(("off", "even"), [(0.0, True), (0.2, False), (-0.2, False)])
def test_the_run_of_a_puller_lies_on_its_track(off: float, even: bool) -> None:
    """Neither above it nor below it."""
    _, setup = ranked(site_on_a_lane())
    room = setup.puller.room
    assert isinstance(room, Track)
    notes = Notes()
    corners = [(x, y, z + off) for x, y, z in _body(setup.puller, 0.5, 0.5)]
    _on_track(room, setup.puller, corners, notes)
    assert any("ground under the run" in found for found in notes.found) != even
