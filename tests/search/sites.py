"""Small made-up sites by number, of every kind the enumeration has to agree with the search on."""

from dataclasses import replace

import numpy as np

from optimiser.site.model import Site
from optimiser.site.rules import RULES
from tests.generated import Recipe, made_up

ORDERS = (
    ("margin", "resets", "rope"),
    ("margin", "resets", "rope"),
    ("rope", "margin"),
    ("resets", "margin", "rope"),
    ("parts", "margin"),
    ("pull",),
)
LOOSE = ("block0", "block1", "shackle0", "strap0", "strap1", "rope0", "tree00", "tree01", "eye")


def recipe(number: int) -> Recipe:
    """The recipe of a numbered site: every kind comes round, mixed by a seeded choice."""
    rng = np.random.default_rng((number, 7))

    def chance(share: float) -> bool:
        return bool(rng.uniform() < share)

    loose = tuple(str(name) for name in rng.choice(LOOSE, 2, replace=False)) if chance(0.3) else ()
    off = (
        frozenset(str(name) for name in rng.choice(sorted(RULES), 2))
        if chance(0.25)
        else frozenset()
    )
    mixed = chance(0.35)
    plain = Recipe(
        trees=4 if chance(0.5) else 3,
        heights=2 if chance(0.6) else 1,
        sheaves=3 if chance(0.7) else 2,
        items=int(rng.choice([12, 14, 18])),
        regime=("easy", "puller", "anchor")[number % 3],
        ropes=2 if chance(0.3) else 1,
        pullers=2 if chance(0.15) else 1,
        spacing=float(rng.choice([1.0, 2.0])),
        mixed=mixed,
        puller=("vehicle", "vehicle", "people", "hand winch")[int(rng.integers(4))],
        mirrored=chance(0.3),
        twins=chance(0.15),
        bridle=chance(0.12),
        wire=chance(0.15),
        boulder=chance(0.2),
        light=float(rng.choice([0.2, 0.4, 0.7])),
        protected=chance(0.8),
        rough=chance(0.3),
        unrated=loose,
        off=off,
        order=ORDERS[int(rng.integers(len(ORDERS)))],
        ranged=chance(0.25),
    )
    # What multiplies the walks is not all had at once.
    if off or mixed or plain.pullers > 1 or plain.bridle:
        plain = replace(plain, heights=1, trees=3)
    if plain.ranged:  # every sheave counts at both ends
        plain = replace(plain, heights=1, trees=3, spacing=2.0)
    if plain.bridle and plain.mixed and plain.ranged:
        plain = replace(plain, pullers=1, sheaves=2)
    return plain


def site(number: int) -> Site:
    """The numbered site."""
    return made_up(recipe(number), number)
