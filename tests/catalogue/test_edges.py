"""Friction of ropes over edges covers what was measured, both ways, and no kind of protector is beside it."""

from dataclasses import replace
from math import exp, log, pi

import pytest

from catalogue.book import LAID, load_catalogue
from catalogue.edges import ANY, ANYTHING_LAID, friction, on_material, surfaces
from catalogue.files import table
from catalogue.gear import Protector
from optimiser.mechanics.published import tables
from shared.sources import load_sources

BOOK = load_catalogue()
MATERIALS = tuple(dict.fromkeys(rope.material for rope in BOOK.ropes.values()))
BARE = ("soil", "stone", "concrete")
"""What no rope may run over: it cuts into the one and is worn through by the others."""
QUARTER, HALF = pi / 2, pi
HUNG = 75.0

# roping-friction, page 88: 75 kg hung on low-stretch rope over a host; the bend, kg to raise it, kg to
# hold it while it is let down.
MEASURED = [
    ("aluminium", QUARTER, 98.0, 50.0),
    ("aluminium", HALF, 88.0, 35.0),
    ("aluminium", QUARTER, 89.0, 49.0),
    ("aluminium", QUARTER, 92.0, 53.0),
    ("aluminium", HALF, 87.0, 36.0),
    ("aluminium", QUARTER, 92.0, 52.0),
    ("steel tube", QUARTER, 103.0, 47.0),
    ("steel tube", HALF, 125.0, 37.0),
    ("steel tube", QUARTER, 92.0, 47.0),
    ("steel tube", HALF, 127.0, 29.0),
    ("steel tube", HALF, 140.0, 31.0),
    ("sawn timber", HALF, 179.0, 17.0),
    ("sawn timber", HALF, 140.0, 15.0),
    ("concrete", QUARTER, 135.0, 34.0),
]


@pytest.mark.parametrize(("surface", "bend", "raise_", "hold"), MEASURED)
def test_what_was_measured_both_ways_lies_within(
    surface: str, bend: float, raise_: float, hold: float
) -> None:
    """Raising and letting down 75 kg over tubes, timber and concrete (roping-friction): the kilograms that
    were read lie between what the two ends of our range give, either way."""
    for material in ("polyester", "nylon"):
        row = on_material(surface, material)
        assert HUNG * exp(row.low * bend) <= raise_ <= HUNG * exp(row.high * bend)
        assert HUNG * exp(-row.high * bend) <= hold <= HUNG * exp(-row.low * bend)
        assert "roping-friction" in row.sources


@pytest.mark.parametrize(
    ("surface", "material", "least", "most"),
    [
        ("steel tube", "wire", 0.12, 0.12),  # tribology-handbook B12, dry, at slip
        (
            "steel tube",
            "wire",
            0.12,
            0.72,
        ),  # wire-rope-wear: dry, once it has slid some tens of metres
        (
            "peeled log",
            "wire",
            0.24,
            0.354,
        ),  # tribology-handbook on wood; kimbell-1981: 0.1768 in a notch
        ("sawn timber", "wire", 0.24, 0.354),  # of 60 degrees, over the sine of half of that
        ("bark", "wire", 0.24, 0.354),
        ("hose", "wire", 0.50, 0.50),  # the same, wire rope on rubber
        ("aluminium", "nylon", 0.28, 0.28),  # the same
        ("steel tube", "nylon", 0.25, 0.25),  # the same, on iron or steel
        ("steel tube", "manila", 0.22, 0.22),  # the same, woven fibre rope
        ("peeled log", "nylon", 0.2800, 0.3124),  # pine-roller: what stands, what slips
        ("steel tube", "manila", 0.329, 0.329),  # beer-johnston 8.104: hawser on a bollard
        (
            "bark",
            "polyester",
            0.2529,
            0.5059,
        ),  # 100 kg, a turn round a branch, 0.2 kN: whole or half
        ("steel tube", "HMPE", -log(0.60) / pi, -log(0.48) / pi),  # hmpe-bar
    ],
)
def test_published_coefficients_lie_within(
    surface: str, material: str, least: float, most: float
) -> None:
    """The Tribology Handbook B12 and the others that the file names."""
    row = on_material(surface, material)

    assert row.low <= least
    assert most <= row.high


