"""Ropes that are joined by a bend, or lengthened by a strap, in every question alike, as somebody types it:
where no rope of one piece does, and only there."""

import json
from math import floor
from pathlib import Path
from typing import Any

import pytest

from optimiser.cli import main

SHORT = (Path(__file__).parents[2] / "examples" / "short-rope.toml").read_text()
SECOND = """[[gear]]
id = "polyester-12"
name = "short end"
length = "6 m"
ends = ["bare", "bare"]
condition = "used"

[preferences]"""


def meadow(rope: float, straps: int) -> str:
    """The easy leg of the example, which takes 27.2 m of rope through one lead block."""
    begin, end = SHORT.index('[[path.leg]]\nto = ["20.2 m"'), SHORT.index("[load]")
    text = (SHORT[:begin] + SHORT[end:]).replace('length = "30 m"', f'length = "{rope} m"')
    old = 'name = "tree strap"\ncount = 3'
    assert old in text
    return text.replace(old, f'name = "tree strap"\ncount = {straps}')


@pytest.fixture(params=["a strap", "a bend"])
def site(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """26 m of rope and either a strap to spare, or 6 m of rope and a bend to join them by."""
    text = meadow(26.0, 2)
    if request.param == "a bend":
        text = meadow(26.0, 1).replace("[preferences]", SECOND)
        text = text.replace('knots = ["bowline"]', 'knots = ["bowline", "double-sheet-bend"]')
    path = tmp_path / "site.toml"
    path.write_text(text)
    return path


class Run:
    """Commands as somebody types them."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys

    def text(self, *words: str | Path, code: int = 0) -> str:
        """What a command prints."""
        assert main([str(word) for word in words]) == code
        return self.capsys.readouterr().out

    def json(self, *words: str | Path) -> Any:
        """The answer as one object."""
        return json.loads(self.text(*words, "--format", "json"))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(capsys)


def test_rank_stages_why_and_buy_give_the_same_setup(run: Run, site: Path) -> None:
    best = run.json("rank", site)["setups"][0]
    (stage,) = run.json("stages", site)["stages"]
    why = run.json("why", site)
    first = run.json("buy", site)["options"][0]

    assert best["joined"] is not None
    for other in (stage, why["setup"], first["setup"]):
        assert (other["reeving"], other["joined"]) == (best["reeving"], best["joined"])
        assert other["margin"] == pytest.approx(best["margin"])
    assert why["works"]
    assert first["goals"][0] == "buy nothing"


def test_show_and_the_sheet_state_how_the_rope_is_put_together(
    run: Run, site: Path, tmp_path: Path
) -> None:
    joined = run.json("show", site)["joined"]
    found = " ".join(run.text("show", site).split())
    assert joined["first"] in found
    assert "pulled straight, reaches on" in found or "it must not come to a block" in found
    sheet = tmp_path / "sheet.html"
    run.text("sheet", site, "-o", sheet)
    assert joined["first"] in sheet.read_text()


@pytest.mark.parametrize("words", [("--samples", "50"), ("--guesses", "best")])
def test_ranking_in_other_ways_takes_them_too(run: Run, site: Path, words: tuple[str, ...]) -> None:
    found = run.json("rank", site, *words)
    assert found["setups"]
    assert all(setup["joined"] for setup in found["setups"])


@pytest.mark.parametrize("command", ["rank", "show", "stages"])
def test_whole_ropes_only_where_that_is_requested(run: Run, site: Path, command: str) -> None:
    assert "NO SETUP WORKS" in run.text(command, site, "--whole-ropes", code=3)


def test_nothing_is_put_together_where_a_rope_of_one_piece_does(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    path.write_text(meadow(40.0, 3))
    assert all(setup["joined"] is None for setup in run.json("rank", path)["setups"])


def test_more_margin_by_ropes_put_together_is_stated_and_listed_on_request(run: Run) -> None:
    """The demonstration: a rope of one piece does, and as part of a longer one it reaches for a part more."""
    text = " ".join(run.text("rank").split())
    plain, requested = run.json("rank"), run.json("rank", "--join-ropes")
    stated = plain["margin_if_put_together"]

    assert "Proven: with ropes of one piece no better setup exists" in text
    assert (
        f"bring more margin (at least {floor(stated * 100) / 100:.2f}): `--join-ropes` lists"
        in text
    )
    assert all(setup["joined"] is None for setup in plain["setups"])
    assert requested["setups"][0]["joined"] is not None
    assert "margin_if_put_together" not in requested
    assert plain["setups"][0]["margin"] + 0.1 <= stated
    assert stated <= max(setup["margin"] for setup in requested["setups"])


def test_a_plan_states_it_and_takes_them_on_request(run: Run) -> None:
    (plain,) = run.json("stages")["stages"]
    (requested,) = run.json("stages", "--join-ropes")["stages"]

    assert "bring more margin" in run.text("stages")
    assert plain["joined"] is None
    assert requested["margin"] == run.json("rank", "--join-ropes")["setups"][0]["margin"]
    assert requested["margin"] > plain["margin"] + 0.1


@pytest.mark.parametrize("command", ["rank", "stages"])
def test_it_is_stated_too_where_setups_are_to_be_kept_in_hand(run: Run, command: str) -> None:
    """Which of them would have a second line is not looked for."""
    text = " ".join(run.text(command, "--hold").split())

    assert "Proven: with ropes of one piece no better" in text
    assert "strap or chain, may bring more margin: `--join-ropes` lists them too." in text
    assert run.json(command, "--hold")["margin_if_put_together"] is None
    assert "may bring more" not in run.text(command, "--hold", "--join-ropes")


def test_a_sweep_states_it_and_takes_them_on_request(run: Run) -> None:
    words = ("sweep", "load.weight=660..700 kg", "--steps", "2", "--processes", "1")
    plain, requested = run.json(*words), run.json(*words, "--join-ropes")

    assert "may bring more margin: `--join-ropes`" in " ".join(run.text(*words).split())
    assert (plain["of_one_piece"], requested["of_one_piece"]) == (True, False)
    assert "may bring more" not in run.text(*words, "--join-ropes")
    for one, other in zip(plain["cells"], requested["cells"], strict=True):
        assert other["margin"] > one["margin"] + 0.1


def test_ropes_to_be_joined_are_no_word_of_a_way_down(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["sweep", "load.weight=660..700 kg", "--down", "--whole-ropes"]
    assert main(words) == 2
    assert "--whole-ropes is of hauls: leave out either it or --down" in capsys.readouterr().err
