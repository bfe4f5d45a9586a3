"""Lists what a rig loads: each piece, rope, anchor and hitch with the force on it and what stands that force.

The one list that margins, component tables, ranges, bills and gear lists read. A slot that no piece
fills yet is a load with nothing that bears it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from catalogue.gear import Block, Rope, Termination
from optimiser.rig.gear.kit import Hanging, capacity, rope_capacity
from optimiser.rig.gear.row import Peak, RigRow
from optimiser.rig.setup import Role
from optimiser.site.model import Anchor, Hitch, Owned, Puller

UNLIMITED = float("inf")

# ---- the force ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tension:
    """The worst tension of any of some parts of the rope."""

    segments: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OverSheaves:
    """The worst tension of the rope over the sheaves at some nodes: of both parts there the tighter."""

    nodes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tightest:
    """The tension of a rope where it is tightest, which hauled is in the part `segment`."""

    segment: int


@dataclass(frozen=True, slots=True)
class Joint:
    """The force of the rope on some nodes together."""

    nodes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class InLeg:
    """The tension of one leg of the bridle."""

    leg: int


@dataclass(frozen=True, slots=True)
class OnAnchor:
    """The moment or force on one of the site's anchors."""

    number: int


@dataclass(frozen=True, slots=True)
class InSling:
    """The tension of the tighter leg of a sling between two trees, or its moment on one of them: the force of
    the rope on some nodes times `by`."""

    nodes: tuple[int, ...]
    by: float


@dataclass(frozen=True, slots=True)
class Pull:
    """The pull at the hauling end as a share of what the puller can pull there."""


Force = Tension | OverSheaves | Tightest | Joint | InLeg | OnAnchor | InSling | Pull


def worst(row: RigRow, force: Force) -> Peak:
    """A force at its worst along the stretch, and where: N, N·m for an anchor with a moment, a share for the
    pull; with the dynamic factor, the pull without."""
    match force:
        case Tension(segments):
            return max((row.tension(s) for s in segments), key=lambda peak: peak.value)
        case OverSheaves(nodes):
            return max((row.over_sheave(n) for n in nodes), key=lambda peak: peak.value)
        case Tightest(segment):
            return row.tightest_from(segment)
        case Joint(nodes):
            return row.joint(nodes)
        case InLeg(leg):
            return row.hitch_use[leg][0]
        case OnAnchor(number):
            return row.anchor_use[number][0]
        case InSling(nodes, by):
            peak = row.joint(nodes)
            return Peak(peak.value * by, peak.at)
        case Pull():
            return row.puller_use
        case _:
            assert_never(force)


# ---- what stands it -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OfPiece:
    """A shackle, block, bridle leg, or what lengthens a rope: stands its WLL times its condition."""

    piece: Owned

    @property
    def name(self) -> str:
        return self.piece.name

    @property
    def capacity(self) -> float | None:
        return capacity(self.piece)


@dataclass(frozen=True, slots=True)
class OfHanging:
    """A strap or chain in one hitch round a trunk, or a sling between two."""

    hanging: Hanging

    @property
    def name(self) -> str:
        return self.hanging.piece.name

    @property
    def capacity(self) -> float | None:
        return self.hanging.capacity


@dataclass(frozen=True, slots=True)
class OfRope:
    """A rope: by itself, with an end or bend `knot` in it, or over the sheave of a `block` that leaves it the
    share `over` of its strength."""

    rope: Owned[Rope]
    knot: Termination | None = None
    block: Owned[Block] | None = None
    over: float = 1.0

    @property
    def name(self) -> str:
        return self.rope.name

    @property
    def capacity(self) -> float | None:
        keeps = 1.0 if self.knot is None else self.knot.keeps
        return rope_capacity(self.rope, keeps=keeps, bend=self.over)


@dataclass(frozen=True, slots=True)
class OfAnchor:
    anchor: Anchor

    @property
    def name(self) -> str:
        return self.anchor.name

    @property
    def capacity(self) -> float | None:
        return self.anchor.strength.capacity


@dataclass(frozen=True, slots=True)
class OfHitch:
    """What the load is taken hold of at."""

    hitch: Hitch

    @property
    def name(self) -> str:
        return self.hitch.name

    @property
    def capacity(self) -> float | None:
        return self.hitch.rating


@dataclass(frozen=True, slots=True)
class OfPullerHitch:
    puller: Puller

    @property
    def name(self) -> str:
        return self.puller.name

    @property
    def capacity(self) -> float | None:
        return self.puller.hitch_rating


@dataclass(frozen=True, slots=True)
class OfPuller:
    """The whole of what the puller can pull, as the share `Pull` is of it."""

    puller: Puller

    @property
    def name(self) -> str:
        return self.puller.name

    @property
    def capacity(self) -> float:
        return 1.0


