"""Every page in a real browser: nothing on the console, as wide as a phone, whole on A4 and letter."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion
from optimiser.sheet.page import lowering_sheet, sheet
from optimiser.sheet.write import html
from tests.long import cases
from tests.lower.bank import bank
from tests.sheet import browser
from tests.sheet.layouts import ALIKE, EXAMPLES, answers, kept_in_hand, with_two_ropes

BROWSER = browser.found()
pytestmark = pytest.mark.skipif(
    BROWSER is None,
    reason=f"no headless browser here: none of {', '.join(browser.NAMES)} is installed",
)
PAGES = [None, *EXAMPLES]


def page_of(path: Path | None) -> tuple[str, int, int]:
    """The text, how many stages it has, and how many drawings."""
    site, setups = answers(path)
    staged = len(setups) > 1 and setups[1].from_m > setups[0].from_m
    stages = setups if staged else setups[:1]
    drawings = 5 * len(stages) + sum(bool(setup.holding) for setup in stages)
    return html(sheet(site, stages, setups)), len(stages), drawings


def two_ropes() -> str:
    site, setup = with_two_ropes()
    return html(sheet(site, [setup]))


def held() -> str:
    site, setup = kept_in_hand("dip")
    return html(sheet(site, [setup]))


def down() -> str:
    site = bank()
    return html(lowering_sheet(site, lower(site, LowerQuestion(top=2))))


def all_right(text: str, stages: int, drawings: int, folder: Path) -> None:
    """Nothing on the console, no wider than a phone, whole on each paper."""
    assert BROWSER is not None
    (wide, frame, out, drawn), console = browser.measured(BROWSER, folder, text, 360)
    assert (int(frame), out, console) == (360, "none", [])
    assert int(wide) <= 360
    assert int(drawn) == drawings

    for paper, size in browser.PAPERS.items():
        pages, complaints = browser.printed(BROWSER, folder, text, paper)
        assert complaints == ""
        assert {tuple(round(v) for v in page) for page in pages} == {tuple(round(v) for v in size)}
        assert stages <= len(pages) <= 4 * stages  # front and back of two sheets a stage at most


@pytest.mark.parametrize(
    "path",
    cases(
        PAGES,
        quick=[None, next(p for p in EXAMPLES if p.stem == "crest-air")],
        seldom=[p for p in EXAMPLES if p.stem in (*ALIKE, "bend", "side-tree", "meadow", "lane")],
    ),
    ids=lambda p: p.stem if p else "demonstration",
)
def test_page(path: Path | None, tmp_path: Path) -> None:
    text, stages, drawings = page_of(path)
    all_right(text, stages, drawings, tmp_path)


@pytest.mark.parametrize(
    ("made", "drawings"), [(two_ropes, 5), (held, 6), (down, 5)], ids=["two ropes", "held", "down"]
)
def test_other_pages(made: Callable[[], str], drawings: int, tmp_path: Path) -> None:
    all_right(made(), 1, drawings, tmp_path)


def test_names_that_look_like_markup_stay_text(tmp_path: Path) -> None:
    """A title, a tree and a load whose names are HTML, a formula and a comment's end."""
    assert BROWSER is not None
    site, setups = answers(None)
    evil = "<script>alert(1)</script> $\\frac{1}{ --> ]]> & \"'"
    site = replace(site, title=evil, load=replace(site.load, name=evil))

    text = html(sheet(site, setups[:1]))

    assert "<script" not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    (_, _, out, drawings), console = browser.measured(BROWSER, tmp_path, text, 360)
    assert (out, drawings, console) == ("none", "5", [])
