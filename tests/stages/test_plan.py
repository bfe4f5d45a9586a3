"""Plans in stages: bends, reach to the centimetre, agreement with the ranking, where nothing
works."""

import json
from dataclasses import replace
from itertools import pairwise
from math import asin, atan2, cos, dist, sin
from pathlib import Path

import pytest
from click.testing import CliRunner

from optimiser import plan_stages, rank, read_site
from optimiser.cli import cli
from optimiser.jobs.question import RankQuestion, StagesQuestion
from optimiser.jobs.stages.results import Plan
from optimiser.mechanics.resting import Rest
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.stations import leg_lengths
from optimiser.search.clock import Clock
from optimiser.search.rules import Rules
from optimiser.search.stages.finder import Caps, Finder, Task, TimeUp
from optimiser.search.stages.track import track
from optimiser.site.model import Site
from tests.generated import HOME, made_up

EXAMPLES = Path(__file__).parents[2] / "examples"
BEND = str(EXAMPLES / "bend.toml")
SHORT = str(EXAMPLES / "short-rope.toml")


EASY = StagesQuestion(by=("resets",), grain=2.0, explain=False, join_ropes=False)


@pytest.fixture(scope="module")
def bend() -> Site:
    return read_site(BEND)


@pytest.fixture(scope="module")
def around(bend: Site) -> Plan:
    return plan_stages(bend, StagesQuestion(by=("resets",)))


def finder(site: Site) -> Finder[Caps]:
    kit, rules = kit_of(site).rated_only, Rules.of(site.preferences.rules)
    return Finder(Task(track(site), kit, rules, True, site.preferences.enough))


def with_rope(site: Site, length: float) -> Site:
    return replace(
        site, gear=tuple(replace(p, length=length) if p.length else p for p in site.gear)
    )


# ---- bends ---------------------------------------------------------------------------------------


def test_two_bends_make_three_stages_that_end_at_the_bends(bend: Site, around: Plan) -> None:
    legs = leg_lengths(bend)

    assert around.proven
    assert [setup.to_m for setup in around.stages] == pytest.approx([*legs.cumsum()])
    assert around.resets == 2
    first, second = atan2(8.0, 3.0), atan2(1.0, 8.5)
    assert [c.turns for c in around.changes] == pytest.approx([first, first - second])
    assert all("slew" in change.why_here for change in around.changes)


def test_at_a_bend_a_stage_sees_only_its_own_leg(around: Plan) -> None:
    before, after, _ = around.stages

    assert before.profile[-1].at == after.profile[0].at
    assert before.profile[-1].slope != pytest.approx(after.profile[0].slope, abs=1e-3)


def test_at_a_bend_it_is_chocked_for_the_steeper_leg(bend: Site) -> None:
    """The middle leg is laid level: where the first one ends it would run back all the same. Half of the
    least that resists is counted on (statics; that share is a choice)."""
    first, second, third = bend.legs
    x, y, _ = second.end
    level = replace(second, end=(x, y, first.end[2]))
    lifted = replace(third, start=level.end)
    plan = plan_stages(replace(bend, legs=(first, level, lifted), origin=None), EASY)
    for change, leg in zip(plan.changes, (first, lifted), strict=True):
        a = asin((leg.end[2] - leg.start[2]) / dist(leg.start, leg.end))
        assert change.rest is Rest.RUNS
        runs = sin(a) - 0.5 * leg.resistance_low * cos(a)
        assert change.runs_back == pytest.approx(bend.load.weight * runs)
        assert change.to_spare == 0.0


def test_who_pulls_from_elsewhere_is_reported(around: Plan) -> None:
    pullers = [setup.puller.name for setup in around.stages]
    changed = [m for c in around.changes for m in c.moves if m.role == "puller"]

    assert len(changed) == sum(a != b for a, b in pairwise(pullers))


# ---- reach ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("resets", [0, 1, float("inf")])
def test_reach_is_found_to_the_centimetre(resets: float) -> None:
    """A made-up site with too short a rope: the furthest mark is a step short of one that no setup
    reaches, as a search with nothing known beforehand says too."""
    site = with_rope(made_up(HOME, 3), 42.0)
    finding = finder(site)
    caps = Caps(site.preferences.margin_wanted, resets)
    mark = finding.furthest(0, caps)

    assert 0 < mark < finding.track.end
    fresh = finder(site)
    assert fresh.exists(0, mark, caps)
    assert not fresh.exists(0, mark + 1, caps)
    assert finding.track.marks[mark + 1] - finding.track.marks[mark] <= 0.01 + 1e-9


def test_reach_back_from_the_end_is_found_to_the_centimetre() -> None:
    """The same the other way round: the first mark from which any setup reaches the end of the path."""
    site = with_rope(made_up(HOME, 3), 42.0)
    finding = finder(site)
    caps, end = Caps(site.preferences.margin_wanted), finding.track.end
    mark = finding.earliest(end, caps)

    assert 0 < mark < end
    fresh = finder(site)
    assert fresh.exists(mark, end, caps)
    assert not fresh.exists(mark - 1, end, caps)


def test_what_ends_a_stage_is_given_exactly_where_the_path_goes_on(
    bend: Site, around: Plan
) -> None:
    whole = leg_lengths(bend).sum()
    for setup, reach in zip(around.stages, around.reaches, strict=True):
        assert 0.0 <= reach.from_m <= setup.from_m < setup.to_m <= reach.to_m <= whole + 1e-9
        assert (reach.before == "") == (reach.from_m == 0.0)
        assert (reach.beyond == "") == (reach.to_m == pytest.approx(whole))


