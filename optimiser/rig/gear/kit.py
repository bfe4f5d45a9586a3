"""Sorts the gear at hand by what it can do in a rig, with working capacities in newtons.

A capacity of None means unrated. Pieces are kinds with a count, so equal items are one.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import inf, pi
from typing import NamedTuple

from catalogue.gear import Block, Chain, Hook, Protector, Rope, Shackle, Strap, Termination
from optimiser.mechanics.hardware import strap as strap_formulas
from optimiser.mechanics.line import rope as rope_formulas
from optimiser.mechanics.values import Factor
from optimiser.rig.gear.ends import RopeEnd, ways
from optimiser.rig.once import Once
from optimiser.site.model import Anchor, Fixture, One, Owned, Site, is_of, is_strap


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """A strap or chain made fast round a trunk, one of the ways it can be; or a rope as a sling between two,
    on which a shackle runs that must be no thinner than `bow`, m."""

    piece: Owned[Strap | Chain] | Owned[Rope]
    how: str
    capacity: float | None
    standoff: float
    factors: tuple[Factor, ...]
    bow: float = 0.0


def capacity(piece: Owned) -> float | None:
    """WLL times condition; None where unrated. For shackles, blocks, hooks, and straps pulled straight."""
    wll = piece.gear.wll
    return None if piece.unrated or wll is None else wll * piece.condition.keeps


def rope_capacity(piece: Owned[Rope], *, keeps: float = 1.0, bend: float = 1.0) -> float | None:
    """Working strength of the rope with an end that keeps `keeps` or over a bend that keeps `bend`."""
    rope = piece.gear
    if piece.unrated:
        return None
    return rope_formulas.working_strength(
        mbs=rope.mbs,
        design_factor=rope.design_factor,
        wll=rope.wll,
        condition=piece.condition.keeps,
        termination=keeps,
        bend=bend,
    )


def stands(piece: Owned) -> float | None:
    """What any piece stands by itself, N; None where unrated."""
    return rope_capacity(piece) if is_of(piece, Rope) else capacity(piece)


def bend_keeps(rope: Rope, block: Block) -> float | None:
    """Share of the rope's strength kept over the block's sheave; None where the block does not take it:
    wrong size, or a sheave too small for this rope."""
    slack = 1e-9
    if not block.rope_least - slack <= rope.diameter <= block.rope_most + slack:
        return None
    ratio = block.sheave_diameter / rope.diameter
    if ratio < rope.least_bend_ratio - slack:
        return None
    if rope.knottable:
        return 1.0
    return rope_formulas.wire_bend(
        sheave_diameter=block.sheave_diameter, rope_diameter=rope.diameter
    )


def long_of(piece: Owned[Block] | Owned[Shackle]) -> float:
    """Length of a block or shackle between what it hangs in and what hangs in it, m."""
    return piece.gear.length


def eye_of(piece: Owned[Block]) -> float | None:
    """Clear width of a block's eye, m; None for one with a hook of its own."""
    return piece.gear.eye


def fits_eye(shackle: Shackle, eye: float | None) -> bool:
    """Whether the shackle's pin goes through an eye of that clear width (None: anything fits)."""
    return eye is None or shackle.pin_diameter <= eye + 1e-9


def runs_on(shackle: Shackle, bow: float) -> bool:
    """Whether the shackle's bow is at least so thick, m: as the sling that it runs on."""
    return shackle.bow_diameter >= bow - 1e-9


def hung_somehow(
    some: Iterable[Owned[One]], shackles: Iterable[Owned[Shackle]]
) -> list[Owned[One]]:
    """Some pieces without the blocks whose eye none of the shackles goes through: nothing holds these."""
    thinnest = min((p.gear.pin_diameter for p in shackles), default=inf)

    def serves(piece: Owned) -> bool:
        eye = piece.gear.eye if isinstance(piece.gear, Block) else None
        return eye is None or thinnest <= eye + 1e-9

    return [piece for piece in some if serves(piece)]


