"""In the side view the points of the path go up and down; nothing else does, and the page says so."""

import tomllib
from typing import Any

import pytest

from tests.page.conftest import Visit, Visited
from tests.page.sites import CREST, STRAIGHT
from tests.page.test_driven import answered, until


def legs(here: Visited) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = tomllib.loads(here.served.get("text").data["text"])["path"]["leg"]
    return out


def test_the_end_of_the_path_is_raised_by_keys_into_the_line_and_lowered_again(
    visit: Visit,
) -> None:
    """Only its height changes, and the answer follows: what the line meets is drawn in the side view too."""
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    page.locator('#side [aria-label^="height of the end of leg 1, 0.8 m"]').focus()
    page.keyboard.press("Shift+ArrowUp")
    answered(page, "NO SETUP WORKS.*Proven")
    until(page.locator("#side .badtext"), "too low")
    assert legs(here)[0]["to"] == ["8 m", "0 m", "1.8 m"]

    page.keyboard.press("Shift+ArrowDown")
    answered(page)
    assert legs(here)[0]["to"] == ["8 m", "0 m", "0.8 m"]
    assert page.locator("#side .badtext").count() == 0


def test_a_crest_is_dragged_to_scale(visit: Visit) -> None:
    """The path is 8 m long in the side view too: as many px as 1 m of that is 1 m up."""
    here = visit(CREST)
    page = here.page
    answered(page, "NO SETUP WORKS.*Proven")
    page.locator("#side").scroll_into_view_if_needed()
    ends = [page.locator(f'#side [aria-label^="height of the {name}"]').bounding_box()
            for name in ("start of the path", "end of leg 2", "end of leg 1")]  # fmt: skip
    start, end, crest = (box["x"] + box["width"] / 2 if box else 0.0 for box in ends)
    assert (crest - start) / (end - start) == pytest.approx(6.0 / 8.0, abs=0.01)
    box = ends[2]
    assert box is not None
    y = box["y"] + box["height"] / 2
    page.mouse.move(crest, y)
    page.mouse.down()
    page.mouse.move(crest, y + 0.5 * (end - start) / 8.0)
    page.mouse.move(crest, y + 1.0 * (end - start) / 8.0)
    page.mouse.up()
    until(page.locator("#file"), "changed, not saved")
    page.wait_for_timeout(200)

    (at,) = [leg["to"] for leg in legs(here)][:1]
    assert at[:2] == ["6 m", "0 m"]
    assert float(at[2].removesuffix(" m")) == pytest.approx(0.8, abs=0.03)
    until(page.locator("#bank"), "type how high that stands")
