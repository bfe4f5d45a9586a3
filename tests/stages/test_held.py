"""Stages each of which has the second lines it needs, against every way to part the gear between both."""

from dataclasses import replace
from functools import cache

import pytest

from catalogue.gear import Rope
from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.stages.results import Plan
from optimiser.jobs.stages.words import between
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.ground.stretches import stretches
from optimiser.rig.setup import Way
from optimiser.search.stages.finder import TimeUp
from optimiser.site.model import Site
from tests.holding.ground import UP, path, tree
from tests.long import cases
from tests.stages.held_exhaustive import fewest_stages

GRAIN = 4.0
"""m between the marks at which a stage may end: coarse, so that every way can be tried."""
HELD = StagesQuestion(hold=True, grain=GRAIN, join_ropes=False, explain=False, most_stages=3)


def bank(spare: float, *, straps: int = 3, middle: float = 40_000.0) -> Site:
    """A bank up which the load would run back all along: one long rope, and one of a length; a tree beside
    the path half way up, others beyond its end."""
    site = path(UP)
    gear = tuple(
        replace(p, length=spare)
        if p.name == "rope 2"
        else replace(p, count=straps)
        if p.name == "strap"
        else p
        for p in site.gear
    )
    trees = (*site.anchors, tree("middle", 5.2, 1.1, 1.4, middle))
    preferences = replace(site.preferences, most_sheaves=1)
    return replace(site, gear=gear, anchors=trees, preferences=preferences)


@cache
def held(spare: float) -> Plan:
    return plan_of(bank(spare))


def plan_of(site: Site, **words: object) -> Plan:
    return plan_stages(site, replace(HELD, **words))  # type: ignore[arg-type]


def test_a_rope_too_short_to_hold_it_all_the_way_takes_stages() -> None:
    """The haul alone does it in one stage; the second rope reaches from the bottom to the tree half way, and
    from there to the trees beyond, but not all the way."""
    site = bank(12.0)
    assert len(plan_stages(site, replace(HELD, hold=False))) == 1
    plan = held(12.0)
    assert plan.proven
    assert plan.kept
    assert len(plan) == 2
    lows = [stage.holding[0].walk[-1].name for stage in plan]
    assert lows[0] != lows[1]


def test_every_stage_is_held_wherever_it_would_run() -> None:
    site = bank(12.0)
    for stage in held(12.0):
        laid = lay_stations(site, (stage.from_m, stage.to_m))
        needed = stretches(laid.pick(laid.between(stage.from_m, stage.to_m)))
        lines = [(line.way, line.from_m, line.to_m) for line in stage.holding]
        assert lines == [(one.way, one.from_m, one.to_m) for one in needed]
        assert all(line.way is Way.BACK for line in stage.holding)
        ropes = [stage.rope.name, *(line.rope.name for line in stage.holding)]
        assert len(ropes) == len(set(ropes))


def test_what_changes_between_stages_names_the_second_lines_ends() -> None:
    plan = held(13.0)
    assert [line.rope.name for stage in plan for line in stage.holding] == ["rope 2"] * 2
    moved = {move.item: (move.origin, move.target) for move in plan.changes[0].moves}
    before, after = moved["the second line's turns of rope 2"]
    assert before is not None
    assert before.startswith("middle@")
    assert after is not None
    assert after.startswith("ahead@")
    words = between(plan, 0, "metric")
    assert "Move the second line's turns of rope 2 from middle" in words
    assert "Chock the load" in words


def test_no_stage_counts_whose_gear_does_not_hold_the_load() -> None:
    """With a second rope of 2 m nothing is held anywhere, and no plan is left."""
    plan = plan_of(bank(2.0))
    assert plan.proven
    assert not plan.stages


def test_it_says_what_keeps_a_haul_from_being_held() -> None:
    plan = plan_of(bank(2.0), explain=True)
    assert plan.gap is not None
    (bare,) = plan.gap.not_held
    assert bare.stretch is not None
    assert bare.stretch.way is Way.BACK
    assert any("too short" in reason for reason in bare.reasons)
    assert any("more rope like rope 2" in cure for cure in bare.cures)


@pytest.mark.parametrize(
    ("spare", "straps", "middle"),
    cases(
        [
            (10.0, 3, 40_000.0),
            (10.0, 1, 40_000.0),
            (10.0, 2, 3_000.0),
            (7.0, 3, 40_000.0),
            (16.0, 1, 40_000.0),
            (60.0, 1, 40_000.0),
            (5.0, 3, 40_000.0),
            (12.0, 1, 40_000.0),
            (13.0, 2, 3_000.0),
        ],
        quick=[(12.0, 1, 40_000.0), (60.0, 1, 40_000.0)],
        seldom=[(10.0, 2, 3_000.0), (7.0, 3, 40_000.0), (5.0, 3, 40_000.0)],
    ),
)
def test_the_fewest_stages_are_those_of_every_way_to_part_the_gear(
    spare: float, straps: int, middle: float
) -> None:
    site = bank(spare, straps=straps, middle=middle)
    plan = plan_of(site)
    assert plan.proven
    assert (len(plan.stages) or None) == fewest_stages(site, GRAIN, 3)


def test_a_path_on_which_it_rests_has_the_plan_without_lines() -> None:
    site = path(0.0)
    ropes = tuple(p for p in site.gear if not isinstance(p.gear, Rope) or p.name == "rope 1")
    flat = replace(site, gear=ropes)
    with_lines, without = (plan_stages(flat, replace(HELD, hold=hold)) for hold in (True, False))
    assert [s.reeving for s in with_lines] == [s.reeving for s in without]
    assert [s.margin for s in with_lines] == [s.margin for s in without]


def test_with_one_rope_nothing_is_looked_at_where_the_load_has_to_be_held() -> None:
    site = bank(30.0)
    one = replace(site, gear=tuple(piece for piece in site.gear if piece.name != "rope 2"))
    assert sum(isinstance(piece.gear, Rope) for piece in one.gear) == 1
    plan = plan_of(one)
    assert plan.proven
    assert not plan.stages
    assert plan.gap is not None
    assert plan.gap.from_m == 0.0
    assert (
        plan.searches == 0
    )  # without that thought every rig is made, and refused for want of a rope


def test_where_the_time_is_up_before_the_reason_is_known_there_is_an_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """That no plan exists was proven before."""

    def up(*_: object) -> tuple[object, ...]:
        raise TimeUp

    monkeypatch.setattr("optimiser.jobs.stages.plan.not_held", up)
    plan = plan_of(bank(2.0), explain=True)
    assert plan.proven
    assert not plan.stages
    assert plan.gap is None or not plan.gap.not_held
