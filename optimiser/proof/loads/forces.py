"""Works out the forces in a rig at every point of the path with the puller at every spot of its run,
one by one.

Written out from equilibrium: a plain second opinion. The same loop serves a line that hauls, holds
or steers; what differs is its `Duty`: what a sheave passes on, and what the end of the rope has to
pull with the load at one point.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import hypot, inf, sqrt
from typing import NamedTuple, Protocol

from catalogue.gear import Block
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.loads.pulling import most_pull
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.proof.ring import ring_at_rest
from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Owned, Puller, Site

SPOTS = (0.0, 0.5, 1.0)
"""Shares of its run at which the puller is looked at."""
Nodes = tuple[int, ...]
Passes = tuple[float, ...]
"""What each sheave, in the order of the walk, passes on of the tension on the end's side."""


@dataclass(frozen=True, slots=True)
class Group:
    """Nodes whose forces come together on one thing. `levers`: what each force is multiplied with;
    `level`: only the horizontal part counts; `leg`: 0 or 1, the leg of a bridle that is meant."""

    nodes: Nodes
    levers: tuple[float, ...] = ()
    level: bool = False
    leg: int | None = None


class State(NamedTuple):
    """The load at a point, the puller at a spot. `look`: which friction of the sheaves; `why`: why it
    does not work, or ""."""

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


class Pulled(NamedTuple):
    """What the rope does to the load per newton at its end: the forces on the load's nodes together,
    the same without friction, and what the puller can pull that way."""

    onto: Vec
    ideal: Vec
    limit: float


class Duty(Protocol):
    """What a line is for."""

    def looks(self, every: Sequence[Sequence[float]]) -> list[Passes]:
        """The frictions of the sheaves at which the line is looked at. `every`: efficiencies along the
        walk, at each combination of ends of their ranges, all low first."""

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
class Found:
    """All states of a rig, and the worst force on each group. Lengths: at profile points. `tau`:
    tension of each part of the line / pull, look by look."""

    states: list[State]
    worst: dict[Group, Worst]
    near: list[float]
    far: list[float]
    shortest: list[float]
    tau: list[list[float]]

    def pulls(self, *, anywhere: bool = False) -> list[float]:
        """Worst pull at the rope's end in each look, at the profile's points or anywhere, N."""
        out = [0.0] * len(self.tau)
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


def tensions(passes: Sequence[float]) -> list[float]:
    """Tension of each part of the line over that at its end, from the standing end on."""
    tau = [1.0]
    for share in reversed(passes):
        tau.insert(0, tau[0] * share)
    return tau


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
    site: Site, claim: Claim, duty: Duty, hold: Hold, points: list[Point], groups: Iterable[Group],
    owned: Mapping[str, Owned],
) -> Found:  # fmt: skip
    """Every state of a rig of one rope. `owned`: the pieces by name."""
    walk, puller = claim.walk, claim.puller
    last = len(walk) - 2  # the node before the end
    every = [one.etas for one in at_every_end(claim, owned)]
    taus = [tensions(passes) for passes in duty.looks(every)]
    spots, fixed = ends_of(site, claim), fixed_places(site, walk)
    loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
    wanted = list(groups)
    direct = last in loads
    # What a group carries depends on where the puller is in its run, or is the same all along it.
    still: list[tuple[int, Group]] = []
    moving: list[tuple[int, Group]] = []
    for i, g in enumerate(wanted):
        by_run = direct or last in g.nodes or last + 1 in g.nodes
        (moving if by_run else still).append((i, g))
    out = Found([], {g: Worst() for g in wanted}, [], [], [inf] * (last + 1), taus)
    worst = list(out.worst.values())
    signs = [(k in loads) - (k + 1 in loads) for k in range(last)]
    ways: list[tuple[Vec, float]] = []
    limits: list[float] = []
    for point in points:
        hitch = carried(point, hold.ahead, hold.left, hold.height)
        where = [hitch if p is None else p for p in fixed[:-1]]
        units = []
        ix = iy = iz = total = 0.0
        for k in range(last):
            unit, long = toward(where[k], where[k + 1])
            units.append(unit)
            total += long
            if long < out.shortest[k]:
                out.shortest[k] = long
            sign = signs[k]
            if sign:
                ix, iy, iz = ix + sign * unit[0], iy + sign * unit[1], iz + sign * unit[2]
        if direct or not ways:  # else the last part lies still while the load moves
            ways = [toward(where[last], spot) for spot in spots]
            limits = [most_pull(puller, (-u[0], -u[1], -u[2])) for u, _ in ways]
        for r, (_, long) in enumerate(ways):
            if long < out.shortest[last]:
                out.shortest[last] = long
            if point.row is not None and r == 0:
                out.near.append(total + long)
            if point.row is not None and r == len(spots) - 1:
                out.far.append(total + long)
        top = [0.0] * len(wanted)
        limits = [most_pull(puller, (-u[0], -u[1], -u[2])) for u, _ in ways]
        for look, tau in enumerate(taus):
            if point.row is None and 0 < look < len(taus) - 1:
                continue  # between the profile's points the first and the last are enough
            base = [(0.0, 0.0, 0.0)] * (last + 2)
            for k in range(last):
                put(base, k, units[k], tau[k])
            near: State | None = None
            for r, (unit, _) in enumerate(ways):
                force = base.copy()
                put(force, last, unit, 1.0)
                if look and near is not None and not direct:
                    # The same but for the puller's limit, which the first look has seen.
                    state = near._replace(spot=r, limit=limits[r])
                else:
                    ideal = (ix + unit[0], iy + unit[1], iz + unit[2]) if direct else (ix, iy, iz)
                    pulled = Pulled(summed(force, loads), ideal, limits[r])
                    state = duty.state(point, r, look, pulled)
                near = near or state
                out.states.append(state)
                for i, group in moving if r else (*still, *moving):
                    carries = force_on(group, force, state.pull, point, hold)
                    if carries > top[i]:
                        top[i] = carries
        if hold.leg is not None:
            for i, most in enumerate(
                _swung(point, hold, walk, where, spots, taus, limits, duty, wanted, out)
            ):
                top[i] = max(top[i], most)
        for seen, most in zip(worst, top, strict=True):
            seen.take(point, most)
    return out


