"""Break-evens against closed forms on a straight even slope (statics, derived in `straight`)."""

from dataclasses import replace
from math import asin, atan, cos, degrees, hypot, radians, sin

import pytest

from catalogue.book import load_catalogue
from optimiser.jobs.ranges.breakeven import BreakEven, break_evens, worth_measuring
from optimiser.jobs.ranges.input_kinds import ways
from optimiser.jobs.ranges.inputs import inputs_of
from optimiser.jobs.ranges.worked_out import stretched
from optimiser.site.reading import read_site
from tests.uncertainty.straight import (
    DOUBLED,
    KILOGRAM,
    SLOPE,
    STRAIGHT,
    needed,
    setup,
    site,
    text,
    two_rings_text,
)

PULL = 3000.0
TIGHT = 1e-4


def found(reeving: str, **values: str) -> dict[str, BreakEven]:
    where = site(**values)
    return {one.name: one for one in break_evens(where, setup(where, reeving))}


def test_how_heavy() -> None:
    """W = P / (sin a + c cos a), and the winch is the first at its limit."""
    one = found(STRAIGHT)["weight of the load"]

    assert one.value == pytest.approx(400 * KILOGRAM)
    assert one.at == pytest.approx(400 * KILOGRAM * PULL / needed(400, 0.1), rel=TIGHT)
    assert one.first == "winch: pull"


def test_how_rough() -> None:
    """c = (P / W - sin a) / cos a."""
    one = found(STRAIGHT)["resistance of the ground"]
    a = radians(SLOPE)

    assert one.value == pytest.approx(0.1)
    assert one.at == pytest.approx((PULL / (400 * KILOGRAM) - sin(a)) / cos(a), rel=TIGHT)


@pytest.mark.parametrize("breakout", ["1", "1.3"])
def test_how_stuck(breakout: str) -> None:
    """W b (sin a + c cos a) = P where it breaks out, whether or not the file counts on any of that."""
    stuck = text().replace("resistance = 0.1", f"resistance = 0.1\nbreakout = {breakout}", 1)
    where = read_site(stuck)
    every = {one.name: one for one in break_evens(where, setup(where, STRAIGHT))}
    one = every["break-out from dry firm grass, tyres"]

    assert one.value == pytest.approx(float(breakout))
    assert one.at == pytest.approx(PULL / needed(400, 0.1), rel=TIGHT)


def test_at_an_end_of_its_range_an_input_is_known_to_be_there() -> None:
    """Of F the old ring, the weakest, holds the standing end's share, e / (1 + e). The plan counts on the
    upper end of e; whoever knows that it is the lower one has more margin."""
    values = {"weight": "1500 kg", "pull": "9 kN", "efficiency": '"0.5..0.75"'}
    where = read_site(two_rings_text("2.5 kN", **values))
    planned = setup(where, "old ring@0.5 m > load > winch")
    worth = worth_measuring(where, planned, many=9)
    (one,) = (found for found in worth if found.name.startswith("efficiency"))
    ends = [2500 * (1 + e) / (needed(1500, 0.1) * e) for e in (0.5, 0.75)]

    assert planned.margin == pytest.approx(ends[1])
    assert one.margins == pytest.approx(ends)


def test_how_steep() -> None:
    """sin a + c cos a = P / W, so a = asin(P / (W sqrt(1 + c^2))) - atan(c): ropes, ground and winch tilt
    together when every rise grows in proportion."""
    one = found(STRAIGHT)["slope of the steepest leg, all rises in proportion (edges protected)"]
    steep = asin(PULL / (400 * KILOGRAM * hypot(1.0, 0.1))) - atan(0.1)

    assert degrees(one.value) == pytest.approx(SLOPE)
    assert one.at is not None
    assert one.at == pytest.approx(steep, rel=TIGHT)


def test_how_weak_the_winch() -> None:
    """The pull that is needed is W (sin a + c cos a)."""
    one = found(STRAIGHT)["pull of winch"]

    assert one.at == pytest.approx(needed(400, 0.1), rel=TIGHT)


