"""US Navy training manuals: tackle without friction, rope and shackle rules, pickets."""

from collections.abc import Iterator

from optimiser.mechanics.anchor.anchorage import picket_holdfast
from optimiser.mechanics.hardware.shackle import SHORT_TON, unmarked_rule
from optimiser.mechanics.line.rope import circumference_rule
from optimiser.mechanics.line.tackle import parallel_advantage
from tests.validation.checks import Check, printed, worked_example

LBF = 4.4482216152605
INCH = 0.0254


def pull(name: str, load: float, parts: int, sheaves: int, published: float) -> Check:
    """Pull without friction."""
    return Check(
        quantity=name,
        published=published,
        ours=load / parallel_advantage(eta=1.0, parts=parts, sheaves=sheaves),
        unit="lbf",
        tolerance=printed(published, 1.0),
        why="printed to 1 lbf",
    )


@worked_example("navy-builder", "block and tackle")
def test_simple_tackles_without_friction() -> Iterator[Check]:
    """200 lb on a gun tackle and 600 lb on a luff tackle, friction left out."""
    yield pull("gun tackle, 200 lb", 200.0, 2, 2, 100.0)
    yield pull("luff tackle, 600 lb", 600.0, 3, 3, 200.0)


@worked_example("navedtra-14251", "ch. 6")
def test_whip_and_inverted_gun_tackle() -> Iterator[Check]:
    """A single whip changes direction only; a gun tackle turned over gains one part."""
    yield pull("single whip, 50 lb", 50.0, 1, 1, 50.0)
    yield Check(
        quantity="advantage of an inverted gun tackle",
        published=3.0,
        ours=parallel_advantage(eta=1.0, parts=3, sheaves=2),
        unit="",
        tolerance=1e-12,
        why="a count",
    )


@worked_example("navy-builder", "fibre line")
def test_manila_of_three_inches() -> Iterator[Check]:
    """Breaking strength of manila, circumference 3 in: 900 C²."""
    yield Check(
        quantity="breaking strength",
        published=8100.0,
        ours=circumference_rule(circumference=3.0 * INCH, fibre="manila") / LBF,
        unit="lbf",
        tolerance=printed(8100.0, 1.0),
        why="printed to 1 lbf",
    )


@worked_example("navedtra-14251", "ch. 6")
def test_shackle_rule() -> Iterator[Check]:
    """Safe load of a shackle 5/8 in thick: 3 D² tons."""
    ours = unmarked_rule(bow_diameter=0.625 * INCH)
    yield Check(
        quantity="safe load",
        published=1.1719,
        ours=ours / SHORT_TON,
        unit="short ton",
        tolerance=printed(1.1719, 1e-4),
        why="printed to 0.0001",
    )
    yield Check(
        quantity="safe load",
        published=2343.8,
        ours=ours / LBF,
        unit="lbf",
        tolerance=printed(2343.8, 0.1),
        why="printed to 0.1",
    )


@worked_example("navedtra-14251", "ch. 6")
def test_shackle_rule_by_size() -> Iterator[Check]:
    """3 D² for the common sizes, short tons."""
    sizes = {
        "3/8": (0.375, 0.42),
        "7/16": (0.4375, 0.57),
        "1/2": (0.5, 0.75),
        "3/4": (0.75, 1.69),
        "7/8": (0.875, 2.30),
        "1": (1.0, 3.00),
        "1-1/8": (1.125, 3.80),
        "1-1/4": (1.25, 4.69),
    }
    for name, (inches, tons) in sizes.items():
        yield Check(
            quantity=f"safe load, {name} in",
            published=tons,
            ours=unmarked_rule(bow_diameter=inches * INCH) / SHORT_TON,
            unit="short ton",
            tolerance=printed(tons, 0.01) + 0.001,
            why="printed to 0.01, cut not rounded",
        )


@worked_example("navedtra-14251", "ch. 6")
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


@worked_example("fm-5-125", "pickets")
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
