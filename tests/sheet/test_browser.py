"""Every page in a real browser: nothing on the console, as wide as a phone, whole on A4 and letter."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimiser.sheet.page import sheet
from optimiser.sheet.write import html
from tests.sheet import browser
from tests.sheet.layouts import EXAMPLES, answers

BROWSER = browser.found()
pytestmark = pytest.mark.skipif(
    BROWSER is None,
    reason=f"no headless browser here: none of {', '.join(browser.NAMES)} is installed",
)
PAGES = [None, *EXAMPLES]


def page_of(path: Path | None) -> tuple[str, int]:
    site, setups = answers(path)
    staged = len(setups) > 1 and setups[1].from_m > setups[0].from_m
    stages = setups if staged else setups[:1]
    return html(sheet(site, stages, setups)), len(stages)


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.stem if p else "demonstration")
def test_page(path: Path | None, tmp_path: Path) -> None:
    assert BROWSER is not None
    text, stages = page_of(path)

    (wide, frame, out, drawings), console = browser.measured(BROWSER, tmp_path, text, 360)
    assert (int(frame), out, console) == (360, "none", [])
    assert int(wide) <= 360
    assert int(drawings) == 5 * stages

    for paper, size in browser.PAPERS.items():
        pages, said = browser.printed(BROWSER, tmp_path, text, paper)
        assert said == ""
        assert {tuple(round(v) for v in page) for page in pages} == {tuple(round(v) for v in size)}
        assert stages <= len(pages) <= 4 * stages  # front and back of two sheets a stage at most


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
