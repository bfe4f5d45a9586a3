"""`gear`, `new`, `schema`; files written whole; the counter."""

import io
import json
import os
import sys
import time
from pathlib import Path

import pytest

from optimiser import cli
from shared.files import write_atomically
from shared.progress import Progress, clear_line, sign_of_life


def test_gear_lists_what_has_the_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["gear", "nylon", "12", "--format", "json"]) == 0
    (rope,) = json.loads(capsys.readouterr().out)

    assert rope["id"] == "nylon-12"
    assert rope["figures"][0]["name"] == "diameter"
    assert rope["figures"][0]["value"] == 0.012


def test_gear_shows_figures_with_units_and_sources(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["gear", "nylon-12"]) == 0
    found = capsys.readouterr().out

    assert "diameter 12 mm (nominally 1/2 in), MBS 25.58 kN [rope-table-3strand]" in found


@pytest.mark.parametrize("form", ["table", "markdown", "csv", "json"])
def test_whole_catalogue_in_every_form(form: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["gear", "--format", form]) == 0
    assert "nylon-12" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("word", "meant"),
    [("shakle", "shackle"), ("car", "vehicle"), ("truck", "vehicle"), ("pulley", "block")],
)
def test_gear_unknown_word(word: str, meant: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["gear", word]) == 2
    assert capsys.readouterr().err == (
        f"catalogue: nothing has '{word}' in it; did you mean '{meant}'?\n"
    )


def test_new_writes_a_site_that_checks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = str(tmp_path / "site.toml")

    assert cli.main(["new", file]) == 0
    assert cli.main(["check", file]) == 0
    assert f"{file}: no fault found." in capsys.readouterr().out


def test_new_leaves_what_is_there_alone_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    file.write_text("mine", encoding="utf-8")

    assert cli.main(["new", str(file)]) == 2
    assert file.read_text(encoding="utf-8") == "mine"
    assert "--force" in capsys.readouterr().err
    assert cli.main(["new", str(file), "--force"]) == 0
    assert file.read_text(encoding="utf-8") != "mine"


def test_new_where_nothing_can_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["new", str(tmp_path / "no" / "site.toml")]) == 2
    assert f"there is no folder '{tmp_path / 'no'}'" in capsys.readouterr().err


def test_demonstration_site_checks(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check"]) == 0
    assert "the demonstration site: no fault found." in capsys.readouterr().out


def test_schema_is_a_json_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out)["type"] == "object"


def test_file_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "sheet.html"
    write_atomically(file, "old")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="disk full"):
        write_atomically(file, "new")

    assert file.read_text(encoding="utf-8") == "old"
    assert os.listdir(tmp_path) == ["sheet.html"]


def test_file_written_over_keeps_its_rights_and_its_link(tmp_path: Path) -> None:
    file, link = tmp_path / "real", tmp_path / "link"
    file.write_bytes(b"old")
    file.chmod(0o640)
    link.symlink_to(file)

    write_atomically(link, b"new")

    assert link.is_symlink()
    assert file.read_bytes() == b"new"
    assert file.stat().st_mode & 0o777 == 0o640


class Terminal(io.StringIO):
    """A stream that somebody looks at."""

    def isatty(self) -> bool:
        return True


def test_counter_waits_a_second_and_wipes_itself_out() -> None:
    now = 0.0
    screen = Terminal()
    with Progress(screen, clock=lambda: now) as progress:
        progress("10 walks")
        assert screen.getvalue() == ""
        now = 1.5
        progress("2,000 walks")
        progress("2,001 walks")  # too soon after the last
        assert screen.getvalue() == "\r2,000 walks"

    assert screen.getvalue().endswith("\r" + " " * 11 + "\r")


def test_counter_is_silent_where_nobody_looks() -> None:
    now = 0.0
    stream = io.StringIO()
    with Progress(stream, clock=lambda: now) as progress:
        now = 10.0
        progress("10 walks")

    assert stream.getvalue() == ""


def test_a_clock_runs_where_nothing_is_reported_and_makes_room_for_the_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with sign_of_life():
        time.sleep(1.4)
        clear_line()
        assert screen.getvalue() == f"\rworking, 1 s\r{' ' * 12}\r"
        with Progress() as progress:
            progress("too early")
    assert "too early" not in screen.getvalue()


def test_a_file_or_pipe_gets_a_whole_line_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    log = io.StringIO()
    now = 0.0
    monkeypatch.setattr(sys, "stderr", log)
    monkeypatch.setattr("shared.progress.EVERY_LINE_SECONDS", 4.5)
    monkeypatch.setattr(time, "monotonic", lambda: now)
    with sign_of_life():
        with Progress(clock=lambda: now) as progress:
            now = 2.0
            progress("2,000 walks")
            time.sleep(0.5)
            assert log.getvalue() == ""  # nobody watches it: no word for each second
            now = 4.6
            time.sleep(0.5)
            assert log.getvalue() == "2,000 walks, 5 s\n"
            now = 9.2
            time.sleep(0.5)
        assert log.getvalue() == "2,000 walks, 5 s\n2,000 walks, 9 s\n"
        now = 13.0
        clear_line()
        time.sleep(0.5)
    assert log.getvalue().count("\n") == 2
