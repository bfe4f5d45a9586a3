"""An answer to another question than the one that stands on the page is marked as old, and every question is
put as the page has it: with second lines where they are ticked."""

import re
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from optimiser.telling.page.requested import command_line
from tests.page.conftest import Visit
from tests.page.opened import PATIENCE, opened
from tests.page.sites import POST, STRAIGHT
from tests.page.test_driven import answered, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WATCH = """() => { window.seen = []; const status = document.getElementById('status');
  const look = () => window.seen.push([status.textContent, document.getElementById('desk').className]);
  new MutationObserver(look).observe(status, {childList: true}); }"""
EXAMPLES = Path(__file__).parents[2] / "examples"


def test_an_answer_without_second_lines_is_old_once_they_are_ticked(visit: Visit) -> None:
    """Until the new one is there the page says so, and what it shows of the old one is pale."""
    from playwright.sync_api import expect

    page = visit(STRAIGHT).page
    answered(page)
    page.evaluate(WATCH)
    page.click("#hold")
    answered(page, r"(setups?, proven|Proven)\.$")
    expect(page.locator("#desk")).not_to_have_class(re.compile("stale|undrawn"))
    seen = page.evaluate("window.seen")

    words, marks = seen[0]
    assert words.startswith("Working out the change.")
    assert "proven" not in words  # what is old has no proof for what is new
    assert marks == "stale undrawn"
    assert "stale" not in seen[-1][1]


def test_a_list_is_not_called_certain_before_the_readings_are_looked_at(visit: Visit) -> None:
    """Its margins are of the places as they were worked out; what the readings leave open comes on top."""
    page = visit((EXAMPLES / "misread-tape.toml").read_text()).page
    page.evaluate(WATCH)
    until(page.locator("#status"), r"3 setups, proven\.$")
    assert "3 setups, proven. Working out what the readings leave open." in [
        words for words, _ in page.evaluate("window.seen")
    ]
    until(page.locator(".setup").nth(1), "NOT CERTAIN\\. .*by the readings")


def test_once_the_program_has_ended_nothing_looks_as_if_it_were_current(
    browser: "Browser", tmp_path: Path
) -> None:
    from playwright.sync_api import expect

    (tmp_path / "site.toml").write_text(STRAIGHT)
    with opened("site.toml", folder=tmp_path) as served:
        page = browser.new_page()
        page.goto(served.address)
        answered(page)
    until(page.locator("#status"), "The program does not answer")
    until(page.locator("#file"), "was ended")
    expect(page.locator("#desk")).to_have_class("stale undrawn")
    page.close()


def test_the_list_follows_the_hand_while_something_is_dragged(tmp_path: Path) -> None:
    """A place that has been put is answered before the next: no move cancels it. The last place has all."""
    (tmp_path / "site.toml").write_text(STRAIGHT + POST.replace('"0 m"', '"3 m"'))
    with opened("site.toml", folder=tmp_path) as served:
        first = served.parts("list", "drawing")["list"]["version"]
        seen: list[tuple[int, int]] = []
        ended = threading.Event()

        def look() -> None:
            for part in served.events():
                if part["part"] == "list":
                    seen.append((part["version"], part["top"]))
                    if ended.is_set() and part["top"] == 10 and part["version"] > first:
                        return

        looking = threading.Thread(target=look)
        looking.start()
        version = first
        for step in range(30):
            to = [10.5 - 0.05 * step, 3.0, 0.9]
            data = {"base": version, "gesture": "drag 1", "ends": False,
                    "edits": [{"move": ["obstacle", 0, "at"], "to": to}]}  # fmt: skip
            version = served.post("edit", data).data.get("version", version)
            time.sleep(0.03)
        ended.set()
        served.post("edit", {**data, "base": version, "ends": True})
        looking.join(timeout=PATIENCE)

    moving = [v for v, top in seen if top == 1]
    assert len(moving) >= 3
    assert sorted(moving) == moving
    assert seen[-1] == (version, 10)


@pytest.mark.parametrize("hold", [True, False])
@pytest.mark.parametrize(
    "data",
    [
        {"ask": "stages"}, {"ask": "buy"}, {"ask": "why"}, {"ask": "why", "reeving": "load > winch"},
        {"ask": "show", "setup": 1}, {"ask": "sweep", "key": "load.weight=60..90 kg"},
    ],
)  # fmt: skip
def test_questions_are_put_with_second_lines_where_they_are_ticked(
    data: dict[str, object], hold: bool
) -> None:
    line = list(command_line({**data, "hold": hold}, "FILE"))
    options = line[: line.index("--")] if "--" in line else line

    assert ("--hold" in options) is hold


@pytest.mark.parametrize("name", ["lower", "lever", "check"])
def test_where_there_is_no_second_line_none_is_requested(name: str) -> None:
    assert "--hold" not in command_line({"ask": name, "hold": True}, "FILE")
