"""A site file written in other units is the same site, and gets the same answer to rounding."""

from tomllib import loads

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.fuzz.bases import document, texts
from tests.fuzz.places import leaves
from tests.fuzz.toml_text import same, written
from tests.properties.alike import differences, distinguished
from tests.properties.jobs import ranked
from tests.properties.units import FACTORS, in_other_units, rewritten

NAMES = sorted(texts())


def read(name: str, number: int) -> Site:
    return read_site(written(in_other_units(document(name), number)))


@pytest.mark.parametrize("name", NAMES)
def test_writing_a_document_down_keeps_it(name: str) -> None:
    assert same(document(name))
    assert same(in_other_units(document(name), 1))


@given(name=st.sampled_from(NAMES), number=st.integers(0, 10_000))
def test_the_site_is_the_same(name: str, number: int) -> None:
    one, other = read_site(texts()[name]), read(name, number)
    # What the file says is kept as it is written, in its own units; places from readings are rounded to a
    # micrometre, and one may lie either side of a half.
    near = 1e-12 if one.surveyed is None else 1.1e-6
    aside = (".origin", ".surveyed")
    found = [d for d in differences(one, other, near=near) if not d.startswith(aside)]
    assert found == []


@settings(max_examples=8)
@given(name=st.sampled_from(NAMES), number=st.integers(0, 10_000))
def test_the_answer_is_the_same(name: str, number: int) -> None:
    one, other = ranked(read_site(texts()[name])), ranked(read(name, number))
    assert distinguished(one, other) == []


def test_every_unit_is_used() -> None:
    """So that the above is no empty claim."""
    seen: set[str] = set()
    for number in range(12):
        for leaf in leaves(in_other_units(document("demonstration"), number)):
            seen |= set(leaf.value.split()[-1:]) if isinstance(leaf.value, str) else set()
    assert {unit for kind in ("length", "mass", "force") for unit in FACTORS[kind]} <= seen


def test_a_rewritten_quantity_by_hand() -> None:
    """1 ft is 304.8 mm; a text that is no quantity stays."""
    from random import Random

    got = {rewritten("1 ft", "length", Random(n)) for n in range(40)}
    assert {"0.3048 m", "304.8 mm", "12 in"} <= got
    assert rewritten("oak-european", "species", Random(1)) == "oak-european"
    assert loads('a = "1 ft"')["a"] == "1 ft"
