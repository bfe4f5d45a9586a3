"""Gear as people say what they own: which entries that may be, and what their sizes are called in inches.

Pairs of sizes in inches and millimetres: Cordage Institute CI 1308-96, table of nominal sizes (rope); 49 CFR
393.108, tables of working loads (chain)."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalogue.book import load_catalogue
from catalogue.inches import inches_of, size_of
from catalogue.spoken import Candidates, candidates_for, ids_meant
from shared.sources import load_sources

SHACKLES = {"3/8": 10, "1/2": 13, "5/8": 16, "3/4": 19, "7/8": 22, "1": 25, "1-1/4": 32}
CI_1308 = {"1/4": 6, "3/8": 10, "1/2": 12, "5/8": 16, "3/4": 18, "7/8": 22, "1": 24, "1-1/2": 36}
KINDS = ("rope", "shackle", "block", "strap", "chain")
CFR_CHAIN = {"1/4": 7, "5/16": 8, "3/8": 10, "7/16": 11, "1/2": 13, "5/8": 16}


def candidates(text: str) -> Candidates:
    found = candidates_for(text, load_catalogue())
    assert found is not None, text
    return found


def ids(text: str) -> list[str]:
    return [entry.id for entry in candidates(text).entries]


@pytest.mark.parametrize(
    ("text", "kind", "count", "metres", "size"),
    [
        ("half-inch rope, 100 ft", "rope", 1, 30.48, 0.0127),
        ("1/2 inch rope 100 feet", "rope", 1, 30.48, 0.0127),
        ("½ in rope, 10 ft 6 in long", "rope", 1, 3.2004, 0.0127),
        ("30 m of 12 mm rope", "rope", 1, 30.0, 0.012),
        ("three-quarter inch nylon rope 200'", "rope", 1, 60.96, 0.01905),
        ("two 3/4 shackles", "shackle", 2, None, 0.01905),
        ("2 3/4 shackles", "shackle", 2, None, 0.01905),
        ("2 x 5/8 in shackles", "shackle", 2, None, 0.015875),
        ("an inch and a quarter shackle", "shackle", 1, None, 0.03175),
        ("a pair of 3/8 clevises", "shackle", 2, None, 0.009525),
        ("four-inch snatch block", "block", 1, None, 0.1016),
        ("20 ft of 3/8 chain", "chain", 1, 6.096, 0.009525),
        ("2 in strap 6 ft", "strap", 1, 1.8288, 0.0508),
        ("3/8 in steel cable, 50 m", "rope", 1, 50.0, 0.009525),
    ],
)
def test_what_was_stated(
    text: str, kind: str, count: int, metres: float | None, size: float
) -> None:
    spoken = candidates(text).spoken
    assert (spoken.kind, spoken.count) == (kind, count)
    assert spoken.metres == pytest.approx(metres)
    assert spoken.metric_size == pytest.approx(size)


def test_a_fibre_that_nobody_names_is_every_fibre_the_weakest_first() -> None:
    """By breaking strength over design factor; wire is no answer to "rope"."""
    kinds = ["sisal", "manila", "polypropylene", "nylon", "polyester", "hmpe"]
    assert ids("half-inch rope, 100 ft") == [f"{kind}-12" for kind in kinds]
    assert ids("half-inch nylon rope") == ids("1/2 in nylon") == ["nylon-12"]
    assert ids("1/2 in wire rope") == ["wire-13"]


@pytest.mark.parametrize(("inches", "label"), SHACKLES.items())
def test_a_shackle_by_its_inches_is_the_one_that_is_called_so(inches: str, label: int) -> None:
    assert ids(f"{inches} in shackle") == [
        f"shackle-{label}-unrated",
        f"shackle-{label}-unmarked",
        f"shackle-{label}",
    ]
    assert ids(f"{inches} in rated shackle") == [f"shackle-{label}"]
    assert f"shackle-{label}" in ids_meant(f"{inches} in shackle", load_catalogue())


@pytest.mark.parametrize(("inches", "mm"), CI_1308.items())
def test_a_rope_by_its_inches_is_the_one_of_the_table(inches: str, mm: int) -> None:
    """3/4 in is 18 mm there, though 19 mm would be nearer to 20: the strengths are those of the row."""
    assert ids(f"{inches} in nylon rope") == [f"nylon-{mm}"]


@pytest.mark.parametrize(("inches", "mm"), CFR_CHAIN.items())
def test_a_chain_by_its_inches_is_the_one_of_the_table(inches: str, mm: int) -> None:
    """Chain whose grade nobody names begins with grade 30, as the rule there has it."""
    assert ids(f"{inches} chain")[0] == f"chain-{mm}-g30"


def test_inches_are_nominal_where_the_catalogue_has_millimetres() -> None:
    known = load_catalogue().gear
    for id, size, nominal in (
        ("nylon-12", "1/2", True),
        ("chain-10-g70", "3/8", True),
        ("snatch-100-roller", "4", True),
        ("shackle-13", "1/2", False),
        ("wire-13", "1/2", False),
        ("strap-50-2m", "2", False),
    ):
        found = inches_of(known[id])
        assert found is not None
        assert (found.size, found.nominal) == (Fraction(size), nominal), id
    for entry in known.values():
        own, sized = inches_of(entry), size_of(entry)
        if own is not None and own.nominal and sized is not None:
            assert own.source in load_sources()
            assert float(own.size) * 0.0254 == pytest.approx(sized[1], rel=0.11), entry.id


def test_a_size_that_is_not_there_is_the_next_smaller_and_the_next_larger() -> None:
    found = candidates("13 mm polyester rope 20 m")
    assert not found.exact
    assert [entry.id for entry in found.entries] == ["polyester-12", "polyester-14"]
    assert [entry.id for entry in found.alike] == ["polyester-12"]


def test_a_block_for_a_rope_takes_it() -> None:
    blocks = [entry.id for entry in candidates("snatch block for 1/2 in rope").entries]
    assert "snatch-100-roller" in blocks
    assert "snatch-50-plain" not in blocks
    assert not any("wire" in id for id in blocks)


def test_words_that_no_entry_has_are_named() -> None:
    assert candidates("braided rope 12 mm, 30 m").unknown == ("braided",)


@pytest.mark.parametrize("text", ["rope", "nylon 12", "shackle", "oak 1/2 in", "100 ft", ""])
def test_what_is_no_piece_by_size_number_or_length_is_left_to_the_catalogue(text: str) -> None:
    assert candidates_for(text, load_catalogue()) is None


@given(st.text(st.sampled_from("0123456789/ .-'\"½aftimn,x"), max_size=20), st.sampled_from(KINDS))
@settings(max_examples=150, deadline=None)
def test_whatever_is_typed_is_understood_or_left(text: str, kind: str) -> None:
    """No signs around a kind of gear end in anything but candidates, or none."""
    found = candidates_for(f"{text} {kind}", load_catalogue())
    assert found is None or found.entries
    for bad in (
        f"3/0 in {kind}",
        f"0/4 {kind}",
        f"999999999 {kind}s 12 mm",
        f"1{'0' * 60} ft {kind}",
    ):
        found = candidates_for(bad, load_catalogue())
        assert found is None or found.spoken.count < 99
