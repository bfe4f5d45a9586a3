"""The example of a rope just too short, against what everyone who hauls knows (common practice, no
source)."""

from math import cos, sin
from pathlib import Path

import pytest

from optimiser import plan_stages, rank, read_site
from optimiser.jobs.question import RankQuestion, StagesQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.jobs.stages.results import Plan
from optimiser.rig.ground.stations import lay_stations
from optimiser.site.model import Site

EXAMPLE = Path(__file__).parents[2] / "examples" / "short-rope.toml"


@pytest.fixture(scope="module")
def site() -> Site:
    return read_site(str(EXAMPLE))


@pytest.fixture(scope="module")
def plan(site: Site) -> Plan:
    return plan_stages(site)


def test_a_change_of_direction_first_then_a_tackle(plan: Plan) -> None:
    assert plan.proven
    assert [setup.parts for setup in plan.stages] == [1, 3]
    assert plan.stages[0].from_m == 0.0
    assert plan.stages[0].to_m == plan.stages[1].from_m
    assert plan.resets == sum(setup.resets for setup in plan.stages) + 1


def test_one_fixed_lead_block_gains_nothing(site: Site, plan: Plan) -> None:
    """The pull is the resistance plus the friction of the block: the line runs along the path but
    for a few degrees, so the two agree to some per cent."""
    first = plan.stages[0]
    (eta,) = first.etas
    row = max(first.profile, key=lambda r: r.pull)
    resistance = site.load.weight * (sin(row.slope) + site.legs[0].resistance * cos(row.slope))

    assert row.pull * eta == pytest.approx(resistance, rel=0.03)
    assert row.pull > resistance
    assert 0.95 < row.ideal_advantage <= 1.0


def test_re_reeved_three_parts_pull_on_the_load(plan: Plan) -> None:
    """Standing end left on the load, one travelling block, two fixed ones: three parts, of which
    the standing end is one, and an advantage near three without friction."""
    tackle = plan.stages[1]
    kinds = [place.kind for place in tackle.walk]

    assert kinds == ["load", "anchor", "load", "anchor", "puller"]
    assert tackle.parts == 3
    assert 2.7 < tackle.ideal_advantage <= 3.0
    assert tackle.actual_advantage < tackle.ideal_advantage


def test_the_rope_that_just_reaches_through_one_lead_cannot_be_reeved_in_three_parts(
    site: Site,
) -> None:
    stations = lay_stations(site)
    near_start = stations.pick(stations.between(0.0, 1.0))
    found = rank_hauls(
        site, RankQuestion(everything=True, top=500, explain=False), stations=near_start
    )

    assert {setup.parts for setup in found} == {1}
    rope = next(piece.length for piece in site.gear if piece.length)
    assert max(setup.rope_needed for setup in found) <= rope


def test_one_setup_does_not_do(site: Site) -> None:
    assert not rank(site, RankQuestion(top=1, explain=False)).setups
    assert plan_stages(site, StagesQuestion(most_stages=1)).needs_stages == 2


def test_the_second_rig_begins_where_the_rope_reaches(plan: Plan) -> None:
    reach = plan.reaches[1]

    assert reach.from_m <= plan.stages[1].from_m
    assert reach.before.startswith("the rope is too short")
    assert reach.to_m == pytest.approx(plan.stages[1].to_m)
    assert reach.beyond == ""


def test_between_the_stages_block_and_strap_move_and_the_end_stays(plan: Plan) -> None:
    (change,) = plan.changes
    stays = [move.item for move in change.stays]

    assert "standing end of 30 m rope" in stays
    assert {move.role for move in change.moves} >= {"strap", "block"}
    assert change.turns == 0.0


def test_the_load_holds_or_runs_back_as_the_slope_says(site: Site, plan: Plan) -> None:
    """On the meadow its slope of 0.6 in 15.5 lies between half the least rolling resistance of 0.045 and
    all of it: too close to call."""
    (change,) = plan.changes
    slope = 0.6 / 15.5

    expected = site.load.weight * (slope - 0.5 * 0.045) / (1 + slope**2) ** 0.5
    assert change.rest.word == "too close to call"
    assert change.runs_back == pytest.approx(expected)
    assert change.to_spare == 0.0
