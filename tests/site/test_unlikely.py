"""What can be but hardly is, is questioned on top of every answer and never refused; what the data on trees
do not cover is printed. Through the commands, as somebody meets it."""

import json
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from catalogue.book import load_catalogue
from catalogue.gear import Rope
from optimiser import read_site, unlikely
from optimiser.cli import cli
from optimiser.site.doubts.figures import FIGURES
from optimiser.site.reading import demonstration_text
from shared.sources import load_sources
from tests.piped import replaced
from tests.site.small import SMALL

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


def run(*words: str, text: str) -> Any:
    return CliRunner().invoke(cli, list(words), input=text)


def remarks_on(text: str) -> list[dict[str, Any]]:
    done = run("check", "-", "--format", "json", text=text)
    assert done.exit_code == 0, done.output
    found: list[dict[str, Any]] = json.loads(done.stdout)["unlikely"]
    return found


@pytest.mark.parametrize(
    ("old", "new", "place", "stated"),
    [
        ('weight = "260 kg"', 'weight = "140 N"', "load.weight", "140 N is 14 kg"),
        ('weight = "260 kg"', 'weight = "9 kg"', "load.weight", "9 kg"),
        ('weight = "260 kg"', 'weight = "29..31 t"', "load.weight", "29..31 t"),
        ('wheel_radius = "0.25 m"', 'wheel_radius = "1.6 m"', "load.wheel_radius", "3.20 m high"),
        ('ahead = "1 m"', 'ahead = "2.5 m"', "load.hitch[drawbar].ahead", "2.50 m ahead of"),
        ('ahead = "1 m"', 'ahead = "-2.5 m"', "load.hitch[drawbar].ahead", "2.50 m behind"),
        ('rating = "10 kN"', 'rating = "10 N"', "load.hitch[drawbar].rating", "10 N is 0.01 kN"),
        ("breakout = 1.3", "breakout = 6", "path.leg[1].breakout", "6"),
        ('"0.03..0.06"', '"0.003..0.06"', "path.leg[2].resistance", "0.003"),
        ('"0.03..0.06"', '"0.5..2.5"', "path.leg[2].resistance", "2.5"),
        ('["6 m", "0 m", "1 m"]', '["6 m", "0 m", "12 m"]', "path.leg[1].to", "63 °"),
        ('diameter = "0.4 m"', 'diameter = "3e-10 m"', "tree[oak].diameter", "3e-10 m"),
        ('diameter = "0.4 m"', 'diameter = "79 mm"', "tree[oak].diameter", "79 mm"),
        ('girth = "1.2 m"', 'girth = "24 cm"', "tree[ash].girth", "24 cm is 76 mm"),
        ('["20 m", "3 m", "1 m"]', '["20 m", "3 m", "9 m"]', "tree[oak].at", "8.00 m above"),
        ('["20 m", "3 m", "1 m"]', '["13 m", "3 m", "-1.5 m"]', "tree[oak].at", "2.50 m below"),
        ('strap_highest = "1.5 m"', 'strap_highest = "6.1 m"', "tree[oak].strap_highest", "6.1 m"),
        ('weight = "1400 kg"', 'weight = "860 t"', "puller[tractor].weight", "860 t"),
        ('hitch_height = "0.5 m"', 'hitch_height = "5 m"', "puller[tractor].hitch_height", "5 m"),
    ],
)
def test_what_can_hardly_be_meant_is_questioned_with_its_place(
    old: str, new: str, place: str, stated: str
) -> None:
    text = replaced(SMALL, (old, new), count=1)

    found = {remark["place"]: remark for remark in remarks_on(text)}

    remark = found[place]
    key = place.rpartition(".")[2]
    assert remark["place"] == place
    assert stated in remark["text"]
    assert remark["text"].endswith("meant so?")
    assert text.splitlines()[remark["line"] - 1].startswith(key)
    assert remark["reason"]
    assert remark["source"] in load_sources()


GEAR = """
[[gear]]
kind = "block"
name = "toy block"
condition = "good"
opens = true
rope_least = "8 mm"
rope_most = "16 mm"
sheave_diameter = "80 mm"
rating = "0.1 N"
bearing = "plain"
efficiency = 0.9
length = "0.2 m"

[[gear]]
id = "polyester-12"
name = "ship line"
condition = "good"
length = "501 m"
ends = ["bare", "bare"]

[[puller]]
kind = "people"
name = "strong men"
count = 2
per_head = "1.1 kN"
at = ["15 m", "2 m", "1 m"]
towards = ["25 m", "2 m", "1 m"]
"""


def test_gear_and_people_are_questioned_too() -> None:
    found = {remark["place"]: remark["text"] for remark in remarks_on(SMALL + GEAR)}

    assert set(found) == {
        "puller[strong men].per_head",
        "gear[toy block].rating",
        "gear[ship line].length",
    }
    assert "0.1 N is 0.0001 kN" in found["gear[toy block].rating"]


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: "demo" if p is None else p.stem)
def test_nothing_usual_is_questioned(path: Path | None) -> None:
    """Of what ships, the one misreading that was planted alone."""
    text = demonstration_text() if path is None else path.read_text(encoding="utf-8")
    planted = ["reading[6].tape"] if path is not None and path.stem == "misread-tape" else []

    assert [remark["place"] for remark in remarks_on(text)] == planted


