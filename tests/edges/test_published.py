"""Lines over an edge through the main job: a site file in, a command's answer out, beside published numbers.

Sources: roping-friction (a load of 75 kg raised and lowered over edges of 90 degrees: force to raise, force
to hold, and the coefficient that is printed for both); beer-johnston 8.10 and open textbooks (e^(mu beta)).
"""

from math import pi, radians
from typing import Any

import pytest

from tests.edges.bank import bank
from tests.piped import answered

MEASURED = [
    ("50 mm aluminium tube, rope A", 98.0, 50.0, 0.21),
    ("50 mm aluminium tube, rope B", 89.0, 49.0, 0.19),
    ("60 mm anodised aluminium, rope A", 92.0, 53.0, 0.18),
    ("60 mm anodised aluminium, rope B", 92.0, 52.0, 0.18),
    ("43 mm galvanised tube, rope A", 103.0, 47.0, 0.25),
    ("43 mm galvanised tube, rope B", 92.0, 47.0, 0.21),
    ("concrete edge, rope B", 135.0, 34.0, 0.44),
]
"""Over 90 degrees: what raises 75 kg, what holds it, kg, and mu as printed (two figures). Source:
roping-friction."""


def hauled(text: str) -> dict[str, Any]:
    """The first setup, as `show` prints it."""
    found: dict[str, Any] = answered(text, "show", "1")[1]
    return found


def let_down(text: str) -> float:
    """Worst tension at the held end in the first row of the way down's lowest place, N."""
    _, found = answered(text, "lower", "--show", "1")
    lowest = min(found["path"], key=lambda row: float(row["at_m"]))
    return float(lowest["line_N"])


def at_start(setup: dict[str, Any]) -> float:
    return float(setup["path"][0]["pull_N"])


def turned(setup: dict[str, Any]) -> float:
    """rad that the rope turns by over all edges with the load at the start of the path."""
    return radians(sum(c["angle_deg"] for c in setup["contacts"] if c["load_from_m"] == 0.0))


@pytest.mark.parametrize(("edge", "raise_", "hold", "mu"), MEASURED, ids=[m[0] for m in MEASURED])
def test_raising_and_holding_over_90_degrees(
    edge: str, raise_: float, hold: float, mu: float
) -> None:
    """What raises over what holds does not know the load: measured, and by pull and hold of the program on
    one bank, each against the same without friction on the edge."""
    del edge
    rough, smooth = bank(mu), bank(0.0)
    up = hauled(rough)
    free = hauled(smooth)

    assert turned(up) == pytest.approx(pi / 2, abs=radians(1.0))
    more = at_start(up) / at_start(free)
    less = let_down(smooth) / let_down(rough)

    # The printed coefficient has two figures: 0.005 of it are 1.6 % here.
    assert more * less == pytest.approx(raise_ / hold, rel=0.03)


@pytest.mark.parametrize(
    ("mu", "multiplier"), [(0.10, 1.17), (0.20, 1.37), (0.30, 1.60), (0.40, 1.87), (0.60, 2.57)]
)
def test_multiplier_of_an_edge_of_90_degrees(mu: float, multiplier: float) -> None:
    """e^(mu pi/2), the trade's table of edge multipliers to two decimals (beer-johnston 8.10)."""
    up, free = hauled(bank(mu)), hauled(bank(0.0))
    per_right_angle = (at_start(up) / at_start(free)) ** (pi / 2 / turned(up))

    assert per_right_angle == pytest.approx(multiplier, abs=0.006)


def test_without_friction_only_length_and_direction_count() -> None:
    """mu = 0: the pull is that of a frictionless change of direction at the crest (statics), and no more rope
    is needed than the string is long."""
    up = hauled(bank(0.0))
    weight, slope, c = 200.0 * 9.80665, pi / 4, 0.05

    # The line leaves the load all but along the slope.
    alone = weight * (2**0.5 / 2) * (1.0 + c)
    assert at_start(up) == pytest.approx(alone, rel=0.01)
    assert up["path"][0]["ideal_advantage"] == pytest.approx(1.0, abs=1e-4)
    rope = (6.0**2 + 6.0**2) ** 0.5 + 0.5 + ((30.0 - 6.5) ** 2 + (6.0 + 17.0) ** 2) ** 0.5
    spare = up["rope_needed_m"] - rope
    assert 0.9 < spare < 1.3  # what ends and hands take
    del slope


def test_the_low_end_of_the_friction_is_what_letting_down_counts_on() -> None:
    """A range: the haul is planned with its high end, the hold with its low one."""
    both, low, high = bank("0.1..0.4"), bank(0.1), bank(0.4)

    assert at_start(hauled(both)) == pytest.approx(at_start(hauled(high)), rel=1e-12)
    assert let_down(both) == pytest.approx(let_down(low), rel=1e-12)


def test_a_crest_that_just_touches_changes_nothing() -> None:
    """From a ring that stands ever higher the line lifts off what lies on the crest: where it just touches,
    the answer is that of a line in the air, however rough the thing is."""
    gone = []
    for above in (1e-2, 1e-4):
        ring = (26.0, _just(26.0) - above)
        rough = hauled(bank(0.6, ring=ring))
        smooth = hauled(bank(0.0, ring=ring))
        gone.append(at_start(rough) / at_start(smooth) - 1.0)

    assert 0.0 < gone[1] < gone[0] < 1e-3
    air = hauled(bank(0.6, ring=(26.0, _just(26.0) + 1e-4)))
    assert air["contacts"] == []
    assert at_start(air) == pytest.approx(at_start(smooth), rel=1e-4)


def _just(x: float) -> float:
    """Height at which a straight line from the hitch at the start passes the rope's height on the crest."""
    return 0.07 + (6.05 - 0.07) / 6.0 * x


def test_bare_ground_is_no_edge_to_run_over() -> None:
    _, found = answered(bank(0.3, protector=False), "rank")

    assert found["setups"] == []
