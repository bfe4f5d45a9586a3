"""What stands on the sheet, by hand where it can be, and the files it is written to."""

from dataclasses import replace
from math import pi
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from optimiser.cli import main
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.sheet.booklet import in_one_line
from optimiser.sheet.drawing import labels
from optimiser.sheet.drawing.labels import Board, Label
from optimiser.sheet.drawing.panel import Panel, blank, drawing
from optimiser.sheet.drawing.pictures import HEADING, WIDE
from optimiser.sheet.page import page, plan_sheet, sheet
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.write import html, pdf, write
from optimiser.site.reading import demonstration_text, read_site
from tests.properties.moved_files import Move
from tests.sheet.layouts import EXAMPLES, answers, faults
from tests.words.hand_made import SETUP, SITE

HAND = Rigged(SITE, SETUP)


def test_shares_are_those_of_the_parts_that_end_at_the_load() -> None:
    """Three parts pull on the load; friction takes a tenth at each sheave, so that from the standing
    end they carry 0.81, 0.9 and 1 of the pull. At the worst place, the end of the path, the winch is
    aside: 3.5 m ahead and 6 m to the left, so that its part pulls forward with 0.5 of its tension and
    the others with nearly all: 0.81 / (0.81 + 0.9 + 0.5) = 37 %."""
    (rope,) = HAND.ropes
    assert rope.shares is not None
    assert rope.shares.sum() == pytest.approx(1.0)
    assert rope.carries == pytest.approx(420.0 * np.array((0.81, 0.9, 1.0)))
    assert page(HAND).parts[0][:4] == ("1", "A trailer", "B ash", "37 %")


def test_places_are_lettered_from_the_standing_end() -> None:
    assert HAND.letters == {("load", ""): "A", ("anchor", "ash"): "B", ("puller", "winch"): "C"}


def test_steps_follow_the_rope_from_its_standing_end_to_the_puller() -> None:
    found = page(HAND).steps
    parts = [step for step in found if step.startswith("Part ")]

    assert [step.partition(":")[0] for step in parts] == ["Part 1", "Part 2", "Part 3"]
    assert "B ash, 0.40 m up and round red block" in parts[0]
    assert "A trailer and round red block" in parts[1]
    assert "C winch" in parts[2]
    assert any("Make its standing end fast at A trailer with a bowline" in step for step in found)


def test_checklist_counts_equal_pieces_once() -> None:
    record = {item.name: item.count for item in page(HAND).gear}

    assert record["red block"] == 2
    assert record["big shackle"] == 2
    assert record["green strap"] == 1
    assert record["chocks"] == 2  # it runs back by itself


def test_resets_are_where_the_purchase_is_used_up() -> None:
    found = page(HAND).resets

    assert found[0].startswith("At each reset: chock the load")
    assert found[1].startswith("Reset 1: load at 3.45 m. IT RUNS BACK here")
    assert len(found) == 4


def test_loads_are_the_weakest_first_and_unrated_before_all() -> None:
    assert page(HAND).loads[0].rows[0] == ("standing end", "A", "0.96 kN", "3.00 kN", "32 %")
    loose = replace(SETUP.components[0], capacity=None)
    rigged = Rigged(SITE, replace(SETUP, components=(loose, SETUP.components[1])))
    assert page(rigged).loads[0].rows[0][3] == "UNRATED"


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_nothing_is_beyond_its_limit_below_the_pull_to_stop_at(path: Path | None) -> None:
    """The limit along the path is never more than the margin allows, and reached by no expected pull
    of a setup whose margin is at least 1."""
    site, setups = answers(path)
    for setup in setups:
        rigged = Rigged(site, setup)
        worst = float((rigged.limits / rigged.forces).min())
        assert worst <= setup.margin * (1 + 1e-6)
        if setup.margin >= 1.0:
            assert float(rigged.limits[rigged.worst]) >= setup.pull * (1 - 1e-6)


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_as_many_resets_are_drawn_as_are_counted(path: Path | None) -> None:
    site, setups = answers(path)
    for setup in setups:
        assert len(Rigged(site, setup).stops) == setup.resets


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_the_pull_drawn_is_the_pull_of_the_answer(path: Path | None) -> None:
    """Station by station, also where a stage begins or ends at a bend."""
    site, setups = answers(path)
    for setup in setups:
        rigged = Rigged(site, setup)
        assert rigged.at == pytest.approx([row.at for row in setup.profile])
        assert rigged.forces == pytest.approx([row.pull for row in setup.profile])


def test_a_label_on_another_and_one_off_the_page_are_found() -> None:
    """The layout tests could not fail if this did not."""
    with drawing():
        figure = blank(40.0, 20.0)
        panel = Panel(figure, (0.0, 0.0), 40.0, 20.0)
        panel.fixed("one text", (5.0, 10.0))
        panel.fixed("another", (7.0, 10.5))
        panel.fixed("gone", (38.0, 3.0))
        assert sorted(faults(figure)) == [
            "'gone' leaves the page",
            "'one text' overlaps 'another'",
        ]


def test_a_label_without_room_is_left_out_and_not_put_over_another() -> None:
    board = Board(12.0, 6.0)
    board.boxes.append((1.0, 1.0, 11.0, 5.0))
    board.labels.append(Label(text="too much", at=(6.0, 3.0), needed=True))

    placed, left = board.settle()

    assert (placed, [label.text for label in left]) == ([], ["too much"])


