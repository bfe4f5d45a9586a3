"""The gear owned: pieces of the catalogue, or pieces described in place."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any

from pydantic import Discriminator, Tag

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Block, Chain, Protector, Rope, Termination
from optimiser.site.document.described import (
    BlockItem,
    ChainItem,
    HookItem,
    ProtectorItem,
    RopeItem,
    ShackleItem,
    StrapItem,
)
from optimiser.site.document.load import rated
from optimiser.site.document.part import Fault, GearId, Name
from optimiser.site.document.piece import Ends, Piece, end_faults, terminations
from optimiser.site.document.quantity import (
    Corner,
    EdgeFriction,
    Efficiency,
    LongerIsBetter,
    Rating,
)

FROM_CATALOGUE = "catalogue"
"""The tag of an entry that names an id instead of a kind."""


class CatalogueItem(Piece):
    """A piece of the catalogue, with what is marked on yours in place of its values."""

    id: GearId
    """The catalogue's id (`bankhaul gear` lists them)."""
    name: Name | None = None
    """Your name for it; the id if left out."""
    length: LongerIsBetter | None = None
    """Length of a rope; of a chain, or of what is laid on an edge (across the rope), if it differs from the
    catalogue's."""
    ends: Ends | None = None
    """What is on a rope's two ends: "bare", or the id of a splice, thimble or hook."""
    rating: Rating | None = None
    """The working load limit marked on it, or "unknown": what hangs on it is then unproven."""
    efficiency: Efficiency | None = None
    """For a block: what one sheave passes on of the pull."""
    friction: EdgeFriction | None = None
    """For an edge protector: coefficient of friction of your rope on it, if you measured it."""

    def faults(self) -> Iterator[Fault]:
        gear = load_catalogue().gear[self.id]
        if isinstance(gear, Rope):
            if self.length is None:
                yield "length", 'missing: how long is the rope (such as "60 m")?'
            if self.ends is None:
                yield "ends", 'missing: what is on its two ends, such as ["bare", "bare"]?'
            yield from end_faults(self.ends, gear)
            if self.count > 1:
                yield "count", "give each rope its own [[gear]] entry, with its own name"
        elif self.ends is not None:
            yield "ends", f"only a rope has ends; '{self.id}' is not a rope"
        if isinstance(gear, Protector):
            if self.rating is not None:
                yield "rating", f"nothing hangs on '{self.id}': it has no rating"
        elif self.condition is None:
            states = ", ".join(load_catalogue().conditions)
            yield "condition", f"missing: how worn is it? there are {states}"
        if self.length is not None and not isinstance(gear, Rope | Chain | Protector):
            yield (
                "length",
                "only ropes, chains and what is laid on an edge are cut to length; "
                f"'{self.id}' comes as it is",
            )
        if self.efficiency is not None and not isinstance(gear, Block):
            yield "efficiency", f"only a block has it; '{self.id}' is not a block"
        if self.friction is not None and not isinstance(gear, Protector):
            yield "friction", f"only what is laid on an edge has it; '{self.id}' is not"

    @property
    def label(self) -> str:
        return self.id if self.name is None else self.name

    def gear(self, corner: Corner) -> AnyGear:
        gear = load_catalogue().gear[self.id]
        if isinstance(gear, Block) and self.efficiency is not None:
            eta, most = self.efficiency.at(corner), self.efficiency.other(corner)
            gear = replace(gear, eta=eta, eta_most=most)
        if isinstance(gear, Chain) and self.length is not None:
            most = self.length.other(corner)
            gear = replace(gear, length=self.length.at(corner), length_most=most)
        if isinstance(gear, Protector) and self.length is not None:
            gear = replace(gear, length=self.length.at(corner))
        if isinstance(gear, Protector) and self.friction is not None:
            gear = replace(gear, friction=self.friction.ends)
        if self.rating is None:
            return gear
        if isinstance(gear, Rope) and isinstance(self.rating, str):
            return replace(gear, wll=None, mbs=None)
        return replace(gear, wll=rated(self.rating, corner))

    def own_length(self, corner: Corner) -> float | None:
        rope = isinstance(load_catalogue().gear[self.id], Rope)
        return self.length.at(corner) if rope and self.length is not None else None

    def own_ends(self) -> tuple[Termination | None, Termination | None]:
        return terminations(self.ends)


def which_kind(raw: Any) -> Any:
    """The tag of a raw gear entry: its kind, or that it is one of the catalogue."""
    if isinstance(raw, dict):
        kind = raw.get("kind", FROM_CATALOGUE)
        return kind if isinstance(kind, str) else None
    return FROM_CATALOGUE


AnyPiece = Annotated[
    Annotated[CatalogueItem, Tag(FROM_CATALOGUE)]
    | Annotated[RopeItem, Tag("rope")]
    | Annotated[BlockItem, Tag("block")]
    | Annotated[ShackleItem, Tag("shackle")]
    | Annotated[StrapItem, Tag("strap")]
    | Annotated[ChainItem, Tag("chain")]
    | Annotated[HookItem, Tag("hook")]
    | Annotated[ProtectorItem, Tag("protector")],
    Discriminator(which_kind),
]
