"""Buried logs, steel pickets, cable on stumps."""

from collections.abc import Iterator

from optimiser.mechanics.anchor.anchorage import (
    FOOT,
    KGF,
    LBF,
    deadman_pressure,
    steel_pickets,
)
from optimiser.mechanics.line.capstan import hold_ratio
from optimiser.mechanics.published import number
from tests.validation.checks import Check, Way, printed, share, worked_example

TABLE_9 = {
    3.0: (950.0, 1300.0, 1450.0, 1500.0),
    4.0: (1750.0, 2200.0, 2600.0, 2700.0),
    5.0: (2800.0, 3600.0, 4000.0, 4100.0),
    6.0: (3800.0, 5100.0, 5800.0, 6000.0),
    7.0: (5100.0, 7000.0, 8000.0, 8400.0),
}


@worked_example("tm-5-5420-278-10", "table 9", way=Way.TABLE)
def test_buried_log_in_loam() -> Iterator[Check]:
    """Holding power by mean depth and slope of the guy line, lb per square foot of face."""
    for depth, row in TABLE_9.items():
        for run, pounds in zip((1.0, 2.0, 3.0, 4.0), row, strict=True):
            yield Check(
                quantity=f"{depth:g} ft deep, 1 in {run:g}",
                published=pounds,
                ours=deadman_pressure(depth=depth * FOOT, run=run) * FOOT**2 / LBF,
                unit="lbf/ft²",
                tolerance=share(pounds, 1e-6),
                why="as printed",
            )


@worked_example("tm-5-5420-278-10", "table 9", way=Way.TABLE)
def test_buried_log_in_other_ground() -> Iterator[Check]:
    """Five times in rock or hardpan, half in fine wet soil."""
    loam = deadman_pressure(depth=4.0 * FOOT, run=3.0)
    for soil, factor in (("rock or hardpan", 5.0), ("fine-grained wet or sandy", 0.5)):
        yield Check(
            quantity=soil,
            published=factor,
            ours=deadman_pressure(depth=4.0 * FOOT, run=3.0, soil=soil) / loam,
            unit="× loam",
            tolerance=1e-9,
            why="as printed",
        )


@worked_example("tm-5-5420-278-10", "length", evidence="derived")
def test_length_of_a_buried_log() -> Iterator[Check]:
    """A cable of 20,000 lb, 5 ft deep, slope 1 in 3, face 1 ft: 6 ft, as a sawn timber.

    The manual's length is strength / (holding power × face) + 1 ft for the trench. A round log of 1 ft
    would be too slender at 6 ft (5 times its thickness at most): see the tests of what is refused.
    """
    holds = deadman_pressure(depth=5.0 * FOOT, run=3.0) * 1.0 * FOOT
    trench = number("anchorage", "deadman_trench").value
    yield Check(
        quantity="length",
        published=6.0,
        ours=(20000.0 * LBF / holds + trench) / FOOT,
        unit="ft",
        tolerance=1e-6,
        why="exact",
    )


@worked_example("disaster-rescue", "8.3", way=Way.TABLE)
def test_steel_pickets() -> Iterator[Check]:
    """Safe load of steel pickets: 350 kg each, systems up to 2 t."""
    for count, load in ((1, 350.0), (3, 1050.0), (5, 1750.0), (6, 2000.0)):
        yield Check(
            quantity=f"{count} pickets",
            published=load,
            ours=steel_pickets(count=count) / KGF,
            unit="kgf",
            tolerance=printed(load, 1.0),
            why="a safe load; the wooden pickets of the navy manual are holding values",
        )


@worked_example("kimbell-1981", "notched stumps")
def test_cable_in_a_stump_notch() -> Iterator[Check]:
    """Steel cable, one full wrap; a notch of 60 degrees with friction 0.1768 grips as a round stump does with
    0.354, which is what is computed."""
    yield Check(
        quantity="tension ratio",
        published=9.22,
        ours=hold_ratio(friction=0.354, turns=1.0),
        unit="",
        tolerance=share(9.22, 0.005),
        why="friction of three digits in an exponent",
    )
