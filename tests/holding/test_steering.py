"""A steering line: what keeps a load on line where the haul by itself would slew it."""

from dataclasses import replace
from itertools import product
from math import cos, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalogue.gear import Rope
from optimiser.jobs.hold.find import steered_with
from optimiser.jobs.hold.steer import guides, kept_on_line
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.mechanics.ground.moving import steering_needed
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.build import build_setup
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.standing import MARK
from optimiser.rig.order import Key, Order
from optimiser.rig.refit import reevaluate
from optimiser.rig.setup import Setup, Way
from optimiser.site.model import Site
from optimiser.telling.detail import detail
from optimiser.telling.tables import setup_json
from tests.generated import made_up
from tests.holding.ground import gear, path
from tests.holding.ground import tree as planted
from tests.long import cases
from tests.sheet.layouts import RECIPES

GENTLE = radians(1.25)
"""Holds the load by itself: tan(1.25 degrees) = 0.022 is below half the lowest resistance of 0.05."""


def aside(limit: float = 0.3, capacity: float = 60_000.0) -> Site:
    """The trees stand to the side of the path: the near one to haul by, the other to steer by."""
    site = path(GENTLE)
    x, _, z = site.legs[-1].end
    trees = (
        planted("right", x + 3.0, -6.0, z, capacity),
        planted("left", x / 2.0, 9.0, z / 2.0),
        planted("behind", -6.0, 3.0, 0.2),
    )
    preferences = replace(site.preferences, side_pull_rolling=limit)
    return replace(site, anchors=trees, gear=gear(ropes=2), preferences=preferences)


def test_a_line_square_to_the_path() -> None:
    """1 N at 30 degrees to the right pulls cos 30 forward and 0.5 aside. Two tenths of the forward pull
    may stay; a line square to the left takes the rest: 0.5 - 0.2 cos 30."""
    tension = steering_needed(
        sideways=-0.5, advance=cos(radians(30.0)), limit=0.2, line_along=0.0, line_across=1.0
    )
    assert float(tension) == pytest.approx(0.5 - 0.2 * cos(radians(30.0)))


def test_a_line_that_leads_back_costs_forward_pull() -> None:
    """At 45 degrees backward it takes as much forward as aside; what is left keeps to the limit."""
    forward, limit, half = cos(radians(30.0)), 0.2, sqrt(0.5)
    tension = float(
        steering_needed(
            sideways=-0.5, advance=forward, limit=limit, line_along=-half, line_across=half
        )
    )
    assert (0.5 - tension * half) / (forward - tension * half) == pytest.approx(limit)


def test_a_line_on_the_same_side_is_of_no_use() -> None:
    assert np.isinf(
        steering_needed(sideways=0.5, advance=0.8, limit=0.2, line_along=0.0, line_across=1.0)
    )


@given(
    angle=st.floats(-1.4, 1.4),
    limit=st.floats(0.05, 0.6),
    back=st.floats(0.0, 1.2),
)
def test_forces_close_at_the_limit(angle: float, limit: float, back: float) -> None:
    """Whatever the directions: with the line the resultant leans as far as it may, no further."""
    forward, side = cos(angle), sin(angle)
    along, across = -sin(back), (-1.0 if side > 0.0 else 1.0) * cos(back)
    tension = float(
        steering_needed(
            sideways=side, advance=forward, limit=limit, line_along=along, line_across=across
        )
    )
    if abs(side) <= limit * forward:
        assert tension == 0.0
    elif np.isfinite(tension) and forward + tension * along > 1e-6:
        left = abs(side + tension * across)
        assert left == pytest.approx(limit * (forward + tension * along), abs=1e-9)


def test_what_would_slew_is_hauled_with_a_steering_line() -> None:
    site = aside()
    plain = {s.reeving for s in rank(site, RankQuestion(top=50, explain=False, everything=True))}

    ranking = rank(site, RankQuestion(hold=True, explain=False))

    assert ranking.proven
    steered = [s for s in ranking if s.steered is not None]
    assert steered
    for setup in steered:
        assert setup.reeving not in plain
        (line,) = [line for line in setup.holding if line.way is Way.ASIDE]
        worst = max(setup.profile, key=lambda row: row.steer)
        assert line.line == pytest.approx(worst.steer)
        assert abs(worst.side_pull) == pytest.approx(0.3)
        assert line.hand <= line.hand_limit
        assert line.rope.name != setup.rope.name
        assert line.from_m <= worst.at <= line.to_m


def test_the_haul_pays_for_what_the_line_holds_back() -> None:
    """Against the same walk with no limit to the side: never less pull, and more where the line leads
    back."""
    site = aside()
    free = replace(site, preferences=replace(site.preferences, side_pull_rolling=99.0))
    for setup in rank(site, RankQuestion(hold=True, explain=False)):
        if setup.steered is None:
            continue
        alone = reevaluate(free, replace(setup, steered=None, holding=()))
        assert alone is not None
        for mine, other in zip(setup.profile, alone.profile, strict=True):
            assert mine.pull >= other.pull * (1.0 - 1e-9)
        steered = [r for r in setup.profile if r.steer > 0.0]
        assert max(r.pull for r in steered) > 0.0


