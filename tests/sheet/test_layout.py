"""No label overlaps another or leaves the page: every example, made-up sites, every kind of sheet.

`python -m tests.sheet --sites 200` does the same for many more sites.
"""

from pathlib import Path

import pytest

from optimiser.sheet.drawing.panel import drawing
from optimiser.sheet.drawing.paper import SIZES
from optimiser.sheet.drawing.pictures import alone, on_paper, pictures, together
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged
from tests.long import cases
from tests.sheet import layouts
from tests.sheet.layouts import ALIKE, EXAMPLES, WITH_TWO_ROPES, answers, boxes, faults, wrong_on

SITES = 6
"""Made-up sites looked at here."""


def all_right(compared: list[Drawn], heading: str) -> None:
    """Every drawing of a page on one figure, and on the shorter of the papers."""
    shortest = min(SIZES.values(), key=lambda size: size[1])
    found = pictures(compared)
    figures = [together(found, heading), *on_paper(found, heading, shortest)]
    for figure, panels in figures:
        with drawing():
            assert faults(figure) == []
        assert not [label for p in panels for label in p.left_out if label.needed]


@pytest.mark.parametrize(
    "path",
    cases(
        [None, *EXAMPLES],
        quick=[None, *EXAMPLES[:2]],
        seldom=[p for p in EXAMPLES if p.stem in ALIKE],
    ),
    ids=lambda p: p.stem if p else "demonstration",
)
def test_examples(path: Path | None) -> None:
    site, setups = answers(path)
    assert setups, "an example that nothing answers has no sheet"
    compared = [Rigged(site, s, i + 1, len(setups)) for i, s in enumerate(setups)]

    for i, rigged in enumerate(compared):
        others = [o for o in compared if o.setup.from_m == rigged.setup.from_m and o is not rigged]
        all_right([rigged, *others], f"{site.title} {i}")


def test_a_load_whose_name_goes_into_two_lines_has_it_whole() -> None:
    """ "B stone trough on its dr… / board" was drawn once: measured thin, drawn bold."""
    site, setups = answers(next(path for path in EXAMPLES if path.stem == "crest-log"))
    reeving = next(p for p in pictures([Rigged(site, setups[0])]) if "rope runs" in p.title)
    figure, _ = alone(reeving)
    with drawing():
        texts = [text for text, *_ in boxes(figure)]

    assert "drag board" in texts
    assert not [text for text in texts if "…" in text]


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_the_way_down_of_examples(path: Path | None) -> None:
    for lowered in layouts.ways_down(path):
        all_right([lowered], lowered.site.title)


def test_two_ropes_on_an_example() -> None:
    all_right([Rigged(*layouts.with_two_ropes())], "two ropes")


@pytest.mark.parametrize("kind", ["up", "dip"])
def test_holding_lines(kind: str) -> None:
    all_right([Rigged(*layouts.kept_in_hand(kind))], "kept in hand")


def test_letting_down() -> None:
    all_right([Lowered(*layouts.let_down())], "letting down")


def test_drawings_that_do_not_fit_one_sheet_of_paper_take_two() -> None:
    compared: list[Drawn] = [Rigged(*layouts.kept_in_hand("dip"))]
    figures = on_paper(pictures(compared), "short paper", (210.0, 200.0))

    titles = [p.title for p in pictures(compared)]
    assert len(figures) > 1
    assert sum(len(panels) for _, panels in figures) == 2 * len(titles) + len(figures)
    for figure, _ in figures:
        with drawing():
            assert faults(figure) == []


def test_made_up_sites() -> None:
    assert [wrong for rigged in layouts.made_up_setups(SITES) for wrong in wrong_on(rigged)] == []


def test_made_up_sites_with_two_ropes() -> None:
    found = list(layouts.made_up_compounds(len(WITH_TWO_ROPES), WITH_TWO_ROPES))

    assert len(found) == len(WITH_TWO_ROPES)
    assert [wrong for rigged in found for wrong in wrong_on(rigged)] == []
