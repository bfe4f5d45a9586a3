"""Published numbers through `buy` and `stages`: which size is bought for which load, what a stage pulls."""

from collections.abc import Iterator
from math import sqrt

from tests.validation.checks import Check, Way, printed, share, worked_example
from tests.validation.jobs import (
    FAR,
    SHACKLES,
    answer,
    blocks,
    engine,
    leg,
    load,
    ring,
    rope,
    site,
)

SHORT_TON = 2000.0 * 4.4482216152605
LBF = 4.4482216152605
PLAIN = 1 / 1.09
"""What a sheave passes on: the K value of wire-rope-manual for plain bearings."""
HALVINGS = 8
"""Of the span in which a bought size gives way to the next: to a fifth of a per cent."""


def bought(weight: float) -> str:
    """The shackle that is bought where a straight line has only one of the two that it needs."""
    one = SHACKLES.replace("count = 20", "count = 1")
    text = site(
        leg(resistance=1.0, length=0.1), load(f"{weight} N"), ring("ring", 40.0),
        engine("winch", 20.0, 0.0), rope(60.0), one, sheaves=0,
    )  # fmt: skip
    (option, *_) = answer(text, "buy")["options"]
    (piece,) = option["items"]
    return str(piece["id"])


def changes_at(size: str, low: float, high: float) -> float:
    """The load, N, up to which that size is bought: greatest of those tried."""
    for _ in range(HALVINGS):
        middle = sqrt(low * high)
        low, high = (middle, high) if bought(middle) == size else (low, middle)
    return low


@worked_example("trade-sheets", "shackles, RR-C-271 type", way=Way.JOB)
def test_the_shackle_that_is_bought() -> Iterator[Check]:
    """Up to what load each size of stamped bow shackle is the one to buy."""
    for size, tons in (("13", 2.0), ("16", 3.25)):
        ours = changes_at(f"shackle-{size}", 0.9 * tons * SHORT_TON, 1.1 * tons * SHORT_TON)
        yield Check(
            quantity=f"{size} mm", published=tons, ours=ours / SHORT_TON, unit="short ton",
            tolerance=share(tons, 0.002), why="found by halving to 0.1 %, a load a little off the line",
        )  # fmt: skip


@worked_example("wire-rope-manual", "p. 88", way=Way.JOB)
def test_the_pull_of_a_later_stage() -> Iterator[Check]:
    """6,000 lb on 4 parts with plain bearings in the second stage: at first the rope is too short for them.
    What pulls stands behind, so that the rope comes to it from the ring."""
    text = site(
        leg(resistance=0.5, length=100.0), '[[path.leg]]\nto = ["150 m", "0 m", "0 m"]\nresistance = 1.0',
        load("6000 lbf"), ring("ring", FAR), engine("winch", -20.0, 80.0, pull="1900 lbf"),
        rope(700.0), blocks(PLAIN, 4), SHACKLES, sheaves=4,
    )  # fmt: skip
    plan = answer(text, "stages")
    *_, last = plan["stages"]
    assert len(plan["stages"]) == 2
    assert last["parts"] == 4
    ours = float(last["pull_N"]) / LBF / 6000.0
    yield Check(
        quantity="fast line factor", published=0.309, ours=ours, unit="",
        tolerance=printed(0.309, 0.001) + share(0.309, 0.0005),
        why="printed to 0.001; the parts are not quite parallel over 50 m",
    )  # fmt: skip
