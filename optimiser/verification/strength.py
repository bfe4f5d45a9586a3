"""What each piece of a setup stands, against the worst that comes on it."""

from dataclasses import dataclass
from math import inf

from catalogue.gear import Block, Rope
from optimiser.mechanics.rope import wire_bend, working_strength
from optimiser.results import Setup
from optimiser.site.model import Owned, Site
from optimiser.verification.forces import Group, Haul
from optimiser.verification.hanging import End, Hanging
from optimiser.verification.stretch import Hold


@dataclass(frozen=True, slots=True)
class Line:
    """One component as the checker sees it. `group`: what loads it; None: the pull, times `share`.
    `own_pull`: the puller itself, held against its pull without the dynamic factor."""

    item: str
    place: str
    group: Group | None
    share: float
    demand: float
    between: float
    capacity: float | None
    own_pull: bool = False

    @property
    def margin(self) -> float:
        return _margin(self.capacity, self.demand)

    @property
    def margin_between(self) -> float:
        return _margin(self.capacity, self.between)


def _margin(capacity: float | None, demand: float) -> float:
    return inf if capacity is None or demand <= 0.0 else capacity / demand


def rating(piece: Owned) -> float | None:
    """WLL times condition, N; None where unrated."""
    wll = piece.gear.wll
    return None if piece.unrated or wll is None else wll * piece.condition.keeps


def rope_strength(piece: Owned, *, keeps: float = 1.0, bend: float = 1.0) -> float | None:
    """Working strength of the rope with a termination or over a bend, N; None where unrated."""
    rope = piece.gear
    assert isinstance(rope, Rope)
    if piece.unrated:
        return None
    return working_strength(
        mbs=rope.mbs, design_factor=rope.design_factor, wll=rope.wll,
        condition=piece.condition.keeps, termination=keeps, bend=bend,
    )  # fmt: skip


def groups(site: Site, setup: Setup, hold: Hold, hanging: Hanging) -> dict[str, Group]:
    """Everything that several parts of the rope may load together, by a word for it."""
    out: dict[str, Group] = {}
    for nodes in (*hanging.blocks, *hanging.strapped()):
        out[f"nodes {nodes}"] = Group(nodes)
    for nodes in hanging.shackles:
        if nodes[0] >= 0:
            out[f"nodes {nodes}"] = Group(nodes)
    on_load = tuple(i for i, place in enumerate(setup.nodes) if place.kind == "load")
    out["hitch 0"] = Group(on_load, leg=None if hold.leg is None else 0)
    if hold.leg is not None:
        out["hitch 1"] = Group(on_load, leg=1)
    for anchor in site.anchors:
        met: list[int] = []
        levers: list[float] = []
        for i, place in enumerate(setup.nodes):
            if place.kind == "anchor" and place.name == anchor.name:
                met.append(i)
                levers.append(anchor.lever(place.height))
            elif place.kind == "puller" and setup.puller.anchor == anchor.name:
                met.append(i)
                levers.append(anchor.lever(setup.puller.height))
        if met:
            level = anchor.horizontal_only
            out[f"anchor {anchor.name}"] = Group(tuple(met), tuple(levers), level)
    return out


def _bend(piece: Owned, hung: Owned) -> float:
    """Share of the rope's strength kept over a block's sheave."""
    rope, block = piece.gear, hung.gear
    assert isinstance(rope, Rope)
    assert isinstance(block, Block)
    if rope.knottable:
        return 1.0
    return wire_bend(sheave_diameter=block.sheave_diameter, rope_diameter=rope.diameter)


