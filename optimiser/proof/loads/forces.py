"""Works out the forces in a rig at every point of the path with the puller at every spot of its run,
one by one.

Written out from equilibrium: a plain second opinion. The same loop serves a line that hauls, holds
or steers; what differs is its `Duty`: what a sheave passes on, and what the end of the rope has to
pull with the load at one point.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import hypot, inf, sin, sqrt
from typing import NamedTuple, Protocol

from catalogue.gear import Block
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.loads.pulling import most_pull
from optimiser.proof.loads.taut_line import (
    PLAIN,
    Look,
    Part,
    dot,
    nodes_pulled,
    onto_nodes,
    pulls_along,
    summed,
    tensions,
    toward,
)
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.proof.place.string import Spot, String
from optimiser.proof.ring import ring_at_rest
from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Owned, Puller, Site

SPOTS = (0.0, 0.5, 1.0)
"""Shares of its run at which the puller is looked at."""
Nodes = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Nodes whose forces come together on one thing. `levers`: what each force is multiplied with;
    `level`: only the horizontal part counts; `leg`: 0 or 1, the leg of a bridle that is meant; `faces`: it
    matters which way the force goes."""

    nodes: Nodes
    levers: tuple[float, ...] = ()
    level: bool = False
    leg: int | None = None
    faces: bool = False


class State(NamedTuple):
    """The load at a point, the puller at a spot. `look`: which friction; `why`: why it does not work, or
    ""; `tau`: tension / pull of each part of the line, where it is tighter."""

    point: Point
    spot: int
    pull: float
    reaction: float
    sideways: float
    advance: float
    ideal: float
    limit: float
    why: str
    steer: float = 0.0
    look: int = 0
    tau: tuple[float, ...] = ()


class Pulled(NamedTuple):
    """What the rope does to the load per newton at its end: the forces on the load's nodes together,
    the same without friction, and what the puller can pull that way."""

    onto: Vec
    ideal: Vec
    limit: float


class Duty(Protocol):
    """What a line is for."""

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """The frictions at which the line is looked at. `every`: efficiencies along the walk, at each
        combination of ends of their ranges, all low first; `edges`: whether it may run over any."""

    def state(self, point: Point, spot: int, look: int, pulled: Pulled) -> State:
        """What the end of the rope has to pull, and what comes of it."""


@dataclass(slots=True)
class Worst:
    """The greatest force on a group: at the profile's points one by one, and anywhere between."""

    at: list[tuple[float, float]] = field(default_factory=list)  # (m along the path, N)
    between: float = 0.0

    @property
    def value(self) -> float:
        return max((force for _, force in self.at), default=0.0)

    def take(self, point: Point, force: float) -> None:
        if point.row is None:
            self.between = max(self.between, force)
        else:
            self.at.append((point.at, force))


@dataclass(slots=True)
class Touched:
    """What comes on one point of the ground from one part of the line, with the load at the profile's
    points: the greatest angle, rad, force, and level pull, N; between which m to the path's left, and with
    the load between which m along it."""

    spot: Spot
    turn: float = 0.0
    force: float = 0.0
    shift: float = 0.0
    load_from: float = inf
    load_to: float = -inf
    left_from: float = inf
    left_to: float = -inf


def _level(ways: Sequence[Vec], tensions: Sequence[float]) -> float:
    """The level part of some tensions together."""
    x, y = (sum(t * way[c] for t, way in zip(tensions, ways, strict=True)) for c in (0, 1))
    return hypot(x, y)


