"""Rope: bending and stretch against tables."""

from collections.abc import Iterator

from optimiser.mechanics.line.rope import elongation, stored_energy, wire_bend
from tests.validation.checks import Check, printed, worked_example

FOOT, LBF = 0.3048, 4.4482216152605


@worked_example("trade-sheets", "D/d")
def test_wire_over_a_small_sheave() -> Iterator[Check]:
    """What wire keeps by D / d, below the ratios that a site file may ask for."""
    for ratio, kept in ((8, 83), (6, 79), (4, 75), (2, 65)):
        yield Check(
            quantity=f"D / d = {ratio}",
            published=float(kept),
            ours=100.0 * wire_bend(sheave_diameter=ratio * 0.01, rope_diameter=0.01),
            unit="%",
            tolerance=1e-6,
            why="as printed; between the ratios linear, which lies below the curve",
        )


@worked_example("riggers-apprentice", "p. 56 and trade sheets", evidence="read second-hand")
def test_wire_over_a_block_of_sixteen() -> Iterator[Check]:
    """A hoist block of D / d = 16 keeps 90 %, by another sheet."""
    yield Check(
        quantity="D / d = 16",
        published=90.0,
        ours=100.0 * wire_bend(sheave_diameter=0.16, rope_diameter=0.01),
        unit="%",
        tolerance=1.0,
        why="between the printed 15 and 20",
    )


@worked_example("ufc-4-159-03", "table 6-8", evidence="derived")
def test_double_braid_nylon_at_break() -> Iterator[Check]:
    """1.0 in double-braid nylon, strength 33.6 kip, EA 118.9 kip, one foot of it."""
    strength, stiffness = 33600.0 * LBF, 118900.0 * LBF
    yield Check(
        quantity="strain at break",
        published=28.3,
        ours=100.0 * elongation(tension=strength, length=1.0, stiffness=stiffness),
        unit="%",
        tolerance=printed(28.3, 0.1),
        why="three digits",
    )
    yield Check(
        quantity="energy at break",
        published=4748.0,
        ours=stored_energy(tension=strength, length=FOOT, stiffness=stiffness) / (LBF * FOOT),
        unit="ft·lbf per ft",
        tolerance=printed(4748.0, 1.0),
        why="printed to 1 ft·lbf",
    )
