"""Whose rope it is: what has to be bought is not called owned, nor all to be bought where a part is there."""

from dataclasses import replace

import pytest

from catalogue.gear import Rope
from optimiser.site.model import Joined, Owned, is_of
from optimiser.telling.detail import _whose
from tests.generated import HOME, made_up

MINE = next(piece for piece in made_up(HOME, 2).gear if is_of(piece, Rope))
NEW = replace(MINE, name="new", price=40.0)


def joined(first: Owned[Rope], second: Owned[Rope]) -> Owned[Rope]:
    bend = made_up(HOME, 2).preferences.knots[0]
    price = sum(part.price or 0.0 for part in (first, second)) or None
    return replace(first, price=price, joined=Joined(first=first, second=second, bend=bend))


@pytest.mark.parametrize(
    ("ropes", "found"),
    [
        ([MINE], "owned"),
        ([NEW], "to be bought"),
        ([MINE, NEW], "in part to be bought"),
        ([joined(MINE, MINE)], "owned"),
        ([joined(MINE, NEW)], "in part to be bought"),
        ([joined(NEW, NEW)], "to be bought"),
    ],
)
def test_whose_it_is(ropes: list[Owned], found: str) -> None:
    assert _whose(ropes) == found
