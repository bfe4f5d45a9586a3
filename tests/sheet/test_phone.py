"""The sheet on a phone (360 by 740 px), and on A4: what is on the first screens, how small the print
is, where labels stand, how full the pages are."""

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

from optimiser.sheet.drawing.labels import Placed
from optimiser.sheet.drawing.paper import SIZES, pages
from optimiser.sheet.drawing.pictures import SIGNS, alone, pictures
from optimiser.sheet.drawing.style import WIDTH
from optimiser.sheet.page import lowering_page, page, sheet
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.write import html
from tests.sheet import browser
from tests.sheet.layouts import EXAMPLES, answers, let_down
from tests.uncertainty.straight import setup, two_rings_text

BROWSER = browser.found()
WORKBOAT, BEND, CREST = (
    next(p for p in EXAMPLES if p.stem == name) for name in ("workboat", "bend", "crest-log")
)
TWO_SCREENS = 2 * 740
PX = 96 / 25.4
"""px in a mm."""


@cache
def first(path: Path) -> Rigged:
    site, setups = answers(path)
    staged = len(setups) > 1 and setups[1].from_m > setups[0].from_m
    return Rigged(site, setups[0], 1, len(setups) if staged else 1)


def down() -> Lowered:
    return Lowered(*let_down())


SHEETS: list[Callable[[], Drawn]] = [
    lambda: first(WORKBOAT),
    lambda: first(BEND),
    lambda: first(CREST),
    down,
]
NAMES = ["haul", "stage", "over an edge", "down"]
sheets = pytest.mark.parametrize("made", SHEETS, ids=NAMES)


@pytest.mark.skipif(BROWSER is None, reason="no headless browser here")
@pytest.mark.parametrize("path", [WORKBOAT, BEND, CREST])
def test_who_may_be_hurt_and_what_to_do_come_first(path: Path, tmp_path: Path) -> None:
    """Where nobody stands is on the first screen; the steps begin there and end on the second, with a log
    to lay on an edge too."""
    assert BROWSER is not None
    drawn = first(path)
    text = html(sheet(drawn.site, [drawn.setup]))
    keep, begin, end, least, wide = browser.on_a_phone(BROWSER, tmp_path, text)

    assert keep < begin <= 740
    assert end <= TWO_SCREENS
    assert least >= 12.0
    assert wide >= 0.999 * WIDTH * PX  # drawings are not shrunk


@sheets
def test_nothing_drawn_is_below_12_px(made: Callable[[], Drawn]) -> None:
    """A point is 96/72 px where the drawing is as wide as it was drawn."""
    for picture in pictures([made()]):
        figure, _ = alone(picture)
        sizes = [float(text.get_fontsize()) for axes in figure.axes for text in axes.texts]
        assert min(sizes) * 96 / 72 >= 12.0


@sheets
def test_no_leader_runs_across_another_label(made: Callable[[], Drawn]) -> None:
    for placed in settled(made()):
        for one in (one for one in placed if one.leader):
            assert one.leader is not None
            crossed = [x.label.text for x in placed if x is not one and crosses(one.leader, x)]
            assert not crossed, one.label.text


@sheets
def test_a_place_is_named_beside_itself(made: Callable[[], Drawn]) -> None:
    """The frame with a name stands nearer to its own place than to that of any other frame."""
    for placed in settled(made()):
        framed = [one for one in placed if one.label.frame]
        for one in framed:
            own = gap(one, one)
            assert all(own <= gap(one, other) + 0.1 for other in framed), one.label.text


def settled(drawn: Drawn) -> Iterator[list[Placed]]:
    for picture in pictures([drawn]):
        if picture.title != SIGNS:
            yield alone(picture)[1].placed


def gap(box: Placed, thing: Placed) -> float:
    """mm from a label's box to the edge of what another names."""
    (x, y), (left, bottom, right, top) = thing.label.at, box.box
    away = max(left - x, 0.0, x - right), max(bottom - y, 0.0, y - top)
    return max(float((away[0] ** 2 + away[1] ** 2) ** 0.5) - thing.label.clear, 0.0)


def crosses(line: tuple[tuple[float, float], tuple[float, float]], box: Placed) -> bool:
    (ax, ay), (bx, by) = line
    left, bottom, right, top = box.box
    marks = ((ax + (bx - ax) * k / 100, ay + (by - ay) * k / 100) for k in range(1, 100))
    return any(left < x < right and bottom < y < top for x, y in marks)


@sheets
def test_pages_of_words_are_full_alike(made: Callable[[], Drawn]) -> None:
    """On every page of A4 both columns go down to the middle of the page at least."""
    drawn = made()
    words = page(drawn) if isinstance(drawn, Rigged) else None
    if isinstance(drawn, Lowered):
        words = lowering_page(drawn)
    assert words is not None
    high, wide = SIZES["a4"][1], SIZES["a4"][0]
    for figure in pages(words, "a4"):
        texts = [text.get_position() for axes in figure.axes for text in axes.texts]
        for left in (True, False):
            lowest = min((y for x, y in texts if (x < wide / 2) is left), default=high)
            assert lowest < high / 2


def test_a_limit_is_something_one_sees_with_its_figure() -> None:
    """The winch stands 9 kN, the old ring 3 kN; with sheaves at 0.95 its part carries 0.95 of the pull."""
    from optimiser.site.reading import read_site

    site = read_site(
        two_rings_text("3 kN", weight="1500 kg", efficiency='"0.6..0.95"', pull="9 kN")
    )
    stops = page(Rigged(site, setup(site, "old ring@0.5 m > load > winch"))).stops

    assert stops[0].startswith("Stop when winch will not turn")
    assert "limit 9.00 kN" in stops[0]
    (ring,) = (text for text in stops if "a ring bends, turns or works loose" in text)
    assert "old ring, limit 3.15 kN" in ring


def test_trees_wheels_and_straps_each_have_their_sight() -> None:
    stops = " ".join(page(first(WORKBOAT)).stops)

    assert "the wheels of club van spin" in stops
    assert "the top of a tree moves" in stops
    assert "a strap or chain slides" in stops
