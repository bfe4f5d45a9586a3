"""Beer and Johnston, Statics: blocks on slopes, hawsers, a sheave on its pin."""

from collections.abc import Iterator
from math import cos, degrees, pi, radians, sin

import numpy as np

from optimiser.mechanics.ground.moving import pull_needed
from optimiser.mechanics.line.capstan import friction_from, hold_ratio, turns_needed, whole_turns
from optimiser.mechanics.line.tackle import sheave_eta
from tests.validation.checks import Check, printed, share, worked_example


def angled_pull(*, weight: float, slope: float, over: float, resistance: float) -> float:
    """Pull on a block by a line at `over` above the slope, rad."""
    return float(
        pull_needed(
            weight=weight,
            slope_sin=sin(slope),
            slope_cos=cos(slope),
            resistance=resistance,
            advance=cos(over),
            lift=sin(over),
        )
    )


@worked_example("beer-johnston", "sample problem 8.2")
def test_block_pushed_level_on_a_slope() -> Iterator[Check]:
    """800 N on 25 degrees, pushed horizontally: start up, keep going up, just not slide down."""
    slope = radians(25.0)
    for name, friction, force in (
        ("start up, μ 0.35", 0.35, 780.0),
        ("keep up, μ 0.25", 0.25, 649.0),
        ("hold, μ 0.35 the other way", -0.35, 80.0),
    ):
        yield Check(
            quantity=name,
            published=force,
            ours=angled_pull(weight=800.0, slope=slope, over=-slope, resistance=friction),
            unit="N",
            tolerance=printed(force, 1.0),
            why="printed to 1 N",
        )


@worked_example("beer-johnston", "exercise on the least force")
def test_best_angle_of_the_line() -> Iterator[Check]:
    """60 lb on 20 degrees, friction 0.30: the least pull and its angle above the horizontal."""
    slope = radians(20.0)
    overs = np.radians(np.arange(0.0, 45.0, 0.005))
    pulls = pull_needed(
        weight=60.0,
        slope_sin=sin(slope),
        slope_cos=cos(slope),
        resistance=0.30,
        advance=np.cos(overs),
        lift=np.sin(overs),
    )
    best = int(np.argmin(pulls))
    yield Check(
        quantity="least pull",
        published=35.9,
        ours=float(pulls[best]),
        unit="lbf",
        tolerance=printed(35.9, 0.1),
        why="three digits",
    )
    yield Check(
        quantity="its angle above the horizontal",
        published=36.7,
        ours=20.0 + degrees(float(overs[best])),
        unit="°",
        tolerance=printed(36.7, 0.1),
        why="three digits",
    )


@worked_example("beer-johnston", "problem 8.104")
def test_hawser_on_a_bollard() -> Iterator[Check]:
    """Two turns, 80 lb holds 5,000 lb; the turns for 20,000 lb."""
    friction = friction_from(ratio=5000.0 / 80.0, turns=2.0)
    yield Check(
        quantity="friction",
        published=0.329,
        ours=friction,
        unit="",
        tolerance=printed(0.329, 0.001),
        why="three digits",
    )
    yield Check(
        quantity="turns for 20,000 lb",
        published=2.67,
        ours=turns_needed(load=20000.0, hold=80.0, friction=0.329),
        unit="",
        tolerance=printed(2.67, 0.01),
        why="three digits",
    )
    yield Check(
        quantity="whole turns to tie",
        published=3.0,
        ours=float(whole_turns(load=20000.0, hold=80.0, friction=0.329)),
        unit="",
        tolerance=0.0,
        why="rounded up",
    )


@worked_example("beer-johnston", "sample problem 8.7")
def test_hawser_of_a_ship() -> Iterator[Check]:
    """150 N holds 7,500 N in two turns; what three turns hold."""
    friction = friction_from(ratio=7500.0 / 150.0, turns=2.0)
    yield Check(
        quantity="friction",
        published=0.311,
        ours=friction,
        unit="",
        tolerance=printed(0.311, 0.001),
        why="three digits",
    )
    yield Check(
        quantity="load on three turns",
        published=53033.0,
        ours=150.0 * hold_ratio(friction=friction, turns=3.0),
        unit="N",
        tolerance=printed(53033.0, 1.0),
        why="printed to 1 N",
    )


@worked_example("beer-johnston", "sample problem 8.6")
def test_sheave_on_its_pin() -> Iterator[Check]:
    """A sheave of radius 2 in on a pin of 1 in, friction 0.20, 500 lb: raise, hold, lead off."""
    parallel = sheave_eta(sheave_radius=2.0, pin_radius=1.0, friction=0.20)
    square = sheave_eta(sheave_radius=2.0, pin_radius=1.0, friction=0.20, included_angle=pi / 2)
    yield Check(
        quantity="raise, line straight down",
        published=611.0,
        ours=500.0 / parallel,
        unit="lbf",
        tolerance=printed(611.0, 1.0),
        why="three digits",
    )
    yield Check(
        quantity="hold, line straight down",
        published=409.0,
        ours=500.0 * parallel,
        unit="lbf",
        tolerance=printed(409.0, 1.0),
        why="three digits",
    )
    yield Check(
        quantity="raise, line led off level",
        published=577.0,
        ours=500.0 / square,
        unit="lbf",
        tolerance=share(577.0, 0.002),
        why="printed from an angle rounded to 0.1 degree; exact 576.3",
    )


@worked_example("beer-johnston", "form of problem 8.104", evidence="derived")
def test_wraps_round_a_post() -> Iterator[Check]:
    """Load over hold by turns and friction."""
    grid = {
        0.20: (1.87, 3.51, 6.59, 12.3, 43.4),
        0.25: (2.19, 4.81, 10.6, 23.1, 111.0),
        0.30: (2.57, 6.59, 16.9, 43.4, 286.0),
        0.35: (3.00, 9.02, 27.1, 81.3, 733.0),
        0.40: (3.51, 12.3, 43.4, 152.0, 1881.0),
    }
    for friction, ratios in grid.items():
        for turns, ratio in zip((0.5, 1.0, 1.5, 2.0, 3.0), ratios, strict=True):
            yield Check(
                quantity=f"{turns:g} turns, μ {friction:g}",
                published=ratio,
                ours=hold_ratio(friction=friction, turns=turns),
                unit="",
                tolerance=share(ratio, 0.005),
                why="three digits",
            )
    yield Check(
        quantity="50 lb held by 1½ turns, μ 0.35",
        published=1354.0,
        ours=50.0 * hold_ratio(friction=0.35, turns=1.5),
        unit="lbf",
        tolerance=printed(1354.0, 1.0),
        why="printed to 1 lbf",
    )
