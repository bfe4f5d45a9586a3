"""Sheaves of one block hang at one place and turn equally well."""

from itertools import product

import pytest

from catalogue.gear import Block
from optimiser.rig.gear.covered import coverable
from optimiser.rig.gear.kit import Kit
from optimiser.site.model import Owned
from tests.generated import NEW


def _block(name: str, sheaves: int, eta: float, count: int = 1) -> Owned:
    block = Block(
        id=name, name="block", source="made up", sheaves=sheaves, opens=True, rope_least=0.008,
        rope_most=0.016, sheave_diameter=0.1, wll=10_000.0, bearing="plain", eta=eta, length=0.25,
        eye=0.02,
    )  # fmt: skip
    return Owned(name=name, gear=block, count=count, condition=NEW)


KIT = Kit((_block("double", 2, 0.92), _block("single", 1, 0.92), _block("good", 1, 0.96, 2)), ())


@pytest.mark.parametrize(
    ("places", "etas", "able"),
    [
        ((0, 7, 0), (0.92, 0.92, 0.92), True),  # the double at the load, the single at the tree
        ((5, 0, 7), (0.92, 0.92, 0.92), False),  # the double's second sheave cannot be elsewhere
        ((5, 0, 7), (0.92, 0.96, 0.92), True),
        ((0, 7, 0), (0.96, 0.96, 0.96), False),  # there are two
        ((0, 7, 0, 8, 0), (0.92, 0.92, 0.92, 0.92, 0.92), False),
        ((), (), True),
    ],
)
def test_a_block_of_two_sheaves_is_at_one_place(
    places: tuple[int, ...], etas: tuple[float, ...], able: bool
) -> None:
    assert coverable(KIT, places, etas) is able


def test_the_same_as_by_trying_every_block_at_every_sheave() -> None:
    blocks = [("double", 2, 0.92), ("single", 1, 0.92), ("good", 1, 0.96), ("good", 1, 0.96)]

    def tried(places: tuple[int, ...], etas: tuple[float, ...]) -> bool:
        for chosen in product(range(len(blocks)), repeat=len(places)):
            fits = all(blocks[b][2] == e for b, e in zip(chosen, etas, strict=True))
            for b, (_, sheaves, _) in enumerate(blocks):
                at = [p for p, c in zip(places, chosen, strict=True) if c == b]
                fits = fits and len(at) <= sheaves and len(set(at)) <= 1
            if fits:
                return True
        return False

    met = set()
    for places in product((0, 1, 2), repeat=4):
        for etas in product((0.92, 0.96), repeat=4):
            able = coverable(KIT, places, etas)
            assert able == tried(places, etas)
            met.add(able)
    assert met == {True, False}