def test_texts_are_cut_to_the_room_they_have() -> None:
    cut = labels.fitted("a name that is far too long for its place", 20.0, 8.0)

    assert cut.endswith("…")
    assert labels.measure(cut, 8.0)[0] <= 20.0
    assert labels.plain("two\nlines\tand a \x07 bell") == "two lines and a bell"


def test_one_page_a_stage_with_what_is_done_between() -> None:
    site = read_site(str(next(p for p in EXAMPLES if p.stem == "short-rope")))
    made = plan_sheet(site, plan_stages(site))

    assert len(made.pages) == 2
    assert made.pages[0].before == ()
    assert any("too close to call" in point for point in made.pages[1].before)
    assert html(made).count("<section>") == 2


def test_the_same_sheet_twice_is_the_same_to_the_byte() -> None:
    site, setups = answers(None)
    made = sheet(site, setups[:1], setups)

    assert html(made) == html(made)
    assert pdf(made) == pdf(made)


def test_page_needs_nothing_from_elsewhere() -> None:
    site, setups = answers(None)
    text = html(sheet(site, setups[:1]))

    assert "src=" not in text
    assert "@import" not in text
    assert {
        word for word in text.replace('"', " ").split() if word.startswith(("http:", "https:"))
    } <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


@pytest.mark.parametrize(
    ("ending", "begins"),
    [("html", b"<!doctype html>"), ("pdf", b"%PDF-"), ("svg", b"<?xml"), ("png", b"\x89PNG")],
)
def test_each_kind_of_file(ending: str, begins: bytes, tmp_path: Path) -> None:
    site, setups = answers(None)
    target = tmp_path / f"haul.{ending}"
    reports: list[str] = []

    written = write(sheet(site, setups[:1], setups), target, progress=reports.append)

    assert written == (target,)
    assert reports
    assert all(text.startswith("drawing ") for text in reports)
    assert target.read_bytes().startswith(begins)
    assert [p.name for p in tmp_path.iterdir()] == [target.name]  # nothing half-written is left
    if ending == "svg":
        ElementTree.fromstring(target.read_text(encoding="utf-8"))


def test_further_stages_of_a_picture_get_files_of_their_own(tmp_path: Path) -> None:
    site = read_site(str(next(p for p in EXAMPLES if p.stem == "short-rope")))

    written = write(plan_sheet(site, plan_stages(site)), tmp_path / "haul.svg")

    assert [p.name for p in written] == ["haul.svg", "haul-2.svg"]
    assert all(p.exists() for p in written)


def test_the_command_writes_and_reports_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "haul.html"

    assert main(["sheet", "2", "-o", str(target)]) == 0

    assert f"wrote {target}" in capsys.readouterr().out
    assert "Setup 2" in target.read_text(encoding="utf-8")


def test_the_command_takes_the_word_stages(tmp_path: Path) -> None:
    source = next(p for p in EXAMPLES if p.stem == "short-rope")
    target = tmp_path / "haul.html"

    assert main(["sheet", str(source), "stages", "-o", str(target)]) == 0

    assert "Stage 2 of 2" in target.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "found"),
    [
        (["-o", "haul.doc"], "ends in none of .html, .pdf, .svg, .png"),
        (["99", "-o", "haul.html"], "there is no setup 99"),
        (["2", "stages", "-o", "haul.html"], "not both"),
        (["stages", "--compare", "3", "-o", "haul.html"], "--compare is of single setups"),
        ([], "Missing option"),
        (["-o", "no/such/folder/haul.html"], "no/such/folder/haul.html"),
    ],
)
def test_what_cannot_be_done_is_one_message_and_2(
    arguments: list[str],
    found: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)

    assert main(["sheet", *arguments]) == 2

    assert found in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_long_title_leaves_room_for_the_stage() -> None:
    site = replace(SITE, title="a title that goes on and on " * 8)
    stage = page(Rigged(site, replace(SETUP, from_m=0.0, to_m=5.0), 2, 3))
    found = in_one_line(stage.title, stage.heading)

    assert found.endswith("… – Stage 2 of 3: path 0.00 m to 5.00 m")
    assert labels.measure(found, HEADING, True)[0] <= WIDE


def test_the_axes_drawn_are_those_of_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The site is kept in a frame of its own; people measured in theirs. Turned by a right angle, the
    file's y axis leads where its x axis led."""
    text = demonstration_text()
    tips: dict[str, tuple[float, float]] = {}
    plainly = Panel.fixed

    def noted(self: Panel, text: str, at: tuple[float, float], **how: Any) -> None:
        if text in ("x", "y"):
            tips[text] = at
        plainly(self, text, at, **how)

    monkeypatch.setattr(Panel, "fixed", noted)
    seen = []
    for move in (Move(), Move(angle=pi / 2, shift=(40.0, -7.0, 3.0))):
        moved = tmp_path / "moved.toml"
        moved.write_text(move.file(text), encoding="utf-8")
        site = read_site(moved)
        best = rank(site, RankQuestion(top=1)).setups
        write(sheet(site, best), tmp_path / "haul.svg")
        seen.append(dict(tips))

    assert seen[1]["y"] == pytest.approx(seen[0]["x"], abs=1e-6)
    assert seen[1]["x"] != pytest.approx(seen[0]["x"], abs=1.0)