Bears = OfPiece | OfHanging | OfRope | OfAnchor | OfHitch | OfPullerHitch | OfPuller


# ---- the list -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Load:
    """One thing that a rig loads. `nodes`: of the walk, 0 the standing end; (-1,) the puller's hitch,
    (-2 - i,) hitch i of a bridle. `bears`: what takes the force; None while no piece is chosen. `word`:
    which end of a rope it is."""

    role: Role
    nodes: tuple[int, ...]
    force: Force
    bears: Bears | None = None
    word: str = ""

    @property
    def capacity(self) -> float | None:
        """N, N·m or a share, as the force; None: unrated, or nothing chosen yet."""
        return None if self.bears is None else self.bears.capacity

    @property
    def piece(self) -> Owned | None:
        """The piece of gear that is chosen for it; None for anchors, hitches and pullers, or none yet."""
        match self.bears:
            case OfPiece(piece) | OfRope(piece):
                return piece
            case OfHanging(hanging):
                return hanging.piece
            case _:
                return None

    def ratio(self, row: RigRow) -> float:
        """Capacity / demand; infinite where unrated or nothing pulls."""
        return ratio(self.capacity, worst(row, self.force).value)


def ratio(strength: float | None, demand: float) -> float:
    """Capacity / demand; infinite where the strength is not known (None) or nothing pulls."""
    if strength is None or demand <= 0.0:
        return UNLIMITED
    return strength / demand


def of_puller(row: RigRow) -> tuple[Load, ...]:
    """The puller, and its hitch where the rope is made fast to one."""
    puller, last = row.scene.puller, row.sheaves
    own = Load(Role.PULLER, (last + 1,), Pull(), OfPuller(puller))
    if not puller.needs_termination or puller.has_hook:
        return (own,)
    hitch = Load(Role.PULLER_HITCH, (-1,), Tension((last,)), OfPullerHitch(puller))
    return own, hitch


def of_site(row: RigRow) -> tuple[Load, ...]:
    """The anchors, in their order, and the hitches of the load."""
    scene = row.scene
    anchors = [load for a in row.anchor_use for load in _on_anchor(row, a)]
    bridled = scene.attachment.bridled
    hitches = [
        Load(Role.HITCH, row.on_load, InLeg(i) if bridled else Joint(row.on_load), OfHitch(hitch))
        for i, hitch in enumerate(scene.attachment.hitches)
    ]
    return (*anchors, *hitches)


def _on_anchor(row: RigRow, number: int) -> Iterator[Load]:
    """What comes on one of the site's anchors; where it is two trees, on each of them."""
    site = row.scene.site
    anchor = site.anchors[number]
    if anchor.sling is None:
        yield Load(Role.ANCHOR, (), OnAnchor(number), OfAnchor(anchor))
        return
    for name, lever in zip(anchor.sling.trees, anchor.sling.levers, strict=True):
        force = InSling(row.slung, anchor.sling.tighter * lever)
        yield Load(Role.ANCHOR, (), force, OfAnchor(site.anchor(name)))


def strap_force(row: RigRow, place: int) -> Joint | InSling:
    """What pulls on the strap at an anchor place, or on the sling there."""
    nodes, sling = row.anchored[place], row.anchor_at(place).sling
    return Joint(nodes) if sling is None else InSling(nodes, sling.tighter)


def open_slots(row: RigRow) -> tuple[Load, ...]:
    """The slots of a rig whatever rope is in it: something round each trunk, blocks for the nodes at each
    place, and the legs of a bridle with their shackles."""
    scene, out = row.scene, []
    for place, nodes in row.anchored.items():
        anchor = row.anchor_at(place)
        if anchor.girth is not None or anchor.sling is not None:
            out.append(Load(Role.STRAP, nodes, strap_force(row, place)))
    out += [Load(Role.BLOCK, nodes, Joint(nodes)) for nodes in row.groups.values()]
    legs = range(2 if scene.attachment.bridled else 0)
    out += [Load(Role.LEG, row.on_load, InLeg(i)) for i in legs]
    out += [shackle(row, (-2 - i,)) for i in legs]
    return tuple(out)


def shackle(row: RigRow, nodes: tuple[int, ...], piece: Owned | None = None) -> Load:
    """A shackle for some nodes' block or end, for the puller's hitch (-1,) or a bridle's (-2 - i,)."""
    force: Force
    if nodes == (-1,):
        force = Tension((row.sheaves,))
    elif nodes[0] <= -2:
        force = InLeg(-2 - nodes[0])
    else:
        force = Joint(nodes)
    return Load(Role.SHACKLE, nodes, force, None if piece is None else OfPiece(piece))
