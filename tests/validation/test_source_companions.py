"""Textbooks whose numbers stand in published companion notebooks.

Some of those print π as 3.14 or e as 2.71; the tolerances say where."""

from collections.abc import Iterator

from optimiser.mechanics.line.capstan import hold_ratio
from tests.validation.checks import Check, printed, share, worked_example


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
