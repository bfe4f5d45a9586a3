"""`buy --down` and `buy --both` against trying every set of a short price list, and as commands."""

import json
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli, lower, rank, read_site
from tests.buy.ways_down import compare
from tests.long import cases, long
from tests.lower.slope_site import site_text

PRICES = "gear,length,price\npolyester-12,20 m,45\npolyester-12,30 m,65\nmanila-12,30 m,50\n"
DEARER = "sling-30-2m,,10\nshackle-11,,8\n"


@pytest.mark.parametrize("number", [1])
def test_the_least_for_a_way_down_is_what_trying_every_set_finds(number: int) -> None:
    """The other prover of ways down says with which sets the load gets down."""
    assert compare(number, 1).wrong == []


@pytest.mark.parametrize("number", cases([4, 6], quick=[], seldom=[4]))
def test_the_least_for_other_ways_down_is_what_trying_every_set_finds(number: int) -> None:
    assert compare(number, 1).wrong == []


@long
@pytest.mark.parametrize("number", [2, 8])
def test_the_least_for_both_ways_is_what_trying_every_set_finds(number: int) -> None:
    assert compare(number, 1, both=True).wrong == []


@long
@pytest.mark.parametrize("number", [3])
def test_the_least_in_two_stages_is_what_trying_every_set_finds(number: int) -> None:
    assert compare(number, 2).wrong == []


def without_rope(text: str) -> str:
    """The site whose owner has lost the rope."""
    begin = text.index('[[gear]]\nid = "polyester-12"')
    return text[:begin] + text[text.index('[[gear]]\nid = "shackle-11"') :]


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A gentle slope whose owner has lost the rope."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "slope.toml").write_text(without_rope(site_text(0.6, "0.03")))
    (tmp_path / "shop.csv").write_text(PRICES + DEARER)
    return tmp_path


def bought(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> dict[str, Any]:
    given = ["slope.toml", "--prices", "shop.csv", "--only-my-list", "--stages", "1"]
    assert cli.main(["buy", *given, "--format", "json", *words]) == code
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_one_rope_lets_it_down_and_the_file_with_it_keeps_the_promise(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The load hangs some 15 m below the oak: the shortest rope does."""
    found = bought(capsys, "--down", "--write", "with.toml")
    least = found["options"][0]

    assert found["proven"]
    assert [(item["id"], item["length_m"]) for item in least["items"]] == [("polyester-12", 20.0)]
    (part,) = least["sites"]
    assert (part["trip"], part["setups"], len(part["holds"])) == ("down", [], 1)
    assert lower(read_site("with.toml"))[0].margin >= part["margin"] - 1e-9


def test_the_rope_that_grips_more_is_bought_though_another_is_stronger_and_costs_less(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The load pulls with some 2.2 kN, of which the hand may get 150 N. Two turns of polyester, no more of
    which are eased, hold 12 times the hand's force (e^(0.2 · 4π)), two of manila 43 times (e^(0.3 · 4π))."""
    # No knot joins ropes: a second rope is of no use, and one that is as good in all else pointless.
    knots = 'knots = ["bowline", "two-half-hitches"]'
    steep = site_text(3.0, '"0.05..0.1"', extra=knots).replace("400 kg", "800 kg")
    (files / "slope.toml").write_text(without_rope(steep))
    (files / "shop.csv").write_text("gear,length,price\npolyester-22,30 m,50\nmanila-22,30 m,90\n")
    least = bought(capsys, "--down")["options"][0]

    assert [item["id"] for item in least["items"]] == ["manila-22"]
    assert least["sites"][0]["holds"][0]["turns"] == 2


def test_one_purchase_serves_haul_and_way_down(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is bought once serves both: the rope that reaches the people, who stand further off."""
    found = bought(capsys, "--both", "--write", "with.toml")
    least = found["options"][0]

    assert found["proven"]
    assert [job["trip"] for job in found["jobs"]] == ["up", "down"]
    assert least["cost"] == max(job["alone"]["cost"] for job in found["jobs"])
    site = read_site("with.toml")
    up, down = least["sites"]
    assert rank(site)[0].margin >= up["margin"] - 1e-9
    assert lower(site)[0].margin >= down["margin"] - 1e-9


def test_a_load_that_rests_all_the_way_needs_no_rope(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (files / "slope.toml").write_text(site_text(0.1, "0.05"))
    found = bought(capsys, "--down")

    assert found["options"] == []
    assert found["resting"] == ["slope.toml"]
    assert not found["needed"]


def test_where_nothing_on_the_list_lets_it_down_it_says_what_stops_it(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (files / "shop.csv").write_text("gear,length,price\n" + DEARER)
    found = bought(capsys, "--down", code=3)

    assert found["proven"]
    assert found["options"] == []
    assert found["jobs"][0]["reasons"]


@pytest.mark.parametrize("words", [("--down", "--both"), ("--down", "--hold")])
def test_words_that_exclude_each_other_are_refused(
    files: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    assert cli.main(["buy", "slope.toml", *words]) == 2
    assert "way down" in capsys.readouterr().err
