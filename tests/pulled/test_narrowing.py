"""What a pull that was read leaves of weight and resistance: by hand, as published, never past the truth."""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest

from catalogue.ground import Motion
from optimiser.mechanics.ground.moving import pull_needed
from optimiser.mechanics.ground.pulled import resistance_pulled, weight_pulled
from optimiser.site.model import Leg
from optimiser.site.pulled.narrowing import Box, Ends, Ground, Pull, narrowed, needs
from optimiser.site.pulled.outcome import Pulls, Read

LOADS = 1000
SLOPE = 20.0


def ground(degrees: float, **ends: Ends) -> Ground:
    slope = sin(radians(degrees)), cos(radians(degrees))
    return Ground(slope=slope, resistance=ends.pop("resistance", Ends(0.2, 0.6)), **ends)


@pytest.mark.parametrize(
    ("slope", "line", "weight", "pull", "resistance", "source"),
    [
        (30.0, 0.0, 500.0, 300.0, 0.11547, "Bhavikatti, ex. 5.3: 300 N to go up"),
        (25.0, -25.0, 800.0, 648.9, 0.25, "Beer and Johnston, ex. 8.2: 649 N level keep it going"),
        (25.0, -25.0, 800.0, 780.4, 0.35, "Beer and Johnston, ex. 8.2: 780 N level start it"),
        (0.0, 15.0, 5.0 * 9.81, 18.34582, 0.4, "Tayal, ex. 6.1: 18.345820 N, 15 degrees up"),
        (20.0, 16.7, 60.0, 35.857, 0.3, "Beer and Johnston: 35.9 lb, 36.7 degrees above level"),
    ],
)
def test_blocks_on_slopes_as_published(
    slope: float, line: float, weight: float, pull: float, resistance: float, source: str
) -> None:
    """`line`: degrees over the ground. The friction that the book starts from comes out of its answer."""
    s, k, a, up = (f(radians(x)) for x, f in ((slope, sin), (slope, cos), (line, cos), (line, sin)))
    found = resistance_pulled(
        pull=pull, weight=weight, slope_sin=s, slope_cos=k, advance=a, lift=up
    )
    heavy = weight_pulled(
        pull=pull, resistance=resistance, slope_sin=s, slope_cos=k, advance=a, lift=up
    )

    assert found == pytest.approx(resistance, abs=3e-4), source
    assert heavy == pytest.approx(weight, rel=1e-3), source


def test_a_straight_pull_on_a_slope_by_hand() -> None:
    """2 to 3.4 kN that slides with 0.2 to 0.6 up 20 degrees, and 1.9 kN read for certain: the lightest load
    has the most resistance, 1900/2000 = sin + c cos, the heaviest the least."""
    s, k = sin(radians(SLOPE)), cos(radians(SLOPE))
    box = Box(weight=Ends(2000.0, 3400.0), grounds=(ground(SLOPE),))
    pull = Pull(force=Ends(1900.0, 1900.0), leg=0)
    found = narrowed(box, [pull])

    assert found is not None
    assert found.weight.low == pytest.approx(1900.0 / (s + 0.6 * k))
    assert found.weight.high == pytest.approx(3400.0)
    assert found.grounds[0].resistance.low == pytest.approx((1900.0 / 3400.0 - s) / k)
    assert found.grounds[0].resistance.high == pytest.approx(0.6)
    assert needs(found, [pull], 0).moving.low == pytest.approx(1900.0)
    assert needs(found, [pull], 0).moving.high == pytest.approx(1900.0)
    assert needs(box, [], 0).moving.high == pytest.approx(3400.0 * (s + 0.6 * k))


def test_a_steep_and_a_level_reading_part_weight_and_resistance_further_than_either() -> None:
    """Where the ground of each is known within a little, both tell of the weight: what is left is in both."""
    grounds = (ground(25.0, resistance=Ends(0.3, 0.4)), ground(0.0, resistance=Ends(0.3, 0.4)))
    box = Box(weight=Ends(1000.0, 5000.0), grounds=grounds)
    steep, level = (Pull(force=Ends(f, f), leg=leg) for f, leg in ((2200.0, 0), (1000.0, 1)))
    both, one = narrowed(box, [steep, level]), narrowed(box, [steep])

    assert both is not None
    assert one is not None
    assert both.weight.low == pytest.approx(max(one.weight.low, 1000.0 / 0.4))
    assert both.weight.high == pytest.approx(min(one.weight.high, 1000.0 / 0.3))
    assert both.grounds[1].resistance.low == pytest.approx(max(0.3, 1000.0 / both.weight.high))


def test_no_load_agrees_with_two_pulls_that_differ_on_one_leg() -> None:
    box = Box(weight=Ends(2000.0, 3400.0), grounds=(ground(SLOPE),))
    pulls = [Pull(force=Ends(f, f * 1.05), leg=0) for f in (1700.0, 1900.0)]

    assert narrowed(box, pulls) is None
    assert all(narrowed(box, [pull]) is not None for pull in pulls)


