"""The gear owned: pieces of the catalogue, or pieces described in place, kind by kind."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Block, Chain, Hook, Rope, Shackle, Strap, Termination
from optimiser.site.document.load import rated
from optimiser.site.document.part import ConditionId, EndId, Fault, GearId, Name, Part
from optimiser.site.document.quantity import (
    CertainShare,
    Corner,
    Length,
    LengthOrNone,
    LongerIsBetter,
    MassPerLength,
    Positive,
    Rating,
    Share,
    Size,
    Strength,
)
from optimiser.site.model import Owned

FROM_CATALOGUE = "catalogue"
"""The tag of an entry that names an id instead of a kind."""
OWN = "site"
"""Source of what is described in place."""

Ends = Annotated[list[EndId], Field(min_length=2, max_length=2)]


class _Piece(Part):
    """What any piece of gear may say."""

    condition: ConditionId
    """How worn it is."""
    count: Annotated[int, Field(ge=1, le=200)] = 1
    """How many equal ones there are. Several ropes are several entries."""

    @property
    def label(self) -> str:
        """What the piece goes by."""
        raise NotImplementedError

    def gear(self, corner: Corner) -> AnyGear:
        """The piece itself, in SI."""
        raise NotImplementedError

    def owned(self, corner: Corner) -> Owned:
        """The piece as owned, in SI."""
        return Owned(
            name=self.label,
            gear=self.gear(corner),
            count=self.count,
            condition=load_catalogue().conditions[self.condition],
            length=self.own_length(corner),
            ends=self.own_ends(),
            unrated=self.without_rating(),
        )

    def own_length(self, corner: Corner) -> float | None:
        """Length of a rope, m."""
        return None

    def own_ends(self) -> tuple[Termination | None, Termination | None]:
        """What is on a rope's ends."""
        return (None, None)

    def without_rating(self) -> bool:
        """True where the owner says that there is no rating to go by."""
        return getattr(self, "rating", None) == "unknown"


class CatalogueItem(_Piece):
    """A piece of the catalogue, with what is marked on yours in place of its values."""

    id: GearId
    """The catalogue's id (`bankhaul gear` lists them)."""
    name: Name | None = None
    """Your name for it; the id if left out."""
    length: LongerIsBetter | None = None
    """Length of a rope, or of a chain if it differs from the catalogue's."""
    ends: Ends | None = None
    """What is on a rope's two ends: "bare", or the id of a splice, thimble or hook."""
    rating: Rating | None = None
    """The working load limit marked on it, or "unknown": what hangs on it is then unproven."""
    efficiency: Share | None = None
    """For a block: what one sheave passes on of the pull."""

    def faults(self) -> Iterator[Fault]:
        gear = load_catalogue().gear[self.id]
        if isinstance(gear, Rope):
            if self.length is None:
                yield "length", 'missing: how long is the rope (such as "60 m")?'
            if self.ends is None:
                yield "ends", 'missing: what is on its two ends, such as ["bare", "bare"]?'
            if self.count > 1:
                yield "count", "give each rope its own [[gear]] entry, with its own name"
        elif self.ends is not None:
            yield "ends", f"only a rope has ends; '{self.id}' is not a rope"
        if self.length is not None and not isinstance(gear, Rope | Chain):
            yield "length", f"only a rope or a chain is cut to length; '{self.id}' comes as it is"
        if self.efficiency is not None and not isinstance(gear, Block):
            yield "efficiency", f"only a block has it; '{self.id}' is not a block"

    @property
    def label(self) -> str:
        return self.id if self.name is None else self.name

    def gear(self, corner: Corner) -> AnyGear:
        gear = load_catalogue().gear[self.id]
        if isinstance(gear, Block) and self.efficiency is not None:
            gear = replace(gear, eta=self.efficiency.at(corner))
        if isinstance(gear, Chain) and self.length is not None:
            gear = replace(gear, length=self.length.at(corner))
        if self.rating is None:
            return gear
        if isinstance(gear, Rope) and isinstance(self.rating, str):
            return replace(gear, wll=None, mbs=None)
        return replace(gear, wll=rated(self.rating, corner))

    def own_length(self, corner: Corner) -> float | None:
        rope = isinstance(load_catalogue().gear[self.id], Rope)
        return self.length.at(corner) if rope and self.length is not None else None

    def own_ends(self) -> tuple[Termination | None, Termination | None]:
        return _ends(self.ends)


