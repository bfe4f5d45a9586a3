"""An answer to another question than the one that stands on the page is marked as old, and every question is
put as the page has it: with second lines where they are ticked."""

import re

import pytest

from optimiser.telling.page.requested import command_line
from tests.page.conftest import Visit
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered


def test_an_answer_without_second_lines_is_old_once_they_are_ticked(visit: Visit) -> None:
    """Until the new one is there the page says so, and what it shows of the old one is pale."""
    from playwright.sync_api import expect

    page = visit(STRAIGHT).page
    answered(page)
    page.evaluate(
        """() => { window.seen = []; const status = document.getElementById('status');
        new MutationObserver(() => window.seen.push([status.textContent,
          document.getElementById('desk').className])).observe(status, {childList: true}); }"""
    )
    page.click("#hold")
    answered(page, r"(setups?, proven|Proven)\.$")
    expect(page.locator("#desk")).not_to_have_class(re.compile("stale|undrawn"))
    seen = page.evaluate("window.seen")

    assert seen[0] == ["1 setup, proven. Working out the change.", "stale undrawn"]
    assert "stale" not in seen[-1][1]


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
