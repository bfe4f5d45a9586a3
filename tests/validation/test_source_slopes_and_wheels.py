"""Winch guides, floor-wheel tests and earthmoving rules: what slope and ground require."""

from collections.abc import Iterator
from math import atan, cos, radians, sin

from optimiser.mechanics.ground.moving import pull_needed
from optimiser.mechanics.ground.rolling import hard_wheel, haul_road, rigid_wheel
from optimiser.mechanics.ground.step import pull_over_step
from tests.validation.checks import Check, printed, share, worked_example

LBF = 4.4482216152605
INCH = 0.0254


def straight_pull(*, weight: float, slope: float, resistance: float) -> float:
    """Pull along the ground by one straight line, same unit as `weight`."""
    return float(
        pull_needed(
            weight=weight,
            slope_sin=sin(slope),
            slope_cos=cos(slope),
            resistance=resistance,
            advance=1.0,
            lift=0.0,
        )
    )


@worked_example("winch-guides", "gradient rule")
def test_gradient_rule() -> Iterator[Check]:
    """Weight / 60 per degree: a quarter of the weight at 15 degrees, three quarters at 45.

    The rule is 4 % low below 15 degrees, where most banks are, so the sine is used instead.
    """
    for degrees, rule in ((5, 5 / 60), (10, 10 / 60), (15, 0.25), (20, 20 / 60)):
        yield Check(
            quantity=f"pull / weight at {degrees}°",
            published=rule,
            ours=straight_pull(weight=1.0, slope=radians(degrees), resistance=0.0),
            unit="",
            tolerance=0.0,
            why="the rule is up to 4.4 % too low here; ours must not be below it",
            relation="at least",
        )
    yield Check(
        quantity="pull / weight at 30°",
        published=0.5,
        ours=straight_pull(weight=1.0, slope=radians(30.0), resistance=0.0),
        unit="",
        tolerance=1e-9,
        why="rule and sine meet",
    )
    yield Check(
        quantity="pull / weight at 45°",
        published=0.75,
        ours=straight_pull(weight=1.0, slope=radians(45.0), resistance=0.0),
        unit="",
        tolerance=0.01,
        why="the rule is 6 % too high here; the sine is exact",
        relation="differs",
    )


@worked_example("winch-guides", "grade table")
def test_grade_table() -> Iterator[Check]:
    """Pull over weight on grades of 20 to 100 %, and 6,000 lb at 60 %."""
    for grade, pull in ((20, 0.20), (40, 0.37), (60, 0.51), (80, 0.62), (100, 0.71)):
        yield Check(
            quantity=f"grade {grade} %",
            published=pull,
            ours=straight_pull(weight=1.0, slope=atan(grade / 100.0), resistance=0.0),
            unit="",
            tolerance=0.01 * 0.5 + 1e-9,
            why="printed to 0.01",
        )
    yield Check(
        quantity="6,000 lb at 60 %",
        published=3060.0,
        ours=straight_pull(weight=6000.0, slope=atan(0.6), resistance=0.0),
        unit="lbf",
        tolerance=share(3060.0, 0.01),
        why="from the factor 0.51",
    )


@worked_example("winch-guides", "hard wet sand", evidence="derived")
def test_boat_on_hard_wet_sand() -> Iterator[Check]:
    """4,500 lb on hard wet sand, one sixth of the weight, level."""
    yield Check(
        quantity="pull",
        published=750.0,
        ours=straight_pull(weight=4500.0, slope=0.0, resistance=1.0 / 6.0),
        unit="lbf",
        tolerance=0.5,
        why="a product",
    )


@worked_example("hse-push-pull", "trolleys")
def test_trolley_on_a_good_floor() -> Iterator[Check]:
    """200 kg and 400 kg on a level trolley, 2 %; 400 kg up 1 in 12 requires "over 30 kg"."""
    for mass, pull in ((200.0, 4.0), (400.0, 8.0)):
        yield Check(
            quantity=f"{mass:g} kg, level",
            published=pull,
            ours=straight_pull(weight=mass, slope=0.0, resistance=0.02),
            unit="kgf",
            tolerance=printed(pull, 1.0),
            why="printed whole",
        )
    yield Check(
        quantity="400 kg up 1 in 12",
        published=30.0,
        ours=straight_pull(weight=400.0, slope=atan(1.0 / 12.0), resistance=0.0),
        unit="kgf",
        tolerance=0.0,
        why='published as "over 30"',
        relation="at least",
    )


