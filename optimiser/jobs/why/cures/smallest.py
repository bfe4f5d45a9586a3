"""Finds the smallest kind that can be bought and would do in a piece's place."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache

from catalogue.gear import AnyGear, Block, Chain, Rope, Shackle, Strap
from catalogue.prices import NEW, load_prices
from optimiser.rig.components import components
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.fill import shackles_wanted
from optimiser.rig.gear.kit import Kit, bend_keeps
from optimiser.site.model import One, Owned


@cache
def for_sale() -> tuple[AnyGear, ...]:
    """The kinds that can be bought: of the catalogue those with a rating of their maker, no field rules
    for what bears no marking."""
    return tuple({i.gear.id: i.gear for i in load_prices().values() if i.for_sale}.values())


def smallest(kind: type, suits: Callable[[AnyGear], bool]) -> AnyGear | None:
    """The weakest rated kind that suits; of equally strong ones the shortest."""
    able = [g for g in for_sale() if isinstance(g, kind) and _strength(g) > 0.0 and suits(g)]
    return min(able, key=lambda g: (_strength(g), _length(g), g.id), default=None)


def such_as(gear: AnyGear | None) -> str:
    """The end of a sentence that names it; "" for none."""
    return "" if gear is None else f", such as {gear.name}"


def in_place_of(filled: Filled, item: str, need: float) -> AnyGear | None:
    """The smallest kind, new, that stands `need` times as much as a piece of the rig and fits in its
    place; None where there is none, or it is no piece of gear."""
    piece = _used(filled, item)
    if piece is None or piece.unrated:
        return None
    wanted = _strength(piece.gear) * piece.condition.keeps * need
    gear, fits = piece.gear, _fits(filled, piece)

    def suits(other: AnyGear) -> bool:
        if (
            isinstance(other, Rope)
            and isinstance(gear, Rope)
            and other.design_factor > gear.design_factor
        ):
            return False  # their strengths do not compare
        return _strength(other) >= wanted and fits(other)

    return smallest(type(gear), suits)


def rated_in_place_of(filled: Filled, item: str, floor: float) -> AnyGear | None:
    """The smallest rated kind, new, with which all that hangs on a piece of the rig that has no rating
    stands its load with the margin `floor`; None where there is none, or it is no piece of gear."""
    piece = _used(filled, item)
    if piece is None:
        return None
    fits = _fits(filled, piece)

    def stands(other: AnyGear) -> bool:
        if not fits(other):
            return False
        new = replace(piece, gear=other, condition=NEW, unrated=False)
        changed = _with(filled, piece, new)
        if changed is None:
            return False
        parts = [part for part in components(changed) if part.item == item]
        return all(part.capacity is not None and part.margin >= floor for part in parts)

    return smallest(type(piece.gear), stands)


def _used(filled: Filled, item: str) -> Owned | None:
    return next((p for p in (*filled.pieces, filled.variant.rope) if p.name == item), None)


def _with(filled: Filled, old: Owned, new: Owned) -> Filled | None:
    """The same filling with one piece for another of the same name, wherever it hangs; None where it does
    not go round."""
    known = filled.variant
    pieces = (new if piece.name == old.name else piece for piece in known.kit.pieces)
    kit = Kit(tuple(pieces), known.kit.knots)
    variant = replace(known, rope=_namesake(kit.ropes, known.rope), kit=kit)
    straps = {}
    for place, hanging in filled.straps.items():
        wanted = (_namesake(kit.straps, hanging.piece), hanging.how)
        ways = [h for h, _ in variant.strap_options(place) if (h.piece, h.how) == wanted]
        if not ways:
            return None
        straps[place] = ways[0]
    legs = tuple(_namesake(kit.straps, leg) for leg in filled.legs)
    for (_, demand), leg in zip(variant.bridle_legs, legs, strict=True):
        if all(piece is not leg for piece, _ in variant.leg_options(demand)):
            return None
    return replace(
        filled,
        variant=variant,
        blocks=tuple(replace(o, piece=_namesake(kit.blocks, o.piece)) for o in filled.blocks),
        straps=straps,
        shackles={nodes: _namesake(kit.shackles, p) for nodes, p in filled.shackles.items()},
        legs=legs,
    )


def _namesake(pieces: Iterable[Owned[One]], known: Owned[One]) -> Owned[One]:
    """The piece of that name; the known one where there is none."""
    return next((piece for piece in pieces if piece.name == known.name), known)


def _fits(filled: Filled, piece: Owned) -> Callable[[AnyGear], bool]:
    """Whether another kind fits where a piece of the rig hangs, whatever it stands."""
    gear, rope = piece.gear, filled.variant.rope.gear
    blocks = [o.piece.gear for o in filled.blocks]
    nodes = [n for n, p in filled.shackles.items() if p.name == piece.name]
    wanted = [w for w in shackles_wanted(filled.variant, filled.blocks) if w.nodes in nodes]

    def fits(other: AnyGear) -> bool:
        if isinstance(other, Rope):
            runs = all(bend_keeps(other, b) is not None for b in blocks)
            return runs and isinstance(gear, Rope) and other.knottable == gear.knottable
        if isinstance(other, Block):
            if not isinstance(gear, Block) or other.eta != gear.eta:
                return False  # another friction changes every load
            return other.sheaves >= gear.sheaves and bend_keeps(rope, other) is not None
        if isinstance(other, Shackle):
            return all(one.fits(other) for one in wanted)
        return _length(other) >= _length(gear)

    return fits


def _strength(gear: AnyGear) -> float:
    if isinstance(gear, Rope) and gear.mbs is not None:
        return gear.mbs
    return gear.wll or 0.0


def _length(gear: AnyGear) -> float:
    return gear.length if isinstance(gear, Strap | Chain) else 0.0
