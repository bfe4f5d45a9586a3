"""A right answer put to a site on which it is wrong in one thing, and an answer with one thing moved: the
re-check names it. And small pieces of the re-check by hand.
"""

from dataclasses import replace
from functools import cache
from math import dist

import numpy as np
import pytest

from catalogue.gear import MadeTo, Shackle
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.made_fast import each_end_once
from optimiser.proof.notes import VerificationError
from optimiser.proof.ranges import standing_there
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Motion, Site, is_of
from optimiser.site.reading import read_site
from tests.proof.rigs import PLAIN, found
from tests.ranking.test_put_together import meadow
from tests.tracks.lane import SPOT, pickets_text


@cache
def ranked(text: str) -> tuple[Site, Setup]:
    """A site by its file, with its best setup."""
    site = replace(read_site(text), origin=None)
    return site, rank(site, RankQuestion(top=1, explain=False)).setups[0]


def plain() -> tuple[Site, Setup]:
    return ranked(meadow(30.0, 1))


def picketed() -> tuple[Site, Setup]:
    """With an anchor of pickets that has to face its pulls."""
    return ranked(pickets_text(SPOT, 0.2))


def refused(site: Site, setup: Setup) -> str:
    with pytest.raises(VerificationError) as error:
        verify(site, setup)
    return str(error.value)


def test_they_are_right_where_they_come_from() -> None:
    for site, setup in (plain(), picketed()):
        verify(site, setup)


def test_a_side_pull_beyond_the_limit() -> None:
    site, setup = plain()
    most = max(abs(row.side_pull) for row in setup.profile)
    rolls = site.legs[0].motion is Motion.ROLLING
    name = "side_pull_rolling" if rolls else "side_pull_sliding"
    for share, wrong in ((1.01, False), (0.99, True)):
        strict = replace(site, preferences=replace(site.preferences, **{name: share * most}))
        if wrong:
            assert "too far to the side" in refused(strict, setup)
        else:
            verify(strict, setup)


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
            replace(a, directions=replace(a.directions, aside=share * made.spread))
            if a.name == made.anchor and a.directions is not None
            else a
            for a in site.anchors
        )
        narrow = replace(site, anchors=anchors)
        if wrong:
            assert "degrees apart" in refused(narrow, setup)
        else:
            verify(narrow, setup)


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
    if wrong:
        assert "runs up against" in refused(replace(site, load=nose), setup)
    else:
        verify(replace(site, load=nose), setup)


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
        if wrong:
            assert "pin does not go through the eye" in refused(narrow, setup)
        else:
            verify(narrow, setup)


def test_where_a_puller_stands_is_the_site_s_own_word_unless_it_has_room() -> None:
    site, setup = plain()
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
