"""Takes pieces that are not there as if they were: more of what is owned, and of the catalogue what
would just do.

Every piece that is not there has a price: 1 for more of the same, 2 for a kind of the catalogue.
"""

from collections.abc import Callable, Container, Iterable, Iterator
from dataclasses import replace
from enum import Enum
from functools import partial

from catalogue.gear import Block, Chain, Protector, Rope, Shackle, Strap
from catalogue.prices import NEW
from optimiser.jobs.why.cures.smallest import for_sale
from optimiser.rig.gear.kit import Kit, bend_keeps, capacity, fits_eye, rope_capacity, stands
from optimiser.rig.gear.loads import open_slots, shackle, worst
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import Role
from optimiser.rig.slings import between
from optimiser.search.stock.offers import worthwhile
from optimiser.site.model import Anchor, One, Owned, is_of, is_strap

SPARE = 9
"""Pieces of each kind that are taken as if they were there."""
ENDLESS = 1e4
"""m: a rope long enough for anything."""
KEPT = 0.5
"""Share of a rope's strength that the weakest knot in use leaves it, about: so strong a rope does."""
ROPES = 2
"""Kinds of rope of the catalogue that are tried, the weakest that do."""
EACH = 2
"""Kinds of other pieces for each load and each place they have to fit, the weakest that do."""

FAMILIES: tuple[tuple[type, ...], ...] = ((Block,), (Shackle,), (Strap, Chain), (Rope,))


def spare_kit(kit: Kit) -> Kit:
    """The kit, and beside it more of every kind."""
    more: list[Owned] = []
    for piece in kit.pieces:
        if isinstance(piece.gear, Rope):
            more.append(replace(piece, name=longer(piece.name), length=ENDLESS, price=1.0))
        elif not isinstance(piece.gear, Protector):
            more.append(replace(piece, name=another(piece.name), count=SPARE, price=1.0))
    return Kit((*more_to_lay(kit).pieces, *more), worthwhile(kit.knots))


def more_to_lay(kit: Kit) -> Kit:
    """The kit with more of what it has to lay on edges, under the same name: there it is looked up."""
    if not kit.protectors:
        return kit
    pieces = (replace(p, count=p.count + SPARE) if is_of(p, Protector) else p for p in kit.pieces)
    return Kit(tuple(pieces), kit.knots, kit.spend)


class Completed(Enum):
    """Which families the catalogue adds to: those of which there is no piece, or all."""

    MISSING = "missing"
    ALL = "all"


def completed(kit: Kit, row: RigRow, floor: float, added: Completed) -> Kit:
    """The kit, with those kinds of the catalogue that would just do for a rig."""
    families = [
        kinds
        for kinds in FAMILIES
        if added is Completed.ALL or not any(isinstance(p.gear, kinds) for p in kit.pieces)
    ]
    if not families:
        return kit
    taken = {piece.name for piece in kit.pieces}
    wanted = tuple(kind for kinds in families for kind in kinds)
    more = [
        piece
        for piece in _just_enough(kit, row, floor)
        if isinstance(piece.gear, wanted) and piece.name not in taken
    ]
    return Kit((*kit.pieces, *more), kit.knots)


def _just_enough(kit: Kit, row: RigRow, floor: float) -> Iterator[Owned]:
    """Of each family the weakest kinds of the catalogue that stand what the rig puts on them and fit."""
    stock = list(of_catalogue(kit))
    tightest = max(row.tension(s).value for s in range(row.sheaves + 1)) * floor
    new = _weakest(
        (p for p in stock if is_of(p, Rope)),
        lambda p: (rope_capacity(p) or 0.0) * KEPT >= tightest,
        ROPES,
    )
    yield from new
    ropes = [p.gear for p in (*kit.ropes, *new)]
    blocks = list(_blocks(stock, row, ropes, floor))
    yield from blocks
    yield from _shackles(stock, kit, row, blocks, floor)
    for slot in open_slots(row):
        if slot.role is not Role.STRAP:
            continue
        place = row.numbers[slot.nodes[0]]
        anchor = row.anchor_at(place)
        load = worst(row, slot.force).value * floor
        if anchor.sling is not None:
            yield from _slings(stock, kit, row, anchor, load)
            continue
        straps = [p for p in stock if is_strap(p)]
        round_it = {
            h.piece.name
            for h in Kit(tuple(straps), ()).round_anchor(anchor)
            if (h.capacity or 0.0) >= load
        }
        yield from _weakest(straps, partial(_named, round_it), EACH)