class _Described(_Piece):
    """A piece described in place."""

    name: Name
    """Your name for it."""

    @property
    def label(self) -> str:
        return self.name

    @property
    def _common(self) -> dict[str, Any]:
        return {"id": self.name, "name": self.name, "source": OWN}


class RopeItem(_Described):
    """A rope described in place."""

    kind: Literal["rope"]
    material: Annotated[str, Field(min_length=1, max_length=40)]
    """What it is made of."""
    diameter: Size
    """Its diameter."""
    length: LongerIsBetter
    """Its length."""
    ends: Ends
    """What is on its two ends: "bare", or the id of a splice, thimble or hook."""
    breaking_strength: Strength | None = None
    """Its minimum breaking strength, new and dry, before any knot."""
    design_factor: Positive | None = None
    """Breaking strength / working load; needed with a breaking strength."""
    rating: Rating | None = None
    """Its working load limit, if one is stated, or "unknown"."""
    stretch_at_break: Positive
    """How much longer it is when it breaks, such as "12 %"."""
    mass_per_length: MassPerLength
    """Its mass by the metre."""
    least_bend: Positive
    """Smallest sheave it may run on, as sheave diameter / rope diameter."""
    knottable: bool = True
    """False for wire."""

    def faults(self) -> Iterator[Fault]:
        if self.count > 1:
            yield "count", "give each rope its own [[gear]] entry, with its own name"
        if self.breaking_strength is None and self.rating is None:
            yield "breaking_strength", 'missing: give it, or the rating (or rating = "unknown")'
        if self.breaking_strength is not None and self.design_factor is None:
            yield "design_factor", "missing: breaking strength / working load (such as 12)"
        if self.design_factor is not None and self.design_factor.at("stated") < 1.0:
            yield "design_factor", "must be 1 or more"

    def gear(self, corner: Corner) -> Rope:
        unrated = self.without_rating()
        strength = self.breaking_strength
        rating = self.rating
        return Rope(
            **self._common,
            material=self.material,
            diameter=self.diameter.at(corner),
            mbs=None if strength is None or unrated else strength.at(corner),
            design_factor=1.0 if self.design_factor is None else self.design_factor.at(corner),
            wll=None if rating is None else rated(rating, corner),
            stretch_at_break=self.stretch_at_break.at(corner),
            mass_per_metre=self.mass_per_length.at(corner),
            least_bend_ratio=self.least_bend.at(corner),
            knottable=self.knottable,
        )

    def own_length(self, corner: Corner) -> float | None:
        return self.length.at(corner)

    def own_ends(self) -> tuple[Termination | None, Termination | None]:
        return _ends(self.ends)


