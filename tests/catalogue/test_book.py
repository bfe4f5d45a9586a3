"""The catalogue is whole, and no number in it is out of the question."""

from dataclasses import replace
from itertools import pairwise
from math import isfinite

import pytest

from catalogue.book import figures, load_catalogue
from catalogue.gear import Block, Rope
from catalogue.ground import Motion
from catalogue.trees import ROOTINGS, SOILS, overturning_key
from shared.sources import READINGS, load_sources, source

BOOK = load_catalogue()
MAY_BE_ZERO = {"eats", "eats_diameters", "turns", "least_trunk"}
SHARES = {"eta", "keeps", "choker_factor", "knot_factor", "stretch_at_break"}


def test_every_value_names_a_source_of_the_list() -> None:
    known = load_sources()
    for entries in BOOK.kinds().values():
        for entry in entries.values():
            assert entry.source in known, entry.id
            for figure in figures(entry):
                assert figure.source in known, (entry.id, figure.field)


def test_value_sources_name_fields_that_exist() -> None:
    for gear in BOOK.gear.values():
        for field, _ in gear.value_sources:
            assert hasattr(gear, field), (gear.id, field)


def test_all_numbers_are_positive_and_shares_at_most_one() -> None:
    for entries in BOOK.kinds().values():
        for entry in entries.values():
            for figure in figures(entry):
                if figure.value is None:
                    assert "unrated" in entry.id, entry.id
                    continue
                least_ok = figure.value > 0 or figure.field in MAY_BE_ZERO
                assert isfinite(figure.value), (entry.id, figure.field)
                assert least_ok, (entry.id, figure.field)
                if figure.field in SHARES:
                    assert figure.value <= 1, (entry.id, figure.field)


def test_ids_are_kebab_case_and_equal_their_key() -> None:
    for entries in BOOK.kinds().values():
        for key, entry in entries.items():
            assert key == entry.id
            assert set(key) <= set("abcdefghijklmnopqrstuvwxyz0123456789-."), key


def test_gear_has_all_kinds_of_gear() -> None:
    kinds = (
        BOOK.ropes, BOOK.blocks, BOOK.shackles, BOOK.straps, BOOK.chains, BOOK.hooks,
        BOOK.protectors,
    )  # fmt: skip
    assert len(BOOK.gear) == sum(len(kind) for kind in kinds)


def test_there_is_enough_to_choose_from() -> None:
    materials = {rope.material for rope in BOOK.ropes.values()}
    assert {"polyester", "nylon", "polypropylene", "manila", "HMPE", "wire"} <= materials
    for material in materials:
        assert sum(rope.material == material for rope in BOOK.ropes.values()) >= 6, material
    assert sum(shackle.id.count("-") == 1 for shackle in BOOK.shackles.values()) >= 10
    assert {chain.grade for chain in BOOK.chains.values()} >= {"30", "43", "70", "80", "100"}
    assert {block.sheaves for block in BOOK.blocks.values()} == {1, 2, 3}
    assert len(BOOK.terminations) >= 12
    assert len(BOOK.species) >= 25
    assert sum(s.motion is Motion.ROLLING for s in BOOK.surfaces.values()) >= 20
    assert sum(s.motion is Motion.SLIDING for s in BOOK.surfaces.values()) >= 20


def test_surfaces_state_how_the_load_goes_in_their_id() -> None:
    for surface in BOOK.surfaces.values():
        assert (surface.motion is Motion.SLIDING) == surface.id.endswith("-sliding")
        assert surface.low <= surface.likely <= surface.high
        if surface.id.endswith("-hard-wheel"):
            assert surface.wheel_radius == pytest.approx(0.1)


def test_small_hard_wheels_are_never_easier_than_tyres() -> None:
    for surface in BOOK.surfaces.values():
        tyre = BOOK.surfaces.get(surface.id.removesuffix("-hard-wheel"))
        if tyre is not None and tyre is not surface:
            assert surface.likely > tyre.likely, surface.id
            assert surface.high > tyre.high, surface.id


@pytest.mark.parametrize("block", BOOK.blocks.values(), ids=lambda block: block.id)
def test_a_rope_that_fits_a_block_may_run_in_it(block: Block) -> None:
    """The thickest rope a block takes is not bent tighter than that kind of rope allows."""
    fibre = block.sheave_diameter / block.rope_most >= 6
    wire = block.sheave_diameter / block.rope_most >= 16
    assert wire if "wire" in block.id else fibre
    assert block.rope_least < block.rope_most


