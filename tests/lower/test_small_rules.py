"""What is said of a way down only where it holds, and what is found only where nothing better does."""

from dataclasses import replace
from functools import cache
from math import hypot

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.as_it_is import held_by
from optimiser.jobs.lower.cautions import cautions
from optimiser.jobs.lower.downhill import falls_both_ways
from optimiser.jobs.lower.guessed import _ends_of, with_ends
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.question import LowerQuestion
from optimiser.rig.forces.holders import hand, hand_limit
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import Stopped
from optimiser.rig.setup import LoweringSetup
from optimiser.site.anchors import Tree
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.lower.slope_site import site_text
from tests.lower.test_answer import staged_bank
from tests.piped import printed


@cache
def slope() -> tuple[Site, Lowering]:
    """Steep enough to be held, all the way."""
    site = read_site(site_text(3.0, "0.05"))
    return site, lower(site, LowerQuestion(top=1))


def found() -> tuple[Site, LoweringSetup]:
    site, every = slope()
    return site, every.setups[0]


def keys(site: Site, setup: LoweringSetup) -> set[str]:
    return {caution.key for caution in cautions(site, setup)}


def test_hands_are_changed_only_where_hands_hold_it() -> None:
    """Beyond what a person holds for long, with turns; a winch pays out as much without."""
    site, setup = found()
    assert "change_hands" in keys(site, replace(setup, hand=900.0))
    assert "change_hands" not in keys(site, replace(setup, hand=1.0))
    assert "change_hands" not in keys(site, replace(setup, hand=900.0, turns=0))


@pytest.mark.parametrize(("share", "warned"), [(0.69, False), (0.71, True)])
def test_a_side_pull_near_its_limit(share: float, warned: bool) -> None:
    """From 0.7 of the limit on, the project's own choice; the limit for what rolls is not that for what
    slides."""
    site, setup = found()
    most = max(row.side_pull for row in setup.profile if row.line > 0.0)
    limits = replace(site.preferences, side_pull_rolling=most / share, side_pull_sliding=50.0)
    assert ("side_pull" in keys(replace(site, preferences=limits), setup)) == warned
    sliding = replace(site.preferences, side_pull_rolling=most / share, side_pull_sliding=1e-3)
    assert ("side_pull" in keys(replace(site, preferences=sliding), setup)) == warned


@pytest.mark.parametrize(
    ("to_m", "from_m", "met"),
    [(0.0, 10.0, True), (5.0, 10.0, True), (6.0, 10.0, False), (0.0, 4.0, False)],
)
def test_a_lip_on_the_stretch_and_not_beyond(to_m: float, from_m: float, met: bool) -> None:
    """The second of two legs begins with it, 5 m from the start."""
    site, setup = found()
    (leg,) = site.legs
    x, _, z = leg.end
    half = (x * 5.0 / hypot(x, z), 0.0, z * 5.0 / hypot(x, z))
    legs = (replace(leg, end=half), replace(leg, start=half, step=0.02))
    lipped = replace(site, legs=legs)
    assert ("lip" in keys(lipped, replace(setup, from_m=from_m, to_m=to_m))) == met
    assert "lip" not in keys(site, replace(setup, from_m=from_m, to_m=to_m))


@pytest.mark.parametrize(
    ("runs", "at", "warned"), [(100.0, 3.0, True), (0.0, 3.0, False), (100.0, 0.0, False)]
)
def test_where_a_stage_ends_it_would_run_on(runs: float, at: float, warned: bool) -> None:
    site, setup = found()
    last = replace(setup.profile[-1], runs=runs, at=at)
    ended = replace(setup, profile=(*setup.profile[:-1], last))
    assert ("stage_end" in keys(site, ended)) == warned


def test_a_load_goes_both_ways_on_level_ground() -> None:
    assert falls_both_ways(read_site(site_text(0.0, "0.1")), "it") == ""
    assert falls_both_ways(read_site(site_text(1.0, "0.1")), "it") == ""
    assert falls_both_ways(read_site(site_text(1.0, "0.1", way="down")), "it")


def words(text: str) -> str:
    return " ".join(printed(text, "lower")[1].split())


@pytest.mark.parametrize("way", ["up", "down"])
def test_what_is_in_the_way_of_a_load_that_rests(way: str) -> None:
    """Where the path is written upwards its wheels drop over a lip; where it is written downwards they have
    to climb it, and what holds it fast at the foot of a leg holds it there."""
    text = site_text(1.0, '"0.3"', way=way, dip=0.0)
    last = text.rindex("edge_protected")
    text = text[:last] + 'step = "1 cm"\nbreakout = 1.1\n' + text[last:]
    found = words(text)
    assert ("the wheels drop over a lip" in found) == (way == "up")
    assert ("stands in the way down" in found) == (way == "down")
    assert ("The ground holds it fast" in found) == (way == "down")


def test_comfort_is_less_than_the_most_by_what_is_enough() -> None:
    """Twice where twice is enough; where nothing more is wanted, the most itself."""
    site, _ = found()
    for enough, comfort in ((2.0, 100.0), (1.0, 200.0), (0.5, 200.0)):
        assert hand_limit(replace(site.preferences, enough=enough), 200.0).comfort == comfort


def test_without_ranges_there_are_no_ends() -> None:
    site, every = slope()
    assert with_ends(site, every) is every


def test_at_the_better_ends_only_the_ground_is_rougher() -> None:
    """It helps to hold the load; what has to be broken out does not."""
    text = site_text(3.0, '"0.05..0.1"').replace(
        "edge_protected", 'breakout = "1.1..1.6"\nedge_protected'
    )
    origin = read_site(text).origin
    assert origin is not None
    worse, better = (one.legs[0] for one in _ends_of(origin))
    assert (worse.resistance_low, better.resistance_low) == (0.05, 0.1)
    assert better.breakout < worse.breakout


def test_a_line_where_no_strap_may_go() -> None:
    site, setup = found()
    (oak,) = site.anchors
    assert isinstance(oak, Tree)
    higher = replace(site, anchors=(replace(oak, heights=(2.0,)),))
    limit = hand_limit(site.preferences, None)
    for where, stops in ((site, False), (higher, True)):
        stations = lay_stations(where)
        held = held_by(where, stations, setup, holder=hand(where), limit=limit)
        assert isinstance(held, Stopped) == stops
        if isinstance(held, Stopped):
            assert "no strap may go" in held.why


@pytest.mark.parametrize("length", [16.2, 17.5])
def test_an_unrated_rope_is_not_taken_where_rated_ones_get_down(length: float) -> None:
    """In two stages with the short rope that is rated; a longer one without a rating lies beside it."""
    site = staged_bank()
    (rope,) = (piece for piece in site.gear if piece.length == 16.0)
    loose = replace(rope, name="washing line", length=length, unrated=True)
    every = lower(replace(site, gear=(loose, *site.gear)), LowerQuestion())
    assert not every.setups
    assert len(every.stages) == 2
    assert {setup.rope.name for setup in every.stages} == {rope.name}