@dataclass(frozen=True, eq=False)
class Kit(Once):
    """All pieces of one job. `spend`: the most that may be spent on those with a price; None: all are
    there. A kit is equal to itself only: what was worked out for a rig is kept by the kit."""

    pieces: tuple[Owned, ...]
    knots: tuple[Termination, ...]
    spend: float | None = None
    also: tuple[Owned[Rope], ...] = ()  # ropes that serve as slings only

    @cached_property
    def sure(self) -> "Kit":
        """The pieces that are there whatever is bought."""
        if self.spend is None:
            return self
        also = tuple(p for p in self.also if p.price is None)
        return Kit(tuple(p for p in self.pieces if p.price is None), self.knots, also=also)

    def _of(self, kind: type[One]) -> tuple[Owned[One], ...]:
        return tuple(p for p in self.pieces if is_of(p, kind) and p.count > 0)

    def with_only(self, rope: Owned[Rope]) -> "Kit":
        """The same without any other rope: always the one kit for the same rope."""

        def made() -> Kit:
            others = (piece for piece in self.pieces if not isinstance(piece.gear, Rope))
            besides = tuple(p for p in self.slings if p.name != rope.name)
            return Kit((*others, rope), self.knots, also=besides)

        return self.once(("with only", rope.name), made)

    @cached_property
    def ropes(self) -> tuple[Owned[Rope], ...]:
        return self._of(Rope)

    @cached_property
    def slings(self) -> tuple[Owned[Rope], ...]:
        """Ropes that may be tied between two trees: fibre, of one piece."""
        every = (*self.ropes, *self.also)
        return tuple(p for p in every if p.joined is None and p.gear.knottable)

    @cached_property
    def blocks(self) -> tuple[Owned[Block], ...]:
        return self._of(Block)

    @cached_property
    def shackles(self) -> tuple[Owned[Shackle], ...]:
        return self._of(Shackle)

    @cached_property
    def straps(self) -> tuple[Owned[Strap | Chain], ...]:
        """What goes round a trunk: straps and chains."""
        return tuple(p for p in self.pieces if is_strap(p) and p.count > 0)

    @cached_property
    def hooks(self) -> tuple[Owned[Hook], ...]:
        return self._of(Hook)

    @cached_property
    def protectors(self) -> tuple[Owned[Protector], ...]:
        """What can be laid on an edge."""
        return self._of(Protector)

    @cached_property
    def etas(self) -> tuple[float, ...]:
        """Efficiencies of the sheaves at hand, best first."""
        return tuple(sorted({block.gear.eta for block in self.blocks}, reverse=True))

    @cached_property
    def sheave_count(self) -> int:
        """Sheaves at hand in all."""
        return sum(b.count * b.gear.sheaves for b in self.blocks)

    @cached_property
    def many_sheaved(self) -> bool:
        """Whether any block has more than one sheave."""
        return any(b.gear.sheaves > 1 for b in self.blocks)

    @cached_property
    def of_use(self) -> "Kit":
        """The kit without the blocks that take none of its ropes: they can hang in no rig."""

        def serves(piece: Owned) -> bool:
            gear = piece.gear
            if not isinstance(gear, Block):
                return True
            return any(bend_keeps(rope.gear, gear) is not None for rope in self.ropes)

        some = tuple(piece for piece in self.pieces if serves(piece))
        return self if len(some) == len(self.pieces) else replace(self, pieces=some)

    @cached_property
    def rated_only(self) -> "Kit":
        """The kit without the pieces that have no rating; what a rope runs over needs none."""
        return Kit(
            tuple(p for p in self.pieces if stands(p) is not None or is_of(p, Protector)),
            self.knots,
            also=tuple(p for p in self.also if stands(p) is not None),
        )

    def round_anchor(self, anchor: Anchor) -> tuple[Hanging, ...]:
        """Every strap and chain at hand in every way it goes round the anchor, strongest first."""
        if anchor.girth is None:
            return ()
        trunk = trunk_of(anchor)
        return self.once(("round", trunk), lambda: _round_trunk(self.straps, trunk))

    def ends(self, rope: Owned[Rope], to: Fixture | None) -> tuple[RopeEnd, ...]:
        """Ways to make one end of the rope fast to the fixture; None: people hold it."""
        return self.once(("ends", rope.name, to), lambda: ways(self.knots, rope, to))


class Trunk(NamedTuple):
    """Radius of what a strap goes round, m: at the thick and at the thin end of its range."""

    thick: float
    thin: float


def trunk_of(anchor: Anchor) -> Trunk:
    """What a strap goes round at an anchor, which must have a girth."""
    assert anchor.girth is not None
    if anchor.radius > 0:
        return Trunk(anchor.radius, anchor.least_radius)
    radius = anchor.girth / (2.0 * pi)
    return Trunk(radius, radius)


def _round_trunk(straps: tuple[Owned[Strap | Chain], ...], trunk: Trunk) -> tuple[Hanging, ...]:
    out = [hanging for piece in straps for hanging in round_trunk(piece, trunk)]
    return tuple(sorted(out, key=lambda h: (-(h.capacity or 0.0), h.piece.name, h.how)))


@lru_cache(maxsize=16_384)
def round_trunk(piece: Owned[Strap | Chain], trunk: Trunk) -> tuple[Hanging, ...]:
    """Every way one strap or chain goes round a trunk.

    It reaches round, and stands, what the shortest it may be does on the thickest the trunk may be:
    there its legs spread most. Its bearing lies furthest out with the longest on the thinnest.
    """
    gear = piece.gear

    def ways(length: float, radius: float) -> tuple[strap_formulas.RoundTrunk, ...]:
        return strap_formulas.round_trunk(
            length=length,
            radius=radius,
            wll=capacity(piece),
            choker_factor=gear.choker_factor,
            basket_factor=gear.basket_factor,
        )

    found = ways(gear.length, trunk.thick)
    long = gear.length if gear.length_most is None else gear.length_most
    out = found if (long, trunk.thin) == (gear.length, trunk.thick) else ways(long, trunk.thin)
    reach = {way.how: way.standoff for way in out}
    return tuple(
        Hanging(
            piece=piece,
            how=way.how,
            capacity=way.capacity,
            standoff=reach[way.how],
            factors=way.factors,
        )
        for way in found
    )


def kit_of(site: Site, extra: Iterable[Owned] = ()) -> Kit:
    """The kit of a site, with pieces to be bought besides."""
    merged = sorted((*site.gear, *extra), key=lambda piece: piece.name)
    return Kit(tuple(merged), site.preferences.knots)
