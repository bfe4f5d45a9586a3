"""Picks the offers that matter to one rig: of two that serve the same slots the dearer one is left out,
unless the other may run out."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from optimiser.rig.forces.evaluate import subsets
from optimiser.rig.gear.kit import Kit, fits_eye
from optimiser.rig.gear.slots import Variant
from optimiser.rig.setup import Role
from optimiser.search.stock.purse import Purse
from optimiser.site.model import One, Owned

Slots = frozenset[Hashable]


@dataclass(frozen=True, slots=True)
class _Use:
    """What a piece would do in the rig: the slots it is strong enough for, and how well it fits (less is
    better, slot by slot where that differs). `needed`: as many of its kind are needed at most."""

    piece: Owned
    slots: Slots
    fit: tuple[float, ...]
    takes: dict[Hashable, float]
    needed: int

    def as_good(self, other: "_Use", purse: Purse) -> bool:
        mine, theirs = self.piece, other.piece
        return (
            (mine.price or 0.0) <= (theirs.price or 0.0)
            and (mine.count >= self.needed or purse.spent_with(mine))
            and self.slots >= other.slots
            and all(a <= b for a, b in zip(self.fit, other.fit, strict=True))
            and all(self.takes[s] <= long for s, long in other.takes.items())
        )


def slimmed(variant: Variant, need: float, purse: Purse) -> Variant:
    """The variant with only the offers that matter where every ratio must reach `need` and no more than
    the purse is spent. What is owned stays."""
    uses = [*_blocks(variant, need), *_straps(variant, need), *_shackles(variant, need)]
    keep: list[_Use] = []
    for use in sorted(uses, key=lambda u: (u.piece.price or 0.0, u.piece.name)):
        same = [k for k in keep if type(k.piece.gear) is type(use.piece.gear)]
        if use.slots and not any(k.as_good(use, purse) for k in same):
            keep.append(use)
    names = {use.piece.name for use in keep} | set(variant.rope_names) | _slings(variant, need)
    kit = variant.kit
    pieces = tuple(p for p in kit.pieces if p.price is None or p.name in names)
    # The row remembers by kit: as long as it lives, so must the kit.
    slim = variant.row.once(
        ("slim", *variant.rope_names, variant.tied, need, pieces_mark(pieces)),
        lambda: Kit(pieces, kit.knots, also=kit.also),
    )
    return replace(variant, kit=slim)


def _slings(variant: Variant, need: float) -> set[str]:
    """Names of the ropes for sale that do as the sling between two trees: of equal thickness the cheapest,
    since nothing else of a sling matters beside it."""
    least: dict[float, tuple[float, str]] = {}
    for place in variant.strap_places if variant.row.slung else ():
        for hanging, ratio in variant.strap_options(place):
            piece = hanging.piece
            if hanging.bow and ratio >= need and piece.price is not None:
                offer = (piece.price, piece.name)
                least[hanging.bow] = min(least.get(hanging.bow, offer), offer)
    return {name for _, name in least.values()}


def pieces_mark(pieces: Sequence[Owned]) -> tuple[str, ...]:
    """What distinguishes kits."""
    return tuple(p.name for p in pieces)


def _sheaves(variant: Variant) -> int:
    return sum(len(slot.nodes) for slot in variant.slots if slot.role is Role.BLOCK)


def _bought(pieces: Sequence[Owned[One]]) -> list[Owned[One]]:
    return [p for p in pieces if p.price is not None]


def _blocks(variant: Variant, need: float) -> list[_Use]:
    slots: dict[str, set[Hashable]] = {}
    for option in variant.block_options:
        if option.ratio >= need and option.piece.price is not None:
            slots.setdefault(option.piece.name, set()).add((option.place, option.nodes))
    out = []
    for piece in _bought(variant.kit.blocks):
        block = piece.gear
        eye = -1.0 if block.eye is None else 1.0 / block.eye
        fit = (eye, block.length)
        out.append(_Use(piece, frozenset(slots.get(piece.name, ())), fit, {}, _sheaves(variant)))
    return out


def _straps(variant: Variant, need: float) -> list[_Use]:
    takes: dict[str, dict[Hashable, float]] = {}
    for place in variant.strap_places:
        for hanging, ratio in variant.strap_options(place):
            if ratio >= need and hanging.piece.price is not None:
                here = takes.setdefault(hanging.piece.name, {})
                here[place] = min(here.get(place, hanging.standoff), hanging.standoff)
    legs: dict[str, set[Hashable]] = {}
    for i, demand in variant.bridle_legs:
        for leg, ratio in variant.leg_options(demand):
            if ratio >= need:
                legs.setdefault(leg.name, set()).add(("leg", i))
    needed = sum(slot.role in (Role.STRAP, Role.LEG) for slot in variant.slots)
    out = []
    for piece in _bought(variant.kit.straps):
        own = takes.get(piece.name, {})
        slots = frozenset(own) | frozenset(legs.get(piece.name, ()))
        out.append(_Use(piece, slots, (), own, needed))
    return out


def _shackles(variant: Variant, need: float) -> list[_Use]:
    wanted: list[tuple[tuple[int, ...], float | None]] = []
    for slot in variant.slots:
        eye = variant.hangs_in(slot)
        if slot.role is Role.BLOCK:
            wanted += [(some, eye) for some in subsets(slot.nodes)]
        elif slot.role is Role.SHACKLE:
            wanted.append((slot.nodes, eye))
    needed = _sheaves(variant) + sum(slot.role is Role.SHACKLE for slot in variant.slots)
    out = []
    for piece in _bought(variant.kit.shackles):
        shackle = piece.gear
        slots = frozenset(
            some
            for some, eye in wanted
            if fits_eye(shackle, eye) and variant.shackle_ratio(piece, some) >= need
        )
        out.append(_Use(piece, slots, (shackle.pin_diameter, shackle.length), {}, needed))
    return out
