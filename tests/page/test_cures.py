"""A cure that a file can state is one click, and says what has to be so first."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from optimiser.site.text.edited import Add, Put, edited
from optimiser.telling.page.answering import Answers, Wanted
from tests.page.conftest import Visit
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered, by_command, until

EXAMPLES = Path(__file__).parents[2] / "examples"
SHORT = STRAIGHT.replace('length = "40 m"', 'length = "9 m"')
HEAVY = STRAIGHT.replace('weight = "60 kg"', 'weight = "{}"\nlightest = "40 kg"')


def cures(text: str) -> list[dict[str, Any]]:
    parts = {part["part"]: part for part in Answers().of(Wanted(text=text, name="site.toml"))}
    return [cure for miss in parts["list"]["misses"] for cure in miss["cures"]]


def test_a_rope_that_is_too_short_becomes_as_long_as_it_has_to_be(visit: Visit) -> None:
    here = visit(SHORT)
    page = here.page
    answered(page, "NO SETUP WORKS.*Proven")
    until(page.locator(".miss"), "only once you have it")
    page.get_by_role("button", name="Put this cure into the file, only once you have it").click()
    answered(page)
    page.click("#save")
    until(page.locator("#file"), "as saved")

    (rope,) = tomllib.loads(here.file.read_text())["gear"]
    assert 9.0 < float(rope["length"].removesuffix(" m")) < 40.0
    (setup,) = by_command(here.file)["setups"]
    assert setup["rope_needed_m"] <= float(rope["length"].removesuffix(" m"))


def test_where_the_line_pulls_sideways_a_steering_line_is_looked_for(visit: Visit) -> None:
    """That is no change of the file: the box above the list is ticked, and the button has done its work."""
    aside = STRAIGHT.replace('at = ["12 m", "0 m"', 'at = ["12 m", "2 m"')
    page = visit(aside.replace('towards = ["30 m", "0 m"', 'towards = ["32 m", "14 m"')).page
    answered(page, "NO SETUP WORKS")
    until(page.locator(".miss").first, "side pull on the load")
    button = page.get_by_role("button", name="Look for setups with a steering line")
    button.click()
    until(page.locator("#status"), r"(works|WORKS|setups?).*roven\.$")
    button.wait_for(state="detached")
    assert page.locator("#hold").is_checked()


@pytest.mark.parametrize(
    ("weight", "lighter"),
    [("900 kg", "145 kg"), ("400..900 kg", "145 kg"), ("90..900 kg", "90..145 kg")],
)
def test_a_load_that_is_too_heavy_is_lightened_to_what_works_and_no_further(
    weight: str, lighter: str
) -> None:
    text = HEAVY.format(weight)
    (cure,) = (cure for cure in cures(text) if cure.get("first", "").endswith("off the load"))
    assert cure["edits"] == [{"put": ["load", "weight"], "value": lighter}]

    assert rank(read_site(edited(text, [Put(key=("load", "weight"), value=lighter)]))).setups
    heavier = edited(text, [Put(key=("load", "weight"), value="147 kg")])
    assert not rank(read_site(heavier)).setups


def test_a_margin_is_never_lowered_by_a_button() -> None:
    text = HEAVY.format("140 kg").replace("margin_wanted = 1.0", "margin_wanted = 3.0")
    words = [cure["words"] for cure in cures(text) if "margin" in cure["words"]]

    assert words
    assert not any(cure.get("edits") for cure in cures(text) if "margin" in cure["words"])


@pytest.mark.parametrize(
    ("example", "cut", "table"),
    [
        ("side-tree", "", "made"),
        ("two-birches", '[[pair]]\ntrees = ["left birch", "right birch"]\n', "pair"),
    ],
)
def test_an_anchor_that_is_proposed_goes_into_the_file(example: str, cut: str, table: str) -> None:
    """Pickets to be driven, a sling between two trees: with the entry something works."""
    text = (EXAMPLES / f"{example}.toml").read_text().replace(cut, "")
    assert not rank(read_site(text), RankQuestion(explain=False)).setups
    found = [edit for cure in cures(text) for edit in cure.get("edits", ())]
    (edit,) = [edit for edit in found if edit.get("add") == [table]]
    cured = edited(text, [Add(key=(table,), table=edit["table"])])
    assert rank(read_site(cured), RankQuestion(explain=False)).setups
