"""One sheet for a load that goes both ways: gear for both, both layouts, and what is re-rigged between."""

import re
from html import unescape
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.rank import rank
from optimiser.sheet.both_ways import both_ways
from optimiser.sheet.page import Page, lowering_sheet, sheet
from optimiser.site.reading import read_site
from tests.lower.slope_site import site_text

GENTLE = site_text(0.6, "0.03")
"""A slope up which two people can haul the trolley, and down which it runs by itself."""


def pages(*, down_first: bool = False) -> tuple[Page, ...]:
    site = read_site(GENTLE)
    up = sheet(site, rank(site).setups[:1])
    down = lowering_sheet(site, lower(site), lettered=up.pages[0].drawn.places)
    return both_ways(up, down, down_first=down_first).pages


def counted(page: Page, *, along: bool) -> dict[str, int]:
    return {item.name: item.count for item in (page.take_along if along else page.gear)}


@pytest.mark.parametrize("down_first", [False, True])
def test_of_each_piece_as_many_are_taken_along_as_one_way_takes(down_first: bool) -> None:
    first, second = pages(down_first=down_first)

    taken, own = counted(first, along=True), counted(first, along=False)
    other = counted(second, along=False)
    assert set(taken) == {*own, *other}
    assert all(many == max(own.get(name, 0), other.get(name, 0)) for name, many in taken.items())
    assert "rope" in own
    assert "rope" in other
    assert taken["rope"] == 1  # the same rope hauls it and lets it down
    assert not second.take_along


def test_a_place_has_one_letter_on_the_whole_sheet() -> None:
    up, down = pages()

    both = up.drawn.letters.keys() & down.drawn.letters.keys()
    assert both
    assert all(up.drawn.letters[place] == down.drawn.letters[place] for place in both)
    fresh = [down.drawn.letters[place] for place in down.drawn.letters.keys() - both]
    assert not set(fresh) & set(up.drawn.letters.values())


def test_what_changes_between_the_two_is_worded_from_the_chocks_to_the_new_run_of_the_rope() -> (
    None
):
    up, down = pages()

    assert up.heading.startswith("FIRST: HAULING.")
    assert down.heading.startswith("THEN: LETTING DOWN.")
    assert down.before_title == "From the haul to the way down"
    worded = " ".join(down.before)
    assert worded.index("Chock the load") < worded.index("from people to a hand behind the turns")
    assert re.search(
        r"Add turns of rope at oak .*Then run rope: .* round oak, .* then the hand", worded
    )
    assert not up.before


def test_the_reverse_begins_with_the_way_down_and_ends_below() -> None:
    down, up = pages(down_first=True)

    assert down.heading.startswith("FIRST: LETTING DOWN.")
    assert up.before_title == "From the way down to the haul"
    assert up.before[0] == "The load stands at 0.00 m of the path."
    worded = " ".join(up.before)
    assert "from a hand behind the turns to people" in worded
    # The rope is free of the trunk before it is led to the people.
    assert worded.index("Take off turns of rope") < worded.index("Add hauling end of rope")


def test_the_command_writes_both_into_one_file(tmp_path: Path) -> None:
    (tmp_path / "slope.toml").write_text(GENTLE)
    made = tmp_path / "both.html"

    assert cli.main(["sheet", str(tmp_path / "slope.toml"), "--both", "-o", str(made)]) == 0
    text = unescape(re.sub(r"<[^>]+>", " ", made.read_text()))
    assert text.count("Where nobody stands") == 2
    assert text.index("Gear to take along, for both ways") < text.index("THEN: LETTING DOWN.")
    assert text.count("From the haul to the way down") == 1


def test_a_path_that_falls_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """There both haul and way down lead downhill, and nothing says how the load gets up."""
    (tmp_path / "slope.toml").write_text(site_text(0.6, "0.03", way="down"))
    for words in (["sheet", "-o", str(tmp_path / "a.html")], ["buy"]):
        command, *options = words
        assert cli.main([command, str(tmp_path / "slope.toml"), "--both", *options]) == 2
        assert "from the lower end to the upper one" in capsys.readouterr().err
