"""People and vehicles on the hauling line."""

from collections.abc import Iterator

from optimiser.mechanics.line.rope import LBF
from optimiser.mechanics.puller import people_pull, vehicle_pull, within_shock_cap
from tests.validation.checks import Check, printed, worked_example


@worked_example("firehouse", "mechanical advantage, parts 1 and 2")
def test_nine_people_on_a_line() -> Iterator[Check]:
    """Nine people at 50 lb each."""
    yield Check(
        quantity="pull",
        published=450.0,
        ours=people_pull(count=9, per_person=50.0 * LBF) / LBF,
        unit="lbf",
        tolerance=printed(450.0, 1.0),
        why="a product",
    )


@worked_example("firehouse", "mechanical advantage, parts 1 and 2")
def test_cap_against_shock() -> Iterator[Check]:
    """Haulers times advantage at most 18: on a 4 to 1, four people pass and five do not."""
    for people, passes in ((4, 1.0), (5, 0.0)):
        yield Check(
            quantity=f"{people} people on 4 to 1: allowed",
            published=passes,
            ours=float(within_shock_cap(haulers=people, advantage=4.0)),
            unit="",
            tolerance=0.0,
            why="yes or no",
        )


@worked_example("noon-1994", "traction")
def test_vehicle_on_level_ground() -> Iterator[Check]:
    """Pull over weight on driven wheels: wet grass 0.20, gravel 0.35, dry asphalt 0.65."""
    for ground, traction in (("wet grass", 0.20), ("gravel or dirt", 0.35), ("dry asphalt", 0.65)):
        yield Check(
            quantity=ground,
            published=traction,
            ours=float(vehicle_pull(traction=traction, driven_weight=12e3, weight=20e3)) / 12e3,
            unit="",
            tolerance=1e-9,
            why="level ground, level line",
        )


@worked_example("tree-rescue-manual", "p. 214")
def test_vehicle_as_an_anchor_on_wet_grass() -> Iterator[Check]:
    """A vehicle of 3 t, all wheels braked, drags at about 10 kN on grass of 0.35."""
    weight = 3000.0 * 9.80665
    yield Check(
        quantity="drags at",
        published=10.0,
        ours=float(vehicle_pull(traction=0.35, driven_weight=weight, weight=weight)) / 1e3,
        unit="kN",
        tolerance=0.5,
        why='printed as "about 10"',
    )