def test_what_works_on_a_stretch_works_on_its_parts(bend: Site) -> None:
    finding = finder(bend)
    caps = Caps(bend.preferences.margin_wanted)
    for begin, end in ((0, 901), (901, 1757), (1200, 1500)):
        if finding.exists(begin, end, caps):
            assert finder(bend).exists(begin + 100, end - 100, caps)


def test_the_clock_is_kept(bend: Site) -> None:
    finding = finder(bend)
    stopped = Finder[Caps](replace(finding.task, clock=Clock(0.0, None)))

    with pytest.raises(TimeUp):
        stopped.exists(0, 100, Caps(1.0))


def marks_of(site: Site, plan: Plan) -> list[int]:
    marks = track(site).marks
    ends = [0.0, *(setup.to_m for setup in plan.stages)]
    return [int(abs(marks - end).argmin()) for end in ends]


def test_a_chain_known_to_do_is_the_plan_however_soon_the_time_is_up(
    bend: Site, around: Plan
) -> None:
    assert not plan_stages(bend, StagesQuestion(time_limit=0.0)).stages

    cut = plan_stages(bend, StagesQuestion(time_limit=0.0), known=marks_of(bend, around))

    assert not cut.proven
    assert [(s.from_m, s.to_m) for s in cut.stages] == [(s.from_m, s.to_m) for s in around.stages]


def test_a_chain_that_takes_gear_that_is_not_there_is_no_plan(bend: Site, around: Plan) -> None:
    bare = replace(bend, gear=())

    cut = plan_stages(
        bare, StagesQuestion(time_limit=0.0, explain=False), known=marks_of(bend, around)
    )

    assert not cut.stages


# ---- with the ranking ----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("order", [("resets", "margin", "rope"), ("margin", "resets", "rope")])
def test_where_one_stage_is_enough_the_ranking_agrees(seed: int, order: tuple[str, ...]) -> None:
    site = made_up(HOME, seed)
    first = rank(site, RankQuestion(by=order, explain=False))[0]
    plan = plan_stages(site, StagesQuestion(by=("stages", *order)))

    (only,) = plan.stages
    assert only.walk == first.walk
    assert (only.resets, only.rope_needed) == (first.resets, first.rope_needed)
    assert only.margin == pytest.approx(first.margin)
    assert only.gear == first.gear
    assert plan.proven


def test_another_order_is_obeyed(around: Plan, bend: Site) -> None:
    by_rope = plan_stages(bend, StagesQuestion(by=("stages", "rope")))

    assert by_rope.order[:2] == ("stages", "rope")
    assert by_rope.rope_needed is not None
    assert around.rope_needed is not None
    assert by_rope.rope_needed <= around.rope_needed + 0.01
    with pytest.raises(ValueError, match="speed"):
        plan_stages(bend, StagesQuestion(by=("speed",)))


# ---- where nothing works -------------------------------------------------------------------------


def test_where_no_chain_covers_the_path_it_states_from_where_and_why(bend: Site) -> None:
    """Without the yew nothing pulls along the second leg."""
    site = replace(bend, anchors=tuple(a for a in bend.anchors if a.name != "yew"))
    plan = plan_stages(site)
    first, second, _ = leg_lengths(site).cumsum()

    assert not plan.stages
    assert plan.proven
    assert plan.gap is not None
    assert plan.gap.from_m <= first + 0.5
    assert first < plan.gap.to_m <= second + 0.5
    assert plan.gap.misses


def test_too_few_stages_allowed(bend: Site) -> None:
    plan = plan_stages(bend, StagesQuestion(most_stages=2))

    assert not plan.stages
    assert plan.needs_stages == 3


# ---- the command ---------------------------------------------------------------------------------


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli, ["stages", *words], standalone_mode=False)
    assert result.exception is None, result.exception
    return result.return_value or 0, result.stdout


def test_json_is_one_object_with_stages_and_totals() -> None:
    code, found = run(SHORT, "--format", "json")
    answer = json.loads(found)

    assert code == 0
    assert answer["stages_count"] == len(answer["stages"]) == 2
    assert answer["resets"] == sum(stage["resets"] for stage in answer["stages"]) + 1
    assert answer["margin"] == min(stage["margin"] for stage in answer["stages"])
    assert answer["rope_needed_m"] == max(stage["rope_needed_m"] for stage in answer["stages"])
    assert answer["proven"] is True
    assert answer["stages"][0]["to_m"] == answer["stages"][1]["from_m"]
    assert answer["stages"][1]["reeving"][0] == "load"


def test_the_table_has_a_row_a_stage_and_a_total() -> None:
    code, found = run(SHORT, "--format", "csv")
    rows = found.strip().split("\n")

    assert code == 0
    assert [row.split(",")[0] for row in rows] == ["stage", "1", "2", "all"]


def test_people_read_what_to_do_between() -> None:
    _, found = run(BEND)

    assert "Between stage 1 and stage 2" in found
    assert "Chock the load before the line goes slack" in found
    assert "turn the load on the spot" in found
    assert "Stage 3: what every piece carries" in found
    assert max(len(line) for line in found.split("\n")) <= 100


def test_exit_3_and_how_many_stages_it_takes() -> None:
    result = CliRunner().invoke(cli, ["stages", BEND, "--most-stages", "2"], standalone_mode=False)

    assert "--most-stages 3" in result.stdout
    assert isinstance(result.exception, SystemExit) or result.return_value == 3