def test_a_roller_is_a_poor_sheave() -> None:
    """Common practice, no source: a roller takes 1.05 to 1.15 times the pull over 90 degrees."""
    row = on_material("steel roller", ANY)

    assert exp(row.low * QUARTER) == pytest.approx(1.05, abs=0.005)
    assert exp(row.high * QUARTER) == pytest.approx(1.15, abs=0.005)


def test_a_log_rubs_like_the_trunk_a_rope_is_eased_round() -> None:
    """The same rope on the same bark: what holds round a trunk is what rubs on a log."""
    kinds = [kind for kind in tables("capstan").values() if "materials" in kind]
    assert kinds
    for kind in kinds:
        for material in kind["materials"]:
            row = on_material("bark", material)
            assert (row.low, row.high) == (kind["low"], kind["high"]), material


def test_ranges_are_ranges_with_a_source() -> None:
    for surface in (*surfaces(), *BARE):
        for material in (*MATERIALS, ANY):
            row = on_material(surface, material)
            assert 0.0 < row.low < row.high <= 1.0, (surface, material)
            assert row.sources
            assert set(row.sources) <= set(load_sources())


def test_every_material_of_the_catalogue_is_known_on_wood_and_steel() -> None:
    assert set(MATERIALS) >= {
        "polyester",
        "nylon",
        "polypropylene",
        "manila",
        "sisal",
        "HMPE",
        "wire",
    }
    for surface in ("bark", "peeled log", "sawn timber", "steel tube"):
        for material in MATERIALS:
            assert on_material(surface, material) is not on_material(surface, ANY)


def test_what_is_not_known_is_nowhere_narrower() -> None:
    """A rope of who knows what, and something that lies there, have the widest range of all."""
    for surface in (*surfaces(), *BARE):
        widest = on_material(surface, ANY)
        for material in MATERIALS:
            row = on_material(surface, material)
            assert widest.low <= row.low, (surface, material)
            assert widest.high >= row.high, (surface, material)
    for material in (*MATERIALS, ANY):
        widest = on_material(ANYTHING_LAID, material)
        for surface in surfaces():
            row = on_material(surface, material)
            assert widest.low <= row.low
            assert widest.high >= row.high


def test_materials_are_known_in_the_owners_words() -> None:
    """ "Polyester kernmantle" is polyester; of two materials the widest range is taken."""
    rope = BOOK.ropes["polyester-12"]
    plain = friction("bark", rope)

    assert friction("bark", replace(rope, material="Polyester kernmantle")) == plain
    for words in ("polyester on a nylon core", "hempen"):
        assert friction("bark", replace(rope, material=words)) == on_material("bark", ANY)
    with pytest.raises(KeyError):
        on_material("feathers", "nylon")


def test_nothing_is_laid_that_a_rope_must_not_run_over() -> None:
    assert set(table("edges")["bare"]) == set(BARE)
    assert not set(BARE) & set(surfaces())
    for kind in (*BOOK.protectors.values(), BOOK.laid_already):
        assert kind.surface in surfaces(), kind.id


def test_kinds_of_protectors_are_of_sizes_that_lie_on_an_edge() -> None:
    """Nobody publishes them: choices, marked so."""
    assert len(BOOK.protectors) >= 12
    assert {kind.surface for kind in BOOK.protectors.values()} >= {
        "bark", "peeled log", "sawn timber", "hose", "mat", "steel roller", "steel tube",
    }  # fmt: skip
    for kind in BOOK.protectors.values():
        assert isinstance(kind, Protector)
        assert kind.source == "choice"
        assert kind.wll is None
        assert 0.005 <= kind.clearance <= 0.5
        assert kind.fixing
    for size in (15, 20, 30):
        for kind in (BOOK.protectors[f"log-bark-{size}"], BOOK.protectors[f"log-peeled-{size}"]):
            assert kind.made
            assert kind.clearance == kind.bend_radius == pytest.approx(size / 200)


def test_what_lies_there_already_is_no_gear() -> None:
    assert BOOK.laid_already.id == LAID
    assert BOOK.laid_already.surface == ANYTHING_LAID
    assert LAID not in BOOK.protectors
    assert LAID not in BOOK.gear
    assert LAID not in {entry.id for entry in BOOK.find()}