class BlockItem(_Described):
    """A block described in place."""

    kind: Literal["block"]
    sheaves: Annotated[int, Field(ge=1, le=4)] = 1
    """How many sheaves it has."""
    opens: bool
    """True for a snatch block, which opens to take the rope."""
    rope_least: Size
    """Thinnest rope it takes."""
    rope_most: Size
    """Thickest rope it takes."""
    sheave_diameter: Size
    """Diameter of the sheave at the bottom of its groove."""
    rating: Rating
    """Working load limit of the whole block (what hangs it carries), or "unknown"."""
    bearing: Annotated[str, Field(min_length=1, max_length=40)]
    """Its bearing: "plain", "bronze", "roller"."""
    efficiency: Share
    """What one sheave passes on of the pull, such as 0.9."""
    length: Length
    """From the bearing point of its eye to the rope."""
    eye: Size | None = None
    """Clear width of its eye. Left out: it has a hook and needs no shackle."""
    becket: bool = False
    """True if a rope's end can be made fast to it."""

    def faults(self) -> Iterator[Fault]:
        if self.rope_least.at("stated") > self.rope_most.at("stated"):
            yield "rope_most", "is thinner than rope_least"

    def gear(self, corner: Corner) -> Block:
        return Block(
            **self._common,
            sheaves=self.sheaves,
            opens=self.opens,
            rope_least=self.rope_least.at(corner),
            rope_most=self.rope_most.at(corner),
            sheave_diameter=self.sheave_diameter.at(corner),
            wll=rated(self.rating, corner),
            bearing=self.bearing,
            eta=self.efficiency.at(corner),
            length=self.length.at(corner),
            eye=None if self.eye is None else self.eye.at(corner),
            becket=self.becket,
        )


class ShackleItem(_Described):
    """A bow shackle described in place."""

    kind: Literal["shackle"]
    bow: Size
    """Thickness of the bow."""
    pin: Size
    """Thickness of the pin."""
    jaw: Size
    """Clear width between its ears."""
    length: Length
    """From the pin to the crown, inside."""
    rating: Rating
    """Its working load limit, or "unknown"."""

    def gear(self, corner: Corner) -> Shackle:
        return Shackle(
            **self._common,
            bow_diameter=self.bow.at(corner),
            pin_diameter=self.pin.at(corner),
            jaw=self.jaw.at(corner),
            length=self.length.at(corner),
            wll=rated(self.rating, corner),
        )


class _SlingItem(_Described):
    length: LongerIsBetter
    """From bearing to bearing."""
    rating: Rating
    """Its working load limit in a straight (vertical) hitch, or "unknown"."""
    choker: CertainShare
    """What a choker hitch leaves of that, such as 0.8."""
    basket: Positive
    """What a basket hitch with parallel legs makes of it, such as 2."""

    def faults(self) -> Iterator[Fault]:
        if self.basket.at("stated") > 2.0:
            yield "basket", "two legs carry at most twice what one does"


class StrapItem(_SlingItem):
    """A web or round sling described in place, used as a tree strap."""

    kind: Literal["strap"]
    width: Size
    """Its width."""

    def gear(self, corner: Corner) -> Strap:
        return Strap(
            **self._common,
            length=self.length.at(corner),
            width=self.width.at(corner),
            wll=rated(self.rating, corner),
            choker_factor=self.choker.at(corner),
            basket_factor=self.basket.at(corner),
        )


class ChainItem(_SlingItem):
    """A chain described in place."""

    kind: Literal["chain"]
    grade: Annotated[str, Field(min_length=1, max_length=20)]
    """Its grade."""
    size: Size
    """Thickness of a link."""

    def gear(self, corner: Corner) -> Chain:
        return Chain(
            **self._common,
            grade=self.grade,
            size=self.size.at(corner),
            length=self.length.at(corner),
            wll=rated(self.rating, corner),
            choker_factor=self.choker.at(corner),
            basket_factor=self.basket.at(corner),
        )


class HookItem(_Described):
    """A hook or a rated link described in place."""

    kind: Literal["hook"]
    length: LengthOrNone
    """From bearing to bearing."""
    throat: Size
    """Clear width of its mouth."""
    rating: Rating
    """Its working load limit, or "unknown"."""

    def gear(self, corner: Corner) -> Hook:
        return Hook(
            **self._common,
            wll=rated(self.rating, corner),
            length=self.length.at(corner),
            throat=self.throat.at(corner),
        )


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
    | Annotated[HookItem, Tag("hook")],
    Discriminator(which_kind),
]


def _ends(ends: list[str] | None) -> tuple[Termination | None, Termination | None]:
    book = load_catalogue().terminations
    first, last = (None if end == "bare" else book[end] for end in ends or ("bare", "bare"))
    return (first, last)
