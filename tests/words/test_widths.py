"""Answers fit the terminal: no line is too long, no word is cut, nothing but what is named falls."""

import re
from dataclasses import replace
from typing import Any

import pytest
from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.commands import options
from shared.columns import Column, Kind, Where
from shared.listing import Listing
from shared.report import Report, printed
from shared.terminal import terminal_width
from shared.units import Dimension

WIDTHS = (60, 80, 100, 120, 200)
COMMANDS = ("rank", "show", "stages", "lower", "why", "check", "gear shackle", "gear", "words")
COLUMNS: tuple[Column[Any], ...] = (
    Column(key="rank", heading="rank", kind=Kind.COUNT),
    Column(key="pull", heading="worst pull", unit="N", kind=Dimension.FORCE),
    Column(
        key="at", heading="with load at", unit="m", kind=Dimension.LENGTH, yields=2, alone="load at"
    ),
    Column(key="weakest", heading="weakest piece", yields=1),
    Column(key="run", heading="run", where=Where.UNDER),
)
LEFT_OUT = {"left", "out", "as", "the", "lines", "are", "characters", "long"}
ROW = {
    "rank": 1,
    "pull": 960.0,
    "at": 7.13,
    "weakest": "small tractor: pull",
    "run": "Standing end.",
}


@pytest.mark.parametrize("words", COMMANDS)
def test_no_line_is_too_long_and_no_word_is_cut(
    words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every answer once, printed for every width: a narrow one has no word that the widest has not."""
    reports: list[tuple[Report, str, str]] = []

    def recorded(report: Report, form: str, system: str = "metric", *more: Any, **_: Any) -> str:
        reports.append((report, form, system))
        return ""

    monkeypatch.setattr(options, "printed", recorded)
    assert CliRunner().invoke(cli, words.split()).exit_code == 0
    for report, form, system in reports:
        assert not [title for title, _ in report if title.rstrip().endswith(":")]
        every = _words(printed(report, form, system, width=WIDTHS[-1]))
        for width in WIDTHS:
            text = printed(report, form, system, width=width)
            assert max(map(len, text.splitlines())) <= width
            assert _words(text) <= every | LEFT_OUT


def test_columns_that_yield_go_below_their_row_and_at_last_the_row_is_a_block() -> None:
    listing = Listing(columns=COLUMNS, rows=(ROW,))

    assert listing.table(width=45).splitlines()[-2:] == [
        "   1  0.96 kN  7.13 m  small tractor: pull", "    Standing end.",
    ]  # fmt: skip
    assert listing.table(width=34).splitlines()[-3:] == [
        "   1  0.96 kN  small tractor: pull", "    Load at 7.13 m.", "    Standing end.",
    ]  # fmt: skip
    block = Listing(columns=tuple(replace(c, yields=0) for c in COLUMNS), rows=(ROW,)).table(
        width=28
    )
    assert block.splitlines() == [
        "rank 1", "  worst pull    0.96 kN", "  load at       7.13 m",
        "  weakest       small", "  piece         tractor:", "                pull", "    Standing end.",
    ]  # fmt: skip


def test_columns_that_fall_are_named() -> None:
    text = Listing(columns=COLUMNS, rows=(ROW,), drops=True).table(width=34)
    assert "Left out, as the lines are\n34 characters long: load at." in text
    assert "7.13" not in text


def test_how_wide_the_terminal_is(monkeypatch: pytest.MonkeyPatch) -> None:
    assert terminal_width() == 100
    for stated, width in (
        ("72", 72),
        ("5", 40),
        ("9999", 400),
        ("wide", 100),
        ("0", 100),
        ("", 100),
    ):
        monkeypatch.setenv("COLUMNS", stated)
        assert terminal_width() == width


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z]{2,}", text.casefold()))
