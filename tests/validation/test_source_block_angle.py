"""Load on a block by the angle between its two parts: trade tables and a rescue manual."""

from collections.abc import Iterator
from math import radians

from optimiser.mechanics.line.tackle import block_load
from tests.validation.checks import Check, printed, worked_example

FACTORS = {
    0: 2.00, 10: 1.99, 20: 1.97, 30: 1.93, 40: 1.87, 45: 1.84, 50: 1.81, 60: 1.73,
    70: 1.64, 80: 1.53, 90: 1.41, 100: 1.29, 110: 1.15, 120: 1.00, 130: 0.84, 135: 0.76,
    140: 0.68, 150: 0.52, 160: 0.35, 170: 0.17, 180: 0.00,
}  # fmt: skip


@worked_example("block-angle-tables", "angle factor")
def test_angle_factors() -> Iterator[Check]:
    """Load on the block over line pull, included angle from 0 (parallel) to 180 degrees."""
    for angle, factor in FACTORS.items():
        yield Check(
            quantity=f"factor at {angle}°",
            published=factor,
            ours=block_load(first=1.0, second=1.0, included_angle=radians(angle)),
            unit="",
            tolerance=0.01,
            why="printed to 0.01 and cut, not rounded",
        )


@worked_example("block-angle-tables", "examples")
def test_blocks_at_work() -> Iterator[Check]:
    """Line pulls of 1,000 lb, 150 kg and 500 lb over blocks at several angles."""
    for pull, angle, load, unit in (
        (1000.0, 50, 1810.0, "lbf"),
        (1000.0, 135, 760.0, "lbf"),
        (150.0, 100, 193.4, "kgf"),
        (500.0, 0, 1000.0, "lbf"),
        (500.0, 30, 965.0, "lbf"),
        (500.0, 90, 705.0, "lbf"),
    ):
        yield Check(
            quantity=f"{pull:g} {unit} at {angle}°",
            published=load,
            ours=block_load(first=pull, second=pull, included_angle=radians(angle)),
            unit=unit,
            tolerance=0.01 * pull,
            why="from a factor cut to 0.01",
        )


@worked_example("tree-rescue-manual", "p. 115")
def test_parallel_redirect() -> Iterator[Check]:
    """A line of 1 kN turned back on itself."""
    yield Check(
        quantity="load on the anchor",
        published=2.0,
        ours=block_load(first=1.0, second=1.0, included_angle=0.0),
        unit="kN",
        tolerance=printed(2.0, 0.1),
        why="printed whole: twice, not once",
    )


@worked_example("army-rigging-sheet", "dead line", evidence="derived")
def test_block_with_two_winch_lines() -> Iterator[Check]:
    """A block that turns a fall line of 13,000 lb right back."""
    yield Check(
        quantity="dead line",
        published=26000.0,
        ours=block_load(first=13000.0, second=13000.0, included_angle=0.0),
        unit="lbf",
        tolerance=0.5,
        why="fall line times the lines it supports",
    )


@worked_example("university-physics", "§6.1")
def test_two_tugs_at_right_angles() -> Iterator[Check]:
    """Two tugs pull at right angles with 2.7e5 and 3.6e5 N."""
    yield Check(
        quantity="resultant",
        published=4.5e5,
        ours=block_load(first=2.7e5, second=3.6e5, included_angle=radians(90.0)),
        unit="N",
        tolerance=printed(4.5e5, 1e3),
        why="two digits",
    )
