"""Open textbooks: ropes over posts, wires, levers."""

from collections.abc import Iterator
from math import cos, radians, sin, tan

import numpy as np

from optimiser.mechanics.ground.bars import bar_effort, pivot_force
from optimiser.mechanics.ground.moving import ground_reaction, pull_needed
from optimiser.mechanics.line.bridle import leg_tensions
from optimiser.mechanics.line.capstan import hold_ratio
from tests.validation.checks import Check, printed, worked_example


@worked_example("engineering-statics", "ch. 3, Frictionless Incline")
def test_ground_under_a_push() -> Iterator[Check]:
    """100 lb on a smooth slope of 25 degrees, pushed 10 degrees above the horizontal."""
    over = radians(-15.0)
    pull = pull_needed(
        weight=100.0,
        slope_sin=sin(radians(25.0)),
        slope_cos=cos(radians(25.0)),
        resistance=0.0,
        advance=cos(over),
        lift=sin(over),
    )
    yield Check(
        quantity="ground reaction",
        published=102.0,
        ours=float(
            ground_reaction(weight=100.0, slope_cos=cos(radians(25.0)), pull=pull, lift=sin(over))
        ),
        unit="lbf",
        tolerance=printed(102.0, 1.0),
        why="three digits",
    )


@worked_example("engineering-statics", "ch. 9, Rope Friction")
def test_rope_four_and_a_half_times_round() -> Iterator[Check]:
    """100 lb, 4½ turns, friction 0.23."""
    yield Check(
        quantity="hold",
        published=0.15,
        ours=100.0 / hold_ratio(friction=0.23, turns=4.5),
        unit="lbf",
        tolerance=printed(0.15, 0.01),
        why="two digits",
    )


def hung(*, weight: float, first: float, second: float) -> tuple[float, float]:
    """Tensions of two wires at `first` and `second` above the level [rad], by the bridle's formula
    turned over: two hitch points 2 m apart and a pull straight away from them."""
    # The ring lies where the two wires meet, seen from the hitch points.
    depth = 2.0 / (1.0 / tan(first) + 1.0 / tan(second))
    both = leg_tensions(
        first=np.array([[-1.0, 0.0, 0.0]]),
        second=np.array([[1.0, 0.0, 0.0]]),
        legs=(depth / sin(first), depth / sin(second)),
        pull=np.array([[0.0, 0.0, -weight]]),
    )
    return float(both[0, 0]), float(both[1, 0])


@worked_example("university-physics", "§6.1")
def test_weight_on_two_wires() -> Iterator[Check]:
    """15.0 kg on two wires at 30 and 45 degrees from the level, g 9.80."""
    tensions = hung(weight=15.0 * 9.80, first=radians(30.0), second=radians(45.0))
    for name, ours, force in (("30°", tensions[0], 108.0), ("45°", tensions[1], 132.0)):
        yield Check(
            quantity=f"wire at {name}",
            published=force,
            ours=ours,
            unit="N",
            tolerance=printed(force, 1.0),
            why="three digits",
        )


@worked_example("college-physics", "§4.5")
def test_tightrope() -> Iterator[Check]:
    """70.0 kg in the middle of a wire that sags 5.0 degrees to each side, g 9.80."""
    tensions = hung(weight=70.0 * 9.80, first=radians(5.0), second=radians(5.0))
    yield Check(
        quantity="tension",
        published=3900.0,
        ours=tensions[0],
        unit="N",
        tolerance=printed(3900.0, 100.0),
        why="two digits; exact 3,936",
    )


@worked_example("college-physics", "§9.5")
def test_wheelbarrow() -> Iterator[Check]:
    """45.0 kg at 7.50 cm from the axle, lifted at 1.02 m, g 9.80: hands and ground."""
    weight = 45.0 * 9.80
    effort = bar_effort(load=weight, load_arm=0.0750, effort_arm=1.02)
    yield Check(
        quantity="lift at the handles",
        published=32.4,
        ours=effort,
        unit="N",
        tolerance=printed(32.4, 0.1),
        why="three digits",
    )
    yield Check(
        quantity="force of the ground",
        published=409.0,
        ours=pivot_force(load=weight, effort=effort, between=False),
        unit="N",
        tolerance=printed(409.0, 1.0),
        why="three digits",
    )
