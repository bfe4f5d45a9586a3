"""Open textbooks: rollers, ropes over posts, bridles, levers, tackle, water."""

from collections.abc import Iterator
from math import cos, radians, sin, tan

from optimiser.mechanics.ground.bars import bar_effort, pivot_force
from optimiser.mechanics.ground.buoyancy import apparent_factor, apparent_weight, immersed_fraction
from optimiser.mechanics.ground.moving import ground_reaction, pull_needed
from optimiser.mechanics.line.bridle import bridle
from optimiser.mechanics.line.capstan import hold_ratio
from optimiser.mechanics.line.tackle import parallel_advantage
from optimiser.mechanics.published import number
from tests.validation.checks import Check, printed, worked_example


@worked_example("engineering-statics", "ch. 3, Roller")
def test_lawn_roller() -> Iterator[Check]:
    """160 lb on a slope of 10 degrees, pulled 40 degrees above the horizontal, no friction."""
    yield Check(
        quantity="pull",
        published=32.1,
        ours=float(
            pull_needed(
                weight=160.0,
                slope_sin=sin(radians(10.0)),
                slope_cos=cos(radians(10.0)),
                resistance=0.0,
                advance=cos(radians(30.0)),
                lift=sin(radians(30.0)),
            )
        ),
        unit="lbf",
        tolerance=printed(32.1, 0.1),
        why="three digits",
    )


@worked_example("engineering-statics", "ch. 3, Frictionless Incline")
def test_push_on_a_smooth_slope() -> Iterator[Check]:
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
        quantity="push",
        published=43.8,
        ours=float(pull),
        unit="lbf",
        tolerance=printed(43.8, 0.1),
        why="three digits",
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
    state = bridle(
        hitches=((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0)),
        legs=(depth / sin(first), depth / sin(second)),
        pull=(0.0, 0.0, -weight),
    )
    return state.tensions


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


@worked_example("university-physics", "§6.2")
def test_crate_that_slides() -> Iterator[Check]:
    """20.0 kg on a floor, kinetic friction 0.600, g 9.80."""
    yield Check(
        quantity="force to keep it sliding",
        published=118.0,
        ours=float(
            pull_needed(
                weight=20.0 * 9.80,
                slope_sin=0.0,
                slope_cos=1.0,
                resistance=0.600,
                advance=1.0,
                lift=0.0,
            )
        ),
        unit="N",
        tolerance=printed(118.0, 1.0),
        why="three digits",
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


@worked_example("college-physics", "§9.5")
def test_engine_on_a_four_part_tackle() -> Iterator[Check]:
    """Engine of 115 kg and 7 kg of blocks on four parts, hauled upwards; g 9.80."""
    weight = 122.0 * 9.80
    pull = weight / parallel_advantage(eta=1.0, parts=4, sheaves=3)
    yield Check(
        quantity="pull",
        published=299.0,
        ours=pull,
        unit="N",
        tolerance=printed(299.0, 1.0),
        why="three digits",
    )
    yield Check(
        quantity="force on the ceiling",
        published=897.0,
        ours=weight - pull,
        unit="N",
        tolerance=printed(897.0, 1.0),
        why="three digits: hauling with the load takes one part off the anchor",
    )


@worked_example("college-physics", "§11.7")
def test_steel_ship() -> Iterator[Check]:
    """1.00e7 kg of steel, 7,800 kg/m³: what the water bears when it is sunk, and afloat."""
    sunk = apparent_weight(mass=1.0e7, displaced=1.0e7 / 7800.0, water=1000.0, g=9.80)
    yield Check(
        quantity="buoyancy when sunk",
        published=1.3e7,
        ours=1.0e7 * 9.80 - sunk,
        unit="N",
        tolerance=printed(1.3e7, 1e6),
        why="two digits",
    )
    yield Check(
        quantity="buoyancy afloat: apparent weight",
        published=0.0,
        ours=apparent_weight(mass=1.0e7, displaced=1.0e4, water=1000.0, g=9.80),
        unit="N",
        tolerance=1e-6,
        why="it floats",
    )


@worked_example("college-physics", "§11.2 densities", evidence="derived")
def test_weight_under_water() -> Iterator[Check]:
    """Share of the weight left under fresh water, and how deep wood and ice float."""
    water = number("buoyancy", "fresh_water").value
    for name, density, left in (
        ("aluminium", number("buoyancy", "aluminium").value, 0.630),
        ("granite", number("buoyancy", "granite").value, 0.630),
        ("concrete of 2,400", 2400.0, 0.583),
        ("cast iron of 7,200", 7200.0, 0.861),
        ("steel of 7,850", 7850.0, 0.873),
    ):
        yield Check(
            quantity=f"{name}, sunk",
            published=left,
            ours=apparent_factor(density=density, water=water),
            unit="",
            tolerance=printed(left, 0.001),
            why="three decimals",
        )
    yield Check(
        quantity="ice in fresh water, share under",
        published=0.917,
        ours=immersed_fraction(density=917.0, water=water),
        unit="",
        tolerance=printed(0.917, 0.001),
        why="three decimals",
    )
