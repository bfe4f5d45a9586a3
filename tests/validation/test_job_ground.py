"""Published pulls on slopes, floors and steps through the main job: a short path, one line, `rank`."""

from collections.abc import Iterator
from math import atan, cos, radians, sin
from typing import Any

from tests.validation.checks import Check, Way, printed, share, worked_example
from tests.validation.jobs import (
    SHACKLES,
    leg,
    load,
    rank,
    ring,
    rope,
    site,
    winch,
)

LBF = 4.4482216152605
G = 9.80
"""m/s2, as the textbooks take it."""
AWAY = 2000.0
"""m to the ring: the line keeps its direction to some hundred-thousandths while the load moves."""
SMOOTH = 1e-9
"""Resistance where the source has none: a site file takes none at all for a slip of the pen."""


def hauled(
    weight: str,
    *,
    slope: float = 0.0,
    over: float = 0.0,
    ground: float | str = SMOOTH,
    wheel: str | None = None,
    step: str | None = None,
) -> str:
    """A load on a slope so short that no line meets its ground, hauled by one straight line at `over` above
    the slope [rad]."""
    up = slope + over
    return site(
        leg(
            slope=slope, length=0.06, resistance=ground,
            more="" if step is None else f'step = "{step}"',
        ),
        load(weight, wheel=wheel),
        ring("ring", AWAY * cos(up), 0.0, AWAY * sin(up)),
        winch("ring"),
        rope(2.0 * AWAY),
        SHACKLES,
        sheaves=0,
    )  # fmt: skip


def pull(weight: str, **how: Any) -> float:
    """N on the line."""
    (found,) = rank(hauled(weight, **how))
    return float(found["pull_N"])


def is_(quantity: str, published: float, ours: float, unit: str, last: float, why: str) -> Check:
    """A number printed to `last`; the hitch moves a little, see `AWAY`."""
    return Check(
        quantity=quantity,
        published=published,
        ours=ours,
        unit=unit,
        tolerance=printed(published, last) + share(published, 2e-5),
        why=why,
    )


@worked_example("beer-johnston", "sample problem 8.2", way=Way.JOB)
def test_block_pushed_level_on_a_slope() -> Iterator[Check]:
    """800 N on 25 degrees, pulled horizontally: start up (0.35), keep going up (0.25)."""
    slope = radians(25.0)
    for name, friction, force in (
        ("start up, μ 0.35", 0.35, 780.0),
        ("keep up, μ 0.25", 0.25, 649.0),
    ):
        ours = pull("800 N", slope=slope, over=-slope, ground=friction)
        yield is_(name, force, ours, "N", 1.0, "printed to 1 N")


@worked_example("beer-johnston", "exercise on the least force", way=Way.JOB)
def test_best_angle_of_the_line() -> Iterator[Check]:
    """60 lb on 20 degrees, friction 0.30: the least pull, 36.7 degrees above the horizontal; a line 5 degrees
    higher or lower needs more."""
    slope, best = radians(20.0), radians(36.7 - 20.0)
    ours = [
        pull("60 lbf", slope=slope, over=best + radians(off), ground=0.30) / LBF
        for off in (-5.0, 0.0, 5.0)
    ]
    yield is_("least pull", 35.9, ours[1], "lbf", 0.1, "three digits")
    for name, other in (("5° lower", ours[0]), ("5° higher", ours[2])):
        yield Check(
            quantity=name, published=35.9, ours=other, unit="lbf", tolerance=0.0,
            why="more than printed: it is the least", relation="at least",
        )  # fmt: skip


@worked_example("engineering-statics", "ch. 3, Roller", way=Way.JOB)
def test_lawn_roller() -> Iterator[Check]:
    """160 lb on a slope of 10 degrees, pulled 40 degrees above the horizontal, no friction."""
    ours = pull("160 lbf", slope=radians(10.0), over=radians(30.0)) / LBF
    yield is_("pull", 32.1, ours, "lbf", 0.1, "three digits")


