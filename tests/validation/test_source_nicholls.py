"""Nicholls's Seamanship: purchases with 10 % of the load lost per sheave."""

from collections.abc import Iterator

from optimiser.mechanics.line.tackle import linear_pull, linear_total
from tests.validation.checks import Check, printed, worked_example


def purchase(
    load: float, unit: str, sheaves: int, parts: int, total: float, pull: float, last: float
) -> Iterator[Check]:
    """Total and hauling pull of one purchase, printed to `last`."""
    yield Check(
        quantity="load and friction",
        published=total,
        ours=linear_total(load=load, sheaves=sheaves),
        unit=unit,
        tolerance=printed(total, 0.1),
        why="printed to a tenth",
    )
    yield Check(
        quantity="hauling pull",
        published=pull,
        ours=linear_pull(load=load, sheaves=sheaves, parts=parts),
        unit=unit,
        tolerance=printed(pull, last),
        why="printed rounding",
    )


@worked_example("nicholls", "p. 40")
def test_luff_tackle_to_advantage() -> Iterator[Check]:
    """4 tons on a luff tackle to advantage: 3 sheaves, power 4."""
    yield from purchase(4.0, "ton", 3, 4, 5.2, 1.3, 0.1)


@worked_example("nicholls", "p. 40")
def test_gun_tackle_to_disadvantage() -> Iterator[Check]:
    """4 tons on a gun tackle to disadvantage: 2 sheaves, power 2."""
    yield from purchase(4.0, "ton", 2, 2, 4.8, 2.4, 0.1)


@worked_example("nicholls", "p. 40")
def test_threefold_purchase_to_disadvantage() -> Iterator[Check]:
    """12 tons on a threefold purchase, 6 sheaves, power 6."""
    yield from purchase(12.0, "ton", 6, 6, 19.2, 3.2, 0.1)


@worked_example("nicholls", "p. 40")
def test_threefold_purchase_to_advantage() -> Iterator[Check]:
    """12 tons on a threefold purchase, 6 sheaves, power 7; printed as 2 3/4 tons."""
    yield from purchase(12.0, "ton", 6, 7, 19.2, 2.75, 0.25)


@worked_example("nicholls", "p. 40")
def test_double_purchase_to_advantage() -> Iterator[Check]:
    """20 cwt on a double purchase: 4 sheaves, power 5."""
    yield from purchase(20.0, "cwt", 4, 5, 28.0, 5.6, 0.1)


@worked_example("nicholls", "p. 40")
def test_treble_purchase_to_advantage() -> Iterator[Check]:
    """40 tons on a treble purchase: 6 sheaves, power 7; printed as 9 1/7 tons."""
    yield from purchase(40.0, "ton", 6, 7, 64.0, 9.142857, 1e-4)


@worked_example("nicholls", "p. 40")
def test_luff_tackle_to_disadvantage() -> Iterator[Check]:
    """15 tons on a luff tackle to disadvantage: 3 sheaves, power 3."""
    yield from purchase(15.0, "ton", 3, 3, 19.5, 6.5, 0.1)


@worked_example("nicholls", "p. 44")
def test_twofold_on_a_gun_tackle() -> Iterator[Check]:
    """10 tons on a twofold (power 4) hauled by a gun tackle (power 3): 6 sheaves, power 12."""
    yield from purchase(10.0, "ton", 6, 4 * 3, 16.0, 1.333333, 1e-4)


@worked_example("nicholls", "p. 44")
def test_fivefold_with_lead_blocks() -> Iterator[Check]:
    """42 tons, fivefold to advantage, two easy lead blocks taken as one: 11 sheaves, power 11."""
    yield from purchase(42.0, "ton", 11, 11, 88.2, 8.0, 0.1)


@worked_example("nicholls", "p. 42")
def test_threefold_with_a_lead_block() -> Iterator[Check]:
    """12 tons, threefold to advantage and a lead block: 7 sheaves, power 7; "about 3 tons"."""
    yield Check(
        quantity="hauling pull",
        published=3.0,
        ours=linear_pull(load=12.0, sheaves=7, parts=7),
        unit="ton",
        tolerance=0.1,
        why='exact 20.4 / 7 = 2.91, printed as "about 3"',
    )


@worked_example("nicholls", "p. 42")
def test_single_purchase_hook() -> Iterator[Check]:
    """A pull of 12 cwt on a single purchase; its load of 20 cwt is inferred from the hook's 33."""
    pull = linear_pull(load=20.0, sheaves=2, parts=2)
    yield Check(
        quantity="hauling pull",
        published=12.0,
        ours=pull,
        unit="cwt",
        tolerance=printed(12.0, 1.0),
        why="printed to 1 cwt",
    )
    yield Check(
        quantity="load on the upper hook",
        published=33.0,
        ours=20.0 + pull + 1.0,
        unit="cwt",
        tolerance=printed(33.0, 1.0),
        why="load + pull + 1 cwt of tackle: what a fixed block carries is more than the load",
    )
