"""US Navy training manuals: pickets."""

from collections.abc import Iterator

from optimiser.mechanics.anchor.anchorage import picket_holdfast
from tests.validation.checks import Check, Way, printed, worked_example

LBF = 4.4482216152605


@worked_example("navedtra-14251", "ch. 6", way=Way.TABLE)
def test_wooden_pickets() -> Iterator[Check]:
    """Undisturbed loam; pickets 3 in by 5 ft, 3 to 4 ft deep, leaned 15 degrees."""
    for system, pounds in (("1", 700.0), ("1-1-1", 1800.0), ("3-2-1", 4000.0)):
        yield Check(
            quantity=f"{system} holdfast",
            published=pounds,
            ours=picket_holdfast(system=system) / LBF,
            unit="lbf",
            tolerance=printed(pounds, 1.0),
            why="as printed; a pull it holds, not a safe load",
        )


@worked_example("fm-5-125", "pickets", way=Way.TABLE)
def test_more_pickets_from_memory() -> Iterator[Check]:
    """Two more systems and the poorer soils, from memory."""
    for system, pounds in (("1-1", 1400.0), ("2-1", 2000.0)):
        yield Check(
            quantity=f"{system} holdfast",
            published=pounds,
            ours=picket_holdfast(system=system) / LBF,
            unit="lbf",
            tolerance=printed(pounds, 1.0),
            why="as remembered",
        )
    for soil, factor in (("clay and gravel", 0.9), ("river clay or sand", 0.5)):
        yield Check(
            quantity=f"share in {soil}",
            published=factor,
            ours=picket_holdfast(system="1", soil=soil) / picket_holdfast(system="1"),
            unit="",
            tolerance=1e-9,
            why="as remembered",
        )