def _slings(
    stock: list[Owned], kit: Kit, row: RigRow, anchor: Anchor, load: float
) -> Iterator[Owned[Rope]]:
    """The weakest ropes that do as a sling between two trees."""
    ropes = tuple(p for p in stock if is_of(p, Rope))
    every = between(Kit(ropes, kit.knots), row.scene.site, anchor)
    enough = {h.piece.name for h in every if (h.capacity or 0.0) >= load}
    yield from _weakest(ropes, partial(_named, enough), EACH)


def _blocks(
    stock: list[Owned], row: RigRow, ropes: list[Rope], floor: float
) -> Iterator[Owned[Block]]:
    """For each rope and each group of sheaves, blocks of one sheave and of all."""
    for rope in ropes:
        for nodes in (slot.nodes for slot in open_slots(row) if slot.role is Role.BLOCK):
            etas = {row.etas[n - 1] for n in nodes}
            for many in sorted({1, len(nodes)}):
                load = (
                    max(row.joint((n,)).value for n in nodes)
                    if many == 1
                    else row.joint(nodes).value
                )

                def suits(
                    piece: Owned[Block],
                    rope: Rope = rope,
                    many: int = many,
                    load: float = load,
                    etas: set[float] = etas,
                ) -> bool:
                    block = piece.gear
                    takes = bend_keeps(rope, block) is not None and block.sheaves >= many
                    return takes and block.eta in etas and (capacity(piece) or 0.0) >= load * floor

                yield from _weakest((p for p in stock if is_of(p, Block)), suits, EACH)


def _shackles(
    stock: list[Owned], kit: Kit, row: RigRow, blocks: list[Owned[Block]], floor: float
) -> Iterator[Owned]:
    """For each load and each eye a pin may have to go through."""
    scene = row.scene
    eyes = {p.gear.eye for p in (*kit.blocks, *blocks)}
    eyes |= {h.eye for h in scene.attachment.hitches} | {scene.puller.hitch_eye, None}
    eyes |= {row.anchor_at(place).eye for place in row.anchored}
    # The tightest eye needs the thinnest pin: what goes through that goes through the others.
    carried = [(-1,), (0,), *row.groups.values(), *((n,) for n in range(1, row.sheaves + 1))]
    carried += [slot.nodes for slot in open_slots(row) if slot.role is Role.SHACKLE]
    loads = {worst(row, shackle(row, nodes).force).value for nodes in carried}
    for load in sorted({max(loads), min(loads)}):
        for eye in sorted(eyes, key=lambda e: -1.0 if e is None else e):

            def suits(piece: Owned[Shackle], load: float = load, eye: float | None = eye) -> bool:
                return fits_eye(piece.gear, eye) and (capacity(piece) or 0.0) >= load * floor

            yield from _weakest((p for p in stock if is_of(p, Shackle)), suits, 1)


def _weakest(
    pieces: Iterable[Owned[One]], suits: Callable[[Owned[One]], bool], many: int
) -> list[Owned[One]]:
    """The weakest pieces that suit; where none does, the strongest of all."""
    ordered = sorted(pieces, key=lambda p: (_strength(p), p.name))
    return [p for p in ordered if suits(p)][:many] or ordered[-1:]


def _named(names: Container[str], piece: Owned) -> bool:
    return piece.name in names


def _strength(piece: Owned) -> float:
    return stands(piece) or 0.0


def of_catalogue(kit: Kit) -> Iterator[Owned]:
    """Every rated kind that can be bought as if it were there; blocks with bearings as owned, if any are."""
    for gear in for_sale():
        if not isinstance(gear, Block | Shackle | Strap | Chain | Rope):
            continue
        if isinstance(gear, Block) and kit.etas and gear.eta not in kit.etas:
            continue
        length = ENDLESS if isinstance(gear, Rope) else None
        piece = Owned(
            name=gear.name, gear=gear, count=SPARE, condition=NEW, length=length, price=2.0
        )
        if _strength(piece) > 0.0:
            yield piece


def of_catalogue_etas() -> tuple[float, ...]:
    """The efficiencies of the sheaves in the catalogue, best first."""
    found = {g.eta for g in for_sale() if isinstance(g, Block)}
    return tuple(sorted(found, reverse=True))


def longer(name: str) -> str:
    """Name of a rope like one that is there, but longer."""
    return f"{name} (longer)"


def another(name: str) -> str:
    """Name of a piece like one that is there."""
    return f"{name} (one more)"