def test_stronger_in_order_of_size() -> None:
    """A thicker rope of one material is stronger and heavier."""
    by_material: dict[str, list[Rope]] = {}
    for rope in BOOK.ropes.values():
        by_material.setdefault(rope.material, []).append(rope)
    for ropes in by_material.values():
        ropes.sort(key=lambda rope: rope.diameter)
        for thin, thick in pairwise(ropes):
            assert thin.mbs is not None
            assert thick.mbs is not None
            assert thin.mbs < thick.mbs
            assert thin.mass_per_metre < thick.mass_per_metre


def test_a_mark_on_a_shackle_never_lowers_it() -> None:
    """The field rule for unmarked shackles is the lower one, at every size."""
    for shackle in BOOK.shackles.values():
        if shackle.id.endswith("-unmarked"):
            rated = BOOK.shackles[shackle.id.removesuffix("-unmarked")]
            assert shackle.wll is not None
            assert rated.wll is not None
            assert shackle.wll < rated.wll
            assert BOOK.shackles[f"{rated.id}-unrated"].wll is None


def test_unknown_species_is_the_weakest_of_all() -> None:
    unknown = BOOK.species["unknown"]
    for species in BOOK.species.values():
        assert unknown.rupture <= species.rupture
        assert unknown.compression <= species.compression
        assert unknown.knot_factor <= species.knot_factor
        assert unknown.bark >= species.bark
        assert unknown.stem_density <= species.stem_density
        for key, coefficient in species.overturning.items():
            assert unknown.overturning[key] <= coefficient
        if species.volume is not None and unknown.volume is not None:
            for diameter, height in ((16, 12), (30, 20), (60, 30)):
                p0, p1, p2 = unknown.volume
                q0, q1, q2 = species.volume
                least = p0 * diameter**p1 * height**p2
                assert least <= 1.001 * q0 * diameter**q1 * height**q2
    keys = {overturning_key(soil, root) for soil in SOILS for root in ROOTINGS}
    assert set(unknown.overturning) == keys


def test_deeper_roots_never_hold_less() -> None:
    for species in BOOK.species.values():
        for soil in SOILS if species.overturning else ():
            row = [species.overturning[overturning_key(soil, root)] for root in ROOTINGS]
            assert row == sorted(row), (species.id, soil)


def test_compression_never_above_half_of_rupture_where_it_was_worked_out() -> None:
    """Worked-out compression: the lowest published ratio, 0.438 conifers and 0.369 broadleaves."""
    for species in BOOK.species.values():
        if species.source_of("compression") == "derived" and species.id != "unknown":
            broad = species.id.split("-")[0] in ("oak", "ash", "sycamore")
            ratio = 0.3697 if broad else 0.4384
            assert species.compression <= ratio * species.rupture
            assert species.compression >= 0.98 * ratio * species.rupture


def test_wire_ends_and_fibre_ends_are_distinguished() -> None:
    assert BOOK.terminations["wire-clips"].for_wire
    assert not BOOK.terminations["bowline"].for_wire
    assert not any(r.knottable for r in BOOK.ropes.values() if r.material in ("wire", "HMPE"))


def test_find_takes_several_words() -> None:
    found = [entry.id for entry in BOOK.find("polyester 12 mm")]
    assert found == ["polyester-12"]
    assert [entry.id for entry in BOOK.find("puller people")] == ["people"]
    assert BOOK.find("no such thing") == ()


def test_words_are_whole_ones() -> None:
    """Nothing is found of which a word is only a part: no carpet or cedar for a car."""
    assert BOOK.find("car") == ()
    assert BOOK.find("shackles") == BOOK.find("shackle")
    assert [entry.id for entry in BOOK.find('1/2" shackle stamped')] == ["shackle-13"]
    assert [entry.id for entry in BOOK.find("12mm polyester")] == ["polyester-12"]
    assert len(BOOK.find()) == sum(len(entries) for entries in BOOK.kinds().values())


def test_source_of_one_value() -> None:
    rope = BOOK.ropes["wire-13"]
    assert rope.source_of("wll") == "cfr-393-108"
    assert rope.source_of("mbs") == "derived"
    assert replace(rope, value_sources=()).source_of("mbs") == "cfr-393-108"


def test_sources_state_how_they_are_known() -> None:
    assert source("fm-5-125").worded == "FM 5-125, rigging techniques (memory)"
    assert source("navedtra-14251").worded == source("navedtra-14251").title
    for reading in ("memory", "practice", "derived", "choice"):
        assert source(reading).read == reading
        assert reading in READINGS
    with pytest.raises(KeyError):
        source("no-such-source")
