"""The smallest kind of the catalogue that would do in a piece's place."""

from collections.abc import Callable

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Block, Chain, Rope, Shackle, Strap
from optimiser.gear.assign import Filled
from optimiser.gear.kit import bend_keeps, eye_of, fits_eye


def smallest(kind: type, suits: Callable[[AnyGear], bool]) -> AnyGear | None:
    """The weakest rated kind that suits; of equally strong ones the shortest."""
    able = [
        g
        for g in load_catalogue().gear.values()
        if isinstance(g, kind) and _strength(g) > 0.0 and suits(g)
    ]
    return min(able, key=lambda g: (_strength(g), _length(g), g.id), default=None)


def such_as(gear: AnyGear | None) -> str:
    """The end of a sentence that names it; "" for none."""
    return "" if gear is None else f", such as {gear.name}"


def in_place_of(filled: Filled, item: str, need: float) -> AnyGear | None:
    """The smallest kind, new, that stands `need` times as much as a piece of the rig and fits in its
    place; None where there is none, or it is no piece of gear."""
    used = [o.piece for o in filled.blocks] + [h.piece for h in filled.straps.values()]
    used += [*filled.shackles.values(), *filled.legs, filled.variant.rope]
    piece = next((p for p in used if p.name == item), None)
    if piece is None or piece.unrated:
        return None
    gear, rope = piece.gear, filled.variant.rope.gear
    wanted = _strength(gear) * piece.condition.keeps * need
    blocks = [o.piece.gear for o in filled.blocks]
    nodes = [n for n, p in filled.shackles.items() if p.name == item]
    eyes = [eye_of(o.piece) for o in filled.blocks if o.nodes in nodes]

    def suits(other: AnyGear) -> bool:
        if _strength(other) < wanted:
            return False
        if isinstance(other, Rope):
            assert isinstance(gear, Rope)
            fits = all(isinstance(b, Block) and bend_keeps(other, b) is not None for b in blocks)
            same = other.design_factor <= gear.design_factor and other.knottable == gear.knottable
            return fits and same
        if isinstance(other, Block):
            assert isinstance(gear, Block)
            assert isinstance(rope, Rope)
            return other.sheaves >= gear.sheaves and bend_keeps(rope, other) is not None
        if isinstance(other, Shackle):
            return all(fits_eye(other, eye) for eye in eyes)
        return _length(other) >= _length(gear)

    return smallest(type(gear), suits)


def _strength(gear: AnyGear) -> float:
    if isinstance(gear, Rope) and gear.mbs is not None:
        return gear.mbs
    return gear.wll or 0.0


def _length(gear: AnyGear) -> float:
    return gear.length if isinstance(gear, Strap | Chain) else 0.0
