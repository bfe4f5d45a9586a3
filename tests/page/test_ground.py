"""Ground that is stated point by point is drawn, added, dragged and typed: the track or area of a puller,
where an anchor may be made, and the sling that two trees may share."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from optimiser.site.text.edited import EditError, Insert, edited
from tests.page.conftest import Visit, Visited
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered, by_command, field, open_part, until
from tests.page.test_rigged import TRACK, spot

EXAMPLES = Path(__file__).parents[2] / "examples"


def stated(here: Visited) -> dict[str, Any]:
    return tomllib.loads(here.served.get("text").data["text"])


def choose(here: Visited, label: str) -> None:
    here.page.locator(f'#plan [aria-label^="{label}"]').focus()


def press(here: Visited, name: str) -> None:
    here.page.locator("#card").get_by_role("button", name=name).click()


def test_a_point_of_a_track_is_dragged(visit: Visit) -> None:
    """The path goes 8 m up the plan: half of that down the page is 4 m back along the track."""
    here = visit(TRACK)
    page = here.page
    answered(page)
    choose(here, "point 1 of the track of four of us")
    path = spot(here, "path start of the path")[1] - spot(here, "path end of leg 1")[1]
    box = page.locator('[aria-label^="point 1 of the track"]').bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + path / 4)
    page.mouse.move(x, y + path / 2)
    page.mouse.up()
    answered(page)

    (first, second) = stated(here)["puller"][0]["track"]
    assert float(first[0].removesuffix(" m")) == pytest.approx(22.0, abs=0.1)
    assert second == ["10 m", "0 m", "1 m"]


def test_a_track_takes_the_place_of_a_spot_and_is_bent_by_one_more_point(visit: Visit) -> None:
    """By keys and buttons alone; the answer is that of the command line. It goes back to one spot as well."""
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    choose(here, "puller four of us")
    press(here, "Let it stand anywhere on a track")
    until(page.locator("#plan"), "track of four of us")
    answered(page)
    assert stated(here)["puller"][0]["track"] == [["12 m", "0 m", "1 m"], ["22 m", "0 m", "1 m"]]
    assert "at" not in stated(here)["puller"][0]
    choose(here, "point 1 of the track of four of us")
    press(here, "One more point after this")
    choose(here, "point 2 of the track of four of us, 17 m, 0 m, 1 m")
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(900)  # the keys rest
    answered(page)
    page.click("#save")
    until(page.locator("#file"), "as saved")

    assert stated(here)["puller"][0]["track"][1] == ["17 m", "0.1 m", "1 m"]
    assert len(by_command(here.file)["setups"]) == page.locator(".setup").count()
    press(here, "Take out point 2 of the track of four of us")
    choose(here, "puller four of us")
    press(here, "Give it one spot")
    answered(page)
    assert "track" not in stated(here)["puller"][0]


def test_a_corner_of_an_area_is_typed(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    choose(here, "puller four of us")
    press(here, "Let it stand anywhere in an area")
    until(page.locator("#plan"), "area of four of us")
    choose(here, "corner 3 of the area of four of us")
    page.locator("#card").get_by_label("x").fill("25 m")
    page.keyboard.press("Enter")
    page.locator('[aria-label^="corner 3 of the area of four of us, 25 m"]').wait_for(
        state="attached"
    )

    area = stated(here)["puller"][0]["area"]
    assert [corner[1] for corner in area] == ["-2 m", "-2 m", "2 m", "2 m"]
    assert area[2][0] == "25 m"
    open_part(
        page, "puller", "puller[1]"
    )  # in the form each corner has its fields, and one more has room
    field(page, "puller[1].area[2][2]", "-3 m")
    for axis, value in zip("123", ("11 m", "0 m", "1 m"), strict=True):
        field(page, f"puller[1].area[5][{axis}]", value)
    page.locator('[aria-label^="corner 5 of the area of four of us, 11 m"]').wait_for(
        state="attached"
    )
    area = stated(here)["puller"][0]["area"]
    assert area[1][1] == "-3 m"
    assert area[4] == ["11 m", "0 m", "1 m"]


@pytest.mark.parametrize(
    ("choice", "label", "key"),
    [
        ("a spot where an anchor may be made", "spot 1 of spot 1", "spots"),
        ("a row of such spots", "end 2 of the row of row 1", "row"),
        ("a piece of ground with such spots", "corner 4 of the area of ground 1", "area"),
    ],
)
def test_where_an_anchor_may_be_made_is_placed_and_lacks_what_nobody_stated(
    visit: Visit, choice: str, label: str, key: str
) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    page.locator("#add").select_option(choice)
    page.click("#add-now")
    answered(page, "faults? in the site file")
    page.locator(f'[aria-label^="{label}"]').wait_for(state="attached")

    (made,) = stated(here)["made"]
    assert set(made) == {"name", key}
    assert page.locator(".setup").count() == 0


MADE = (
    STRAIGHT
    + """
