"""Beer and Johnston, Statics: hawsers on bollards."""

from collections.abc import Iterator

from optimiser.mechanics.line.capstan import hold_ratio
from tests.validation.checks import Check, share, worked_example


@worked_example("beer-johnston", "problem 8.104")
def test_hawser_on_a_bollard() -> Iterator[Check]:
    """Two turns, 80 lb holds 5,000 lb at a friction of 0.329; 2.67 turns hold 20,000 lb."""
    for turns, load, off in ((2.0, 5000.0, 0.0065), (2.67, 20000.0, 0.0185)):
        yield Check(
            quantity=f"{turns:g} turns hold",
            published=load,
            ours=80.0 * hold_ratio(friction=0.329, turns=turns),
            unit="lbf",
            tolerance=share(load, off),
            why="0.0005 of the printed friction and 0.005 of the printed turns, in the exponent",
        )


@worked_example("beer-johnston", "sample problem 8.7")
def test_hawser_of_a_ship() -> Iterator[Check]:
    """150 N holds 7,500 N in two turns at a friction of 0.311, and 53,033 N in three."""
    for turns, load, off in ((2.0, 7500.0, 0.0063), (3.0, 53033.0, 0.0095)):
        yield Check(
            quantity=f"{turns:g} turns hold",
            published=load,
            ours=150.0 * hold_ratio(friction=0.311, turns=turns),
            unit="N",
            tolerance=share(load, off),
            why="0.0005 of the printed friction, in the exponent",
        )
