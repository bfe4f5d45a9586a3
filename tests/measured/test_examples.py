"""What ships with readings only: no coordinate in it, every question answered, a planted misreading named."""

import json
import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from optimiser import rank
from optimiser.cli import cli
from optimiser.site.reading import measured_starter_text, read_site

EXAMPLES = Path(__file__).parents[2] / "examples"
MEASURED = {
    name: (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    for name in ("dinghy", "gully-stone", "misread-tape")
} | {"starter": measured_starter_text()}


def printed(*arguments: str) -> str:
    """What a command prints."""
    found = CliRunner().invoke(cli, arguments)
    assert found.exit_code == 0, found.output
    return found.stdout


def points(value: Any) -> Iterator[Any]:
    """Every list of three quantities in a document."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from points(inner)
    elif isinstance(value, list):
        if len(value) == 3 and all(isinstance(each, str) for each in value):
            yield value
        for inner in value:
            yield from points(inner)


@pytest.mark.parametrize("name", MEASURED)
def test_without_a_coordinate_there_is_a_setup(name: str) -> None:
    assert list(points(tomllib.loads(MEASURED[name]))) == []
    assert rank(read_site(MEASURED[name])).setups


def test_the_new_file_is_the_starter_and_can_be_ranked(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    printed("new", "--measured", str(file))

    assert file.read_text(encoding="utf-8") == MEASURED["starter"]
    assert "Setups for" in printed("rank", str(file))


def test_the_misread_length_is_named_with_how_much_it_is_off() -> None:
    """It was planted: 12.00 m for 13.00 m, and the places are those of the true length."""
    file = str(EXAMPLES / "misread-tape.toml")
    answer = json.loads(printed("check", file, "--format", "json"))
    doubted = [reading for reading in answer["readings"] if reading["suspicious"]]
    at = {place["name"]: place for place in answer["places"]}

    assert [reading["reading"] for reading in doubted] == ["tape from peg to ash"]
    assert doubted[0]["measured"] == 12.0
    assert doubted[0]["adjusted"] == pytest.approx(13.0, abs=0.05)
    assert doubted[0]["residual"] == pytest.approx(1.0, abs=0.05)
    gap = [a - b for a, b in zip(at["ash"]["at"], at["peg"]["at"], strict=True)]
    assert sum(step**2 for step in gap) ** 0.5 == pytest.approx(13.0, abs=0.05)
    assert 0 < at["ash"]["uncertainty_m"] < 0.5
    for command in ("check", "rank"):
        text = printed(command, file)
        assert text.startswith("MEANT SO?")
        assert (
            "tape from peg to ash: 12.00 m, by the other readings 12.99 m: meant so?"
            in " ".join(text.split())
        )


def test_check_has_every_place_and_every_figure_once() -> None:
    """As the file has them; what nobody read is not among them."""
    answer = json.loads(printed("check", str(EXAMPLES / "gully-stone.toml"), "--format", "json"))
    document = tomllib.loads(MEASURED["gully-stone"])
    figures = [
        (f"reading[{number}].{key}")
        for number, reading in enumerate(document["reading"], 1)
        for key in reading
        if key not in ("from", "to")
    ]
    figures += [
        f"path.leg[{number}].{key}" for number in (1, 2) for key in ("length", "slope", "bearing")
    ]

    assert [place["name"] for place in answer["places"]] == [
        *("start", "end of leg 1", "end", "beech", "larch", "rowan", "stump")
    ]
    assert sorted(reading["place"] for reading in answer["readings"]) == sorted(figures)
    assert {reading["unit"] for reading in answer["readings"]} == {"m", "rad"}


def test_check_lists_slopes_and_lengths_that_a_tape_can_check() -> None:
    """In degrees; the lengths are those between the places, and none that was measured already."""
    file = str(EXAMPLES / "gully-stone.toml")
    text = printed("check", file)
    answer = json.loads(printed("check", file, "--format", "json"))
    at = {place["name"]: place["at"] for place in answer["places"]}

    assert "(9.0°)" in text
    assert "What a tape can check" in text
    row = next(
        line.split() for line in text.splitlines() if line.startswith("start") and "beech" in line
    )
    assert float(row[2]) == pytest.approx(math.dist(at["start"], at["beech"]), abs=0.005)
    assert not any(
        line.split()[:2] == ["beech", "larch"]
        for line in text.split("What a tape can check")[1].splitlines()
    )
    exact = {reading["place"]: reading["accuracy"] for reading in answer["readings"]}
    assert exact["reading[1].bearing"] == pytest.approx(math.radians(1))
    assert exact["path.leg[1].slope"] == pytest.approx(math.radians(0.5))
