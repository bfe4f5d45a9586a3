"""Anchors that may be made anywhere on a piece of ground, given by its corners."""

from pathlib import Path

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from shared.errors import InputError

MEADOW = (Path(__file__).parents[2] / "examples" / "meadow.toml").read_text()
ROW = 'row = [["14 m", "3 m", "2.2 m"], ["14 m", "-3 m", "2.2 m"]]\nevery = "1.5 m"'
CORNERS = '["13 m", "-2 m", "2.2 m"], ["17 m", "-2 m", "2.6 m"], ["13 m", "2 m", "2.2 m"]'


def _site(area: str, every: str = 'every = "1.5 m"') -> str:
    assert ROW in MEADOW
    return MEADOW.replace(ROW, f"area = [{area}]\n{every}")


def test_spots_of_a_triangle() -> None:
    """Every 1.5 m from its first corner on, within the triangle, on its slope of 1 in 10."""
    site = read_site(_site(CORNERS))
    assert site.frame is not None
    spots = {site.frame.in_file(a.position) for a in site.anchors if a.uses}
    found = sorted((round(x, 3), round(y, 3), round(z, 3)) for x, y, z in spots)
    inside = [(13 + 1.5 * i, -2 + 1.5 * k, 2.2 + 0.15 * i) for i in range(3) for k in range(3)]
    wanted = [(x, y, z) for x, y, z in inside if (x - 13) + (y + 2) < 4]
    assert [s for s in found if s in [tuple(round(v, 3) for v in w) for w in wanted]] == found
    assert (14.5, -0.5, 2.35) in found


def test_the_search_chooses_among_them() -> None:
    site = read_site(_site(CORNERS))
    setup = rank(site, RankQuestion(top=1, explain=False, compound=False))[0]
    assert setup.made


WRONG = {
    "no distance": (_site(CORNERS, ""), "an area needs both its corners (area) and how far apart"),
    "a hole in it": (
        _site(CORNERS + ', ["17 m", "2 m", "9 m"]'), "its corners do not lie in one plane"
    ),
    "no corner": (
        _site('["13 m", "2 m", "2.2 m"], ' + CORNERS), "corners 4 and 1 are the same, seen from above"
    ),
    "corners out of order": (
        _site('["13 m", "2 m", "2.2 m"], ["17 m", "-2 m", "2.6 m"], ["13 m", "-2 m", "2.2 m"], '
              '["17 m", "2 m", "2.6 m"]'),
        "crosses itself: the side from corner 1 meets that from corner 3",
    ),
    "too many": (_site(CORNERS, 'every = "1 mm"'), "40 at most: take them further apart"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_wrong_areas(name: str) -> None:
    text, message = WRONG[name]
    with pytest.raises(InputError) as error:
        read_site(text)
    assert message in str(error.value)