class Strength:
    """The lines of the account of one setup."""

    def __init__(
        self,
        site: Site,
        setup: Setup,
        hold: Hold,
        hanging: Hanging,
        haul: Haul,
        named: dict[str, Group],
    ) -> None:
        self.site, self.setup, self.hold = site, setup, hold
        self.hanging, self.haul, self.named = hanging, haul, named
        self.dynamic = setup.puller.dynamic
        self.pull = max(s.pull for s in haul.states if s.point.row is not None)
        self.pull_anywhere = max(s.pull for s in haul.states)
        self.tau = self.shares()

    def shares(self) -> list[float]:
        """Tension of each run / pull."""
        tau = [1.0]
        for eta in reversed(self.setup.etas):
            tau.insert(0, tau[0] * eta)
        return tau

    def puller(self) -> tuple[float, float]:
        """Least limit / pull at the profile's points and anywhere."""
        held = [
            (s.limit / s.pull if s.pull > 0.0 else inf, s.point.row is not None)
            for s in self.haul.states
        ]
        return min(m for m, listed in held if listed), min(m for m, _ in held)

    def own_pull(self) -> Line:
        """The puller's own line: worst pull against the limit at the least limit / pull."""
        name, least = self.setup.puller.name, self.puller()[0]
        capacity = self.pull * least
        return Line(name, name, None, 1.0, self.pull, self.pull_anywhere, capacity, own_pull=True)

    def tight(self) -> list[float]:
        """m along the path of the worst pull, and of the least limit / pull."""
        listed = [s for s in self.haul.states if s.point.row is not None]
        least = self.puller()[0]
        return [
            s.point.at
            for s in listed
            if s.pull >= self.pull * (1 - 1e-6) or s.limit <= least * s.pull * (1 + 1e-6)
        ]

    def rope_lines(self, ends: tuple[End, ...]) -> list[Line]:
        """The ropes and their ends."""
        setup, rope = self.setup, self.setup.rope
        out = [self._line(rope.name, "", None, 1.0, rope_strength(rope))]
        for end, share, place in (
            (ends[0], self.tau[0], str(setup.walk[0])),
            (ends[1], 1.0, setup.puller.name),
        ):
            if end.knot is not None:
                kept = rope_strength(rope, keeps=end.knot.keeps)
                out.append(self._line(rope.name, place, None, share, kept))
        return out

    def lines(self, ends: tuple[End, ...]) -> list[Line]:
        """Every component but the puller's own pull."""
        setup, walk, hanging = self.setup, self.setup.nodes, self.hanging
        puller = setup.puller
        out = []
        if puller.needs_termination and not puller.has_hook:
            out.append(self._line(puller.name, puller.name, None, 1.0, puller.hitch_rating))
        out += self.rope_lines(ends)
        out += self._join()
        for nodes, piece in hanging.blocks.items():
            place = str(walk[nodes[0]])
            out.append(self._line(piece.name, place, f"nodes {nodes}", 1.0, rating(piece)))
            rope = hanging.line_of(nodes[0]).rope
            bend = _bend(rope, piece)
            if bend < 1.0:
                share = max(self.tau[n] for n in nodes)
                out.append(
                    self._line(rope.name, place, None, share, rope_strength(rope, bend=bend))
                )
        for nodes, piece in hanging.shackles.items():
            if nodes[0] == -1:
                out.append(self._line(piece.name, puller.name, None, 1.0, rating(piece)))
            elif nodes[0] < -1:
                out.append(
                    self._line(piece.name, "load", f"hitch {-2 - nodes[0]}", 1.0, rating(piece))
                )
            else:
                place = str(walk[nodes[0]])
                out.append(self._line(piece.name, place, f"nodes {nodes}", 1.0, rating(piece)))
        for nodes, way in hanging.ways.items():
            piece, place = hanging.straps[nodes], str(walk[nodes[0]])
            out.append(self._line(piece.name, place, f"nodes {nodes}", 1.0, way.capacity))
        for i, piece in enumerate(hanging.legs):
            out.append(self._line(piece.name, "load", f"hitch {i}", 1.0, rating(piece)))
        for word in self.named:
            if word.startswith("anchor "):
                name = word.removeprefix("anchor ")
                strength = self.site.anchor(name).strength.capacity
                out.append(self._line(name, name, word, 1.0, strength))
        for i, hitch in enumerate(self.hold.hitches):
            out.append(self._line(hitch.name, "load", f"hitch {i}", 1.0, hitch.rating))
        return out

    def _join(self) -> list[Line]:
        """The bend between two ropes, or what lengthens the rope at its standing end."""
        out = []
        for h in self.setup.gear:
            joined = self.setup.rope.joined
            if h.role == "extension" and joined is not None:
                stands = rating(joined.first)
                out.append(self._line(h.item, str(self.setup.walk[0]), None, self.tau[0], stands))
            elif h.role == "bend" and joined is not None and joined.bend is not None:
                stands = rope_strength(self.setup.rope, keeps=joined.bend.keeps)
                out.append(self._line(h.item, h.place, None, self.tau[h.nodes[0]], stands))
        return out

    def _line(
        self, item: str, place: str, word: str | None, share: float, capacity: float | None
    ) -> Line:
        if word is None:
            demand = share * self.pull * self.dynamic
            between = share * self.pull_anywhere * self.dynamic
            return Line(item, place, None, share, demand, between, capacity)
        group = self.named[word]
        worst = self.haul.worst[group]
        demand = worst.value * self.dynamic
        between = max(worst.between * self.dynamic, demand)
        return Line(item, place, group, 1.0, demand, between, capacity)

    def unrated(self) -> set[str]:
        """Names of what has no rating, in the words of a setup."""
        setup, hanging = self.setup, self.hanging
        pieces = [*hanging.blocks.values(), *hanging.shackles.values(), *hanging.straps.values()]
        out = {piece.name for piece in (*pieces, *hanging.legs) if rating(piece) is None}
        for word in self.named:
            name = word.removeprefix("anchor ")
            if name != word and self.site.anchor(name).strength.capacity is None:
                out.add(name)
        out |= {f"hitch {h.name} on the load" for h in self.hold.hitches if h.rating is None}
        puller = setup.puller
        if puller.needs_termination and not puller.has_hook and puller.hitch_rating is None:
            out.add(f"hitch of the {puller.name}")
        out |= {line.rope.name for line in setup.lines if rope_strength(line.rope) is None}
        return out
