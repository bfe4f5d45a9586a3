"""Textbooks whose numbers stand in published companion notebooks.

Some of those print π as 3.14 or e as 2.71; the tolerances say where."""

from collections.abc import Iterator
from math import cos, radians, sin

from optimiser.mechanics.ground.buoyancy import apparent_weight
from optimiser.mechanics.ground.moving import pull_needed
from optimiser.mechanics.ground.step import pull_over_step
from optimiser.mechanics.line.capstan import hold_ratio
from optimiser.mechanics.line.tackle import useful_work
from tests.validation.checks import Check, printed, share, worked_example


def axle_pull(*, weight: float, radius: float, step: float, angle: float) -> float:
    """Pull at the axle over a step, at `angle` above the level, rad."""
    return float(
        pull_over_step(
            wheel_radius=radius,
            step=step,
            slope_sin=0.0,
            slope_cos=1.0,
            axle_weight=weight,
            advance=cos(angle),
            lift=sin(angle),
        )
    )


@worked_example("bhavikatti", "example 2.23b")
def test_roller_over_a_step_least_pull() -> Iterator[Check]:
    """Roller of 2,000 N, radius 300 mm, step 150 mm: least pull at the axle, 60 degrees up."""
    yield Check(
        quantity="pull",
        published=1732.05,
        ours=axle_pull(weight=2000.0, radius=0.300, step=0.150, angle=radians(60.0)),
        unit="N",
        tolerance=printed(1732.05, 0.01),
        why="six digits",
    )


@worked_example("tayal", "example 2.23")
def test_wheel_over_a_step_least_pull() -> Iterator[Check]:
    """Wheel of 1,000 N, radius 0.30 m, step 0.15 m: least pull at the axle, 60 degrees up."""
    yield Check(
        quantity="pull",
        published=866.025404,
        ours=axle_pull(weight=1000.0, radius=0.30, step=0.15, angle=radians(60.0)),
        unit="N",
        tolerance=printed(866.025404, 1e-6),
        why="nine digits",
    )


@worked_example("tayal", "example 6.1")
def test_block_pulled_and_pushed() -> Iterator[Check]:
    """5 kg on the flat, friction 0.4: pulled 15 degrees up, pushed 15 degrees down, g 9.81."""
    for name, angle, force in (("pull", 15.0, 18.345820), ("push", -15.0, 22.750511)):
        yield Check(
            quantity=name,
            published=force,
            ours=float(
                pull_needed(
                    weight=5.0 * 9.81,
                    slope_sin=0.0,
                    slope_cos=1.0,
                    resistance=0.4,
                    advance=cos(radians(angle)),
                    lift=sin(radians(angle)),
                )
            ),
            unit="N",
            tolerance=printed(force, 1e-6),
            why="eight digits",
        )


@worked_example("bhavikatti", "example 5.3", evidence="derived")
def test_block_that_just_holds_and_just_climbs() -> Iterator[Check]:
    """500 N on 30 degrees: 200 N just keeps it from sliding, 300 N just drags it up.

    The print gives friction 0.1, which contradicts its own forces; 0.11547 follows from them.
    """
    friction = 50.0 / (500.0 * cos(radians(30.0)))
    for name, sign, force in (("hold", -1.0, 200.0), ("drag up", 1.0, 300.0)):
        yield Check(
            quantity=name,
            published=force,
            ours=float(
                pull_needed(
                    weight=500.0,
                    slope_sin=sin(radians(30.0)),
                    slope_cos=cos(radians(30.0)),
                    resistance=sign * friction,
                    advance=1.0,
                    lift=0.0,
                )
            ),
            unit="N",
            tolerance=1e-6,
            why="exact",
        )


@worked_example("bhavikatti", "example 5.13")
def test_weight_on_a_wrapped_rope() -> Iterator[Check]:
    """A hand of 600 N, 1¼ turns, friction 0.3; and 1,000 N, 1½ turns, friction 0.25."""
    first = hold_ratio(friction=0.3, turns=1.25)
    second = hold_ratio(friction=0.25, turns=1.5)
    for name, force, ours, part in (
        ("most, 600 N", 6277.6, 600.0 * first, 0.01),
        ("least, 600 N", 57.35, 600.0 / first, 0.01),
        ("most, 1,000 N", 10550.7, 1000.0 * second, 1e-4),
        ("least, 1,000 N", 94.78, 1000.0 / second, 1e-4),
    ):
        yield Check(
            quantity=name,
            published=force,
            ours=ours,
            unit="N",
            tolerance=share(force, part),
            why="the first two are printed with e = 2.71",
        )


@worked_example("tayal", "example 7.6")
def test_three_turns_round_a_post() -> Iterator[Check]:
    """1,000 N, three turns, friction 0.3: what holds it."""
    yield Check(
        quantity="hold",
        published=3.502,
        ours=1000.0 / hold_ratio(friction=0.3, turns=3.0),
        unit="N",
        tolerance=share(3.502, 0.001),
        why="printed with e = 2.718",
    )


@worked_example("tayal", "example 8.1")
def test_machine_with_losses() -> Iterator[Check]:
    """Velocity ratio 6, 20 N lifts 100 N."""
    yield Check(
        quantity="useful work, ratio 6",
        published=83.333,
        ours=100.0 * useful_work(advantage=100.0 / 20.0, parts=6),
        unit="%",
        tolerance=printed(83.333, 0.001),
        why="five digits",
    )


@worked_example("tbc-statics", "ch. 6, example 6.5")
def test_rope_round_a_drum() -> Iterator[Check]:
    """100 lb, friction 0.40, half a turn and one and a half."""
    for turns, force in ((0.5, 28.46), (1.5, 2.31)):
        yield Check(
            quantity=f"hold, {turns:g} turns",
            published=force,
            ours=100.0 / hold_ratio(friction=0.40, turns=turns),
            unit="lbf",
            tolerance=printed(force, 0.01) + 0.005,
            why="printed to 0.01",
        )


@worked_example("hibbeler-gupta", "example 8.9")
def test_rope_over_two_pegs() -> Iterator[Check]:
    """A rope over two fixed pegs, 135 degrees on each, friction 0.25, pulled with 500 N."""
    yield Check(
        quantity="mass held",
        published=15.7,
        ours=500.0 / hold_ratio(friction=0.25, turns=270.0 / 360.0) / 9.81,
        unit="kg",
        tolerance=printed(15.7, 0.1),
        why="three digits",
    )


@worked_example("cengel", "example 3-10")
def test_concrete_block_in_air_and_in_the_sea() -> Iterator[Check]:
    """Concrete 0.4 × 0.4 × 3 m of 2,300 kg/m³ on a rope, in air and in sea water of 1,025 kg/m³."""
    volume = 0.4 * 0.4 * 3.0
    for name, displaced, force in (("in air", 0.0, 10.8), ("in the sea", volume, 6.0)):
        yield Check(
            quantity=f"pull {name}",
            published=force,
            ours=apparent_weight(mass=2300.0 * volume, displaced=displaced, water=1025.0, g=9.81)
            / 1e3,
            unit="kN",
            tolerance=printed(force, 0.1),
            why="printed to 0.1",
        )
