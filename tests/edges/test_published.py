"""Lines over an edge through the main job: a site file in, a command's answer out, beside statics.

Measured edges and multipliers of the trade stand in `tests.validation.test_job_turns`.
"""

from math import pi
from typing import Any

import pytest

from tests.edges.bank import bank
from tests.piped import answered


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
