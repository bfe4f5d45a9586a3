"""What lies on edges for a rope to run over: the kind a rig lays there, and the ropes it is worked out for.

A rig lays at most one kind of protector, wherever a line of it would touch bare ground; on legs of the
path where something lies already, that is what the rope runs over. How a rope rubs depends on what it is
made of, so ropes that rub alike make a group, and each group is looked at by itself.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from catalogue.edges import ANY, friction, on_material
from catalogue.gear import Protector, Rope
from optimiser.rig.gear.kit import Kit
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.site.model import Owned, Site, is_of

Rubs = tuple[str, float, float]
"""What a rope runs on, and its friction there, low and high."""


@dataclass(frozen=True, slots=True)
class Edging:
    """`protector`: what the rig lays; None: nothing. `rubs`: of the ropes it is for, on each thing that may
    lie under them; () for any rope, then the friction is that of the widest range."""

    protector: Owned[Protector] | None = None
    rubs: tuple[Rubs, ...] = ()

    def friction(self, surface: str) -> tuple[float, float]:
        """Coefficient of friction on a surface, low and high."""
        for own, low, high in self.rubs:
            if own == surface:
                return low, high
        widest = on_material(surface, ANY)
        return widest.low, widest.high

    def admits(self, rope: Owned[Rope]) -> bool:
        """Whether a rope rubs as this was worked out for."""
        return not self.rubs or self.rubs == rubs_of(rope, (own for own, _, _ in self.rubs))

    def kit(self, kit: Kit) -> Kit:
        """The kit with the ropes only that this was worked out for: always the one kit for the same."""
        if not self.rubs:
            return kit
        return kit.once(("rubs", self.rubs), lambda: self._kit(kit))

    def _kit(self, kit: Kit) -> Kit:
        pieces = tuple(p for p in kit.pieces if not is_of(p, Rope) or self.admits(p))
        return kit if len(pieces) == len(kit.pieces) else Kit(pieces, kit.knots, kit.spend)


BARE = Edging()
"""Nothing is laid, and nothing is known of the rope."""


def rubs_of(rope: Owned[Rope], surfaces: Iterable[str]) -> tuple[Rubs, ...] | None:
    """How a rope rubs on some surfaces; None where it is joined of ropes that rub differently."""
    pieces = [rope.gear]
    if rope.joined is not None:
        parts = (rope.joined.first, rope.joined.second)
        pieces = [part.gear for part in parts if is_of(part, Rope)]
    every = tuple(surfaces)
    found = {
        tuple((s, friction(s, gear).low, friction(s, gear).high) for s in every) for gear in pieces
    }
    return found.pop() if len(found) == 1 else None


def edgings(site: Site, kit: Kit) -> tuple[Edging, ...]:
    """Every kind of protector at hand, and none, for each group of ropes that rub alike."""
    laid = {leg.laid.surface for leg in site.legs if leg.laid is not None}
    out: list[Edging] = []
    for protector in (None, *_unlike(kit.protectors)):
        surfaces = sorted(laid | ({protector.gear.surface} if protector is not None else set()))
        if not surfaces:
            out.append(BARE)
            continue
        groups = {rubs_of(rope, surfaces) for rope in kit.ropes} - {None}
        out += [Edging(protector, rubs) for rubs in sorted(g for g in groups if g is not None)]
    return tuple(out) or (BARE,)


def edging_of(site: Site, rope: Owned[Rope] | None, laid: Owned[Protector] | None) -> Edging:
    """What a rig lays, for its rope; None: for two ropes, which run over no edge."""
    surfaces = {leg.laid.surface for leg in site.legs if leg.laid is not None}
    if laid is not None:
        surfaces.add(laid.gear.surface)
    rubs = None if rope is None else rubs_of(rope, sorted(surfaces))
    return Edging(laid, rubs or ())


def of_setup(site: Site, setup: Setup | LoweringSetup) -> Edging:
    """What lies on edges for a setup on a site that may have changed."""
    owned = {touch.owned.name: touch.owned for touch in setup.contacts if touch.owned is not None}
    laid = next(iter(owned.values()), None)
    if laid is not None:
        here = (p for p in site.gear if is_of(p, Protector) and p.name in owned)
        laid = next(here, laid)
    two = isinstance(setup, Setup) and setup.second is not None
    return edging_of(site, None if two else setup.rope, laid)


def _unlike(pieces: Iterable[Owned[Protector]]) -> list[Owned[Protector]]:
    """Of each kind of protector one, by name."""
    return sorted(pieces, key=lambda piece: piece.name)
