"""Up, down, both: the page puts every question as the command line has it, and so it does with the sheets."""

from typing import Any

import pytest

from optimiser.telling.page.requested import RequestError, command_line, sheet_line
from tests.page.conftest import Visit
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered, field, until

WORDED = ("--format", "markdown")


@pytest.mark.parametrize(
    ("data", "line"),
    [
        ({"ask": "stages", "way": "up", "stages": 2}, ("stages", "F", "--most-stages", "2", *WORDED)),
        ({"ask": "stages", "way": "down", "stages": 2}, ("lower", "F", *WORDED)),
        ({"ask": "buy", "way": "down"}, ("buy", "F", "--down", *WORDED)),
        ({"ask": "buy", "way": "both", "stages": 3},
         ("buy", "F", "--both", "--most-stages", "3", *WORDED)),
        ({"ask": "why", "way": "down"}, ("why", "--down", *WORDED, "--", "F")),
        ({"ask": "show", "way": "down"}, ("lower", "F", "--show", "1", *WORDED)),
        ({"ask": "sweep", "way": "down", "key": "load.weight=60..90 kg"},
         ("sweep", "--down", "--format", "json", "--", "F", "load.weight=60..90 kg")),
    ],
)  # fmt: skip
def test_a_question_goes_the_way_that_is_chosen(
    data: dict[str, Any], line: tuple[str, ...]
) -> None:
    assert tuple(command_line(data, "F")) == line


@pytest.mark.parametrize(
    "data", [{"way": "--down"}, {"way": None}, {"stages": 0}, {"stages": "2"}, {"stages": True}]
)
def test_neither_a_way_nor_a_number_is_taken_for_an_option(data: dict[str, Any]) -> None:
    with pytest.raises(RequestError):
        command_line({"ask": "stages", **data}, "F")


def test_every_sheet_has_an_address() -> None:
    assert sheet_line("2", "F", "T", chosen=1, hold=True) == (
        "sheet",
        "F",
        "2",
        "-o",
        "T",
        "--hold",
    )
    assert sheet_line("stages", "F", "T", chosen=1, hold=False) == (
        "sheet",
        "F",
        "stages",
        "-o",
        "T",
    )
    assert sheet_line("down", "F", "T", chosen=3, hold=True) == ("lower", "F", "-o", "T")
    assert sheet_line("both", "F", "T", chosen=3, hold=False) == (
        "sheet", "F", "3", "--both", "-o", "T",
    )  # fmt: skip


def test_the_way_down_is_answered_and_has_its_sheet(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    page.locator("#way").select_option("down")
    page.get_by_role("button", name="In stages").click()
    until(page.locator("#answer h3").first, "Down, in stages where it takes them")
    old = page.locator("#answer-old")
    assert old.is_hidden()
    field(page, "load.weight", "61 kg")  # an answer is never taken for that to another site
    old.wait_for()
    until(old, "what was there before")
    assert here.served.get("sheet/sideways.html").status == 404
