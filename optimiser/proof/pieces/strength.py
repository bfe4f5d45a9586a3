"""Works out what comes on each piece of a rig at worst, and what it stands."""

from dataclasses import dataclass, replace
from math import inf

import numpy as np

from catalogue.gear import Block, Rope
from optimiser.mechanics.arrays import Array
from optimiser.proof.claim import HAND, Claim
from optimiser.proof.loads.states import Found, Group
from optimiser.proof.pieces.hanging import End, Hanging
from optimiser.proof.pieces.ratings import over_sheave, rating, rope_strength
from optimiser.proof.place.points import Hold
from optimiser.proof.sling import shared
from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Owned, Site
from shared.words import with_the

NOTHING = 1e-6
"""N or N·m: what is left of a strength where another line takes all of it."""


@dataclass(frozen=True, slots=True)
class Tension:
    """Of the tightest of some parts of the line, at the tighter end of each, times a factor. No parts: the
    pull at the rope's end."""

    parts: tuple[int, ...] = ()
    by: float = 1.0

    def at(self, found: Found) -> Array:
        """At every point in every variant, (P, V), N."""
        return self.by * found.along(self.parts)


@dataclass(frozen=True, slots=True)
class Loaded:
    """One component as the check sees it. `group`: what loads it; None: the line does, with `tension`.
    `own`: whoever pulls or holds, counted without the dynamic factor; `more`: what comes on it
    besides; `keeps`: share of a rope's strength that is left there; `ending`: the
    knot or hitch with which an answer's name for it has to end."""

    item: str
    place: str
    group: Group | None
    tension: Tension
    demand: float
    between: float
    capacity: float | None
    own: bool = False
    more: float = 0.0
    unit: str = "N"
    keeps: float = 1.0
    ending: str = ""

    @property
    def margin(self) -> float:
        return _margin(self.capacity, self.demand)

    @property
    def margin_between(self) -> float:
        return _margin(self.capacity, self.between)


def _margin(capacity: float | None, demand: float) -> float:
    return inf if capacity is None or demand <= 0.0 else capacity / demand


def groups(site: Site, claim: Claim, hold: Hold, hanging: Hanging) -> dict[str, Group]:
    """Everything that several parts of the rope may load together, by a word for it."""
    out: dict[str, Group] = {}
    for nodes in (*hanging.blocks, *hanging.strapped()):
        out[f"nodes {nodes}"] = Group(nodes)
    for nodes in hanging.shackles:
        if nodes[0] >= 0:
            out[f"nodes {nodes}"] = Group(nodes)
    on_load = tuple(i for i, place in enumerate(claim.nodes) if place.kind is PlaceKind.LOAD)
    out["hitch 0"] = Group(on_load, leg=None if hold.leg is None else 0)
    if hold.leg is not None:
        out["hitch 1"] = Group(on_load, leg=1)
    for anchor in site.anchors:
        met: list[int] = []
        levers: list[float] = []
        for i, place in enumerate(claim.nodes):
            if place.kind is PlaceKind.ANCHOR and place.name == anchor.name:
                met.append(i)
                levers.append(anchor.lever(place.height))
            elif place.kind is PlaceKind.PULLER and claim.puller.anchor == anchor.name:
                met.append(i)
                levers.append(anchor.lever(claim.puller.height))
        if met and anchor.sling is not None:
            out |= _on_sling(site, claim)
        elif met:
            level = anchor.horizontal_only
            faces = anchor.directions is not None
            out[f"anchor {anchor.name}"] = Group(tuple(met), tuple(levers), level, faces=faces)
    return out


def _on_sling(site: Site, claim: Claim) -> dict[str, Group]:
    """The tighter leg of a sling, and the moment of it on either tree, by a word for each."""
    found = shared(site, claim)
    assert found is not None
    out = {f"sling {found.node}": Group((found.node,), (found.tighter,))}
    for tree, lever in zip(found.trees, found.levers, strict=True):
        out[f"anchor {tree.name}"] = Group((found.node,), (found.tighter * lever,))
    return out


