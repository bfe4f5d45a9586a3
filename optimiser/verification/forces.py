"""Forces of a rig at every point of the path with the puller at every spot of its run, one by one.

Written out from equilibrium, without the package's evaluator: a plain second opinion.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import hypot, inf, sqrt
from typing import NamedTuple

from catalogue.ground import Motion
from optimiser.rig import Guide, Walk
from optimiser.site.model import Puller, Site, Vec
from optimiser.verification.pulling import most_pull
from optimiser.verification.stretch import Hold, Point, carried

SPOTS = (0.0, 0.5, 1.0)
"""Shares of its run at which the puller is looked at."""
Nodes = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Nodes whose forces come together on one thing. `levers`: what each force is multiplied with;
    `level`: only the horizontal part counts; `leg`: 0 or 1, the leg of a bridle that is meant."""

    nodes: Nodes
    levers: tuple[float, ...] = ()
    level: bool = False
    leg: int | None = None


class State(NamedTuple):
    """The load at a point, the puller at a spot. `why`: why it does not work, or ""."""

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
class Haul:
    """All states of a setup, and the worst force on each group. Lengths: at profile points."""

    states: list[State]
    worst: dict[Group, Worst]
    near: list[float]
    far: list[float]
    shortest: list[float]


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
        if place.kind == "anchor":
            x, y, z = site.anchor(place.name).position
            out.append((x, y, z + place.height))
        else:
            out.append(None)
    return out


def haul(
    site: Site, walk: Walk, etas: tuple[float, ...], puller: Puller, hold: Hold,
    points: list[Point], groups: Iterable[Group], *, kept: bool = False,
    guide: Guide | None = None,
) -> Haul:  # fmt: skip
    """Work out every state; `kept` and `guide` as of `state_of`."""
    last = len(walk) - 2  # the node before the puller
    tau = [1.0] * (last + 1)
    for k in range(last - 1, -1, -1):
        tau[k] = tau[k + 1] * etas[k]
    spots, fixed = spots_of(puller), fixed_places(site, walk)
    loads = [i for i, place in enumerate(walk) if place.kind == "load"]
    wanted = list(groups)
    direct = last in loads
    # What a group carries depends on where the puller is in its run, or is the same all along it.
    still: list[tuple[int, Group]] = []
    moving: list[tuple[int, Group]] = []
    for i, g in enumerate(wanted):
        by_run = direct or last in g.nodes or last + 1 in g.nodes
        (moving if by_run else still).append((i, g))
    out = Haul([], {g: Worst() for g in wanted}, [], [], [inf] * (last + 1))
    worst = list(out.worst.values())
    signs = [(k in loads) - (k + 1 in loads) for k in range(last)]
    for point in points:
        hitch = carried(point, hold.ahead, hold.left, hold.height)
        where = [hitch if p is None else p for p in fixed[:-1]]
        base = [(0.0, 0.0, 0.0)] * (last + 2)
        ix = iy = iz = total = 0.0
        for k in range(last):
            unit, long = toward(where[k], where[k + 1])
            put(base, k, unit, tau[k])
            total += long
            if long < out.shortest[k]:
                out.shortest[k] = long
            sign = signs[k]
            if sign:
                ix, iy, iz = ix + sign * unit[0], iy + sign * unit[1], iz + sign * unit[2]
        top = [0.0] * len(wanted)
        for r, spot in enumerate(spots):
            unit, long = toward(where[last], spot)
            if long < out.shortest[last]:
                out.shortest[last] = long
            force = base.copy()
            put(force, last, unit, 1.0)
            pulled = (ix + unit[0], iy + unit[1], iz + unit[2]) if direct else (ix, iy, iz)
            limit = most_pull(puller, (-unit[0], -unit[1], -unit[2]))
            onto = summed(force, loads)
            state = state_of(site, point, r, onto, pulled, limit, kept=kept, guide=guide)
            out.states.append(state)
            if point.row is not None and r == 0:
                out.near.append(total + long)
            if point.row is not None and r == len(spots) - 1:
                out.far.append(total + long)
            for i, group in moving if r else (*still, *moving):
                carries = force_on(group, force, state.pull, point, hold)
                if carries > top[i]:
                    top[i] = carries
        for seen, most in zip(worst, top, strict=True):
            seen.take(point, most)
    return out


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


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def state_of(
    site: Site, p: Point, spot: int, g: Vec, ideal: Vec, limit: float, *, kept: bool = False,
    guide: Guide | None = None,
) -> State:  # fmt: skip
    """Equilibrium along and across the path, impending motion. `kept`: where the load would run on by
    itself a holding line keeps it, and the hauling line is slack. `guide`: a steering line that takes
    the side pull back to its limit."""
    sin, cos, c = p.along[2], p.normal[2], p.leg.resistance
    forward, lift, side = _dot(g, p.along), _dot(g, p.normal), _dot(g, p.across)
    prefs = site.preferences
    rolls = p.leg.motion is Motion.ROLLING
    most_side = prefs.side_pull_rolling if rolls else prefs.side_pull_sliding
    # Per unit of pull: the steering line's tension, and what it takes from the haul and from the ground.
    steer, less, onto, off = 0.0, 0.0, 0.0, 0.0
    if guide is not None and abs(side) > most_side * forward + 1e-12:
        steer, less, onto, off = _steered(site, p, guide, (forward, side), most_side)
        if steer == inf:
            why = "the steering line does not bring it back on line"
            return State(p, spot, inf, 0.0, inf, forward, _dot(ideal, p.along), limit, why)
        side = (most_side if side > 0.0 else -most_side) * forward
    gives = forward - less + c * (lift - onto)
    pull = p.weight * (sin + c * cos) / gives if gives > 0.0 else inf
    if p.step > 0.0:
        pull = max(pull, _over_step(site, p, forward - less, lift - onto, pull))
    ideal_forward = _dot(ideal, p.along)
    if kept and sin + c * cos <= 0.0:
        pull = 0.0
    elif not 0.0 < pull < inf:
        why = "does not move, or runs by itself"
        return State(p, spot, inf, 0.0, inf, forward, ideal_forward, limit, why)
    reaction = p.weight * cos - pull * (lift + off)
    why = ""
    if reaction < -1e-6 * p.weight:
        why = "the load would hang"
    elif forward - less <= 0.0 or abs(side) > most_side * forward * (1.0 + 1e-9) + 1e-12:
        why = "the pull points too far to the side"
    elif limit <= 0.0:
        why = "the hauling line leaves the puller's run by too much"
    return State(
        p,
        spot,
        pull,
        reaction,
        side / forward if forward else inf,
        forward,
        ideal_forward,
        limit,
        why,
        steer * pull,
    )


