"""What the page draws of a rig is where the rig has it, and all that carries is drawn."""

from pathlib import Path

import pytest

from tests.page.conftest import Visit, Visited
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered, until

EXAMPLES = Path(__file__).parents[2] / "examples"
TRACK = STRAIGHT.replace('at = ["12 m", "0 m", "1 m"]\n', "").replace(
    'towards = ["30 m", "0 m", "1 m"]',
    'track = [["26 m", "0 m", "1 m"], ["10 m", "0 m", "1 m"]]\ntrack_width = "2 m"\nspacing = "2 m"',
)
"""The track begins far away, where nobody stands who hauls with it."""


def spot(here: Visited, label: str) -> tuple[float, float]:
    """Where the handle of a thing is, px of the plan."""
    move = here.page.locator(f'#plan [aria-label^="{label}"]').get_attribute("transform")
    assert move is not None
    x, y = move.removeprefix("translate(").removesuffix(")").split()
    return float(x), float(y)


def test_who_may_choose_a_spot_is_drawn_where_the_rig_has_it(visit: Visit) -> None:
    here = visit(TRACK)
    page = here.page
    answered(page)
    (who,) = here.served.parts("drawing")["drawing"]["seen"]["pullers"]
    start, end = spot(here, "path start of the path"), spot(here, "path end of leg 1")
    px = (start[1] - end[1]) / 8.0  # in a metre: the path goes 8 m up the page
    meant = start[1] - px * who["at"][0]
    name = page.locator("#plan text", has_text="four of us").filter(has_not_text="track").first
    y = float(name.get_attribute("y") or "nan")

    assert who["at"][0] < 19.0
    assert y == pytest.approx(meant, abs=4.0 * px)
    assert spot(here, "puller four of us")[1] == pytest.approx(meant, abs=1.0)
    until(page.locator("#plan"), "track of four of us")
    page.locator('#plan [aria-label^="puller four of us"]').focus()
    until(page.locator("#card"), "anywhere on its track, where it stands is searched")


def test_the_sling_between_two_trees_is_drawn(visit: Visit) -> None:
    """Both legs, from the middle of each trunk to the shackle that the block hangs in, and its name."""
    here = visit((EXAMPLES / "two-birches.toml").read_text())
    page = here.page
    answered(page)
    until(page.locator("#plan"), "B left birch & right birch.*two trees, sling.*legs 60 ° apart")
    until(page.locator("#side"), "B left birch & right birch")
    lines = page.evaluate(
        """() => [...document.querySelectorAll('#plan polyline')].map((e) => e.getAttribute('points')
        .split(' ').map((p) => p.split(',').map(Number))).filter((e) => e.length === 2)"""
    )
    ends = [
        [to for start, to in lines if start == pytest.approx(spot(here, f"tree {name}"), abs=1.0)]
        for name in ("left birch", "right birch")
    ]

    assert ends[0]
    assert ends[0] == ends[1]
    assert page.locator("#plan circle.used").count() == 2
