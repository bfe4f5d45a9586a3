"""Two lines on one load: what keeps it where it would run back, or on, by itself."""

from collections import Counter
from dataclasses import replace
from math import atan, ceil, cos, exp, radians, sin

import pytest

from optimiser.jobs.hold.find import hold, needed
from optimiser.jobs.hold.spare import spare_site, used_by
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.mechanics.resting import Rest
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.setup import Way
from optimiser.telling.detail import detail
from optimiser.telling.hold import line_worded
from optimiser.telling.stages import stage
from optimiser.telling.tables import setup_json
from tests.holding.ground import DOWN, LONG, LOW, UP, WEIGHT, gear, path, with_weak_tree


def test_where_a_load_has_to_be_held() -> None:
    """W (sin - c cos) with half the lowest resistance, back on the way up and on on the way down."""
    on, back = needed(path(DOWN, UP))
    force = WEIGHT * (sin(UP) - 0.5 * LOW * cos(UP))

    assert (on.way, back.way) == (Way.ON, Way.BACK)
    assert on.force == pytest.approx(force)
    assert back.force == pytest.approx(force)
    assert on.from_m == 0.0
    assert on.to_m == pytest.approx(LONG)
    assert back.from_m == pytest.approx(LONG)
    assert back.to_m == pytest.approx(2 * LONG)


def test_a_gentle_slope_holds_by_itself() -> None:
    """Up to tan(slope) = c / 2 nothing runs: no line, and none shown."""
    gentle = path(0.02, -0.02)
    ranking = rank(gentle, RankQuestion(hold=True, explain=False))

    assert needed(gentle) == ()
    assert ranking.setups
    assert ranking.not_held is None
    assert all(not setup.holding for setup in ranking)


def test_a_dip_is_hauled_only_with_a_holding_line() -> None:
    dip = path(DOWN, UP)

    assert not rank(dip, RankQuestion(explain=False)).setups
    ranking = rank(dip, RankQuestion(hold=True, explain=False))
    assert ranking.proven
    assert ranking.setups
    for setup in ranking:
        on, back = setup.holding
        assert (on.way, back.way) == (Way.ON, Way.BACK)
        assert on.walk[-1].name == "behind"
        assert back.walk[-1].name == "ahead"
        downhill = [row for row in setup.profile if row.slope < -0.1]
        assert downhill
        assert all(row.pull == 0.0 for row in downhill)
        assert all(row.ground_reaction > 0.0 for row in setup.profile)


def test_the_line_carries_no_less_than_the_load_runs_with() -> None:
    """A line straight up the slope carries the force along the ground over the cosine of its angle to
    it; the turns leave the hand the rest by the capstan equation."""
    uphill = path(UP)
    ranking = rank(uphill, RankQuestion(hold=True, explain=False))

    assert ranking.setups
    for setup in ranking:
        (line,) = setup.holding
        grip = grip_of(line.rope.gear)
        assert grip is not None
        if len(line.walk) == 2:
            assert line.force <= line.line <= 1.2 * line.force
        assert line.hand == pytest.approx(
            line.line / exp(grip.low * 2.0 * 3.141592653589793 * line.turns)
        )
        assert line.hand <= line.hand_limit
        assert line.rope.name not in {rope.rope.name for rope in setup.lines}


def test_both_lines_use_each_piece_once() -> None:
    uphill = path(UP)
    owned = {piece.name: piece.count for piece in uphill.gear}
    for setup in rank(uphill, RankQuestion(hold=True, explain=False)):
        used = used_by(setup)
        for line in setup.holding:
            both = used + Counter(
                h.item for h in line.gear if h.role in ("strap", "shackle", "block")
            )
            both[line.rope.name] += 1
            assert all(many <= owned[name] for name, many in both.items())


def test_no_second_rope_no_holding_line() -> None:
    single = replace(path(UP), gear=gear(ropes=1))
    setup = rank(single, RankQuestion(explain=False))[0]

    found = hold(single, setup)

    assert found.lines == ()
    assert [stretch.way for stretch in found.missing] == [Way.BACK]
    assert not rank(single, RankQuestion(hold=True, explain=False)).setups
    assert rank(single, RankQuestion(hold=True, explain=False)).not_held
    result = dict(detail(single, setup, spare=found))["Second line on the load"]
    assert "NOTHING that the haul leaves" in str(result)