@dataclass(slots=True)
class Found:
    """All states of a rig, and the worst force on each group. Lengths: at profile points. `looks`: at
    how many frictions; `slips`: the rope runs towards the load. `touched`: by part of the line and m along
    the path."""

    states: list[State]
    worst: dict[Group, Worst]
    near: list[float]
    far: list[float]
    shortest: list[float]
    looks: int
    slips: bool = False
    touched: dict[tuple[int, float], Touched] = field(default_factory=dict)
    ways: dict[Group, list[tuple[float, Vec]]] = field(default_factory=dict)
    """For groups of which it matters which way the force goes: m along the path, and the force over the
    pull, at the profile's points."""

    def goes(self, group: Group, force: list[Vec], point: Point) -> None:
        """Notes which way the force on a group goes, if that matters."""
        if group.faces and point.row is not None:
            self.ways.setdefault(group, []).append((point.at, summed(force, group.nodes)))

    def touch(self, number: int, at: float, string: String, part: "Part", pull: float) -> None:
        """Notes what one part of the line, by its number, presses on with the load at a place."""
        corners = string.corners
        for i, (contact, sides) in enumerate(zip(string.touches, part.sides, strict=True), start=1):
            here = self.touched.setdefault((number, contact.spot.at), Touched(contact.spot))
            here.turn = max(here.turn, contact.turn)
            tight, slack = pull * max(sides), part.slack[i - 1]
            here.force = max(here.force, 2.0 * tight * sin(contact.turn / 2.0))
            ways = [toward(contact.at, corners[i - 1])[0], toward(contact.at, corners[i + 1])[0]]
            # Whichever way it drags: what lies there has to stay in both.
            for pair in ((tight, slack * tight), (slack * tight, tight)):
                here.shift = max(here.shift, _level(ways, pair))
            here.left_from = min(here.left_from, contact.left)
            here.left_to = max(here.left_to, contact.left)
            here.load_from = min(here.load_from, at)
            here.load_to = max(here.load_to, at)

    def pulls(self, *, anywhere: bool = False) -> list[float]:
        """Worst pull at the rope's end in each look, at the profile's points or anywhere, N."""
        out = [0.0] * self.looks
        for s in self.states:
            if (anywhere or s.point.row is not None) and s.pull > out[s.look]:
                out[s.look] = s.pull
        return out


def spots_of(puller: Puller) -> list[Vec]:
    """Where the hauling line ends, from the near to the far end of the puller's run."""
    x, y, z = puller.position
    shares = SPOTS if puller.run > 0.0 else (0.0,)
    return [
        (
            x + s * puller.run * puller.heading[0],
            y + s * puller.run * puller.heading[1],
            z + puller.height + s * puller.run * puller.heading[2],
        )
        for s in shares
    ]


def fixed_places(site: Site, walk: Walk) -> list[Vec | None]:
    """Position of each node; None for those on the load and for the puller."""
    out: list[Vec | None] = []
    for place in walk:
        if place.kind is PlaceKind.ANCHOR:
            x, y, z = site.anchor(place.name).position
            out.append((x, y, z + place.height))
        else:
            out.append(None)
    return out


def ends_of(site: Site, claim: Claim) -> list[Vec]:
    """Where the rope's last end is, at every spot that is looked at."""
    at = fixed_places(site, claim.walk)[-1]
    return spots_of(claim.puller) if at is None else [at]


def at_every_end(claim: Claim, owned: Mapping[str, Owned]) -> list[Claim]:
    """The rig with each of its sheaves at either end of its efficiency, where that is a range: at every
    combination of them, all low first."""
    most: dict[int, float] = {}
    for h in claim.gear:
        block = owned[h.item].gear if h.item in owned else None
        if h.role is Role.BLOCK and isinstance(block, Block) and block.eta_most is not None:
            most |= dict.fromkeys(h.nodes, block.eta_most)
    ends: list[tuple[float, ...]] = []
    begin = 0
    for line in claim.lines:
        for i, eta in enumerate(line.etas, start=begin + 1):
            ends.append((eta, most[i]) if i in most else (eta,))
        begin += len(line.walk)
    out = []
    for chosen in product(*ends):
        left = list(chosen)
        lines = []
        for line in claim.lines:
            own, left = left[: len(line.etas)], left[len(line.etas) :]
            lines.append(replace(line, etas=tuple(own)))
        out.append(replace(claim, lines=tuple(lines)))
    return out


