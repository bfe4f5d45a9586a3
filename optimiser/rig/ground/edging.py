"""What lies on edges for a rope to run over: the kind a rig lays there, and the ropes it is worked out for.

A rig lays at most one kind of protector, wherever a line of it would touch bare ground; on legs of the
path where something lies already, that is what the rope runs over. How a rope rubs depends on what it is
made of, so ropes that rub alike make a group, and each group is looked at by itself.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter

from catalogue.edges import ANY, on_material, rubbing
from catalogue.gear import Protector, Rope
from optimiser.rig.gear.kit import Kit
from optimiser.rig.setup import AnyRig, Setup
from optimiser.site.model import Owned, Site, is_of

Rubs = tuple[Protector, float, float]
"""What a rope runs over, and its friction there, low and high."""


@dataclass(frozen=True, slots=True)
class Edging:
    """`protector`: what the rig lays; None: nothing. `rubs`: of the ropes it is for, on each thing that may
    lie under them; () for any rope, then the friction is that of the widest range."""

    protector: Owned[Protector] | None = None
    rubs: tuple[Rubs, ...] = ()

    def friction(self, on: Protector) -> tuple[float, float]:
        """Coefficient of friction on what lies there, low and high."""
        for own, low, high in self.rubs:
            if own == on:
                return low, high
        if on.friction is not None:
            return on.friction
        widest = on_material(on.surface, ANY)
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
        able = {
            rope.name
            for alike in kit.once(("ropes by kind",), lambda: _by_kind(kit))
            if self.admits(alike[0])
            for rope in alike
        }
        pieces = tuple(p for p in kit.pieces if not is_of(p, Rope) or p.name in able)
        if len(pieces) == len(kit.pieces):
            return kit
        others = tuple(p for p in kit.slings if not self.admits(p))
        return Kit(pieces, kit.knots, kit.spend, others)


KIND = attrgetter("id", "name", "surface", "clearance")
"""What kinds of protectors are sorted by."""
BARE = Edging()
"""Nothing is laid, and nothing is known of the rope."""


def rubs_of(rope: Owned[Rope], lying: Iterable[Protector]) -> tuple[Rubs, ...] | None:
    """How a rope rubs on what lies on edges; None where it is joined of ropes that rub differently."""
    every = tuple(lying)
    found = {tuple((on, *_ends(on, gear)) for on in every) for gear in _kinds(rope)}
    return found.pop() if len(found) == 1 else None


def _by_kind(kit: Kit) -> list[list[Owned[Rope]]]:
    """The ropes of a kit; those of the same kinds, which rub alike, beside each other."""
    out: dict[tuple[Rope, ...], list[Owned[Rope]]] = {}
    for piece in kit.pieces:
        if is_of(piece, Rope):
            out.setdefault(_kinds(piece), []).append(piece)
    return list(out.values())


def _kinds(rope: Owned[Rope]) -> tuple[Rope, ...]:
    """The kinds of rope that run over an edge: where it is put together, of its parts."""
    return tuple(part.gear for part in rope.parts if is_of(part, Rope))


def _ends(on: Protector, rope: Rope) -> tuple[float, float]:
    found = rubbing(on, rope)
    return found.low, found.high


def edgings(site: Site, kit: Kit) -> tuple[Edging, ...]:
    """Every kind of protector at hand, and none, for each group of ropes that rub alike."""
    out: list[Edging] = []
    for protector in (None, *_unlike(kit.protectors)):
        lying = _lying(site, protector)
        if not lying:
            out.append(BARE)
            continue
        groups = {rubs_of(rope, lying) for rope in kit.ropes}
        known = [group for group in groups if group is not None]
        known.sort(key=lambda group: [ends for _, *ends in group])
        out += [Edging(protector, rubs) for rubs in known]
    return tuple(out) or (BARE,)


def edging_of(site: Site, rope: Owned[Rope] | None, laid: Owned[Protector] | None) -> Edging:
    """What a rig lays, for its rope; None: for two ropes, which run over no edge."""
    rubs = None if rope is None else rubs_of(rope, _lying(site, laid))
    return Edging(laid, rubs or ())


def of_setup(site: Site, setup: AnyRig) -> Edging:
    """What lies on edges for a setup on a site that may have changed."""
    owned = {touch.owned.name: touch.owned for touch in setup.contacts if touch.owned is not None}
    laid = next(iter(owned.values()), None)
    if laid is not None:
        here = (p for p in site.gear if is_of(p, Protector) and p.name in owned)
        laid = next(here, laid)
    two = isinstance(setup, Setup) and setup.second is not None
    return edging_of(site, None if two else setup.rope, laid)


def gear_of(site: Site, setup: AnyRig) -> tuple[Owned, ...]:
    """The site's gear, and what a setup lays on edges."""
    return (*site.gear, *(touch.owned for touch in setup.contacts if touch.owned is not None))


def _lying(site: Site, laid: Owned[Protector] | None) -> list[Protector]:
    """What may lie under a rope, each kind once."""
    every = {leg.laid for leg in site.legs} | {None if laid is None else laid.gear}
    return sorted((kind for kind in every if kind is not None), key=KIND)


def _unlike(pieces: Iterable[Owned[Protector]]) -> list[Owned[Protector]]:
    """Of each kind of protector one, by name."""
    return sorted(pieces, key=lambda piece: piece.name)
