"""Published wheel loads and bars through the main job: a site file with a [lever] table, and `lever`."""

from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.validation.checks import Check, Way, printed, worked_example
from tests.validation.jobs import SHACKLES, answer, engine, leg, load, ring, rope, site


@cache
def levered(weight: str, corners: str, centre: tuple[float, float], bar: str) -> dict[str, Any]:
    """What `lever` answers for a load on corners (rows of a site file) with its centre of gravity there."""
    table = f"""[lever]
{corners}
centre_ahead = "{centre[0]} m"
centre_left = "{centre[1]} m"
centre_height = "0.01 m"
{bar}
hand = "900 kN"
bite = "20 mm"
block = "10 mm"
raise_by = "10 mm"
clearance = "1 mm"
"""
    text = site(
        leg(resistance=1.0, length=0.1), load(weight), ring("ring", 20.0),
        engine("winch", 20.0, 1.0), rope(60.0), SHACKLES, sheaves=0,
    )  # fmt: skip
    return answer(text.replace("[preferences]", f"{table}\n[preferences]"), "lever")


THREE_WHEELS = """corner = [
  { name = "A", ahead = "0 m", left = "0.515 m" },
  { name = "B", ahead = "0 m", left = "-0.195 m" },
  { name = "C", ahead = "1.165 m", left = "0 m" },
]"""
BAR = 'bar_length = "1.5 m"\nfulcrum = "0.5 m"\nbar_rating = "900 kN"'


@worked_example("three-wheel-truck", "box on a truck", way=Way.JOB)
def test_box_on_a_three_wheeled_truck() -> Iterator[Check]:
    """A box of 103 kg, its centre 625 mm ahead of the axle AB and 540 mm behind wheel C, 515 mm from A and
    195 mm from B across; g 9.8."""
    found = levered(f"{103.0 * 9.8} N", THREE_WHEELS, (0.625, 0.0), BAR)
    carries = {corner["name"]: float(corner["even_N"]) for corner in found["corners"]}
    for wheel, force, last in (("A", 128.50, 0.01), ("B", 339.38, 0.01), ("C", 541.52, 0.01)):
        yield Check(
            quantity=f"wheel {wheel}",
            published=force,
            ours=carries[wheel],
            unit="N",
            tolerance=printed(force, last),
            why="printed to 0.01",
        )


@worked_example("britannica-lever", "crowbar", way=Way.JOB)
def test_crowbar_of_five_to_one() -> Iterator[Check]:
    """A crowbar whose hand is five times as far from the fulcrum as its tip: the force is five times."""
    found = levered(
        "600 N", THREE_WHEELS, (0.625, 0.0),
        'bar_length = "1.2 m"\nfulcrum = "0.2 m"\nbar_rating = "900 kN"',
    )  # fmt: skip
    yield from (
        Check(
            quantity=f"tip over hand, corner {step['corner']}",
            published=5.0,
            ours=float(step["force_N"]) / float(step["hand_N"]),
            unit="",
            tolerance=1e-6,
            why="a ratio of arms",
        )
        for step in found["steps"][:1]
    )
