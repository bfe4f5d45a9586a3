"""Where things stand is changed by the amount that `why` prints: the check passes then, no other one fails
that passed before, and a little less does not do."""

import re
from dataclasses import replace
from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest

from catalogue.pullers import PulledBy
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.why.cures.searching import level_ways
from optimiser.jobs.why.findings import Check
from optimiser.jobs.why.why import Explained, explain
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.notation import parse_reeving
from optimiser.rig.setup import Setup
from optimiser.rig.walk import LOAD, Place, PlaceKind, Walk
from optimiser.site.model import Obstacle, Site
from tests.generated import HOME, made_up, on_unknown_ground
from tests.long import long

FORWARD = "the rig pulls the load forward"
GROUNDED = "the load stays on the ground"
IN_LINE = "the pull is in line with the path"
FREE = "line runs free"
STEP = "the step can be climbed"
CENTIMETRES = 0.02


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


@pytest.fixture(scope="module")
def setup(site: Site) -> Setup:
    return next(
        s for s in rank(site, RankQuestion(top=10)).setups if s.parts >= 2 and len(s.walk) >= 4
    )


@pytest.fixture(scope="module")
def beside(site: Site) -> tuple[Site, Walk]:
    """A tree beside the path pulls the load back, and off the ground, once it has come there."""
    tree = site.anchors[0]
    x, y, z = site.legs[1].start
    moved = replace(tree, position=(x, y + 3.0, z))  # type: ignore[type-var]
    ends = [Place(PlaceKind.ANCHOR, tree.name, h) for h in (min(tree.heights), max(tree.heights))]
    walk = (ends[0], LOAD, ends[1], Place(PlaceKind.PULLER, site.pullers[0].name))
    return replace(site, anchors=(moved, *site.anchors[1:])), walk


def failed(explained: Explained, name: str) -> Check:
    return next(c for c in explained.failed if c.name == name)


def worded(check: Check) -> str:
    assert check.change is not None
    return check.change.text


def fails(explained: Explained) -> list[str]:
    return [check.name for check in explained.failed]


def cured(before: Explained, after: Explained, name: str) -> bool:
    """The check passes, and nothing fails that did not fail before."""
    had, has = fails(before), fails(after)
    return name not in has and all(has.count(n) <= had.count(n) for n in has)


def amount(text: str, pattern: str) -> float:
    """The metres in a cure."""
    found = re.search(pattern, text)
    assert found is not None, text
    return float(found[1])


def swapped(walk: Walk, text: str, site: Site) -> Walk:
    """The walk with one place for another, as a cure says."""
    found = re.search(r"(\S+@\S+ m) in place of (\S+@\S+ m)", text)
    assert found is not None, text
    written = " > ".join(found[1] if str(place) == found[2] else str(place) for place in walk)
    return parse_reeving(written, site)


def shifted(site: Site, name: str, by: float) -> Site:
    """An anchor or the puller further left (the path leads along x)."""

    def moved(thing: Any) -> Any:
        x, y, z = thing.position
        return replace(thing, position=(x, y + by, z)) if thing.name == name else thing

    return replace(
        site,
        anchors=tuple(moved(a) for a in site.anchors),
        pullers=tuple(moved(p) for p in site.pullers),
    )


def with_side_pull(site: Site, most: float) -> Site:
    return replace(site, preferences=replace(site.preferences, side_pull_rolling=most))


# ---- the load lifts off, or is pulled back ---------------------------------------------------------


@long
def test_a_hitch_so_much_higher_keeps_the_load_on_the_ground(beside: tuple[Site, Walk]) -> None:
    site, walk = beside
    before = explain(site, walk)
    text = worded(failed(before, GROUNDED))
    by = amount(text, r"take hold of the load ([\d.]+) m higher")

    def higher(more: float) -> Explained:
        (hitch,) = site.load.hitches
        load = replace(site.load, hitches=(replace(hitch, height=hitch.height + more),))
        return explain(replace(site, load=load), walk)

    assert cured(before, higher(by), GROUNDED)
    assert GROUNDED in fails(higher(by - CENTIMETRES))


@long
def test_another_anchor_ahead_pulls_forward_all_the_way(beside: tuple[Site, Walk]) -> None:
    site, walk = beside
    before = explain(site, walk)
    text = worded(failed(before, FORWARD))
    assert cured(before, explain(site, swapped(walk, text, site)), FORWARD)


