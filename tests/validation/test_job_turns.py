"""Published holds and edges through the main job: turns round a post by `lower`, edges by `show` and `lower`.

The friction of turns is the catalogue's own and no site file states it; of edges it is stated.
"""

from collections.abc import Iterator
from functools import cache
from math import cos, exp, pi, radians, sin
from typing import Any

from tests.edges.bank import bank
from tests.validation.checks import Check, Way, printed, share, worked_example
from tests.validation.jobs import (
    FAR,
    HIGH,
    SHACKLES,
    answer,
    engine,
    leg,
    load,
    rope,
    site,
)


@cache
def holds(
    weight: str, *, slope: float, over: float = 0.0, resistance: float
) -> list[dict[str, Any]]:
    """Every way to let a load down a short slope by a straight line to a post, `over` above the slope [rad]:
    all of the ground's friction is counted on."""
    up = slope + over
    post = f"""[[anchor]]
name = "post"
kind = "post"
at = ["{FAR * cos(up)} m", "0 m", "{FAR * sin(up)} m"]
rating = "900 kN"
girth = "0.6 m"
strap_heights = ["{HIGH} m"]
"""
    text = site(
        leg(slope=slope, resistance=resistance, length=0.06),
        load(weight),
        post,
        engine("people", 0.0, 40.0),
        rope(400.0),
        SHACKLES,
        sheaves=0,
        preferences="resistance_counted_on = 1",
    )
    return list(answer(text, "lower", "--top", "10", "--hold", "1 kN")["setups"])


@worked_example("beer-johnston", "sample problem 8.2", way=Way.JOB)
def test_block_kept_from_sliding_by_a_level_pull() -> Iterator[Check]:
    """800 N on 25 degrees, friction 0.35: the level force that just keeps it from sliding down."""
    slope = radians(25.0)
    yield Check(
        quantity="hold",
        published=80.0,
        ours=float(holds("800 N", slope=slope, over=-slope, resistance=0.35)[0]["line_N"]),
        unit="N",
        tolerance=printed(80.0, 1.0),
        why="printed to 1 N",
    )


@worked_example("bhavikatti", "example 5.3", way=Way.JOB, evidence="derived")
def test_block_that_just_holds() -> Iterator[Check]:
    """500 N on 30 degrees: 200 N just keeps it from sliding. The print gives friction 0.1, which contradicts
    its own forces; 0.11547 follows from them."""
    yield Check(
        quantity="hold",
        published=200.0,
        ours=float(holds("500 N", slope=radians(30.0), resistance=0.11547005)[0]["line_N"]),
        unit="N",
        tolerance=0.01,
        why="exact",
    )


@worked_example("beer-johnston", "form of problem 8.104", way=Way.JOB, evidence="derived")
def test_turns_round_a_post() -> Iterator[Check]:
    """Line over hand behind one and two turns at the catalogue's friction of synthetic rope, 0.20: e^(2 pi
    mu) for each turn, worked out by hand."""
    for found in holds("500 N", slope=radians(30.0), resistance=0.1):
        turns = int(found["turns"])
        yield Check(
            quantity=f"{turns} turns",
            published=exp(2.0 * pi * 0.2) ** turns,
            ours=float(found["line_over_hand"]),
            unit="",
            tolerance=1e-6,
            why="the friction is ours, and so is this number",
        )


MEASURED = (
    ("50 mm aluminium tube, rope A", 98.0, 50.0, 0.21),
    ("50 mm aluminium tube, rope B", 89.0, 49.0, 0.19),
    ("60 mm anodised aluminium, rope A", 92.0, 53.0, 0.18),
    ("60 mm anodised aluminium, rope B", 92.0, 52.0, 0.18),
    ("43 mm galvanised tube, rope A", 103.0, 47.0, 0.25),
    ("43 mm galvanised tube, rope B", 92.0, 47.0, 0.21),
    ("concrete edge, rope B", 135.0, 34.0, 0.44),
)
"""Over 90 degrees: what raises 75 kg, what holds it, kg, and mu as printed (two figures)."""


def hauled(friction: float) -> dict[str, Any]:
    """The haul over the crest of 90 degrees."""
    return answer(bank(friction), "show", "1")


def let_down(friction: float) -> float:
    """N at the held end with the load at the foot of the bank."""
    found = answer(bank(friction), "lower", "--show", "1")
    return float(min(found["path"], key=lambda row: float(row["at_m"]))["line_N"])


def at_foot(setup: dict[str, Any]) -> float:
    """N of the pull with the load at the foot of the bank."""
    return float(setup["path"][0]["pull_N"])


def turned(setup: dict[str, Any]) -> float:
    """rad that the rope turns by over all edges with the load at the foot."""
    return radians(sum(c["angle_deg"] for c in setup["contacts"] if c["load_from_m"] == 0.0))


@worked_example("roping-friction", "edges of 90 degrees", way=Way.JOB)
def test_raising_and_holding_over_ninety_degrees() -> Iterator[Check]:
    """75 kg raised and held over an edge: what raises over what holds does not know the load. Measured, and
    by pull and hold of the program on one bank, each against the same bank without friction."""
    smooth = hauled(0.0), let_down(0.0)
    for edge, raise_, hold, mu in MEASURED:
        more = at_foot(hauled(mu)) / at_foot(smooth[0])
        less = smooth[1] / let_down(mu)
        yield Check(
            quantity=edge,
            published=raise_ / hold,
            ours=more * less,
            unit="raise / hold",
            tolerance=share(raise_ / hold, 0.03),
            why="0.005 of the printed coefficient are 1.6 % here, 0.5 kg of 47 are 1 %",
        )


@worked_example("roping-friction", "p. 92, turns round an aluminium bar", way=Way.JOB)
def test_quarter_turn_of_the_table() -> Iterator[Check]:
    """A quarter of a turn at the measured friction of 0.175: line over hand."""
    up = hauled(0.175)
    yield Check(
        quantity="quarter of a turn",
        published=1.32,
        ours=(at_foot(up) / at_foot(hauled(0.0))) ** (pi / 2 / turned(up)),
        unit="",
        tolerance=printed(1.32, 0.01),
        why="three digits",
    )


@worked_example("beer-johnston", "8.10, multipliers of the trade", way=Way.JOB, evidence="derived")
def test_multiplier_of_an_edge() -> Iterator[Check]:
    """e^(mu pi/2) for 90 degrees of edge, worked out by hand to two decimals."""
    for mu, multiplier in ((0.10, 1.17), (0.40, 1.87)):
        up = hauled(mu)
        ours = (at_foot(up) / at_foot(hauled(0.0))) ** (pi / 2 / turned(up))
        yield Check(
            quantity=f"μ {mu:g}",
            published=multiplier,
            ours=ours,
            unit="",
            tolerance=printed(multiplier, 0.01) + 0.001,
            why="two decimals",
        )