def test_nothing_of_the_catalogue_is_questioned() -> None:
    pieces = [
        f'[[gear]]\nid = "{id}"\nname = "piece {number}"\ncondition = "good"\n'
        + ('length = "20 m"\nends = ["bare", "bare"]\n' if isinstance(gear, Rope) else "")
        for number, (id, gear) in enumerate(load_catalogue().gear.items())
    ]

    for some in (pieces[:200], pieces[200:]):
        assert remarks_on(SMALL + "\n" + "".join(some)) == []


COMMANDS = [
    ["rank", "-"],
    ["show", "-", "1"],
    ["stages", "-"],
    ["buy", "-"],
    ["why", "-"],
    ["lower", "-"],
    ["lever", "-"],
    ["check", "-"],
    ["sweep", "-", "preferences.enough=2..3", "--steps", "2", "--processes", "1"],
]
SITE = replaced(demonstration_text(), ('weight = "580..680 kg"', 'weight = "840 N"'), count=1)
"""So light that each command is quick."""
TEXT = "load weight: 840 N is 86 kg: meant so?"


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_every_command_questions_first_in_every_form(words: list[str]) -> None:
    table = run(*words, text=SITE)
    data = run(*words, "--format", "json", text=SITE)

    assert table.stdout.startswith(f"MEANT SO?\n=========\n- {TEXT} (load.weight, line 33)")
    (remark,) = json.loads(data.stdout)["unlikely"]
    assert remark["text"] == TEXT


def test_markdown_has_it_above_and_beside_csv_it_goes_to_standard_error() -> None:
    markdown = run("rank", "-", "--format", "markdown", text=SITE)
    data = run("rank", "-", "--format", "csv", text=SITE)

    assert markdown.stdout.startswith(f"## MEANT SO?\n\n- {TEXT}")
    assert data.stdout.startswith("rank,parts,")
    assert TEXT in data.stderr


@pytest.mark.parametrize("words", [["sheet", "-", "1"], ["lower", "-"]], ids=lambda w: w[0])
def test_the_sheet_prints_it(words: list[str], tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"

    done = run(*words, "-o", str(out), text=SITE)

    assert done.exit_code == 0
    assert TEXT in out.read_text(encoding="utf-8")
    assert TEXT in done.stderr


def test_a_sweep_questions_the_ends_it_is_taken_to() -> None:
    done = run(
        "sweep", "-", "load.weight=2..40 kg", "--steps", "2", "--processes", "1", "--format", "json",
        text=SITE,
    )  # fmt: skip

    assert [remark["text"] for remark in json.loads(done.stdout)["unlikely"]] == [
        "load weight: 2 kg: meant so?"
    ]


def test_every_rule_has_a_figure_a_reason_and_a_source() -> None:
    path = files("optimiser.site.doubts").joinpath("data", "unlikely.toml")
    rules = tomllib.loads(path.read_text(encoding="utf-8"))["rule"]

    assert {rule["figure"] for rule in rules} == set(FIGURES)
    for rule in rules:
        assert rule["reason"].endswith(".")
        assert rule["source"] in load_sources()
        assert "least" in rule or "most" in rule


# ---- where the data end ----------------------------------------------------------------------------

THICK = replaced(
    demonstration_text(),
    ('diameter = "24 cm"', 'diameter = "80 cm"'),
    ('tree_height = "9 m"', 'tree_height = "40 m"'),
    count=1,
)
ENDS = "near pine: the diameter is 80 cm, the data on overturning end at 50 cm; taken as 50 cm"


def test_a_tree_thicker_and_taller_than_the_data_is_reported_to_be(tmp_path: Path) -> None:
    check = run("check", "-", "--format", "json", text=THICK)
    show = run("show", "-", "1", "--format", "json", text=THICK)
    table = run("show", "-", "1", text=THICK)
    out = tmp_path / "sheet.html"
    run("sheet", "-", "1", "-o", str(out), text=THICK)

    stem, height = json.loads(check.stdout)["beyond_data"]
    assert stem["text"] == ENDS
    assert stem["place"] == "tree[near pine].diameter"
    assert "40.00 m, the data on overturning end at 35.00 m; taken as 35.00 m" in height["text"]
    assert json.loads(show.stdout)["beyond_data"] == [stem, height]
    assert ENDS in " ".join(table.stdout.split())
    assert ENDS in out.read_text(encoding="utf-8")
    counted = "diameter counted against overturning (the data end there) 0.50 m"
    assert counted in " ".join(table.stdout.split())


def test_in_imperial_units_too() -> None:
    imperial = THICK.replace("[preferences]", '[preferences]\nunits = "imperial"')

    assert "the data on overturning end at 19.69 in" in " ".join(
        run("check", "-", text=imperial).stdout.split()
    )


def test_the_same_in_python() -> None:
    (remark,) = unlikely(read_site(SITE))

    assert remark.text == TEXT
    assert (remark.place, remark.line) == ("load.weight", 33)