class Strength:
    """The account of one rig. `ratio`: tension in front of the turns over the hand's behind them."""

    def __init__(
        self, site: Site, claim: Claim, hold: Hold, hanging: Hanging, found: Found,
        named: dict[str, Group], ratio: float = 1.0,
    ) -> None:  # fmt: skip
        self.site, self.claim, self.hold = site, claim, hold
        self.hanging, self.found, self.named, self.ratio = hanging, found, named, ratio
        self.dynamic = claim.puller.dynamic
        self._worst: dict[Tension, tuple[float, float]] = {}
        self.pulls, self.pulls_anywhere = found.pulls(), found.pulls(anywhere=True)
        self.pull, self.pull_anywhere = max(self.pulls), max(self.pulls_anywhere)

    def part(self, segment: int) -> Tension:
        """Of one part of the line."""
        return Tension((segment,))

    def at(self, *nodes: int) -> Tension:
        """Of the tightest of the parts on both sides of some nodes."""
        last = len(self.claim.nodes) - 2
        both = {k for node in nodes for k in (node - 1, node) if 0 <= k <= last}
        return Tension(tuple(sorted(both)))

    def tightest(self) -> Tension:
        """Of the tightest part of the line."""
        return Tension(tuple(range(len(self.claim.nodes) - 1)))

    def end(self) -> tuple[float, float]:
        """Least limit / pull of whoever has the rope's end, at the profile's points and anywhere."""
        needs = self.found.needs
        pulls = needs.pull > 0.0
        margins = np.where(pulls, needs.limit / np.where(pulls, needs.pull, 1.0), inf)
        return float(margins[self.found.listed].min()), float(margins.min())

    def own_line(self) -> Loaded:
        """Whoever has the rope's end: worst pull against the limit at the least limit / pull; or the
        hand behind the turns, which holds so many times less."""
        puller = self.claim.puller
        capacity = self.pull * self.end()[0]
        name, place = puller.name, puller.name
        if self.claim.by_hand:
            name, place = HAND, str(self.claim.walk[-1])
        by = self.ratio
        return Loaded(
            name, place, None, Tension(by=1.0 / by), self.pull / by, self.pull_anywhere / by, capacity / by,
            own=True,
        )  # fmt: skip

    def tight(self) -> list[float]:
        """m along the path of the worst pull, and of the least limit / pull."""
        needs, listed = self.found.needs, self.found.listed
        least = self.end()[0]
        worst = needs.pull >= self.pull * (1 - 1e-6)
        worst |= needs.limit <= least * needs.pull * (1 + 1e-6)
        at: list[float] = self.found.course.at[listed & worst.any(axis=1)].tolist()
        return at

    def rope_lines(self, ends: tuple[End, ...]) -> list[Loaded]:
        """The ropes and their ends."""
        claim, rope = self.claim, self.claim.rope
        out = [self._rope(rope, "", self.tightest())]
        last = len(claim.walk) - 1
        for end, tension, place in (
            (ends[0], self.part(0), str(claim.walk[0])),
            (ends[1], self.part(last - 1), claim.puller.name),
        ):
            if end.knot is not None:
                out.append(self._rope(rope, place, tension, end.knot.keeps, end.knot.name))
        return out

    def lines(self, ends: tuple[End, ...]) -> list[Loaded]:
        """Every component but whoever has the rope's end."""
        claim, walk, hanging = self.claim, self.claim.nodes, self.hanging
        puller = claim.puller
        hauling = self.part(len(walk) - 2)
        out = []
        if puller.needs_termination and not puller.has_hook:
            out.append(self._line(puller.name, puller.name, hauling, puller.hitch_rating))
        out += self.rope_lines(ends)
        out += self._join()
        for nodes, piece in hanging.blocks.items():
            place = str(walk[nodes[0]])
            out.append(self._on(piece.name, place, f"nodes {nodes}", rating(piece)))
            rope, block = hanging.line_of(nodes[0]).rope, piece.gear
            bend = over_sheave(rope, block) if isinstance(block, Block) else 1.0
            if bend < 1.0:
                out.append(self._rope(rope, place, self.at(*nodes), bend))
        for nodes, piece in hanging.shackles.items():
            if nodes[0] == -1:
                out.append(self._line(piece.name, puller.name, hauling, rating(piece)))
            elif nodes[0] < -1:
                out.append(self._on(piece.name, "load", f"hitch {-2 - nodes[0]}", rating(piece)))
            else:
                place = str(walk[nodes[0]])
                out.append(self._on(piece.name, place, f"nodes {nodes}", rating(piece)))
        for nodes, way in hanging.ways.items():
            piece, place = hanging.straps[nodes], str(walk[nodes[0]])
            word = f"sling {nodes[0]}" if f"sling {nodes[0]}" in self.named else f"nodes {nodes}"
            strap = self._on(piece.name, place, word, way.capacity)
            out.append(replace(strap, ending=way.how))
        for i, piece in enumerate(hanging.legs):
            out.append(self._on(piece.name, "load", f"hitch {i}", rating(piece)))
        for word in self.named:
            if word.startswith("anchor "):
                out.append(self._anchor(word))
        for i, hitch in enumerate(self.hold.hitches):
            left = self._left(f"hitch {hitch.name}", hitch.rating)
            out.append(self._on(hitch.name, "load", f"hitch {i}", left))
        return out

    def _anchor(self, word: str) -> Loaded:
        """What all that hangs on an anchor puts on it; the hand behind turns round it pulls too,
        whatever its way."""
        name, claim, more = word.removeprefix("anchor "), self.claim, 0.0
        last = claim.nodes[-1]
        if claim.by_hand and last.name == name:
            more = self.pull / self.ratio * self.site.anchor(name).lever(last.height) * self.dynamic
        left = self._left(word, self.site.anchor(name).strength.capacity)
        unit = self.site.anchor(name).strength.unit
        return replace(self._on(name, name, word, left, more), unit=unit)

    def _left(self, word: str, strength: float | None) -> float | None:
        """What other lines leave of a strength."""
        taken = self.claim.taken.get(word, 0.0)
        return strength if strength is None or taken <= 0.0 else max(strength - taken, NOTHING)

    def _join(self) -> list[Loaded]:
        """The bend between two ropes, or what lengthens the rope at its standing end."""
        out = []
        joined = self.claim.rope.joined
        for h in self.claim.gear:
            if h.role is Role.EXTENSION and joined is not None:
                stands = rating(joined.first)
                out.append(self._line(h.item, str(self.claim.walk[0]), self.part(0), stands))
            elif h.role is Role.BEND and joined is not None and joined.bend is not None:
                part = self.part(h.nodes[0])
                bend = joined.bend
                out.append(self._rope(self.claim.rope, h.place, part, bend.keeps, bend.name))
        return out

    def _rope(
        self, rope: Owned[Rope], place: str, tension: Tension, keeps: float = 1.0, ending: str = ""
    ) -> Loaded:
        """A rope where a knot or a bend leaves `keeps` of its strength."""
        stands = rope_strength(rope, keeps=keeps)
        return replace(self._line(rope.name, place, tension, stands), keeps=keeps, ending=ending)

    def _line(self, item: str, place: str, tension: Tension, capacity: float | None) -> Loaded:
        """Something that one part of the line loads."""
        if tension not in self._worst:
            every = tension.at(self.found)
            demand = float(every[self.found.listed].max()) * self.dynamic
            self._worst[tension] = demand, float(every.max()) * self.dynamic
        demand, between = self._worst[tension]
        return Loaded(item, place, None, tension, demand, between, capacity)

    def _on(
        self, item: str, place: str, word: str, capacity: float | None, more: float = 0.0
    ) -> Loaded:
        """Something that several parts load together."""
        group = self.named[word]
        worst = self.found.worst[group]
        demand = worst.value * self.dynamic
        between = max(worst.between * self.dynamic, demand)
        return Loaded(
            item, place, group, Tension(), demand + more, between + more, capacity, more=more
        )

    def unrated(self) -> set[str]:
        """Names of what has no rating, in the words of an answer."""
        claim, hanging = self.claim, self.hanging
        pieces = [*hanging.blocks.values(), *hanging.shackles.values(), *hanging.legs]
        out = {piece.name for piece in pieces if rating(piece) is None}
        ways = hanging.ways.items()
        out |= {hanging.straps[nodes].name for nodes, way in ways if way.capacity is None}
        for word in self.named:
            name = word.removeprefix("anchor ")
            if name != word and self.site.anchor(name).strength.capacity is None:
                out.add(name)
        out |= {f"hitch {h.name} on the load" for h in self.hold.hitches if h.rating is None}
        puller = claim.puller
        if puller.needs_termination and not puller.has_hook and puller.hitch_rating is None:
            out.add(f"hitch of {with_the(puller.name)}")
        out |= {line.rope.name for line in claim.lines if rope_strength(line.rope) is None}
        return out