@pytest.mark.parametrize("seed", range(2))
def test_no_load_is_narrowed_past_what_it_is_nor_planned_for_less_than_it_takes(seed: int) -> None:
    """Loads made up at random, pulled on up to three legs, straight or in a line at an angle, moving or
    breaking out, with a scale that is off by anything it may be. The truth stays inside, and whatever rig
    hauls it, lifting or pressing, the plan's pull is no less than the true one."""
    rng = np.random.default_rng(seed)
    tightened = 0
    for _ in range(LOADS // 2):
        weight, off = float(rng.uniform(800.0, 20_000.0)), float(rng.uniform(0.005, 0.15))
        count = int(rng.integers(1, 4))
        slopes = [float(s) for s in rng.uniform(-4.0, 30.0, count)]
        true_c = [float(c) for c in rng.uniform(0.12, 0.7, count)]
        stuck = [float(b) for b in rng.uniform(1.0, 1.8, count)]
        rests = [float(a) for a in rng.uniform(0.5, 1.0, count)]

        def around(value: float, least: float = 0.0) -> Ends:
            return Ends(
                max(value * float(rng.uniform(0.6, 1.0)), least),
                value * float(rng.uniform(1.0, 1.6)),
            )

        box = Box(
            weight=around(weight),
            grounds=tuple(
                ground(slope, resistance=around(c), breakout=around(b, 1.0), apparent=around(a))
                for slope, c, b, a in zip(slopes, true_c, stuck, rests, strict=True)
            ),
        )
        pulls = []
        for _ in range(int(rng.integers(1, 5))):
            leg = int(rng.integers(count))
            starting, angled = bool(rng.uniform() < 0.3), bool(rng.uniform() < 0.5)
            beta = float(rng.uniform(-0.3, 0.4)) if angled else 0.0
            (s, k), c = box.grounds[leg].slope, true_c[leg]
            carried = weight * rests[leg] * (stuck[leg] if starting else 1.0)
            force = float(
                pull_needed(
                    weight=carried, slope_sin=s, slope_cos=k, resistance=c,
                    advance=cos(beta), lift=sin(beta),
                )
            )  # fmt: skip
            if not 0.0 < force < 1e9 or force * sin(beta) >= 0.9 * box.weight.high * k * 0.5:
                continue
            read = force * (1.0 + float(rng.uniform(-off, off)))
            pulls.append(
                Pull(
                    force=Ends(read * (1.0 - off), read / (1.0 - off)), leg=leg,
                    advance=cos(beta), lift=sin(beta), starting=starting,
                )
            )  # fmt: skip
        found = narrowed(box, pulls)
        assert found is not None
        assert _inside(weight, found.weight)
        for leg, (c, b) in enumerate(zip(true_c, stuck, strict=True)):
            assert _inside(c, found.grounds[leg].resistance)
            assert _inside(b, found.grounds[leg].breakout)
        tightened += found != box
        _planned_for_no_less(rng, box, found, pulls, (weight, true_c, stuck, rests))
    assert tightened > LOADS // 6


def _planned_for_no_less(
    rng: np.random.Generator,
    box: Box,
    found: Box,
    pulls: list[Pull],
    true: tuple[float, list[float], list[float], list[float]],
) -> None:
    weight, true_c, stuck, rests = true
    read = tuple(Read(key=("pulled", 0), at=0.0, pull=pull, written="") for pull in pulls)
    outcome = Pulls(document=None, readings=read, before=box, after=found)
    for leg, now in enumerate(found.grounds):
        s, k = now.slope
        worst = Leg(
            start=(0.0, 0.0, 0.0), end=(k, 0.0, s), surface="made up", motion=Motion.SLIDING,
            resistance=now.resistance.high, resistance_low=now.resistance.low,
            apparent=now.apparent.high, breakout=now.breakout.high,
        )  # fmt: skip
        planned = outcome.counted(leg, worst, found.weight.high)
        assert planned.moved <= 1.0 + 1e-12 or worst == planned
        assert replace(planned, moved=1.0, saved=None, breakout=1.0) == replace(worst, breakout=1.0)
        for beta in rng.uniform(-0.6, 0.9, 4):
            rig = {"slope_sin": s, "slope_cos": k, "advance": cos(beta), "lift": sin(beta)}
            if cos(beta) * k - sin(beta) * s <= 0.0:
                continue
            for starting in (False, True):
                plan = found.weight.high * planned.apparent * planned.moved
                carried = weight * rests[leg]
                plan *= planned.breakout if starting else 1.0
                carried *= stuck[leg] if starting else 1.0
                takes = float(pull_needed(weight=carried, resistance=true_c[leg], **rig))
                is_planned = float(
                    pull_needed(
                        weight=plan,
                        resistance=planned.resistance,
                        saved=planned.saved_by_lift,
                        **rig,
                    )
                )
                assert takes <= 0.0 or is_planned >= takes * (1.0 - 1e-9)


def _inside(value: float, ends: Ends) -> bool:
    return ends.low * (1.0 - 1e-9) <= value <= ends.high * (1.0 + 1e-9)