@worked_example("earthmoving", "formulas")
def test_haul_roads() -> Iterator[Check]:
    """40 lb per short ton, 30 lb more per inch of sinking, 20 lb per 1 % of grade."""
    for inches, pounds in ((0.0, 40.0), (1.0, 70.0), (4.0, 160.0)):
        yield Check(
            quantity=f"rolling, {inches:g} in deep",
            published=pounds,
            ours=straight_pull(
                weight=2000.0, slope=0.0, resistance=haul_road(sinking=inches * INCH)
            ),
            unit="lbf/short ton",
            tolerance=0.01,
            why="the rule itself",
        )
    for grade in (1.0, 5.0, 10.0):
        yield Check(
            quantity=f"grade {grade:g} %",
            published=20.0 * grade,
            ours=straight_pull(weight=2000.0, slope=atan(grade / 100.0), resistance=0.0),
            unit="lbf/short ton",
            tolerance=share(20.0 * grade, 0.006),
            why="the rule takes the tangent for the sine",
        )


@worked_example("al-eisawi-1999", "rolling length", evidence="derived")
def test_cart_on_asphalt() -> Iterator[Check]:
    """A cart of 181.4 kg on hard rubber wheels of 153 mm, f 3.3 mm on asphalt."""
    c = hard_wheel(arm=0.0033, wheel_radius=0.153 / 2.0)
    yield Check(
        quantity="pull",
        published=76.8,
        ours=straight_pull(weight=181.4 * 9.80665, slope=0.0, resistance=c),
        unit="N",
        tolerance=0.15,
        why="worked with g and radius to three digits",
    )


SOILS = {
    "dry sand": (990.0, 1528430.0, 1.1, (0.55, 0.43, 0.35, 0.27, 0.19)),
    "sandy loam": (5270.0, 1515040.0, 0.7, (0.36, 0.27, 0.22, 0.16, 0.11)),
    "clayey": (13190.0, 692150.0, 0.5, (0.35, 0.26, 0.21, 0.16, 0.11)),
}


@worked_example("bekker-soils", "soil constants")
def test_rigid_wheels_on_soft_ground() -> Iterator[Check]:
    """1 kN per wheel 80 mm wide, diameters 0.2 to 1.0 m: drag over weight."""
    for soil, (cohesive, frictional, power, drags) in SOILS.items():
        for diameter, drag in zip((0.2, 0.3, 0.4, 0.6, 1.0), drags, strict=True):
            ours = rigid_wheel(
                weight=1000.0,
                diameter=diameter,
                width=0.08,
                cohesive=cohesive,
                frictional=frictional,
                power=power,
            )
            yield Check(
                quantity=f"{soil}, wheel {diameter:g} m",
                published=drag,
                ours=ours.resistance,
                unit="",
                tolerance=0.006,
                why="two decimals, one of them rounded up",
            )


@worked_example("wheel-over-step", "ch. 12, problem 21")
def test_wheel_over_a_step() -> Iterator[Check]:
    """Wheel of 0.800 kg, radius 6.00 cm, step 3.00 cm, horizontal pull at the axle, g 9.80."""
    yield Check(
        quantity="pull",
        published=13.6,
        ours=float(
            pull_over_step(
                wheel_radius=0.06,
                step=0.03,
                slope_sin=0.0,
                slope_cos=1.0,
                axle_weight=0.8 * 9.80,
                advance=1.0,
                lift=0.0,
            )
        ),
        unit="N",
        tolerance=printed(13.6, 0.1),
        why="three digits",
    )


@worked_example("wagon-pasture", "measured wagon")
def test_wagon_on_a_hard_pasture() -> Iterator[Check]:
    """A wagon of 6,100 lb drawn with 273 lb: 0.045 of its weight."""
    yield Check(
        quantity="pull",
        published=273.0,
        ours=straight_pull(weight=6100.0, slope=0.0, resistance=0.045),
        unit="lbf",
        tolerance=share(273.0, 0.01),
        why="0.045 is a rounded quotient",
    )
