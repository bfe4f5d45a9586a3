"""Mechanics of the enumeration: the definitions written out one state at a time, nothing clever.

Shares no code with the package's evaluator, search or checker; only the site's value objects and
the published formulas for a strap's hitch and a rope's strength.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise, product
from math import acos, asin, hypot, sin, sqrt

from optimiser.mechanics.values import Vec
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Puller, Site
from tests.oracle.ground import Grip, Station, dot, free, plus, unit

Walk = tuple[Place, ...]


# ---- the puller ---------------------------------------------------------------------------------


def spots(puller: Puller) -> list[Vec]:
    x, y, z = puller.position
    first = (x, y, z + puller.height)
    if puller.run <= 0.0:
        return [first]
    return [plus(first, puller.heading, share * puller.run) for share in (0.0, 0.5, 1.0)]


def can_pull(puller: Puller, line: Vec) -> float:
    """Greatest pull with the line leaving along the unit vector `line`; 0: not that way."""
    if puller.purchase is not None or puller.run <= 0.0:
        return puller.limit
    hx, hy, hz = puller.heading
    flat = max(hypot(line[0], line[1]), 1e-9) * max(hypot(hx, hy), 1e-9)
    plan = acos(max(-1.0, min(1.0, -(line[0] * hx + line[1] * hy) / flat)))
    rise = asin(max(-1.0, min(1.0, line[2]))) - asin(-hz)
    if plan > puller.angle_limit + 1e-9 or abs(rise) > puller.rise_limit + 1e-9:
        return 0.0
    up = max(hz, 0.0)
    if puller.traction is not None and puller.driven_weight is not None:
        whole = puller.driven_weight if puller.weight is None else puller.weight
        grip = puller.traction * puller.driven_weight * sqrt(max(1.0 - hz * hz, 0.0)) - whole * up
        lifted = 1.0 + puller.traction * max(sin(rise), 0.0)
        return min(puller.limit, max(grip, 0.0) / lifted)
    return puller.limit if puller.weight is None else max(puller.limit - puller.weight * up, 0.0)


def strokes(puller: Puller, near: list[float], far: list[float]) -> int:
    """Pieces of the way, each as long as one length of rope lies between near and far all along."""
    if puller.purchase is not None:
        far = [n + puller.purchase for n in near]
    elif puller.run <= 0.0:
        return 1
    count, last = 1, len(near) - 1
    here, low, high = 0.0, near[0], far[0]
    while here < last:
        i = int(here)
        n, f = near[i + 1], far[i + 1]
        if max(low, n) <= min(high, f) + 1e-9:
            here, low, high = i + 1.0, max(low, n), min(high, f)
            continue
        a, b = here - i, 1.0
        for _ in range(60):
            m = (a + b) / 2.0
            at_n, at_f = near[i] + m * (n - near[i]), far[i] + m * (f - far[i])
            if max(low, at_n) <= min(high, at_f):
                a = m
            else:
                b = m
        low, high = near[i] + a * (n - near[i]), far[i] + a * (f - far[i])
        if high <= low + 1e-9 or count > 10_000:
            return 10_000
        here, count = i + a, count + 1
    return count


# ---- one rig ------------------------------------------------------------------------------------


Ends = tuple[float, float]
"""The least and the most that a sheave may pass on."""


@dataclass
class Worked:
    """A rig that works at every state, and with its sheaves at either end of what they may pass on:
    forces at working pull with the dynamic factor, one after the other. `etas`: both ends of each."""

    walk: Walk
    etas: tuple[Ends, ...]
    tight: list[float]  # worst tension of each segment, without the dynamic factor
    pull: float
    use: float  # worst pull / limit
    forces: list[list[Vec]]  # [state][node]
    where: list[Station]  # of each state
    longest: float
    shortest: list[float]
    strokes: int
    memo: dict[tuple[int, ...], float] = field(default_factory=dict)

    def joint(self, nodes: tuple[int, ...]) -> float:
        """Worst force on some nodes together."""
        if nodes not in self.memo:
            worst = 0.0
            for force in self.forces:
                x = sum(force[n][0] for n in nodes)
                y = sum(force[n][1] for n in nodes)
                z = sum(force[n][2] for n in nodes)
                worst = max(worst, x * x + y * y + z * z)
            self.memo[nodes] = sqrt(worst)
        return self.memo[nodes]


def _both(one: Worked, other: Worked) -> Worked:
    """The worse of a rig with its sheaves at some ends and at others."""
    return replace(
        one,
        tight=[max(pair) for pair in zip(one.tight, other.tight, strict=True)],
        pull=max(one.pull, other.pull),
        use=max(one.use, other.use),
        forces=one.forces + other.forces,
        where=one.where + other.where,
        memo={},
    )


class Scene:
    """One grip on the load and one puller; caches what depends on pairs of places only."""

    def __init__(self, site: Site, line: list[Station], grip: Grip, puller: Puller) -> None:
        self.site, self.line, self.grip, self.puller = site, line, grip, puller
        self.spots = spots(puller)
        self.me = Place(PlaceKind.PULLER, puller.name)
        self.hitch = [grip.at(s) for s in line]
        self.anchors = {a.name: a for a in site.anchors}
        self.badly: dict[Walk, bool] = {}  # walks looked at for where the puller stands
        self._free: dict[tuple[Place, Place], bool] = {}
        self._seg: dict[tuple[Place, Place], list[tuple[Vec, float]]] = {}

    def places(self) -> list[Place]:
        out = [LOAD]
        for a in self.site.anchors:
            out += [Place(PlaceKind.ANCHOR, a.name, h) for h in a.heights]
        return out

    def position(self, place: Place) -> Vec:
        x, y, z = self.anchors[place.name].position
        return x, y, z + place.height

    def _ends(self, place: Place) -> list[Vec]:
        if place.kind is PlaceKind.LOAD:
            return self.hitch
        return self.spots if place.kind is PlaceKind.PULLER else [self.position(place)]

    def _own(self, place: Place) -> set[str]:
        if place.kind is PlaceKind.PULLER:
            return {self.puller.anchor} if self.puller.anchor else set()
        return {place.name} if place.kind is PlaceKind.ANCHOR else set()

    def clear(self, a: Place, b: Place) -> bool:
        """Whether the line between two places is free with the load and the puller anywhere."""
        if b.kind is PlaceKind.LOAD:
            return self.clear(b, a)
        if (a, b) not in self._free:
            own, loose = self._own(a) | self._own(b), a.kind is PlaceKind.LOAD
            good = all(
                free(self.site, p, q, own, loose=loose)
                for p in self._ends(a)
                for q in self._ends(b)
            )
            if good and loose and b.kind is PlaceKind.ANCHOR:
                good = all(self._nose_free(s, b) for s in self.line)
            self._free[a, b] = good
        return self._free[a, b]

    def _nose_free(self, s: Station, place: Place) -> bool:
        load, radius = self.site.load, self.anchors[place.name].radius
        gap = plus(self.position(place), s.ground, -1.0)
        ahead, aside = dot(gap, s.t) - load.overhang, abs(dot(gap, s.b))
        return aside > load.width / 2 + radius or ahead >= radius or ahead < -load.length - radius

    def pulls_forward(self, place: Place) -> bool:
        """Whether a part from the load to the place pulls forward all along."""
        return all(
            dot(plus(end, h, -1.0), s.t) > 0.0
            for s, h in zip(self.line, self.hitch, strict=True)
            for end in self._ends(place)
        )

    def leads(self, place: Place) -> bool:
        """Whether the puller can pull a hauling line that comes from there, anywhere in its run."""
        return all(
            can_pull(self.puller, unit(plus(begin, spot, -1.0))) > 0.0
            for begin in self._ends(place)
            for spot in self.spots
        )

    def segment(self, a: Place, b: Place) -> list[tuple[Vec, float]]:
        """Unit vector and length from a to b in every state (station by station, spot by spot)."""
        if (a, b) not in self._seg:
            out = []
            for h in self.hitch:
                for spot in self.spots:
                    p, q = (
                        h
                        if x.kind is PlaceKind.LOAD
                        else spot
                        if x.kind is PlaceKind.PULLER
                        else self.position(x)
                        for x in (a, b)
                    )
                    way = plus(q, p, -1.0)
                    out.append((unit(way), sqrt(dot(way, way))))
            self._seg[a, b] = out
        return self._seg[a, b]

    def work(self, walk: Walk, etas: tuple[Ends, ...]) -> Worked | None:
        """The rig at every state, each sheave at either end; None where it does not work at one."""
        whole: Worked | None = None
        for choice in product(*(sorted(set(ends)) for ends in etas)):
            one = self._work(walk, etas, choice)
            if one is None:
                return None
            whole = one if whole is None else _both(whole, one)
        return whole

    def _work(self, walk: Walk, ends: tuple[Ends, ...], etas: tuple[float, ...]) -> Worked | None:
        last = len(walk) - 2
        tau = [1.0] * (last + 1)
        for k in range(last - 1, -1, -1):
            tau[k] = tau[k + 1] * etas[k]
        segments = [self.segment(a, b) for a, b in pairwise(walk)]
        loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
        worst = use = 0.0
        forces, where, totals = [], [], []
        for x in range(len(self.line) * len(self.spots)):
            s = self.line[x // len(self.spots)]
            force: list[Vec] = [(0.0, 0.0, 0.0)] * len(walk)
            for k, segment in enumerate(segments):
                force[k] = plus(force[k], segment[x][0], tau[k])
                force[k + 1] = plus(force[k + 1], segment[x][0], -tau[k])
            g = (0.0, 0.0, 0.0)
            for i in loads:
                g = plus(g, force[i])
            pull = self._pull(s, g)
            limit = can_pull(self.puller, unit(plus((0.0, 0.0, 0.0), segments[last][x][0], -1.0)))
            if pull is None or limit <= 0.0:
                return None
            worst, use = max(worst, pull), max(use, pull / limit)
            strong = pull * self.puller.dynamic
            forces.append([(f[0] * strong, f[1] * strong, f[2] * strong) for f in force])
            where.append(s)
            totals.append(sum(segment[x][1] for segment in segments))
            if self.grip.leg is not None:
                spot = self.spots[x % len(self.spots)]
                swung = self._swung(s, walk, tau, x // len(self.spots), spot)
                if swung is None:
                    return None
                pull, force = swung
                worst, use = max(worst, pull), max(use, pull / limit)
                strong = pull * self.puller.dynamic
                forces.append([(f[0] * strong, f[1] * strong, f[2] * strong) for f in force])
                where.append(s)
        near, far = totals[:: len(self.spots)], totals[len(self.spots) - 1 :: len(self.spots)]
        return Worked(
            walk, ends, [t * worst for t in tau], worst, use, forces, where, max(near),
            [min(length for _, length in segment) for segment in segments],
            strokes(self.puller, near, far),
        )  # fmt: skip

    def _swung(
        self, s: Station, walk: Walk, tau: list[float], number: int, spot: Vec
    ) -> tuple[float, list[Vec]] | None:
        """Pull and forces with the bridle's ring where it comes to rest; None where that does not work."""
        ends = [
            self.hitch[number]
            if p.kind is PlaceKind.LOAD
            else spot
            if p.kind is PlaceKind.PULLER
            else self.position(p)
            for p in walk
        ]
        parts = []
        for k, (a, b) in enumerate(pairwise(walk)):
            if PlaceKind.LOAD in (a.kind, b.kind):
                other = k + 1 if a.kind is PlaceKind.LOAD else k
                parts.append((ends[other], tau[k], self._own(walk[other])))
        ring = self._rest(s, [(end, tension) for end, tension, _ in parts])
        if not all(free(self.site, ring, end, own, loose=True) for end, _, own in parts):
            return None
        ends = [
            ring if p.kind is PlaceKind.LOAD else end for p, end in zip(walk, ends, strict=True)
        ]
        force: list[Vec] = [(0.0, 0.0, 0.0)] * len(walk)
        for k, (p, q) in enumerate(pairwise(ends)):
            way = unit(plus(q, p, -1.0))
            force[k] = plus(force[k], way, tau[k])
            force[k + 1] = plus(force[k + 1], way, -tau[k])
        g = (0.0, 0.0, 0.0)
        for place, f in zip(walk, force, strict=True):
            if place.kind is PlaceKind.LOAD:
                g = plus(g, f)
        pull = self._pull(s, g)
        return None if pull is None else (pull, force)

    def _rest(self, s: Station, parts: list[tuple[Vec, float]]) -> Vec:
        """Where two equal legs and the parts put the ring: half way each time to the point of the legs'
        reach that lies furthest that way, in the plane of the two hitches and the pull."""
        leg = self.grip.leg
        assert leg is not None
        a, b = (Grip((h,), h.ahead, h.left, h.height, None).at(s) for h in self.grip.hitches)
        span, middle = plus(b, a, -1.0), plus(a, plus(b, a, -1.0), 0.5)
        half, along = sqrt(dot(span, span)) / 2.0, unit(span)
        ring = middle
        for _ in range(400):
            pull = (0.0, 0.0, 0.0)
            for end, tension in parts:
                pull = plus(pull, unit(plus(end, ring, -1.0)), tension)
            x = dot(pull, along)
            across = plus(pull, along, -x)
            y = sqrt(max(dot(across, across), 1e-24))
            # Within the legs' angle both are taut; beyond it the nearer hitch's leg hangs loose.
            if abs(x) * sqrt(leg * leg - half * half) <= y * half:
                goal = plus(middle, across, sqrt(leg * leg - half * half) / y)
            else:
                goal = plus(a if x > 0.0 else b, unit(pull), leg)
            step = plus(goal, ring, -1.0)
            if dot(step, step) < 1e-24:
                break
            ring = plus(ring, step, 0.5)
        return ring

    def _pull(self, s: Station, g: Vec) -> float | None:
        """H, or None where the load does not move, hangs, or is pulled off its line."""
        weight, c = s.weight(self.site), s.leg.resistance
        gives = dot(g, s.t) + c * dot(g, s.n)
        needs = weight * (s.t[2] + c * s.n[2])
        least = c if s.leg.resistance_least is None else s.leg.resistance_least
        if gives <= 0.0 or needs <= 0.0 or s.t[2] + least * s.n[2] <= 0.0:
            return None
        pull = needs / gives
        if s.leg.step > 0.0 and s.reach <= 0.0:
            radius, share = self.site.load.wheel_radius, self.site.load.axle_share
            if radius is None or s.leg.step >= radius:
                return None
            h = s.leg.step
            arm, foot = radius - h, sqrt(2 * radius * h - h * h)
            gives = dot(g, s.t) * arm + dot(g, s.n) * foot
            if gives <= 0.0:
                return None
            over = share * weight * (s.t[2] * arm + s.n[2] * foot) / gives
            pull = max(pull, over + pull * (1.0 - share))
        if weight * s.n[2] - pull * dot(g, s.n) < 0.0 or dot(g, s.t) <= 0.0:
            return None
        p = self.site.preferences
        most = p.side_pull_rolling if s.leg.motion.value == "rolling" else p.side_pull_sliding
        return pull if abs(dot(g, s.b)) / dot(g, s.t) <= most + 1e-12 else None

    def anchor_demands(self, rig: Worked) -> Iterator[tuple[str, float, float | None]]:
        """Name, worst demand and strength of every anchor in the rig, the winch's included."""
        for a in self.site.anchors:
            on = [
                (i, a.lever(self.puller.height if place.kind is PlaceKind.PULLER else place.height))
                for i, place in enumerate(rig.walk)
                if (place.kind is PlaceKind.ANCHOR and place.name == a.name)
                or (place.kind is PlaceKind.PULLER and self.puller.anchor == a.name)
            ]
            if not on:
                continue
            worst = 0.0
            for force in rig.forces:
                total = (0.0, 0.0, 0.0)
                for i, lever in on:
                    total = plus(total, force[i], lever)
                flat = a.horizontal_only
                worst = max(worst, hypot(total[0], total[1]) if flat else sqrt(dot(total, total)))
            yield a.name, worst, a.strength.capacity

    def hitch_demands(self, rig: Worked) -> list[float]:
        """Worst force on each hitch of the grip (and on each leg of a bridle)."""
        nodes = tuple(i for i, place in enumerate(rig.walk) if place.kind is PlaceKind.LOAD)
        if self.grip.leg is None:
            return [rig.joint(nodes)]
        worst = [0.0, 0.0]
        for s, force in zip(rig.where, rig.forces, strict=True):
            total = (0.0, 0.0, 0.0)
            for n in nodes:
                total = plus(total, force[n])
            for i, leg in enumerate(self._legs(s, total)):
                worst[i] = max(worst[i], leg)
        return worst

    def _legs(self, s: Station, total: Vec) -> tuple[float, float]:
        """Tensions of two equal legs: moments about each hitch point in the plane of the bridle."""
        assert self.grip.leg is not None
        a, b = (Grip((h,), h.ahead, h.left, h.height, None).at(s) for h in self.grip.hitches)
        way = plus(b, a, -1.0)
        apart, along = sqrt(dot(way, way)), unit(way)
        fx = dot(total, along)
        fy = sqrt(max(dot(total, total) - fx * fx, 0.0))
        x, y = apart / 2.0, sqrt(self.grip.leg**2 - apart**2 / 4.0)
        # About b: leg a's arm is 2 x y / L; the pull at the ring has moment fx y + fy x there.
        first = (fx * y + fy * x) * self.grip.leg / (2.0 * x * y)
        second = (fy * x - fx * y) * self.grip.leg / (2.0 * x * y)
        size = sqrt(dot(total, total))
        if first < 0.0:
            return 0.0, size
        return (size, 0.0) if second < 0.0 else (first, second)