def _key(setup: Setup, order: Order) -> tuple[float, ...]:
    mark = MARK if setup.marked_down else 0.0
    return order.sortable(
        Key(setup.margin, setup.resets, setup.rope_needed, setup.parts, setup.pull, mark)
    )


@pytest.mark.parametrize(
    ("limit", "capacity"),
    cases(
        product((0.15, 0.3, 0.45), (4_000.0, 9_000.0, 60_000.0)),
        quick=[(0.15, 4_000.0), (0.3, 60_000.0)],
    ),
)
def test_same_list_as_trying_every_line(limit: float, capacity: float) -> None:
    """Every walk that works with the side pull not looked at, with every steering line one by one."""
    site = aside(limit, capacity)
    order = Order.of(site.preferences)
    free = replace(site, preferences=replace(site.preferences, side_pull_rolling=99.0))
    expected: dict[str, tuple[float, ...]] = {}
    for loose in rank(free, RankQuestion(top=400, explain=False, everything=True)):
        for filled in kept_on_line(site, loose, order, kit=kit_of(site)):
            setup = build_setup(filled, rank=loose.rank)
            if setup.steered is None or steered_with(site, setup) is not None:
                expected[loose.reeving] = _key(setup, order)
                break

    ranking = rank(site, RankQuestion(hold=True, top=400, explain=False, everything=True))
    listed = {setup.reeving: _key(setup, order) for setup in ranking}
    plain = rank(site, RankQuestion(top=400, explain=False, everything=True))
    assert ranking.proven
    for setup in plain:  # steering never makes a walk worse that goes without
        assert listed[setup.reeving] == _key(setup, order)

    assert listed == expected


def test_every_hitch_and_trunk_is_tried() -> None:
    site = aside()
    assert {(g.place.name, g.hitch.name) for g in guides(site)} == {
        (tree, hitch) for tree in ("right", "left", "behind") for hitch in ("front", "rear")
    }
    assert len(attachments(site)) == 2


def test_no_second_rope_no_steering_line() -> None:
    single = replace(aside(), gear=gear(ropes=1))
    ranking = rank(single, RankQuestion(hold=True, explain=False))

    assert ranking.setups
    assert all(setup.steered is None for setup in ranking)
    assert [s.reeving for s in ranking] == [
        s.reeving for s in rank(single, RankQuestion(explain=False))
    ]


@pytest.mark.parametrize("kind", ["weaker", "elsewhere", "none", "no steering", "same rope"])
def test_a_spoiled_steering_line_is_refused(kind: str) -> None:
    site = aside()
    setup = next(
        s for s in rank(site, RankQuestion(hold=True, explain=False)) if s.steered is not None
    )
    verify(site, setup)
    (line,) = setup.holding
    assert setup.steered is not None
    other = next(g for g in guides(site) if g.place != setup.steered.place)
    spoiled = {
        "weaker": replace(setup, holding=(replace(line, line=line.line * 0.9),)),
        "elsewhere": replace(setup, steered=other),
        "none": replace(setup, holding=(replace(line, way=Way.BACK),)),
        "no steering": replace(setup, steered=None),
        "same rope": replace(setup, holding=(replace(line, rope=setup.rope),)),
    }

    with pytest.raises(VerificationError):
        verify(site, spoiled[kind])


def test_show_and_json_report_the_line() -> None:
    site = aside()
    setup = next(
        s for s in rank(site, RankQuestion(hold=True, explain=False)) if s.steered is not None
    )
    found = str(dict(detail(site, setup))["Second line on the load"])
    (data,) = setup_json(setup, full=True)["holding"]

    assert "slew" in found
    assert "across the path" in found
    assert data["way"] == Way.ASIDE.value
    assert any(c.key == "steering_tended" for c in setup.cautions)
    assert not any(c.key == "holding_tended" for c in setup.cautions)


@pytest.mark.parametrize("number", cases([1, 15, 25, 41], quick=[1]))
def test_made_up_sites_pass_the_re_check(number: int) -> None:
    """A line straight from the load to a puller that drives off slews at one spot of the run and not
    at another; whatever is listed passes."""
    site = made_up(RECIPES[number % len(RECIPES)], number)
    rope = next(piece for piece in site.gear if isinstance(piece.gear, Rope))
    second = replace(rope, name="second rope")
    more = replace(site, gear=(*site.gear, second))
    for setup in rank(more, RankQuestion(hold=True, top=2, explain=False, time_limit=8.0)):
        verify(more, setup)
