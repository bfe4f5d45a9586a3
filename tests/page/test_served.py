"""The page is served at the address that is printed: the site as it was read, the list that `rank` has."""

import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from optimiser.cli import cli, main
from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from optimiser.telling.tables import ranking_json
from tests.page.opened import PATIENCE, Opened, opened
from tests.page.sites import STRAIGHT

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    folder = tmp_path_factory.mktemp("served")
    (folder / "site.toml").write_text(STRAIGHT)
    with opened("site.toml", folder=folder) as found:
        yield found


def test_the_answer_is_that_of_rank(page: Opened) -> None:
    """Setups, order, figures and proof, in the same words and keys as `bankhaul rank --format json`."""
    parts = page.parts("site", "list", "drawing", "detail")

    assert parts["list"]["ranking"] == ranking_json(rank(read_site(STRAIGHT)))
    assert parts["list"]["ranking"]["proven"] is True
    assert parts["drawing"]["setup"] == 1


def test_the_drawing_has_every_part_of_the_rope_with_its_load(page: Opened) -> None:
    parts = page.parts("list", "drawing")
    (rope,) = parts["drawing"]["seen"]["ropes"]
    first = parts["list"]["ranking"]["setups"][0]

    assert [part["number"] for part in rope["parts"]] == [1]
    assert len(rope["walk"]) == len(first["reeving"])
    # the pull that the list has is the most along the path, at the hauling end
    assert max(parts["drawing"]["seen"]["forces"]) == pytest.approx(first["pull_N"], abs=0.01)
    assert {area["danger"] for area in parts["drawing"]["seen"]["areas"]} >= {"recoil"}


def test_cautions_and_where_nobody_stands_come_with_it(page: Opened) -> None:
    parts = page.parts("list", "drawing")

    assert any("Local codes decide" in text for text in parts["list"]["always"])
    assert any("No jerks" in text for text in parts["drawing"]["cautions"])
    assert any("In line with any part of the rope" in text for text in parts["drawing"]["keep_out"])


def test_what_a_site_file_may_have_and_the_catalogue_come_once(page: Opened) -> None:
    parts = page.parts("schema", "catalogue")
    entries = {entry["id"] for entry in parts["catalogue"]["data"]}

    assert "species" in parts["schema"]["data"]["$defs"]["TreePart"]["properties"]
    assert "polyester-12" in entries


def test_a_sheet_is_sent_and_runs_nothing(page: Opened) -> None:
    reply = page.get("sheet/1.html")

    assert reply.status == 200
    assert "script" not in reply.headers["content-security-policy"]
    assert b"Stone up a meadow" in reply.body


def test_a_draft_is_offered_after_a_crash(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(STRAIGHT)
    with opened("site.toml", folder=tmp_path) as first:
        edit = {"put": ["load", "weight"], "value": "77 kg"}
        assert first.post("edit", {"base": 1, "edits": [edit]}).status == 200
        until = time.monotonic() + PATIENCE
        while not list(tmp_path.glob(".*.draft")) and time.monotonic() < until:
            time.sleep(0.05)
        first.process.kill()
    with opened("site.toml", folder=tmp_path) as again:
        assert "77 kg" not in again.get("text").data["text"]
        assert again.parts("state")["state"]["draft"]
        again.post("draft", {"take": True})
        assert "77 kg" in again.get("text").data["text"]
    assert "77 kg" not in (tmp_path / "site.toml").read_text()


def test_a_port_that_is_taken_is_one_clear_line(page: Opened) -> None:
    done = CliRunner().invoke(cli, ["page", "--no-browser", "--port", str(page.port)])

    assert done.exit_code != 0
    assert f"port {page.port}" in str(done.exception)
    assert "cannot be used" in str(done.exception)


def test_without_its_libraries_one_line_states_how_to_install_them(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delitem(sys.modules, "optimiser.telling.page.serving", raising=False)
    monkeypatch.setitem(sys.modules, "uvicorn", None)

    assert main(["page", "--no-browser"]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert "pip install 'bankhaul[page]'" in line


def test_ctrl_c_ends_it(tmp_path: Path) -> None:
    with opened(folder=tmp_path) as found:
        found.process.send_signal(signal.SIGINT)
        assert found.process.wait(timeout=PATIENCE) in (0, 130)
        assert found.process.stderr is not None
        assert "Traceback" not in found.process.stderr.read()