@long
def test_hauled_so_far_only_the_rig_pulls_forward(beside: tuple[Site, Walk]) -> None:
    site, walk = beside
    before = explain(site, walk)
    text = worded(failed(before, FORWARD))
    to = amount(text, r"haul with this reeving to ([\d.]+) m only")
    rest = amount(text, r"the last ([\d.]+) m with another")
    laid = lay_stations(site)
    assert to + rest == pytest.approx(laid.at[-1], abs=0.021)
    part = laid.pick(laid.between(0.0, to + 0.01))
    assert cured(before, explain(site, walk, stations=part), FORWARD)
    further = laid.pick(laid.between(0.0, to + 0.6))
    assert FORWARD in fails(explain(site, walk, stations=further))


# ---- side pull -------------------------------------------------------------------------------------


def test_people_who_pull_askew_stand_so_much_nearer_to_the_line(site: Site) -> None:
    end = site.legs[-1].end
    (puller,) = site.pullers
    askew = replace(
        puller, kind=PulledBy.PEOPLE, position=(end[0] + 14.0, 9.0, end[2]), heading=(1.0, 0.0, 0.0),
        limit=9000.0, run=2.0, needs_termination=False, hitch_rating=None, hitch_eye=None,
        angle_limit=3.0,
    )  # fmt: skip
    strong = tuple(
        replace(p, gear=replace(p.gear, mbs=400_000.0)) if p.name == "rope0" else p  # type: ignore[arg-type]
        for p in site.gear
    )
    alone = with_side_pull(replace(site, pullers=(askew,), anchors=(), gear=strong), 0.27)
    walk = (LOAD, Place(PlaceKind.PULLER, puller.name))
    before = explain(alone, walk)
    check = failed(before, IN_LINE)
    by = amount(worded(check), r"stand puller0 ([\d.]+) m further right")
    assert check.change is not None
    assert check.change.amount == pytest.approx(by, abs=0.01)
    assert cured(before, explain(shifted(alone, puller.name, -by), walk), IN_LINE)
    less = shifted(alone, puller.name, CENTIMETRES - by)
    assert IN_LINE in fails(explain(less, walk))


def test_a_lead_block_brings_a_straight_line_into_the_path(site: Site) -> None:
    walk = (LOAD, Place(PlaceKind.PULLER, site.pullers[0].name))
    before = explain(site, walk)
    found = re.search(
        r"a lead block on (\S+@\S+ m) between the load and", worded(failed(before, IN_LINE))
    )
    assert found is not None
    led = parse_reeving(f"load > {found[1]} > {walk[-1]}", site)
    assert cured(before, explain(site, led), IN_LINE)


def test_an_anchor_nearer_to_the_line_is_so_much_nearer(site: Site, setup: Setup) -> None:
    tree = setup.walk[1].name
    worst = next(c.value for c in explain(site, setup.walk).checks if c.name == IN_LINE)
    assert worst is not None
    tight = with_side_pull(site, worst / 2)
    before = explain(tight, setup.walk)
    by = amount(worded(failed(before, IN_LINE)), r"an anchor ([\d.]+) m further right")
    assert cured(before, explain(shifted(tight, tree, -by), setup.walk), IN_LINE)
    less = explain(shifted(tight, tree, CENTIMETRES - by), setup.walk)
    assert IN_LINE in fails(less)


def test_another_anchor_in_line_with_the_path_is_named(site: Site, setup: Setup) -> None:
    worst = next(c.value for c in explain(site, setup.walk).checks if c.name == IN_LINE)
    assert worst is not None
    # Its line passes another trunk closely, which is not what this is about.
    close = replace(site, preferences=replace(site.preferences, clearance=0.0))
    tight = with_side_pull(close, worst * 0.95)
    before = explain(tight, setup.walk)
    text = worded(failed(before, IN_LINE))
    assert explain(tight, swapped(setup.walk, text, tight)).works


# ---- lines, steps and what no single change cures --------------------------------------------------


