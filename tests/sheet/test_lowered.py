"""The sheet of a way down: what it says, and the files it is written to."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from optimiser.cli import main
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion
from optimiser.rig.ground.keepout import Danger, within
from optimiser.sheet.page import lowering_page, lowering_sheet
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.write import html
from tests.generated import made_up
from tests.sheet.layouts import EXAMPLES, RECIPES, let_down, ways_down

HELD = Lowered(*let_down())


def test_the_force_drawn_is_that_of_the_answer_in_the_order_of_the_path() -> None:
    rows = HELD.setup.profile[::-1]

    assert HELD.at == pytest.approx([row.at for row in rows])
    assert HELD.forces == pytest.approx([row.hand for row in rows])
    assert (HELD.at[HELD.begin], HELD.at[HELD.end]) == (HELD.setup.from_m, HELD.setup.to_m)


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_nothing_is_beyond_its_limit_below_the_force_to_stop_at(path: Path | None) -> None:
    """Nor does the limit promise more than the margin: at the worst place of the weakest piece it is
    the margin times the force there."""
    for lowered in ways_down(path):
        able = lowered.forces > 0.0
        worst = float((lowered.limits[able] / lowered.forces[able]).min())
        assert 1.0 - 1e-6 <= worst <= lowered.setup.margin * (1 + 1e-6)


def test_steps_go_from_chock_to_chock() -> None:
    found = lowering_page(HELD).steps
    turns = next(i for i, step in enumerate(found) if "full turns round the trunk" in step)
    chocks = [i for i, step in enumerate(found) if "hock" in step]
    off = next(i for i, step in enumerate(found) if step.startswith("Take the chocks away"))

    assert chocks[0] < turns < off < chocks[-1] == len(found) - 1
    assert any("Wrap" in step for step in found)
    assert "Ease out" in found[-2]


def test_both_the_hand_and_the_line_are_reported_with_their_units() -> None:
    found = dict(lowering_page(HELD).facts)

    assert "N in the hand; line " in found["At worst"]
    assert found["Held by"].startswith("2 full turns round")
    assert lowering_page(HELD).stops[0].startswith("Expected in the hand is")


def test_nobody_stands_below_and_the_hand_is_drawn() -> None:
    assert any(area.danger is Danger.BELOW for area in HELD.areas)
    assert HELD.ropes[0].turns == HELD.setup.turns > 0
    assert HELD.puller is None


@cache
def paid_out() -> Lowered:
    """A made-up site on which a vehicle holds, with one new grip on the way."""
    site = made_up(RECIPES[17 % len(RECIPES)], 17)
    setup = next(s for s in lower(site, LowerQuestion(top=20)) if s.holder is not None and s.resets)
    return Lowered(site, setup)


def test_a_puller_that_pays_out_begins_at_the_far_end_of_its_run_and_comes_back() -> None:
    lowered = paid_out()
    (rope,) = lowered.ropes
    far, near = lowered.scene.spots[-1], lowered.scene.spots[0]

    assert rope.turns == 0
    assert rope.near[lowered.begin, -1] == pytest.approx(far)
    assert rope.far[lowered.begin, -1] == pytest.approx(near)
    assert any("at the far end of its run" in step for step in lowering_page(lowered).steps)


def test_new_holds_are_reported_from_the_top_down() -> None:
    lowered = paid_out()
    found = lowering_page(lowered)

    assert len(lowered.stops) == lowered.setup.resets
    assert list(lowered.stops) == sorted(lowered.stops, reverse=True)
    assert found.resets_title == "New grips"
    assert found.resets[1].startswith(f"New grip 1: load at {lowered.stops[0]:.2f} m")


def test_a_puller_that_pays_out_below_the_load_is_the_first_thing_reported() -> None:
    lowered = paid_out()
    holder = lowered.setup.holder
    assert holder is not None
    low = replace(holder, position=(-3.0, 0.0, -1.0), run=0.0, anchor=None)
    found = lowering_page(Lowered(lowered.site, replace(lowered.setup, holder=low)))

    assert found.facts[0][0] == "LOOK OUT"
    warned = [text for name, text in found.facts if name == "LOOK OUT"]
    assert any("stands below a load that can run back" in text for text in warned)


def test_shares_are_of_the_hold() -> None:
    (rope,) = HELD.ropes
    assert rope.shares is not None
    assert rope.shares.sum() == pytest.approx(1.0)
    assert rope.carries.max() == pytest.approx(max(HELD.setup.line, float(rope.carries[0])))
    assert np.all(rope.carries >= HELD.setup.line * 0.999)


def test_a_page_a_stage() -> None:
    staged = [p for p in EXAMPLES if len(ways_down(p)) > 1]
    for path in staged:
        site = ways_down(path)[0].site
        answer = lower(site, LowerQuestion(top=1))
        made = lowering_sheet(site, answer)
        assert len(made.pages) == len(answer.stages)
        assert html(made).count("<section>") == len(answer.stages)
        assert len(lowering_sheet(site, answer, 2).pages) == 1


def test_where_the_path_bends_the_load_is_turned_before_the_next_stage() -> None:
    stages = ways_down(next(p for p in EXAMPLES if p.stem == "bend"))
    bends = ["The path bends by" in " ".join(lowering_page(x).steps) for x in stages]

    assert not bends[0]
    assert any(bends[1:])
    assert all("chocked from the stage before" in lowering_page(x).steps[1] for x in stages[1:])


def test_the_command_writes_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "down.html"

    assert main(["lower", "--show", "2", "-o", str(target)]) == 0

    assert f"wrote {target}" in capsys.readouterr().out
    found = target.read_text(encoding="utf-8")
    assert "LETTING DOWN. Hold 2" in found
    assert "Where nobody stands" in found


def test_nothing_is_written_where_nothing_is_held(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    level = next(p for p in EXAMPLES if not ways_down(p))
    target = tmp_path / "down.html"

    main(["lower", str(level), "-o", str(target)])

    assert "no sheet written" in capsys.readouterr().err
    assert not target.exists()


def test_a_wrong_ending_is_one_message(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lower", "-o", "down.doc"]) == 2
    assert "ends in none of .html" in capsys.readouterr().err


def test_the_chart_compares_only_forces_of_one_kind() -> None:
    """A hand behind its turns and a puller that pays out have no chart in common."""
    site = paid_out().site
    answer = lower(site, LowerQuestion(top=5))
    made = lowering_sheet(site, answer, paid_out().setup.rank, compare=4)

    assert {drawn.force_name for drawn in made.compared[0]} == {made.pages[0].drawn.force_name}


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_the_hand_has_room_beside_the_areas_or_it_is_reported(path: Path | None) -> None:
    """Not in a gap between two lanes that is narrower than a person."""
    for lowered in ways_down(path):
        for rope in lowered.ropes:
            if not rope.turns:
                continue
            (x, y), clear = hand_of(lowered, rope).at, hand_of(lowered, rope).clear
            around = [(x + dx, y + dy) for dx in (-0.35, 0.0, 0.35) for dy in (-0.35, 0.0, 0.35)]
            met = any(within(spot, a.corners) for a in lowered.areas for spot in around)
            found = any(name == "LOOK OUT" for name, _ in lowering_page(lowered).facts)
            assert found if met else clear