def work_out(
    site: Site, ground: Ground, claim: Claim, duty: Duty, hold: Hold, points: list[Point],
    groups: Iterable[Group], owned: Mapping[str, Owned],
) -> Found:  # fmt: skip
    """Every state of a rig of one rope. `owned`: the pieces by name."""
    walk, puller, rope = claim.walk, claim.puller, claim.rope.gear
    last = len(walk) - 2  # the node before the end
    every = [one.etas for one in at_every_end(claim, owned)]
    looks = duty.looks(every, edges=bool(ground.laid))
    spots, fixed = ends_of(site, claim), fixed_places(site, walk)
    loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
    still = walk[0].kind is PlaceKind.ANCHOR
    wanted = list(groups)
    direct = last in loads
    # What a group carries depends on where the puller is in its run, or is the same all along it.
    moving = [i for i, g in enumerate(wanted) if direct or last in g.nodes or last + 1 in g.nodes]
    out = Found(
        [], {g: Worst() for g in wanted}, [], [], [inf] * (last + 1), len(looks), looks[0].slips
    )
    worst = list(out.worst.values())
    passing = [look.passes for look in looks]
    same = [passing.index(passes) for passes in passing]

    def drawn(k: int, begin: Vec, end: Vec) -> String:
        return ground.string(begin, end, from_load=k in loads, to_load=k + 1 in loads)

    ways: list[String] = []
    limits: list[float] = []
    for point in points:
        hitch = carried(point, hold.ahead, hold.left, hold.height)
        where = [hitch if p is None else p for p in fixed[:-1]]
        strings = [drawn(k, where[k], where[k + 1]) for k in range(last)]
        lengths = [string.length for string in strings]
        total = sum(lengths)
        if direct or not ways:  # else the last part lies still while the load moves
            ways = [drawn(last, where[last], spot) for spot in spots]
            limits = [most_pull(puller, toward(way.end, way.before)[0]) for way in ways]
            bent = any(way.touches for way in ways)
            ends, reach = [pulls_along(way) for way in ways], [way.length for way in ways]
        for k, long in enumerate(lengths):
            out.shortest[k] = min(out.shortest[k], long)
        for r, long in enumerate(reach):
            out.shortest[last] = min(out.shortest[last], long)
            if point.row is not None and r == 0:
                out.near.append(total + long)
            if point.row is not None and r == len(spots) - 1:
                out.far.append(total + long)
        top = [0.0] * len(wanted)
        along = [pulls_along(string) for string in strings]
        free = onto_nodes(along, [PLAIN] * last)
        parts: dict[tuple[int, int], list[Part]] = {}
        begins: dict[int, int] = {}
        rubs = bent or any(string.touches for string in strings)
        for look, rough in enumerate(looks):
            if point.row is None and 0 < look < len(looks) - 1:
                continue  # between the profile's points the first and the last are enough
            twin = look if rubs else same[look]
            if twin < look and twin in begins:  # nothing rubs here: the grip makes no difference
                alike = out.states[begins[twin] : begins[twin] + len(ways)]
                out.states += [state._replace(look=look) for state in alike]
                parts |= {(look, r): parts[twin, r] for r in range(len(ways))}
                continue
            begins[look] = len(out.states)
            near: State | None = None
            for r, way in enumerate(ways):
                if bent or r == 0:  # else the last part is as tight, wherever the puller is
                    tense = tensions([*strings, way], rough, rope, still=still)
                    others = onto_nodes(along, tense[:last])
                parts[look, r] = tense
                force = onto_nodes([ends[r]], tense[last:], others)
                if look and near is not None and not direct and not bent:
                    # The same but for the puller's limit, which the first look has seen.
                    state = near._replace(spot=r, limit=limits[r])
                else:
                    ideal = summed(onto_nodes([ends[r]], [PLAIN], free), loads)
                    pulled = Pulled(summed(force, loads), ideal, limits[r])
                    state = duty.state(point, r, look, pulled)
                    state = state._replace(tau=tuple(part.most for part in tense))
                near = near or state
                out.states.append(state)
                _touch(out, point, [*strings, way], tense, state.pull * puller.dynamic)
                for i in moving if r and not bent else range(len(wanted)):
                    top[i] = max(top[i], force_on(wanted[i], force, state.pull, point, hold))
                    out.goes(wanted[i], force, point)
        if hold.leg is not None:
            lines = [[*strings, way] for way in ways]
            swung = _swung(point, hold, loads, lines, parts, limits, duty, wanted, out, puller)
            top = [max(both) for both in zip(top, swung, strict=True)]
        for seen, most in zip(worst, top, strict=True):
            seen.take(point, most)
    return out