def _steered(
    site: Site, p: Point, guide: Guide, pulls: tuple[float, float], most_side: float
) -> tuple[float, float, float, float]:
    """Per unit of pull: tension of the steering line, what it holds back along the path, presses onto
    the ground, and lifts. `pulls`: forward and sideways. the forces alone balance."""
    forward, side = pulls
    x, y, z = site.anchor(guide.place.name).position
    hook = carried(p, guide.hitch.ahead, guide.hitch.left, guide.hitch.height)
    way, _ = toward(hook, (x, y, z + guide.place.height))
    back = max(-_dot(way, p.along), 0.0)
    other_way = -_dot(way, p.across) if side > 0.0 else _dot(way, p.across)
    # |side| - tension * other_way = most_side * (forward - tension * back)
    gains = other_way - most_side * back
    if gains <= 1e-6:
        return inf, 0.0, 0.0, 0.0
    tension = (abs(side) - most_side * forward) / gains
    rise = _dot(way, p.normal)
    return tension, tension * back, tension * max(-rise, 0.0), tension * max(rise, 0.0)


def _over_step(site: Site, p: Point, forward: float, lift: float, plain: float) -> float:
    """Moments about the edge for the axle that climbs; the rest of the load rolls."""
    radius, share = site.load.wheel_radius, site.load.axle_share
    if radius is None or p.step >= radius:
        return inf
    arm = radius - p.step
    foot = sqrt(radius * radius - arm * arm)
    gives = forward * arm + lift * foot
    if gives <= 0.0:
        return inf
    asks = share * p.weight * (p.along[2] * arm + p.normal[2] * foot)
    return asks / gives + plain * (1.0 - share)


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
    size = sqrt(_dot(pull, pull))
    forward = _dot(pull, way)
    across = sqrt(max(size * size - forward * forward, 0.0))
    cos = apart / 2.0 / hold.leg
    sin = sqrt(1.0 - cos * cos)
    first = (across / sin + forward / cos) / 2.0
    second = (across / sin - forward / cos) / 2.0
    if first < 0.0 or second < 0.0:  # that one hangs loose
        return size if (leg == 0) == (second < 0.0) else 0.0
    return second if leg else first
