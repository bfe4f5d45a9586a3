"""Computes what a budget buys, one size of rope at a time: a rig has one rope, and blocks that take it."""

from collections.abc import Iterator, Sequence

from catalogue.gear import Block, Rope
from optimiser.rig.gear.joined import SAME_SIZE
from optimiser.rig.gear.kit import Kit, bend_keeps
from optimiser.search.stock.offers import Offer
from optimiser.search.stock.purse import ANY_NUMBER, Purse, affordable
from optimiser.site.model import Owned, is_of


def purses(
    owned: Kit,
    offers: Sequence[Offer],
    budget: float,
    most_pieces: int = ANY_NUMBER,
    *,
    joining: bool = False,
    sharing: bool = False,
) -> Iterator[Purse]:
    """One purse for each size of rope, owned or for sale, with the blocks that take it: a rig has one
    rope. `sharing`: trees may share a pull by a sling, which may be of any size."""
    ropes = [*owned.ropes, *(o.piece for o in offers if affordable(o, budget))]
    kinds = [piece.gear for piece in ropes if isinstance(piece.gear, Rope)]
    for alike in _alike(kinds, joining=joining):

        def fits(piece: Owned, alike: Sequence[Rope] = alike) -> bool:
            if isinstance(piece.gear, Rope):
                return piece.gear in alike
            block = piece.gear
            if not isinstance(block, Block):
                return True
            return any(bend_keeps(rope, block) is not None for rope in alike)

        others = (p for p in owned.ropes if not fits(p)) if sharing else ()
        mine = Kit(tuple(p for p in owned.pieces if fits(p)), owned.knots, also=tuple(others))
        some = tuple(o for o in offers if fits(o.piece))
        slings = (
            (o for o in offers if is_of(o.piece, Rope) and not fits(o.piece)) if sharing else ()
        )
        yield Purse(mine, some, budget, most_pieces, joining, tuple(slings))


def _alike(kinds: Sequence[Rope], *, joining: bool) -> Iterator[list[Rope]]:
    """Ropes in groups that run over the same blocks, and can be joined where they may be."""
    group: list[Rope] = []
    for rope in sorted(dict.fromkeys(kinds), key=lambda r: (_size(r), r.id)):
        if group and not _together(group[-1], rope, joining=joining):
            yield group
            group = []
        group.append(rope)
    if group:
        yield group


def _together(one: Rope, two: Rope, *, joining: bool) -> bool:
    if joining and one.knottable and two.knottable:
        return abs(one.diameter - two.diameter) <= SAME_SIZE
    return _size(one) == _size(two)


def _size(rope: Rope) -> tuple[bool, bool, float, float]:
    return (rope.knottable, rope.is_wire, rope.diameter, rope.least_bend_ratio)