def _touch(
    out: Found, point: Point, line: Sequence[String], tense: Sequence[Part], pull: float
) -> None:
    """Notes what the line presses on."""
    if point.row is not None:
        for k, (string, part) in enumerate(zip(line, tense, strict=True)):
            if string.touches:
                out.touch(k, point.at, string, part, pull)


def _swung(
    point: Point, hold: Hold, loads: list[int], lines: list[list[String]],
    parts: Mapping[tuple[int, int], list[Part]], limits: list[float], duty: Duty,
    wanted: list[Group], out: Found, puller: Puller,
) -> list[float]:  # fmt: skip
    """The worst force on each group with the ring of a bridle where it comes to rest; adds the states.
    What the line runs over stays, and so does what it rubs there. `lines`: at each spot of the puller;
    `parts`: their tensions, by look and spot; `limits`: what the puller can pull at each spot."""
    assert hold.leg is not None
    a, b = (carried(point, h.ahead, h.left, h.height) for h in hold.hitches)
    top = [0.0] * len(wanted)
    for (look, r), tense in parts.items():
        line = lines[r]
        ends, pulls = [], []
        for k, (string, part) in enumerate(zip(line, tense, strict=True)):
            if k in loads:
                ends.append(string.next)
                pulls.append(part.begin)
            elif k + 1 in loads:
                ends.append(string.before)
                pulls.append(part.end)
        ring = ring_at_rest(a, b, hold.leg, ends, pulls)
        turned = [
            string._replace(
                begin=ring if k in loads else string.begin,
                end=ring if k + 1 in loads else string.end,
            )
            for k, string in enumerate(line)
        ]
        force = nodes_pulled(turned, tense)
        plain = nodes_pulled(turned, [PLAIN] * len(line))
        pulled = Pulled(summed(force, loads), summed(plain, loads), limits[r])
        state = duty.state(point, r, look, pulled)
        out.states.append(state._replace(tau=tuple(part.most for part in tense)))
        _touch(out, point, line, tense, state.pull * puller.dynamic)
        for i, group in enumerate(wanted):
            top[i] = max(top[i], force_on(group, force, state.pull, point, hold))
            out.goes(group, force, point)
    return top


def force_on(g: Group, force: list[Vec], pull: float, point: Point, hold: Hold) -> float:
    """What a group carries at that pull."""
    if g.levers:
        x = y = z = 0.0
        for n, lever in zip(g.nodes, g.levers, strict=True):
            a, b, c = force[n]
            x, y, z = x + lever * a, y + lever * b, z + lever * c
    elif len(g.nodes) == 1:
        x, y, z = force[g.nodes[0]]
    else:
        x, y, z = summed(force, g.nodes)
    if g.leg is not None:
        return pull * _bridle_leg(g.leg, (x, y, z), point, hold)
    return pull * (hypot(x, y) if g.level else sqrt(x * x + y * y + z * z))


def _bridle_leg(leg: int, pull: Vec, point: Point, hold: Hold) -> float:
    """Tension of one of two equal legs. The ring lies in the plane of the hitch points and the
    pull; along the hitch points the legs' difference, across them their sum balances it."""
    assert hold.leg is not None
    a, b = (carried(point, h.ahead, h.left, h.height) for h in hold.hitches)
    way, apart = toward(a, b)
    size = sqrt(dot(pull, pull))
    forward = dot(pull, way)
    across = sqrt(max(size * size - forward * forward, 0.0))
    cos = apart / 2.0 / hold.leg
    sin = sqrt(1.0 - cos * cos)
    first = (across / sin + forward / cos) / 2.0
    second = (across / sin - forward / cos) / 2.0
    if first < 0.0 or second < 0.0:  # that one hangs loose
        return size if (leg == 0) == (second < 0.0) else 0.0
    return second if leg else first
