"""What fits what: rope and block, pin and eye, knots and rope, condition and rating, by hand."""

from dataclasses import replace

import pytest

from catalogue.gear import Block, Condition, MadeTo, Needs, Rope, Shackle
from optimiser.mechanics.line.rope import wire_bend
from optimiser.rig.gear.kit import Kit, bend_keeps, capacity, fits_eye, rope_capacity
from optimiser.site.model import Fixture, One, Owned
from tests.generated import BOWLINE, NEW, SPLICE, TRUNK_KNOT, WIRE_EYE

ROPE = Rope(
    id="rope", name="rope", source="made up", material="polyester", diameter=0.012, mbs=30_000.0,
    design_factor=5.0, stretch_at_break=0.2, mass_per_metre=0.1, least_bend_ratio=6.0,
)  # fmt: skip
WIRE = replace(ROPE, material="wire", knottable=False, diameter=0.01, least_bend_ratio=10.0)
BLOCK = Block(
    id="block", name="block", source="made up", sheaves=1, opens=True, rope_least=0.01,
    rope_most=0.014, sheave_diameter=0.1, wll=10_000.0, bearing="plain", eta=0.9, length=0.2,
    eye=0.02,
)  # fmt: skip
SHACKLE = Shackle(
    id="shackle", name="shackle", source="made up", bow_diameter=0.016, pin_diameter=0.019,
    jaw=0.03, length=0.06, wll=8_000.0,
)  # fmt: skip
WORN = Condition(id="worn", name="worn", source="made up", keeps=0.5)
GRIP = replace(BOWLINE, id="grip", name="grip", made_to=frozenset({MadeTo.ROPE}), needs=Needs.BIGHT)


def owned(gear: One, condition: Condition = NEW, **more: object) -> Owned[One]:
    return Owned(name=gear.name, gear=gear, count=1, condition=condition, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("diameter", "fits"), [(0.0099, False), (0.01, True), (0.014, True), (0.0141, False)]
)
def test_a_block_takes_ropes_of_its_size(diameter: float, fits: bool) -> None:
    rope = replace(ROPE, diameter=diameter)
    assert (bend_keeps(rope, BLOCK) is not None) == fits


@pytest.mark.parametrize(("sheave", "fits"), [(0.072, True), (0.0719, False)])
def test_a_sheave_is_not_too_small_for_the_rope(sheave: float, fits: bool) -> None:
    """Six times 12 mm at the least; over that a fibre rope keeps all of its strength."""
    keeps = bend_keeps(ROPE, replace(BLOCK, sheave_diameter=sheave))
    assert keeps == (1.0 if fits else None)


def test_wire_keeps_what_is_published_over_a_bend() -> None:
    """D / d = 10."""
    published = wire_bend(sheave_diameter=0.1, rope_diameter=0.01)
    assert bend_keeps(WIRE, BLOCK) == published
    assert published < 1.0


@pytest.mark.parametrize(("eye", "fits"), [(0.019, True), (0.0189, False), (None, True)])
def test_a_pin_goes_through_an_eye_as_wide_as_itself(eye: float | None, fits: bool) -> None:
    assert fits_eye(SHACKLE, eye) == fits


def test_condition_comes_off_every_rating() -> None:
    assert capacity(owned(BLOCK, WORN)) == 5_000.0
    assert capacity(owned(SHACKLE, WORN)) == 4_000.0
    assert capacity(owned(SHACKLE, unrated=True)) is None
    assert rope_capacity(owned(ROPE, WORN)) == pytest.approx(3_000.0)
    assert rope_capacity(owned(ROPE, WORN), keeps=0.6) == pytest.approx(1_800.0)
    assert rope_capacity(owned(ROPE, unrated=True)) is None


HOOK = Fixture(kind=MadeTo.HOOK)
TRUNK = Fixture(kind=MadeTo.TRUNK, width=0.3, girth=0.94)


def names(rope: Owned[Rope]) -> list[str]:
    """What can be made of one of its ends, off a puller's hands."""
    kit = Kit((rope,), (BOWLINE, TRUNK_KNOT, GRIP, SPLICE))
    ends = (*kit.ends(rope, HOOK), *kit.ends(rope, TRUNK))
    return sorted({end.termination.id for end in ends if end.termination is not None})


def test_knots_are_tied_in_fibre_and_splices_are_there_already() -> None:
    bare = owned(ROPE, length=50.0, ends=(None, None))
    spliced = owned(ROPE, length=50.0, ends=(SPLICE, None))
    assert names(bare) == ["bowline", "trunk-knot"]
    assert names(spliced) == ["bowline", "eye-splice", "trunk-knot"]


def test_no_knots_in_wire() -> None:
    """A wire rope has its fittings, and where an end is bare there is nothing to make of it."""
    fitted = owned(WIRE, length=50.0, ends=(WIRE_EYE, WIRE_EYE))
    assert names(fitted) == ["wire-eye"]
    assert names(owned(WIRE, length=50.0, ends=(None, None))) == []


def test_people_hold_the_bare_rope() -> None:
    rope = owned(ROPE, length=50.0, ends=(SPLICE, None))
    (end,) = Kit((rope,), (BOWLINE,)).ends(rope, None)
    assert end.termination is None
    assert end.eaten == 0.0


def test_rated_pieces_only() -> None:
    kit = Kit((owned(ROPE), owned(BLOCK, unrated=True), owned(SHACKLE)), ())
    assert [piece.name for piece in kit.rated_only.pieces] == ["rope", "shackle"]
