"""`check`: slopes of the path, lengths that a tape can check, and the drawing of a site as it was read."""

import json
import re
from math import atan, degrees
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

from optimiser.cli import cli
from optimiser.sheet.drawing.panel import drawing
from optimiser.sheet.drawing.pictures import FROM_ABOVE, of_site, together
from optimiser.sheet.shown.bare import Bare
from optimiser.site.reading import read_site
from tests.sheet.layouts import EXAMPLES, faults

SITE = """
title = "Crate up a bank"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]                    # one in four
to = ["4 m", "0 m", "1 m"]
surface = "grass"

[[path.leg]]                    # as far up as along
to = ["7 m", "0 m", "4 m"]
surface = "grass"

[load]
name = "crate"
weight = "WEIGHT"
rests_on = "skids"
length = "1 m"
overhang = "0.5 m"

[[load.hitch]]
name = "bar"
ahead = "0.5 m"
left = "0 m"
height = "0.3 m"
rating = "10 kN"

[[tree]]                        # 3, 4, 5 from the start
name = "oak"
at = ["3 m", "4 m", "0 m"]
diameter = "30 cm"
species = "oak-european"
soil = "free-draining"
strap_lowest = "0.3 m"
strap_highest = "0.9 m"

[[tree]]                        # 12 m on
name = "ash"
at = ["3 m", "16 m", "0 m"]
diameter = "30 cm"
species = "oak-european"
soil = "free-draining"
strap_lowest = "0.3 m"
strap_highest = "0.9 m"

[[puller]]                      # 5 m from the ash; 5, 12, 13 from the oak
kind = "people"
name = "two of us"
at = ["8 m", "16 m", "0 m"]
towards = ["20 m", "16 m", "0 m"]
run = "5 m"
count = 2
footing = "grass"

[[gear]]
id = "polyester-14"
name = "white rope"
length = "60 m"
ends = ["bare", "bare"]
condition = "good"
"""


def check(*arguments: str, text: str | None = None) -> Result:
    """What `check` prints."""
    done = CliRunner().invoke(cli, ["check", *arguments], input=text)
    assert done.exit_code == 0, done.output
    return done


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    text = SITE.replace("WEIGHT", "100 kg")
    found: dict[str, Any] = json.loads(check("-", "--format", "json", text=text).stdout)
    return found


def test_slopes_are_in_degrees(answer: dict[str, Any]) -> None:
    """One in four is atan 0.25; as far up as along is 45 degrees."""
    slopes = [leg["slope_deg"] for leg in answer["legs"]]

    assert slopes == pytest.approx([degrees(atan(0.25)), 45.0])
    assert [leg["rise_m"] for leg in answer["legs"]] == pytest.approx([1.0, 3.0])
    text = " ".join(check("-", text=SITE.replace("WEIGHT", "100 kg")).stdout.split())
    assert "rises 1.00 m (14.0°)" in text
    assert "rises 3.00 m (45.0°)" in text


def test_lengths_between_what_stands_there(answer: dict[str, Any]) -> None:
    """Right triangles of 3, 4, 5 and 5, 12, 13."""
    tape = {(row["from"], row["to"]): row["tape_m"] for row in answer["tape"]}

    assert tape["start", "oak"] == pytest.approx(5.0)
    assert tape["oak", "two of us"] == pytest.approx(13.0)
    assert tape["ash", "two of us"] == pytest.approx(5.0)
    assert tape["oak", "ash"] == pytest.approx(12.0)
    assert tape["end", "oak"] == pytest.approx((4**2 + 4**2 + 4**2) ** 0.5)
    assert len({frozenset(pair) for pair in tape}) == len(tape)


def test_places_by_coordinates_are_those_of_the_file(answer: dict[str, Any]) -> None:
    at = {place["name"]: place["at"] for place in answer["places"]}

    assert at["end of leg 1"] == pytest.approx([4.0, 0.0, 1.0])
    assert at["oak"] == pytest.approx([3.0, 4.0, 0.0])
    assert {place["uncertainty_m"] for place in answer["places"]} == {None}
    assert answer["readings"] == []


def test_imperial_sites_are_printed_in_feet_alone(tmp_path: Path) -> None:
    file = tmp_path / "site.html"
    text = SITE.replace("WEIGHT", "100 kg") + '\n[preferences]\nunits = "imperial"\n'
    printed = check("-", "-o", str(file), text=text).stdout

    row = next(line for line in printed.splitlines() if line.startswith("start") and "oak" in line)
    assert row.split() == ["start", "oak", "16", "ft", "5", "in", "0", "in", "0.0°"]
    for words in (
        printed,
        re.sub(r"<svg.*?</svg>|<style.*?</style>", "", file.read_text(), flags=re.S),
    ):
        assert re.findall(r"\d (?:m|cm|mm|kg|kN)\b", words) == []


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_every_example_is_drawn(path: Path | None, tmp_path: Path) -> None:
    file = tmp_path / "site.svg"
    done = check(*([] if path is None else [str(path)]), "-o", str(file))

    assert done.stderr == f"wrote {file}\n"
    assert "no fault found" in done.stdout
    assert file.read_text(encoding="utf-8").startswith("<?xml")


