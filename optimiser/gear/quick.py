"""A fast filling of a variant's slots, hardest slot first, each with the weakest piece that will do.

It may miss a filling that exists; it never claims one that does not. The search uses it to reach a
bound it already has; where it fails, the constraint solver decides.
"""

from catalogue.gear import Block, Shackle
from optimiser.gear.assign import Filled, bridle_shackles, shackle_ratio
from optimiser.gear.kit import Hanging
from optimiser.gear.slots import END_LENGTH, BlockOption, Variant
from optimiser.site.model import Owned


def loose_margin(variant: Variant) -> float:
    """An upper bound on the margin: every slot takes the best piece that fits it, counts ignored; 0
    where a slot can be filled by nothing."""
    out = variant.fixed_margin
    for nodes in variant.row.groups.values():
        for node in nodes:
            out = min(out, max((o.ratio for o in variant.block_options if node in o.nodes), default=0.0))
    for place in variant.strap_places:
        out = min(out, max((r for _, r in variant.strap_options(place)), default=0.0))
    for nodes, place in variant.end_shackles:
        out = min(
            out,
            max(
                (
                    variant.shackle_ratio(p, nodes)
                    for p in variant.kit.shackles
                    if variant.shackle_fits(p, place, None)
                ),
                default=0.0,
            ),
        )
    for _, demand in variant.bridle_legs:
        out = min(out, max((r for _, r in variant.leg_options(demand)), default=0.0))
    return out


def fill(variant: Variant, least: float) -> Filled | None:
    """A filling in which every ratio is at least `least`, or None where this way finds none."""
    if variant.fixed_margin < least:
        return None
    stock = _Stock()
    straps = _straps(variant, stock, least)
    if straps is None:
        return None
    blocks = _blocks(variant, stock, least)
    if blocks is None:
        return None
    shackles = _shackles(variant, stock, least, blocks)
    if shackles is None:
        return None
    legs = _legs(variant, stock, least)
    if legs is None:
        return None
    filled = Filled(variant, blocks, straps, shackles, legs)
    return filled if _fits(filled) else None


class _Stock:
    def __init__(self) -> None:
        self.used: dict[str, int] = {}

    def has(self, piece: Owned, many: int = 1) -> bool:
        return self.used.get(piece.name, 0) + many <= piece.count

    def take(self, piece: Owned, many: int = 1) -> None:
        self.used[piece.name] = self.used.get(piece.name, 0) + many


def _straps(v: Variant, stock: _Stock, least: float) -> dict[int, Hanging] | None:
    slots = []
    for place in v.strap_places:
        options = sorted(
            ((h, r) for h, r in v.strap_options(place) if r >= least),
            key=lambda o: (o[1], o[0].standoff, o[0].piece.name),
        )
        slots.append((len(options), place, options))
    out: dict[int, Hanging] = {}
    for _, place, options in sorted(slots, key=lambda s: (s[0], s[1])):
        pick = next((h for h, _ in options if stock.has(h.piece)), None)
        if pick is None:
            return None
        stock.take(pick.piece)
        out[place] = pick
    return out


def _blocks(v: Variant, stock: _Stock, least: float) -> tuple[BlockOption, ...] | None:
    options = [o for o in v.block_options if o.ratio >= least]
    left = {node for nodes in v.row.groups.values() for node in nodes}
    out: list[BlockOption] = []
    while left:
        node = min(left, key=lambda n: (sum(n in o.nodes for o in options), n))
        fitting = [o for o in options if node in o.nodes and set(o.nodes) <= left and stock.has(o.piece)]
        if not fitting:
            return None
        pick = min(fitting, key=lambda o: (-len(o.nodes), _sheaves(o.piece) - len(o.nodes), o.ratio, o.piece.name))
        stock.take(pick.piece)
        left -= set(pick.nodes)
        out.append(pick)
    return tuple(sorted(out, key=lambda o: o.nodes))


def _shackles(
    v: Variant, stock: _Stock, least: float, blocks: tuple[BlockOption, ...]
) -> dict[tuple[int, ...], Owned] | None:
    wanted: list[tuple[tuple[int, ...], int, float | None]] = []
    for option in blocks:
        block = option.piece.gear
        assert isinstance(block, Block)
        if block.eye is not None:
            wanted.append((option.nodes, option.place, block.eye))
    wanted += [(nodes, place, None) for nodes, place in v.end_shackles]
    slots = []
    for nodes, place, eye in wanted:
        fit = [p for p in v.kit.shackles if v.shackle_fits(p, place, eye)]
        slots.append((nodes, [(shackle_ratio(v, p, nodes), p) for p in fit]))
    for nodes, eye in bridle_shackles(v):
        fit = [p for p in v.kit.shackles if _pin(p) <= (eye if eye is not None else 1.0) + 1e-9]
        slots.append((nodes, [(shackle_ratio(v, p, nodes), p) for p in fit]))
    out: dict[tuple[int, ...], Owned] = {}
    able = [(nodes, sorted(((r, p) for r, p in o if r >= least), key=lambda e: (e[0], e[1].name))) for nodes, o in slots]
    for nodes, options in sorted(able, key=lambda s: (len(s[1]), s[0])):
        pick = next((p for _, p in options if stock.has(p)), None)
        if pick is None:
            return None
        stock.take(pick)
        out[nodes] = pick
    return out


def _legs(v: Variant, stock: _Stock, least: float) -> tuple[Owned, ...] | None:
    if not v.bridle_legs:
        return ()
    worst = max(demand for _, demand in v.bridle_legs)
    able = [(r, p) for p, r in v.leg_options(worst) if r >= least and stock.has(p, 2)]
    if not able:
        return None
    pick = min(able, key=lambda e: (e[0], e[1].name))[1]
    stock.take(pick, 2)
    return (pick, pick)


def _fits(filled: Filled) -> bool:
    return all(
        hardware(filled, before) + hardware(filled, after) <= least + 1e-7
        for _, before, after, least in filled.variant.room()
    )


def hardware(filled: Filled, node: int) -> float:
    """Length of all that hangs between a node's place and its rope, m."""
    v = filled.variant
    if node == v.row.sheaves + 1:
        return 0.0
    place = v.row.numbers[node]
    total = filled.straps[place].standoff if place in filled.straps else 0.0
    for option in filled.blocks:
        if node in option.nodes and isinstance(option.piece.gear, Block):
            total += option.piece.gear.length
    for nodes, piece in filled.shackles.items():
        if node in nodes and isinstance(piece.gear, Shackle):
            total += piece.gear.length
    return total + (END_LENGTH if node == 0 else 0.0)


def _sheaves(piece: Owned) -> int:
    assert isinstance(piece.gear, Block)
    return piece.gear.sheaves


def _pin(piece: Owned) -> float:
    assert isinstance(piece.gear, Shackle)
    return piece.gear.pin_diameter