@worked_example("engineering-statics", "ch. 3, Frictionless Incline", way=Way.JOB)
def test_push_on_a_smooth_slope() -> Iterator[Check]:
    """100 lb on a smooth slope of 25 degrees, moved by a force 10 degrees above the horizontal."""
    ours = pull("100 lbf", slope=radians(25.0), over=radians(-15.0)) / LBF
    yield is_("push", 43.8, ours, "lbf", 0.1, "three digits")


@worked_example("tayal", "example 6.1", way=Way.JOB)
def test_block_pulled_and_pushed() -> Iterator[Check]:
    """5 kg on the flat, friction 0.4: pulled 15 degrees up, and 15 degrees down, g 9.81."""
    for name, angle, force in (("pull", 15.0, 18.345820), ("push", -15.0, 22.750511)):
        ours = pull(f"{5.0 * 9.81} N", over=radians(angle), ground=0.4)
        yield is_(name, force, ours, "N", 1e-6, "eight digits")


@worked_example("bhavikatti", "example 5.3", way=Way.JOB, evidence="derived")
def test_block_that_just_climbs() -> Iterator[Check]:
    """500 N on 30 degrees: 300 N just drags it up. The print gives friction 0.1, which contradicts its own
    forces; 0.11547 follows from them."""
    ours = pull("500 N", slope=radians(30.0), ground=0.11547005)
    yield is_("drag up", 300.0, ours, "N", 1.0, "printed to 1 N")


@worked_example("university-physics", "§6.2", way=Way.JOB)
def test_crate_that_slides() -> Iterator[Check]:
    """20.0 kg on a floor, kinetic friction 0.600, g 9.80."""
    ours = pull(f"{20.0 * G} N", ground=0.600)
    yield is_("force to keep it sliding", 118.0, ours, "N", 1.0, "three digits")


@worked_example("winch-guides", "grade table", way=Way.JOB)
def test_grade_table() -> Iterator[Check]:
    """Pull over weight on grades of 20 to 100 %, and 6,000 lb at 60 %. The tangent for the sine would give
    0.40 at 40 %, 1.00 at 100 %."""
    for grade, share_ in ((20, 0.20), (40, 0.37), (60, 0.51), (80, 0.62), (100, 0.71)):
        ours = pull("1000 N", slope=atan(grade / 100.0)) / 1000.0
        yield is_(f"grade {grade} %", share_, ours, "", 0.01, "printed to 0.01")
    yield Check(
        quantity="6,000 lb at 60 %",
        published=3060.0,
        ours=pull("6000 lbf", slope=atan(0.6)) / LBF,
        unit="lbf",
        tolerance=30.0,
        why="from the factor 0.51, rounded by up to 0.005",
    )


@worked_example("winch-guides", "gradient rule", way=Way.JOB)
def test_gradient_rule() -> Iterator[Check]:
    """Weight / 60 per degree: a quarter at 15 degrees, a half at 30. It is 3 % low at 15, so the sine is
    used."""
    yield Check(
        quantity="pull / weight at 15°",
        published=0.25,
        ours=pull("1000 N", slope=radians(15.0)) / 1000.0,
        unit="",
        tolerance=0.0,
        why="ours must not be below the rule",
        relation="at least",
    )
    ours = pull("1000 N", slope=radians(30.0)) / 1000.0
    yield is_("pull / weight at 30°", 0.5, ours, "", 0.001, "rule and sine meet")


@worked_example("hse-push-pull", "trolleys", way=Way.JOB)
def test_trolley_on_a_good_floor() -> Iterator[Check]:
    """200 kg and 400 kg on a level trolley, 2 %; 400 kg up 1 in 12 requires "over 30 kg"."""
    kgf = 9.80665
    for mass, force in ((200.0, 4.0), (400.0, 8.0)):
        ours = pull(f"{mass} kg", ground=0.02) / kgf
        yield is_(f"{mass:g} kg, level", force, ours, "kgf", 1.0, "printed whole")
    yield Check(
        quantity="400 kg up 1 in 12",
        published=30.0,
        ours=pull("400 kg", slope=atan(1.0 / 12.0)) / kgf,
        unit="kgf",
        tolerance=0.0,
        why='published as "over 30"',
        relation="at least",
    )


