"""A purchase: what is bought, and for which rig."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from catalogue.gear import Rope
from optimiser.rig.components import hung
from optimiser.rig.gear.assign import Filled
from optimiser.rig.setup import Role
from optimiser.search.stock.offers import Offer


@dataclass(frozen=True)
class Basket:
    """A purchase. `items`: (offer, how many); `two_ropes`: it may be meant for tackle on tackle; `ends`:
    marks of the track between which stages are known to do with it, none where nothing is known of them."""

    items: tuple[tuple[Offer, int], ...]
    two_ropes: bool = False
    ends: tuple[int, ...] = field(default=(), kw_only=True)

    @property
    def items_by_name(self) -> tuple[tuple[str, int], ...]:
        """Returns the pieces of a purchase by name, whatever their prices count."""
        return tuple(sorted((offer.name, many) for offer, many in self.items))

    @property
    def spent(self) -> float:
        """By the offers' prices: what is minimised."""
        return round(sum(offer.price * many for offer, many in self.items), 2)

    @property
    def cost(self) -> float:
        """Money."""
        return round(sum(offer.item.price * many for offer, many in self.items), 2)

    @property
    def pieces(self) -> int:
        return sum(many for _, many in self.items)


@dataclass(frozen=True)
class Bought(Basket):
    """A purchase, and a rig that it makes possible."""

    filled: Filled = field(kw_only=True)


def bought(filled: Filled, offers: Sequence[Offer]) -> Bought:
    """What of a filled rig has to be bought."""
    used: dict[str, int] = {}
    for rope in filled.variant.rope_pieces:
        for part in rope.parts:
            if isinstance(
                part.gear, Rope
            ):  # a strap or chain that lengthens it is among what is hung
                used[part.name] = used.get(part.name, 0) + 1
    for piece in hung(filled):
        if piece.role not in (Role.END, Role.TIE, Role.GRIP):
            used[piece.item] = used.get(piece.item, 0) + 1
    items = tuple((o, used[o.name]) for o in offers if o.name in used)
    return Bought(items, filled.variant.row.tackle is not None, filled=filled)