def test_a_strap_so_much_higher_leads_the_line_over_the_post(site: Site, setup: Setup) -> None:
    """A low fence post half way to the tree is met from a strap low down."""
    tree = site.anchor(setup.walk[1].name)
    start = site.legs[0].start
    x, y, z = ((a + b) / 2 for a, b in zip(start, tree.position, strict=True))
    post = Obstacle(name="old post", position=(x, y, z), radius=0.2, top=0.6)
    fenced = on_unknown_ground(replace(site, obstacles=(post,)))

    def strapped(height: float) -> Explained:
        low = Place(PlaceKind.ANCHOR, tree.name, height)
        walk = tuple(low if p.name == tree.name else p for p in setup.walk)
        return explain(fenced, walk)

    least = min(tree.heights)
    before = strapped(least)
    by = amount(worded(failed(before, FREE)), rf"strap on {tree.name} ([\d.]+) m higher")
    assert cured(before, strapped(least + by), FREE)
    assert FREE in fails(strapped(least + by - CENTIMETRES))


def test_a_ramp_takes_so_much_off_the_step(site: Site, setup: Setup) -> None:
    def stepped(height: float) -> Site:
        legs = (site.legs[0], replace(site.legs[1], step=height), *site.legs[2:])
        return replace(site, legs=legs)

    before = explain(stepped(0.25), setup.walk)
    check = failed(before, STEP)
    assert check.change is not None
    assert "a ramp" in check.change.text
    left = 0.25 - check.change.amount
    assert explain(stepped(left), setup.walk).works
    # A centimetre more is still climbed, but with more pull than there is.
    assert not explain(stepped(left + 0.011), setup.walk).works


def test_where_it_runs_on_the_holding_line_is_reported_with_its_pull(
    site: Site, setup: Setup
) -> None:
    end = (*site.legs[-1].end[:2], -3.0)
    legs = (*site.legs[:-1], replace(site.legs[-1], end=end))
    down = replace(site, legs=legs)
    check = failed(explain(down, setup.walk), "the load needs pulling")
    assert check.change is not None
    laid = lay_stations(down)
    last = laid.pick(laid.leg == len(legs) - 1)
    # On the cautious side: half the ground's least friction, and a quarter of the slope's pull at least.
    pull = -last.slope_sin - 0.5 * legs[-1].resistance_low * last.slope_cos
    worst = site.load.weight * np.maximum(pull, -0.25 * last.slope_sin)
    assert check.change.amount == pytest.approx(float(worst.max()))
    assert "holding line" in check.change.text


def test_where_no_single_change_cures_it_reports_it(site: Site, setup: Setup) -> None:
    end = site.legs[-1].end
    (puller,) = site.pullers
    behind = replace(puller, position=(end[0] - 40.0, 3.0, end[2]))
    alone = replace(site, pullers=(behind,), anchors=())
    check = failed(explain(alone, (LOAD, Place(PlaceKind.PULLER, puller.name))), FORWARD)
    assert worded(check).startswith("no single change")


def test_a_puller_so_much_nearer_saves_the_rope_that_is_missing(site: Site, setup: Setup) -> None:
    gear = tuple(
        replace(p, length=setup.rope_needed - 5.0) if p.length is not None else p for p in site.gear
    )
    short = replace(site, gear=gear)
    before = explain(short, setup.walk)
    check = failed(before, "rope is long enough")
    assert check.change is not None
    assert check.change.unit == "m"
    by = amount(worded(check), r"stand puller0 ([\d.]+) m nearer to tree00")
    assert by >= check.change.amount - 1e-9
    (puller,) = site.pullers
    (tx, ty, _), (px, py, pz) = site.anchor("tree00").position, puller.position
    far = ((tx - px) ** 2 + (ty - py) ** 2) ** 0.5
    moved = (px + by * (tx - px) / far, py + by * (ty - py) / far, pz)
    nearer = replace(short, pullers=(replace(puller, position=moved),))
    assert explain(nearer, setup.walk).works


def test_a_metre_further_is_a_metre_on_the_level_however_steep_the_path() -> None:
    """The path leads 30 degrees up: what is printed is measured on the level."""
    along = np.array([0.6 * cos(radians(30.0)), 0.8 * cos(radians(30.0)), sin(radians(30.0))])
    ahead, back, left, right = (way for _, way in level_ways(along, hauls=True))

    assert ahead == pytest.approx((0.6, 0.8))
    assert back == pytest.approx((-0.6, -0.8))
    assert left == pytest.approx((-0.8, 0.6))
    assert right == pytest.approx((0.8, -0.6))
