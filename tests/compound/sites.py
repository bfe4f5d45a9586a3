"""Small made-up sites where tackle on tackle is possible: two ropes and something that grips one."""

from dataclasses import replace

from catalogue.gear import Block, MadeTo, Needs, Rope, Termination
from optimiser.site.model import Owned, Site
from tests.generated import Recipe, made_up, on_unknown_ground

HITCH = Termination(
    id="friction-hitch",
    name="friction hitch",
    source="made up",
    keeps=0.5,
    eats_diameters=0.0,
    eats=0.0,
    made_to=frozenset({MadeTo.ROPE}),
    needs=Needs.BIGHT,
)
BIGHT = Termination(
    id="bight",
    name="loop in the bight",
    source="made up",
    keeps=0.55,
    eats_diameters=50.0,
    eats=0.4,
    made_to=frozenset({MadeTo.SHACKLE, MadeTo.HOOK}),
    needs=Needs.BIGHT,
)


def recipe(number: int) -> Recipe:
    """Every kind of puller, one or two strap heights, weak and strong anchors in turn."""
    return Recipe(
        trees=3 if number % 3 else 4,
        heights=1 if number % 2 else 2,
        sheaves=4,
        items=16,
        ropes=2 if number % 5 else 3,
        regime=("easy", "puller", "anchor")[number % 3],
        puller=("vehicle", "hand winch", "people")[(number // 2) % 3],
        mirrored=number % 4 == 1,
        boulder=number % 7 == 3,
        bridle=number % 9 == 4,
        wire=number % 11 == 5,
        mixed=number % 6 == 2,
        spacing=2.0,
        light=(0.4, 1.0, 2.0)[(number // 3) % 3],
        protected=True,
        unrated=("rope0",) if number % 10 == 7 else (),
        order=(("margin", "resets", "rope"), ("resets", "margin"), ("rope",))[number % 3],
    )


def site(number: int) -> Site:
    """The numbered site. There are trees beside the start too, so that a first rope may lead back. Nothing
    is known of the ground: two ropes run over no edge, and most of these banks have one."""
    return _made(recipe(number), number)


def bridled(number: int) -> Site:
    """The numbered site with a bridle: two hitch points that stand less than half of the load's weight each,
    on a bank small enough for the enumeration, which solves for the ring in every state."""
    plain = recipe(number)
    return _made(replace(plain, bridle=True, heights=1, trees=3, sheaves=3, boulder=False), number)


def _made(recipe: Recipe, number: int) -> Site:
    plain = on_unknown_ground(made_up(recipe, number))
    more = replace(plain.preferences, knots=(*plain.preferences.knots, HITCH, BIGHT))
    if number % 2:
        more = replace(more, knots=(*plain.preferences.knots, HITCH))
    gear = tuple(_enough(piece) for piece in plain.gear)
    return replace(plain, preferences=more, gear=gear)


def _enough(piece: Owned) -> Owned:
    """Blocks enough for both ropes, and ropes too short for a tackle of many parts."""
    if isinstance(piece.gear, Block):
        return replace(piece, count=piece.count + 1)
    if isinstance(piece.gear, Rope) and piece.length is not None:
        return replace(piece, length=0.7 * piece.length)
    return piece
