"""`gear` with what people own in their own words: the lines for a site file are read as what they say."""

import json
import re
from pathlib import Path

import pytest

from optimiser import read_site
from optimiser.cli import main

EXAMPLE = (Path(__file__).parents[2] / "examples" / "short-rope.toml").read_text()


def answered(capsys: pytest.CaptureFixture[str], words: str, *options: str) -> str:
    assert main(["gear", *words.split(), *options]) == 0
    return capsys.readouterr().out


def lines(text: str) -> str:
    return text[text.index("[[gear]]") :]


@pytest.mark.parametrize(
    ("words", "id", "count", "length"),
    [
        ("half-inch rope, 100 ft", "sisal-12", 1, 30.48),
        ("two ropes of 1/2 in, 30 m", "sisal-12", 2, 30.0),
        ("two 3/4 shackles", "shackle-19-unrated", 2, None),
        ("3/8 chain 20 ft", "chain-10-g30", 1, 6.096),
        ("4 in snatch block", "snatch-100-plain", 1, None),
        ("2 t round sling 2 m", "round-sling-2t-2m", 1, 2.0),
        ("2 in strap 6 ft", "", 1, 1.8288),
    ],
)
def test_the_lines_are_read_as_what_was_stated(
    words: str, id: str, count: int, length: float | None, capsys: pytest.CaptureFixture[str]
) -> None:
    words = words.replace("2 t ", "2t ")
    before = read_site(EXAMPLE)
    text = EXAMPLE.replace("[preferences]", f"{lines(answered(capsys, words))}\n[preferences]")
    site = read_site(text)
    new = site.gear[len(before.gear) :]

    assert sum(piece.count for piece in new) == count
    for piece in new:
        assert id in ("", piece.gear.id)
        assert piece.condition.id == "unknown"
        own = piece.length if piece.length is not None else getattr(piece.gear, "length", None)
        assert length is None or own == pytest.approx(length)


def test_what_is_taken_on_trust_is_stated(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(answered(capsys, "half-inch rope, 100 ft").split())

    assert text.startswith(
        "Read as: 1 rope, 1/2 in, 100 ft long. 1/2 in is what that size is called"
    )
    assert "what is counted with are the catalogue's 12 mm." in text
    assert (
        "Which fibre it is was not said: it may be any of the 6 below, the weakest first." in text
    )
    assert 'length = "100 ft"' in text
    assert 'id = "sisal-12" # or, where you know that it is: manila-12' in text

    assert "UNRATED" in answered(capsys, "two 3/4 shackles")
    assert "it is not counted on" in answered(capsys, "braided rope 12 mm 30 m")
    unsaid = answered(capsys, "12 mm rope")
    assert "How long it is was not said" in unsaid
    assert 'length = "? m"' in unsaid  # which a site file does not take


def test_no_lines_for_a_size_that_the_catalogue_has_not(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = " ".join(answered(capsys, "13 mm polyester rope 20 m").split())

    assert "the next smaller and larger are polyester-12 or polyester-14" in text
    assert "[[gear]]" not in text
    assert "[[gear]]" not in answered(capsys, "2 blocks for 12 mm rope")  # with a becket, or none


def test_too_little_is_one_message(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["gear", "20", "m", "rope"]) == 2
    assert capsys.readouterr().err == (
        "catalogue: how thick is the rope? Say it as in 'bankhaul gear 30 m of 12 mm rope'\n"
    )


def test_sizes_are_in_the_units_of_who_reads_them(capsys: pytest.CaptureFixture[str]) -> None:
    metric = " ".join(answered(capsys, "nylon-12").split())
    assert "nylon rope, three-strand, 12 mm" in metric
    assert "diameter 12 mm (nominally 1/2 in)" in metric
    imperial = " ".join(answered(capsys, "nylon-12", "--units", "imperial").split())
    assert "nylon rope, three-strand, 1/2 in (nominal)" in imperial
    whole = answered(capsys, "", "--units", "imperial")
    assert "12: 1/2" in whole
    assert "Sizes in inches" not in answered(capsys, "")


def test_every_form(capsys: pytest.CaptureFixture[str]) -> None:
    entries = json.loads(answered(capsys, "two 3/4 shackles", "--format", "json"))
    assert [entry["inches"] for entry in entries] == ["3/4 in"] * 3
    assert [entry["nominal"] for entry in entries] == [False] * 3
    assert "count = 2" in entries[0]["site_file"]
    assert "site_file" not in entries[1]
    assert "```toml\n[[gear]]" in answered(capsys, "two 3/4 shackles", "--format", "markdown")
    assert re.search(r"^shackle-19,", answered(capsys, "two 3/4 shackles", "--format", "csv"), re.M)
