"""Sheets with more than one rope: tackle on tackle, holding lines; and a rope that is joined."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from optimiser.cli import main
from optimiser.rig.ground.keepout import Danger, within
from optimiser.rig.setup import Hung, Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.page import Page, page, sheet
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.write import write
from optimiser.site.model import Joined
from tests.compound.sites import BIGHT
from tests.sheet.layouts import EXAMPLES, kept_in_hand, made_up_compounds, with_two_ropes
from tests.words.hand_made import NYLON, SETUP, SITE

TWO = Rigged(*with_two_ropes())
MOVED = next(made_up_compounds(1, (6,)))
"""A tackle on a tackle whose grip is moved back on the way."""


def order(printed: Page, *beginnings: str) -> list[int]:
    """At which step each text stands first."""
    return [next(i for i, step in enumerate(printed.steps) if text in step) for text in beginnings]


@pytest.mark.parametrize("rigged", [TWO, MOVED], ids=["example", "moved"])
def test_parts_are_numbered_through_both_ropes(rigged: Rigged) -> None:
    main_, second = rigged.ropes
    found = [row[0] for row in page(rigged).parts]

    assert (main_.first, second.first) == (1, len(main_.walk))
    assert found == [str(i + 1) for i in range(len(main_.walk) + len(second.walk) - 2)]
    assert main_.style != second.style
    assert (main_.called, second.called) == ("main rope", "second rope")


@pytest.mark.parametrize("rigged", [TWO, MOVED], ids=["example", "moved"])
def test_the_first_rope_then_the_grip_then_the_second_then_the_haul(rigged: Rigged) -> None:
    found = page(rigged)
    steps = order(
        found, "(main rope) without kinks", "Make the grip", "(second rope) without kinks",
        "See the grip bite", "Haul slowly",
    )  # fmt: skip

    assert steps == sorted(steps)
    assert any("grip slips" in text for text in found.stops)


def test_every_move_of_the_grip_is_reported_and_counted() -> None:
    moves = len(MOVED.setup.moved)
    found = page(MOVED).resets

    assert moves > 0
    assert sum("MOVE THE GRIP BACK, to about" in line for line in found) == moves
    assert f"at {moves} of them the grip is moved back" in dict(page(MOVED).facts)["Resets"]


@pytest.mark.parametrize("rigged", [TWO, MOVED], ids=["example", "moved"])
def test_the_grip_lies_on_the_main_rope_and_its_rope_keeps_its_length(rigged: Rigged) -> None:
    """On the straight line between the main rope's last place and the second's anchor; and with the
    load anywhere between two moves the main rope up to the grip is as long as at any other place."""
    main_, second = rigged.ropes
    anchor = second.near[
        0, next(i for i, p in enumerate(second.walk) if p.kind is PlaceKind.ANCHOR)
    ]
    way = main_.near[:, -1] - main_.near[:, -2]
    whole = anchor - main_.near[:, -2]
    assert np.cross(way, whole) == pytest.approx(np.zeros_like(way), abs=1e-6)

    length = np.linalg.norm(np.diff(main_.near, axis=1), axis=2).sum(axis=1)
    moves = [float(rigged.at[0]) - 1.0, *rigged.setup.moved, float(rigged.at[-1]) + 1.0]
    for number, (begin, end) in enumerate(pairwise(moves)):
        inside = (rigged.at > begin + 1e-6) & (rigged.at < end - 1e-6)
        # Where the load comes by the last place the rope is slack for a while, and the picture stops.
        assert length[inside].max() == pytest.approx(rigged.setup.gripped[number], abs=1e-6)


@pytest.mark.parametrize("rigged", [TWO, MOVED], ids=["example", "moved"])
def test_the_parts_at_the_grip_pull_as_much_as_the_main_rope_carries(rigged: Rigged) -> None:
    main_, second = rigged.ropes
    at_grip = sum(second.carries[k] for k in range(len(second.walk) - 1) if second.pulls(k))

    assert at_grip == pytest.approx(main_.carries[-1])
    assert second.shares is not None
    assert second.shares.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("rigged", [TWO, MOVED], ids=["example", "moved"])
def test_both_ropes_have_their_keep_out_areas(rigged: Rigged) -> None:
    lanes = {frozenset(a.about) for a in rigged.areas if a.danger is Danger.RECOIL}
    for course in rigged.setup.courses:
        assert {frozenset(part) for part in pairwise(course)} <= lanes


def test_every_piece_is_laid_out_as_often_as_it_hangs() -> None:
    setup = MOVED.setup
    record = {item.name: item.count for item in page(MOVED).gear}

    for name in {h.item for h in setup.gear if h.role in ("block", "shackle", "strap")}:
        assert record[name] == sum(h.item == name and h.role != "end" for h in setup.gear)
    assert all(line.rope.name in record for line in setup.lines)


@pytest.mark.parametrize("ending", ["html", "pdf", "svg", "png"])
def test_two_ropes_in_each_kind_of_file(ending: str, tmp_path: Path) -> None:
    target = tmp_path / f"two.{ending}"

    assert write(sheet(MOVED.site, [MOVED.setup]), target) == (target,)
    assert target.stat().st_size > 20_000


# ---- holding lines ---------------------------------------------------------------------------------


def test_a_holding_line_is_drawn_reported_and_added_up() -> None:
    rigged = Rigged(*kept_in_hand("dip"))
    found = page(rigged)
    first, second = rigged.holding

    assert (first.called, second.called) == ("holding line 1", "holding line 2")
    assert len({rope.style for rope in rigged.ropes}) == 3
    assert [loads.title for loads in found.loads[1:]] == [
        "What each piece of the holding line 1 carries at most",
        "What each piece of the holding line 2 carries at most",
    ]
    steps = order(
        found, "Holding line 1: it is needed", "Holding line 2: it is needed", "Haul slowly"
    )
    assert steps == sorted(steps)
    laid_out = {item.name for item in found.gear}
    assert {line.rope.name for line in rigged.setup.holding} <= laid_out
    assert len(found.parts) == len(rigged.setup.walk) - 1 + len(first.walk) + len(second.walk) - 2


def test_nobody_stands_where_a_load_would_run_on() -> None:
    """Down the first leg it runs on: the way ahead of it is hatched as the way below it is."""
    rigged = Rigged(*kept_in_hand("dip"))
    below = [a.corners for a in rigged.areas if a.danger is Danger.BELOW]
    down, up = rigged.setup.holding

    assert (down.way, up.way) == ("on", "back")
    x, y, _ = rigged.site.legs[0].end
    for spot in ((x - 1.0, y + 2.5), (x + 1.0, y - 2.5)):
        assert any(within(spot, corners) for corners in below)
    assert any("run on downhill" in text for text in page(rigged).keep_out)


@pytest.mark.parametrize("kind", ["up", "dip"])
def test_a_hand_stands_behind_its_trunk_and_clear_of_the_lines(kind: str) -> None:
    rigged = Rigged(*kept_in_hand(kind))
    for rope in rigged.holding:
        hand = hand_of(rigged, rope)
        trunk = rigged.site.anchor(rope.walk[-1].name)

        assert np.hypot(*np.subtract(hand.at, trunk.position[:2])) >= trunk.radius + 1.83
        x, y = hand.at
        around = [(x + dx, y + dy) for dx in (-0.35, 0.0, 0.35) for dy in (-0.35, 0.0, 0.35)]
        if hand.clear:
            assert not any(within(s, a.corners) for a in rigged.areas for s in around)


def test_a_hand_that_cannot_stand_clear_is_the_first_thing_reported(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("optimiser.sheet.shown.hands.within", lambda *_: True)
    found = page(Rigged(*kept_in_hand("up")))

    assert found.facts[0][0] == "LOOK OUT"
    assert "is clear of every hatched area" in found.facts[0][1]


# ---- ropes that are joined -------------------------------------------------------------------------


def joined(bend: bool) -> Setup:
    """The hand-made haul with a rope of two, joined in part 2, or lengthened at its standing end."""
    one, other = replace(NYLON, name="first half"), replace(NYLON, name="second half")
    rope = replace(
        NYLON, name="both", joined=Joined(first=one, second=other, bend=BIGHT if bend else None)
    )
    hung = (
        Hung(place="the join", role=Role.BEND, item="both", how="sheet bend", nodes=(1, 2))
        if bend
        else Hung(place="load", role=Role.EXTENSION, item="first half", how="pulled", nodes=(0,))
    )
    return replace(SETUP, rope=rope, gear=(*SETUP.gear, hung))


def test_a_join_is_reported_with_its_part_and_kept_from_the_blocks() -> None:
    found = page(Rigged(SITE, joined(True)))
    (step,) = [s for s in found.steps if "No rope is long enough alone" in s]

    assert (
        "join first half, which begins at the standing end, to second half with a sheet bend"
        in step
    )
    assert "in part 2, between B ash, 0.40 m up and A trailer" in step
    assert "must not run into a block" in step
    assert "Stop before the join of the rope runs into a block." in found.stops
    assert {"first half", "second half"} <= {item.name for item in found.gear}


def test_what_lengthens_a_rope_is_reported() -> None:
    found = page(Rigged(SITE, joined(False)))

    assert any(
        "second half is too short alone: make first half fast at A trailer" in s
        for s in found.steps
    )


def test_the_command_draws_setups_with_their_holding_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = next(p for p in EXAMPLES if p.stem == "side-tree")
    target = tmp_path / "held.html"

    assert main(["sheet", str(source), "--hold", "-o", str(target)]) == 0

    assert f"wrote {target}" in capsys.readouterr().out
    assert "How the steering line runs" in target.read_text(encoding="utf-8")
