"""Amounts and entries of the data files: read exactly, or refused with a reason."""

import pytest

from catalogue.amounts import amount
from catalogue.book import load_catalogue
from catalogue.entries import BadEntryError, build, expand
from catalogue.gear import Block, Hook, Shackle


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("1-1/8 in", "length", 1.125 * 0.0254),
        ("7/16 in", "length", 0.0111125),
        ("12 mm", "length", 0.012),
        ("5750 lbf", "force", 25577.274287747875),
        ("3.25 short ton", "force", 28913.44049919325),
        ("500 kgf", "force", 4903.325),
        ("6.96 lb/(100 ft)", "mass per length", 0.10357621),
        ("20 deg", "angle", 0.3490658503988659),
        ("8300 psi", "stress", 57226485.5),
    ],
)
def test_amounts_by_exact_definitions(text: str, dimension: str, expected: float) -> None:
    """Inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s²: exact by definition."""
    assert amount(text, dimension) == pytest.approx(expected, rel=1e-7)


def test_a_block_has_as_many_sheaves_as_its_name_says() -> None:
    """Single, double and treble; a snatch block has one. Common practice, no source."""
    named = {"single": 1, "double": 2, "treble": 3, "snatch": 1}
    blocks = [piece for piece in load_catalogue().gear.values() if isinstance(piece, Block)]
    counts = {block.id.split("-")[0]: block.sheaves for block in blocks}
    assert counts == named
    assert all(block.sheaves == named[block.id.split("-")[0]] for block in blocks)


@pytest.mark.parametrize("text", ["12", "mm", "12 kg", "-3 m", "1,5 m", "1/2", "", "nan m"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write a number and one of m, mm"):
        amount(text, "length")


def test_a_family_is_multiplied_out() -> None:
    family = {
        "id": "sling-{label}-{length}",
        "name": "{label} of {length}",
        "each": {"length": ["1 m", "2 m"]},
        "rows": [{"label": "a"}, {"label": "b"}],
    }
    assert [entry["id"] for entry in expand(family)] == [
        "sling-a-1m",
        "sling-a-2m",
        "sling-b-1m",
        "sling-b-2m",
    ]


def test_every_fault_of_an_entry_is_reported() -> None:
    with pytest.raises(BadEntryError) as found:
        build(Shackle, {"id": "s", "name": "s", "source": "site", "wll": 12, "jaws": "20 mm"})
    faults = dict(found.value.faults)
    assert faults["wll"] == "12 needs a unit: write it as a force"
    assert faults["jaws"] == "no such field; did you mean 'jaw'?"
    assert faults["pin_diameter"] == "is missing"


def test_unrated_is_none_and_never_a_number() -> None:
    entry = {"id": "h", "name": "h", "source": "site", "length": "0.1 m", "throat": "20 mm"}
    assert build(Hook, {**entry, "wll": "unrated"}).wll is None
    with pytest.raises(BadEntryError, match="throat"):
        build(Hook, {**entry, "wll": "unrated", "throat": "none"})
    with pytest.raises(BadEntryError, match="wll: is missing"):
        build(Hook, entry)