[[made]]
name = "pasture"
row = [["10 m", "3 m", "1 m"], ["10 m", "6 m", "1 m"]]
every = "3 m"
holdfast = { systems = ["1-1-1"], pickets = "wood", soil = "loam", owned = 3 }
"""
)


def test_an_end_of_a_row_is_moved_and_its_spots_follow(visit: Visit) -> None:
    here = visit(MADE)
    page = here.page
    answered(page)
    crosses = "#plan text:has-text('pasture')"
    assert page.locator(crosses).count() == 3  # two spots, and the row itself
    choose(here, "end 2 of the row of pasture")
    for _ in range(3):
        page.keyboard.press("Shift+ArrowLeft")
    page.wait_for_timeout(900)
    answered(page)

    assert stated(here)["made"][0]["row"][1] == ["10 m", "9 m", "1 m"]
    assert page.locator(crosses).count() == 4


def test_two_trees_share_a_pull_by_a_choice_on_the_plan(visit: Visit) -> None:
    text = (EXAMPLES / "two-birches.toml").read_text()
    here = visit(text.replace('[[pair]]\ntrees = ["left birch", "right birch"]\n', ""))
    page = here.page
    assert "pair" not in stated(here)
    until(page.locator("#status"), r"(setups?, proven|Proven)\.$")
    choose(here, "tree left birch")
    page.get_by_label("Share the pull by a sling with").select_option("right birch")
    until(page.locator("#plan"), "two trees, sling")

    assert stated(here)["pair"] == [{"trees": ["left birch", "right birch"]}]
    choose(here, "tree right birch")
    press(here, "No sling to left birch")
    page.wait_for_timeout(300)
    assert "pair" not in stated(here)


def test_a_spot_that_is_a_mark_is_shown_and_moved_where_the_mark_is(visit: Visit) -> None:
    text = MADE.replace('row = [["10 m", "3 m", "1 m"], ["10 m", "6 m", "1 m"]]\nevery = "3 m"',
                        'spots = ["stake", ["10 m", "6 m", "1 m"]]')  # fmt: skip
    here = visit(text + '\n[[mark]]\nname = "stake"\nat = ["10 m", "3 m", "1 m"]\n')
    page = here.page
    until(page.locator("#plan"), "pasture")
    choose(here, "spot 1 of pasture, where stake is")
    until(page.locator("#card"), "where stake is: move that")
    choose(here, "spot 2 of pasture, 10 m, 6 m, 1 m")
    assert spot(here, "spot 1 of pasture")[1] == pytest.approx(
        spot(here, "spot 2 of pasture")[1], abs=1
    )


def test_a_point_goes_into_a_list_between_the_others_and_comments_stay() -> None:
    text = TRACK.replace("track = [[", "track = [  # the lane\n  [")
    text = text.replace('"], ["10 m"', '"],  # far\n  ["10 m"')
    out = edited(text, [Insert(key=("puller", 0, "track", 1), value=["18 m", "0 m", "1 m"])])

    assert [at[0] for at in tomllib.loads(out)["puller"][0]["track"]] == ["26 m", "18 m", "10 m"]
    assert "# the lane" in out
    assert "# far" in out
    for key in (("puller", 0, "track", 9), ("puller", 0, "name", 0), ("puller", 1)):
        with pytest.raises(EditError):
            edited(text, [Insert(key=key, value=["18 m", "0 m", "1 m"])])
