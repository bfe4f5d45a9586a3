"""Second lines are moved with the readings too: holding lines, steering lines and the second rope of a tackle
on tackle."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimiser.jobs.hold.moved_lines import steering_line
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.kept_to import FigureKind
from optimiser.jobs.ranges.readings_off import LeftOpen, left_open
from optimiser.jobs.rank import rank
from optimiser.rig.refit import reevaluate
from optimiser.rig.setup import Setup, Way
from optimiser.site.model import Site
from optimiser.site.reading import read_site

EXAMPLES = Path(__file__).parents[2] / "examples"
HELD = RankQuestion(hold=True, explain=False)
BANK = """\
title = "Cart up a bank, kept in hand"

[[path.leg]]
length = "10 m"
slope = "{slope} deg"
surface = "grass"
resistance = {resistance}

[accuracy]
slope = "1 deg"
tape = "1 mm"

[load]
weight = "200 kg"
rests_on = "wheels"
wheel_radius = "0.3 m"
length = "1.6 m"
overhang = "0.8 m"

[[load.hitch]]
name = "eye"
ahead = "0.8 m"
left = "0 m"
height = "0.4 m"
rating = "20 kN"
eye = "40 mm"

[[tree]]
name = "oak"
at = ["16 m", "0.2 m", "3.3 m"]
girth = "1.8 m"
species = "unknown"
strap_heights = ["0.5 m"]

[[tree]]
name = "ash"
at = ["16 m", "-0.6 m", "3.3 m"]
girth = "1.8 m"
species = "unknown"
strap_heights = ["0.5 m"]

[[anchor]]
name = "ring"
kind = "ring"
at = ["15 m", "0 m", "3.2 m"]
rating = "40 kN"
eye = "60 mm"
strap_heights = ["0.5 m"]
width = "0.1 m"

[[puller]]
kind = "hand winch"
name = "winch"
anchor = "ring"
height = "0.5 m"
rating = "5 kN"
purchase = "12 m"

[[gear]]
id = "polyester-12"
name = "strong rope"
length = "40 m"
ends = ["eye-splice-thimble", "eye-splice-thimble"]
condition = "new"

[[gear]]
id = "polyester-6"
name = "thin rope"
length = "40 m"
ends = ["eye-splice-thimble", "bare"]
condition = "good"

[[gear]]
id = "shackle-13"
count = 6
condition = "good"

[[gear]]
id = "sling-60-3m"
count = 3
condition = "good"