@pytest.mark.parametrize("name", ["dinghy", "workboat"])
def test_no_label_overlaps_another_or_leaves_the_drawing(name: str) -> None:
    seen = Bare(read_site(str(next(p for p in EXAMPLES if p.stem == name))))
    figure, panels = together(of_site(seen), name)

    with drawing():
        assert faults(figure) == []
    assert not [label for panel in panels for label in panel.left_out if label.needed]


def test_everything_that_stands_there_is_named() -> None:
    seen = Bare(read_site(SITE.replace("WEIGHT", "100 kg")))
    _, panels = together(of_site(seen), "crate")
    labels = {placed.label.text for panel in panels for placed in panel.placed}

    assert {"oak\n⌀ 300 mm", "ash\n⌀ 300 mm", "two of us\nrun 5.00 m", "crate", "bar"} <= labels
    assert {"leg 1: 14.0° up\n4.12 m", "leg 2: 45.0° up\n4.24 m"} <= labels
    assert of_site(seen)[0].title == FROM_ABOVE


@pytest.mark.parametrize("kind", ["png", "pdf", "html"])
def test_the_other_kinds_of_file(kind: str, tmp_path: Path) -> None:
    file = tmp_path / f"site.{kind}"
    path = next(p for p in EXAMPLES if p.stem == "gully-stone")
    check(str(path), "-o", str(file))
    begins = {"png": b"\x89PNG", "pdf": b"%PDF", "html": b"<!doctype html>"}

    data = file.read_bytes()
    assert data.startswith(begins[kind])
    if kind == "html":
        text = data.decode("utf-8")
        assert text.count("<svg") == 3
        for title in ("The path, leg by leg", "Places, by the readings", "What a tape can check"):
            assert f"<h2>{title}</h2>" in text


def test_a_site_where_nothing_works_is_drawn(tmp_path: Path) -> None:
    site, file = tmp_path / "site.toml", tmp_path / "site.svg"
    site.write_text(SITE.replace("WEIGHT", "9000 kg"), encoding="utf-8")

    assert CliRunner().invoke(cli, ["rank", str(site)]).exit_code == 3
    check(str(site), "-o", str(file))
    assert file.stat().st_size > 0


def test_json_is_not_mixed_with_where_the_drawing_is(tmp_path: Path) -> None:
    done = check("-o", str(tmp_path / "site.svg"), "--format", "json")

    assert json.loads(done.stdout)["legs"]


def test_a_file_of_no_kind_is_refused_before_anything_is_read() -> None:
    done = CliRunner().invoke(cli, ["check", "no such file.toml", "-o", "site.gif"])

    assert done.exit_code == 2
    assert "ends in none of .html, .pdf, .svg, .png" in done.output


def test_ellipses_hold_95_in_100() -> None:
    """The squared distance from the middle, in standard deviations, is chi-square's 5.991 of two degrees
    of freedom at every point, in the coordinates of the file."""
    site = read_site(str(next(p for p in EXAMPLES if p.stem == "gully-stone")))
    seen = Bare(site)
    assert site.surveyed is not None
    assert site.frame is not None
    located = {place.name: place for place in site.surveyed.places}
    turn = np.array(((site.frame.cos, -site.frame.sin), (site.frame.sin, site.frame.cos)))

    drawn = {doubt.name: doubt for doubt in seen.doubts}
    for name in ("beech", "larch", "rowan"):
        place = located[name]
        spread = np.linalg.inv(np.asarray(place.covariance)[:2, :2]) / place.scale**2
        ring = drawn[name].ring @ turn.T
        assert np.einsum("ni,ij,nj->n", ring, spread, ring) == pytest.approx(5.991, abs=0.002)
        assert drawn[name].height == pytest.approx(1.96 * place.deviations[2], rel=1e-3)


def test_north_is_where_the_compass_has_it() -> None:
    """The first leg bears 40 degrees: north lies as far to its left."""
    seen = Bare(read_site(str(next(p for p in EXAMPLES if p.stem == "gully-stone"))))

    assert seen.north is not None
    assert degrees(seen.north) == pytest.approx(40.0, abs=1.0)
    assert Bare(read_site()).north is None
