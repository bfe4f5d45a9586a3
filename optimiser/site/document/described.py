"""Pieces of gear described in place, kind by kind."""

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import Field

from catalogue.gear import (
    HELD_SOMEHOW,
    Block,
    Chain,
    Hook,
    Protector,
    Rope,
    Shackle,
    Strap,
    Termination,
)
from optimiser.site.document.load import rated
from optimiser.site.document.part import ConditionId, EdgeSurface, Fault, Line, Name
from optimiser.site.document.piece import Ends, Piece, end_faults, terminations
from optimiser.site.document.quantity import (
    CertainShare,
    Corner,
    EdgeFriction,
    Efficiency,
    Length,
    LengthOrNone,
    LongerIsBetter,
    LongerMayBeWorse,
    MassPerLength,
    Positive,
    Rating,
    Size,
    Strength,
)

OWN = "site"
"""Source of what is described in place."""


class _Named(Piece):
    """A piece described in place, whatever it is for."""

    name: Name
    """Your name for it."""

    @property
    def label(self) -> str:
        return self.name

    @property
    def _common(self) -> dict[str, Any]:
        return {"id": self.name, "name": self.name, "source": OWN}


class _Described(_Named):
    """A piece described in place that something hangs on."""

    condition: ConditionId
    """How worn it is."""


class RopeItem(_Described):
    """A rope described in place."""

    kind: Literal["rope"]
    material: Annotated[Line, Field(min_length=1, max_length=40)]
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
        yield from end_faults(self.ends, self.gear("stated"))

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
        return terminations(self.ends)


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
    bearing: Annotated[Line, Field(min_length=1, max_length=40)]
    """Its bearing: "plain", "bronze", "roller"."""
    efficiency: Efficiency
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
            eta_most=self.efficiency.other(corner),
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
    length: LongerMayBeWorse
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
            length_most=self.length.other(corner),
            width=self.width.at(corner),
            wll=rated(self.rating, corner),
            choker_factor=self.choker.at(corner),
            basket_factor=self.basket.at(corner),
        )


class ChainItem(_SlingItem):
    """A chain described in place."""

    kind: Literal["chain"]
    grade: Annotated[Line, Field(min_length=1, max_length=20)]
    """Its grade."""
    size: Size
    """Thickness of a link."""

    def gear(self, corner: Corner) -> Chain:
        return Chain(
            **self._common,
            grade=self.grade,
            size=self.size.at(corner),
            length=self.length.at(corner),
            length_most=self.length.other(corner),
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


class ProtectorItem(_Named):
    """What can be laid on an edge for a rope to run over, described in place."""

    kind: Literal["protector"]
    surface: EdgeSurface
    """What the rope runs on."""
    clearance: Length
    """How high above the ground the rope runs on it: of a log bedded in to its middle half its thickness."""
    bend_radius: Length
    """The radius over which it bends the rope: of a log half its thickness."""
    length: LongerIsBetter
    """How long it is, across the rope."""
    covers: LongerIsBetter
    """How much of the ground it covers along the rope."""
    made_on_the_spot: bool = False
    """True if it is still to be cut or put together there."""
    fixing: Annotated[Line, Field(min_length=1, max_length=200)] | None = None
    """How it is kept in place, such as "two stakes at each end"."""
    friction: EdgeFriction | None = None
    """Coefficient of friction of your rope on it, if you measured it: a range ("0.2..0.3")."""

    def gear(self, corner: Corner) -> Protector:
        return Protector(
            **self._common,
            surface=self.surface,
            clearance=self.clearance.at(corner),
            bend_radius=self.bend_radius.at(corner),
            length=self.length.at(corner),
            covers=self.covers.at(corner),
            made=self.made_on_the_spot,
            fixing=HELD_SOMEHOW if self.fixing is None else self.fixing,
            friction=None if self.friction is None else self.friction.ends,
        )