def test_an_anchor_under_both_lines_stands_both() -> None:
    """The tree ahead that just stands the haul is not given the holding line too."""
    uphill = path(UP)
    setup = next(
        s
        for s in rank(uphill, RankQuestion(hold=True, explain=False))
        if "ahead" in {p.name for p in s.walk}
    )
    demand = next(c.demand for c in setup.components if c.item == c.place == "ahead")
    (line,) = setup.holding
    more = next(c.demand for c in line.components if c.item == c.place == line.walk[-1].name)
    assert line.walk[-1].name == "ahead"

    enough = with_weak_tree(uphill, "ahead", (demand + more) * 1.001)
    short = with_weak_tree(uphill, "ahead", (demand + more) * 0.8)

    assert hold(enough, setup).complete
    kept = {a.name: a.strength.capacity for a in spare_site(short, setup).anchors}
    assert kept["ahead"] == pytest.approx((demand + more) * 0.8 - demand)
    assert all(new.line < line.line for new in hold(short, setup).lines)


def test_the_margin_of_the_haul_is_its_own() -> None:
    uphill = path(UP)
    plain = {
        setup.reeving + setup.attachment: setup
        for setup in rank(uphill, RankQuestion(top=40, explain=False))
    }

    for setup in rank(uphill, RankQuestion(hold=True, explain=False)):
        assert setup.margin == plain[setup.reeving + setup.attachment].margin
        assert any(c.key == "holding_tended" for c in setup.cautions)


def test_show_and_json_report_the_line() -> None:
    uphill = path(UP)
    setup = rank(uphill, RankQuestion(hold=True, explain=False))[0]
    found = str(dict(detail(uphill, setup))["Second line on the load"])
    (data,) = setup_json(setup, full=True)["holding"]

    assert "runs back by itself" in found
    assert "take in" in found
    assert data["rope"] == setup.holding[0].rope.name
    assert data["line_N"] == setup.holding[0].line


@pytest.mark.parametrize("kind", ["short", "same rope", "weak hand", "not there"])
def test_a_spoiled_holding_line_is_refused(kind: str) -> None:
    dip = path(DOWN, UP)
    setup = rank(dip, RankQuestion(hold=True, explain=False))[0]
    verify(dip, setup)
    on, back = setup.holding
    spoiled = {
        "short": replace(setup, holding=(on, replace(back, to_m=back.to_m - 1.0))),
        "same rope": replace(setup, holding=(on, replace(back, rope=setup.rope))),
        "weak hand": replace(setup, holding=(on, replace(back, hand=back.hand_limit * 1.1))),
        "not there": replace(setup, holding=(back,)),
    }

    with pytest.raises(VerificationError):
        verify(dip, spoiled[kind])


def test_each_stage_reports_what_is_left_to_hold_it_with() -> None:
    """With the force on that stage alone, the next leg's slope left aside."""
    site = path(radians(6.0), UP)
    plan = plan_stages(site)
    assert plan.stages
    for setup, reach in zip(plan.stages, plan.reaches, strict=True):
        found = dict(stage(site, setup, reach))[f"Stage {setup.rank}: second line on the load"]
        worst = max(row.runs_back for row in setup.profile)
        assert f"{ceil(worst / 10.0) / 100.0:.2f} kN along the ground" in str(found)  # rounded up


@pytest.mark.parametrize(
    ("gradient", "status"),
    [(0.024, None), (0.026, Rest.TOO_CLOSE), (0.049, Rest.TOO_CLOSE), (0.051, Rest.RUNS)],
)
def test_a_slope_near_balance_is_held_too(gradient: float, status: Rest | None) -> None:
    """The least resistance is 0.05: half of it keeps the load up to a gradient of 0.025."""
    site = path(atan(gradient))
    found = needed(site)
    setup = rank(site, RankQuestion(explain=False))[0]
    cautions = {c.key: c.text for c in setup.cautions}

    assert [stretch.rest for stretch in found] == ([] if status is None else [status])
    assert ("runs_back" in cautions) == (status is not None)
    if status is not None:
        (line,) = hold(site, setup).lines
        assert line.rest is status
        assert line.line > 0.0
        words = "may run (too close to call) back" if status is Rest.TOO_CLOSE else "runs back"
        assert words in cautions["runs_back"]
        assert words in line_worded(line, "metric")


def test_a_haul_downhill_states_that_the_load_may_run_on() -> None:
    """It needs a pull where the ground is as it likely is, 0.1, and runs on where it is at its least."""
    site = path(-atan(0.06))
    setup = rank(site, RankQuestion(explain=False))[0]

    assert setup.pull > 0.0
    text = next(c.text for c in setup.cautions if c.key == "runs_on")
    assert "runs on downhill" in text
    assert "rank --hold" in text
    assert all(row.runs_on > 0.0 and row.rest is Rest.RUNS for row in setup.profile)
    held = rank(site, RankQuestion(hold=True, explain=False))[0]
    assert [line.way for line in held.holding] == [Way.ON]