@worked_example("earthmoving", "formulas", way=Way.JOB)
def test_haul_roads() -> Iterator[Check]:
    """40 lb per short ton of rolling resistance (2 %), and 20 lb for each 1 % of grade."""
    yield is_("rolling", 40.0, pull("2000 lbf", ground=0.02) / LBF, "lbf/short ton", 1.0, "whole")
    for grade in (1.0, 5.0, 10.0):
        yield Check(
            quantity=f"grade {grade:g} %",
            published=20.0 * grade,
            ours=pull("2000 lbf", slope=atan(grade / 100.0)) / LBF,
            unit="lbf/short ton",
            tolerance=share(20.0 * grade, 0.006),
            why="the rule takes the tangent for the sine",
        )


@worked_example("earthmoving", "formulas, sinking tyres", way=Way.JOB)
def test_tyres_that_sink() -> Iterator[Check]:
    """2 % of the weight on the wheels and 1.5 % more for each inch that the tyres sink: 2 in on a poor earth
    track, 6 in on a rutted one, by the catalogue's likely resistance."""
    for surface, inches in (("firm-earth", 2.0), ("rutted-earth", 6.0)):
        yield is_(
            f"{surface.replace('-', ' ')}, {inches:g} in",
            2000.0 * (0.02 + 0.015 * inches),
            pull("2000 lbf", ground=surface, wheel="300 mm") / LBF,
            "lbf/short ton",
            1.0,
            "whole",
        )


@worked_example("friction-tables", "timber and iron on stone", way=Way.JOB)
def test_skids_on_a_road() -> Iterator[Check]:
    """Wood on stone 0.40, wood on concrete 0.62: the catalogue's likely friction of skids lies between."""
    ours = pull("1000 N", ground="paved-sliding") / 1000.0
    for pair, published, side in (
        ("wood on stone", 0.40, "at least"),
        ("wood on concrete", 0.62, "at most"),
    ):
        yield Check(
            quantity=pair, published=published, ours=ours, unit="", tolerance=0.0,
            why="one number for timber and steel, on concrete and stone", relation=side,
        )  # fmt: skip


def over_step(weight: str, radius: float, step: float, angle: float = 0.0) -> float:
    """N of a pull at the axle, `angle` above the level [rad], that lifts a wheel over a step; the load rests
    on the wheel alone."""
    return pull(weight, wheel=f"{radius} m", step=f"{step} m", over=angle)


@worked_example("wheel-over-step", "ch. 12, problem 21", way=Way.JOB)
def test_wheel_over_a_step() -> Iterator[Check]:
    """Wheel of 0.800 kg, radius 6.00 cm, step 3.00 cm, horizontal pull at the axle, g 9.80."""
    ours = over_step(f"{0.8 * G} N", 0.06, 0.03)
    yield is_("pull", 13.6, ours, "N", 0.1, "three digits")


@worked_example("bhavikatti", "example 2.23b", way=Way.JOB)
def test_roller_over_a_step_least_pull() -> Iterator[Check]:
    """Roller of 2,000 N, radius 300 mm, step 150 mm: least pull at the axle, 60 degrees up."""
    ours = over_step("2000 N", 0.300, 0.150, radians(60.0))
    yield is_("pull", 1732.05, ours, "N", 0.01, "six digits")


@worked_example("tayal", "example 2.23", way=Way.JOB)
def test_wheel_over_a_step_least_pull() -> Iterator[Check]:
    """Wheel of 1,000 N, radius 0.30 m, step 0.15 m: least pull at the axle, 60 degrees up."""
    ours = over_step("1000 N", 0.30, 0.15, radians(60.0))
    yield is_("pull", 866.025404, ours, "N", 1e-6, "nine digits")