[preferences]
margin_wanted = 1.0
knots = ["bowline", "round-turn-two-half-hitches"]
"""


def bank(slope: float, resistance: float = 0.1) -> Site:
    """One leg of that slope, by a phone good to a degree; the trees and the ring by coordinates."""
    return read_site(BANK.format(slope=slope, resistance=resistance))


def first(site: Site) -> Setup:
    return rank(site, HELD).setups[0]


def opened(site: Site, setup: Setup) -> LeftOpen:
    found = left_open(site, setup)
    assert found is not None
    assert not found.unknown
    return found


def test_a_thin_holding_line_is_the_weakest_at_the_worst_end() -> None:
    """The same as two banks a degree steeper and flatter, planned anew, each with its own holding line."""
    site = bank(12.0)
    setup = first(site)
    (line,) = setup.holding
    margin = opened(site, setup).of(FigureKind.MARGIN)
    assert margin is not None
    assert margin.figure.line == "holding line"
    assert margin.figure.value == pytest.approx(line.margin, rel=1e-6)

    (steeper,), (flatter,) = (first(bank(slope)).holding for slope in (13.0, 11.0))
    uses = [1.0 / one.margin for one in (line, steeper, flatter)]
    worse = max(uses[1] - uses[0], uses[0] - uses[2])
    assert margin.worst == pytest.approx(1.0 / (uses[0] + 1.96 * worse), rel=0.01)


def test_a_stretch_that_needs_a_hold_may_grow() -> None:
    """About 0.022 of the grass is counted on: a slope of 1 degree rests (tan 0.017), 1.96 degrees more (tan
    0.052) do not; read to a tenth of a degree it rests surely."""
    flat = BANK.format(slope=1.0, resistance=0.1)
    for accuracy, rests in (("1 deg", False), ("0.1 deg", True)):
        site = read_site(flat.replace('slope = "1 deg"', f'slope = "{accuracy}"'))
        setup = first(site)
        assert not setup.holding
        found = opened(site, setup)
        rest = found.of(FigureKind.REST)
        assert rest is not None
        assert (rest.over < 0.0) is rests
        assert found.holds is rests


def two_tackles(slope: float) -> Site:
    """The pier of the example, its track by length and slope."""
    text = (EXAMPLES / "two-tackles.toml").read_text(encoding="utf-8")
    path = f'length = "7.159 m"\nslope = "{slope} deg"'
    text = text.replace('to = ["7 m", "0 m", "1.5 m"]', path)
    return read_site(text.replace('start = ["0 m", "0 m", "0 m"]', ""))


def test_both_ropes_of_a_tackle_on_tackle_are_moved() -> None:
    """By two degrees of slope, which a phone is good to: by some more than the same setup on a track so much
    flatter, as the lines of a steeper one lead more aside."""
    site = two_tackles(12.1)
    setup = rank(site, RankQuestion(top=1, explain=False)).setups[0]
    assert setup.second is not None
    found = opened(site, setup)
    margin = found.of(FigureKind.MARGIN)
    pull = found.of(FigureKind.PULL)
    assert margin is not None
    assert pull is not None
    assert pull.figure.value == pytest.approx(setup.pull, rel=1e-6)
    flatter = reevaluate(two_tackles(10.1), setup)
    assert flatter is not None
    even = 1.96 * (setup.pull - flatter.pull)
    assert even < pull.by < 1.25 * even
    assert margin.worst < margin.figure.value


THIRD = """[[gear]]
id = "polyester-8"
name = "third rope"
length = "40 m"
ends = ["eye-splice-thimble", "bare"]
condition = "good"

[[gear]]
id = "shackle-13\""""


def test_a_steering_line_is_moved_with_what_it_has_to_take() -> None:
    """The winch pulls 4.5 m beside the path, and a line to the ash takes the rest: the same as two banks a
    degree steeper and flatter, planned anew."""
    before = BANK.replace('at = ["15 m", "0 m"', 'at = ["15 m", "4.5 m"')
    before = before.replace('at = ["16 m", "-0.6 m"', 'at = ["16 m", "-4 m"')
    before = before.replace('[[gear]]\nid = "shackle-13"', THIRD)
    site, steeper, flatter = (
        read_site(before.format(slope=slope, resistance=0.1)) for slope in (12.0, 13.0, 11.0)
    )
    setup = first(site)
    found = opened(site, setup)
    margin = found.of(FigureKind.MARGIN)
    assert margin is not None
    assert margin.figure.line == "steering line"

    uses = [
        1.0 / line.margin
        for one in (setup, first(steeper), first(flatter))
        for line in one.holding
        if line.way is Way.ASIDE
    ]
    worse = max(uses[1] - uses[0], uses[0] - uses[2])
    assert margin.worst == pytest.approx(1.0 / (uses[0] + 1.96 * worse), rel=0.01)
    side = found.of(FigureKind.SIDE_PULL)
    assert side is not None
    assert not side.figure.line


def test_a_steering_line_keeps_its_turns_where_it_has_to_take_more() -> None:
    """A steering line goes where it is rigged with the turns it was rigged with: the hand takes what they
    leave, however hard the line pulls there."""
    before = BANK.replace('at = ["15 m", "0 m"', 'at = ["15 m", "4.5 m"')
    before = before.replace('at = ["16 m", "-0.6 m"', 'at = ["16 m", "-4 m"')
    before = before.replace('[[gear]]\nid = "shackle-13"', THIRD)
    site = read_site(before.format(slope=12.0, resistance=0.1))
    setup = first(site)
    (line,) = (line for line in setup.holding if line.way is Way.ASIDE)
    for turns in (line.turns, line.turns + 1):
        moved = steering_line(site, setup, replace(line, turns=turns))
        assert isinstance(moved, tuple)
        assert moved[1].turns == turns