def _swung(
    point: Point, hold: Hold, walk: Walk, where: list[Vec], spots: list[Vec],
    taus: list[list[float]], limits: list[float], duty: Duty, wanted: list[Group], out: Found,
) -> list[float]:  # fmt: skip
    """The worst force on each group with the ring of a bridle where it comes to rest; adds the states.
    `limits`: what the puller can pull at each spot."""
    assert hold.leg is not None
    a, b = (carried(point, h.ahead, h.left, h.height) for h in hold.hitches)
    loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
    top = [0.0] * len(wanted)
    for look, tau in enumerate(taus):
        for r, spot in enumerate(spots):
            places = [*where, spot]
            parts = [k for k in range(len(tau)) if k in loads or k + 1 in loads]
            ends = [places[k + 1 if k in loads else k] for k in parts]
            ring = ring_at_rest(a, b, hold.leg, ends, [tau[k] for k in parts])
            for node in loads:
                places[node] = ring
            force = [(0.0, 0.0, 0.0)] * len(places)
            plain = force.copy()
            for k, tension in enumerate(tau):
                unit, _ = toward(places[k], places[k + 1])
                put(force, k, unit, tension)
                put(plain, k, unit, 1.0)
            pulled = Pulled(summed(force, loads), summed(plain, loads), limits[r])
            state = duty.state(point, r, look, pulled)
            out.states.append(state)
            for i, group in enumerate(wanted):
                top[i] = max(top[i], force_on(group, force, state.pull, point, hold))
    return top


def toward(begin: Vec, end: Vec) -> tuple[Vec, float]:
    """Unit vector and distance."""
    x, y, z = end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]
    long = sqrt(x * x + y * y + z * z)
    if long < 1e-9:
        return (0.0, 0.0, 0.0), long
    return (x / long, y / long, z / long), long


def put(force: list[Vec], node: int, unit: Vec, tension: float) -> None:
    """Add a run's tension to the forces on the nodes at its two ends."""
    a, b = force[node], force[node + 1]
    x, y, z = tension * unit[0], tension * unit[1], tension * unit[2]
    force[node] = (a[0] + x, a[1] + y, a[2] + z)
    force[node + 1] = (b[0] - x, b[1] - y, b[2] - z)


def summed(force: list[Vec], nodes: Iterable[int]) -> Vec:
    """The forces on some nodes together."""
    x = y = z = 0.0
    for n in nodes:
        a, b, c = force[n]
        x, y, z = x + a, y + b, z + c
    return x, y, z


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


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