def test_how_much_friction_in_a_block() -> None:
    """With one travelling block H = F / (1 + e): at the limit e = F / P - 1."""
    one = found(DOUBLED, weight="1300 kg")["efficiency of the sheaves of block"]

    assert one.at == pytest.approx(needed(1300, 0.1) / PULL - 1.0, rel=TIGHT)
    assert one.first == "winch: pull"


def test_the_first_piece_is_reported_at_the_limit() -> None:
    """The block on the load carries the whole of F. Rated 5.6 kN (5.04 kN in its condition) it is stronger
    than the winch's line (2.6 kN x 1.9), but not once the sheave is better: e = 1 gives 2.6 kN x 2."""
    values = {"pull": "2.6 kN", "block": "5.6 kN", "weight": "1400 kg"}
    now, better = found(DOUBLED, **values), found(DOUBLED, **values, efficiency="1.0")
    limits = [one["weight of the load"] for one in (now, better)]

    each = needed(1, 0.1) / KILOGRAM
    stands = 5600 * load_catalogue().conditions["good"].keeps
    assert limits[0].at == pytest.approx(2600 * 1.9 / each, rel=TIGHT)
    assert limits[1].at == pytest.approx(stands / each, rel=TIGHT)
    assert limits[0].first == "winch: pull"
    assert limits[1].first.startswith("block at load")


def test_how_weak_a_piece() -> None:
    """What a piece may be rated at the least is what it carries."""
    one = found(STRAIGHT)["strength of load: hitch eye"]

    assert one.value == pytest.approx(60_000)
    assert one.at == pytest.approx(needed(400, 0.1), rel=1e-9)


def test_an_input_that_does_not_matter_has_no_break_even() -> None:
    """A tenth of the efficiency does not overload a winch that is five times too strong."""
    one = found(DOUBLED, pull="10 kN", weight="200 kg")["efficiency of the sheaves of block"]

    assert one.at is None
    assert one.first == "nothing"


def test_the_nearest_to_its_limit_stands_first() -> None:
    """By how many times the input would have to change."""
    where = site()
    listed = break_evens(where, setup(where, STRAIGHT))
    times = [max(one.at / one.value, one.value / one.at) for one in listed if one.at is not None]

    assert times == sorted(times)


def test_worth_measuring_goes_by_how_far_the_margin_moves() -> None:
    """Weight 300..500 kg moves the margin from 3.34 to 2.00, resistance 0.09..0.11 hardly."""
    where = site(weight="300..500 kg", resistance='"0.09..0.11"')
    first, *_ = worth_measuring(where, setup(where, STRAIGHT))

    assert first.name == "weight of the load"
    assert first.stated
    # The others stay at their planned (worse) end.
    ends = [PULL / needed(weight, 0.11) for weight in (300, 500)]
    assert first.margins == pytest.approx(tuple(ends), rel=1e-9)
    assert "luggage scale" in first.how.how


def test_a_surface_of_the_catalogue_is_as_uncertain_as_the_catalogue_says() -> None:
    """Its published ends, not a share chosen by the program."""
    plain = "\n".join(line for line in text().splitlines() if not line.startswith("resistance"))
    where = read_site(plain + "\n")
    worth = worth_measuring(where, setup(where, STRAIGHT), many=9)
    one = next(w for w in worth if w.key == "path.leg[1].resistance")
    surface = load_catalogue().surfaces["grass"]
    assert (one.low, one.high) == (surface.low, surface.high)


def test_every_kind_of_input_has_a_way_to_measure_it() -> None:
    where = site()
    kinds = {one.kind for one in inputs_of(where, setup(where, DOUBLED))}

    assert kinds <= set(ways())
    assert all(way.how and way.source for way in ways().values())


def test_stretching_keeps_what_stands_on_the_ground_on_it() -> None:
    """Twice the rises: anchors, posts and path go up alike."""
    where = site()
    double = stretched(where, 2.0)

    assert double.legs[0].end[2] == pytest.approx(2 * where.legs[0].end[2])
    assert double.anchors[0].position[2] == pytest.approx(2 * where.anchors[0].position[2])
    assert double.legs[0].end[:2] == where.legs[0].end[:2]
    assert stretched(where, 1.0) == where


def test_a_site_made_by_hand_has_no_inputs_to_move() -> None:
    where = site()

    assert break_evens(replace(where, origin=None), setup(where, STRAIGHT)) == ()
