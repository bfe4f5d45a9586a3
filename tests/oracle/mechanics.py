"""Mechanics of the enumeration: the definitions written out one state at a time, nothing clever.

Shares no code with the package's evaluator, search or checker; only the site's value objects and
the published formulas for a strap's hitch and a rope's strength.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise, product
from math import acos, asin, ceil, cos, exp, hypot, sin, sqrt, tan

from catalogue.gear import Protector
from optimiser.mechanics.values import Vec
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Owned, Puller, Site
from tests.oracle.ground import Grip, Station, dips_between, dot, plus, sweeps_over, unit
from tests.oracle.slung import Pair, allowed, pair_at
from tests.oracle.stands import runs_over
from tests.oracle.taut import Spot, Taut, free, ground, line, straight

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
    if puller.weight is None:
        return puller.limit
    return max(puller.limit - puller.weight * up, 0.0) / (1.0 + max(sin(rise), 0.0))


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

Rubs = Mapping[Protector, tuple[float, float]]
"""Coefficient of friction of a rope on each kind of thing that may lie on an edge: low and high."""

SPARE_ACROSS = 0.3
"""m by which what is laid must be longer than the rope wanders."""


@dataclass(frozen=True)
class Bend:
    """Where one part of the rope (the standing one is 1) bends over one ground point, in every state: by
    how much at most, pressing how hard at most, from where to where across and along the path."""

    spot: Spot
    turn: float
    force: float
    left: tuple[float, float]
    along: tuple[float, float]

    def with_other(self, other: "Bend") -> "Bend":
        return Bend(
            self.spot,
            max(self.turn, other.turn),
            max(self.force, other.force),
            (min(self.left[0], other.left[0]), max(self.left[1], other.left[1])),
            (min(self.along[0], other.along[0]), max(self.along[1], other.along[1])),
        )


Bends = dict[tuple[int, int], Bend]
"""By part and ground point."""


def together(one: Bends, other: Bends) -> Bends:
    out = dict(one)
    for key, bend in other.items():
        out[key] = bend.with_other(out[key]) if key in out else bend
    return out


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
    bends: Bends = field(default_factory=dict)
    rubs: Rubs | None = None  # None: it touches nothing, so that any rope will do
    memo: dict[tuple[int, ...], float] = field(default_factory=dict)
    on_anchors: list[tuple[str, float, float | None]] = field(default_factory=list)

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


def both(one: Worked, other: Worked) -> Worked:
    """The worse of a rig with its sheaves at some ends and at others."""
    return replace(
        one,
        tight=[max(pair) for pair in zip(one.tight, other.tight, strict=True)],
        pull=max(one.pull, other.pull),
        use=max(one.use, other.use),
        forces=one.forces + other.forces,
        where=one.where + other.where,
        bends=together(one.bends, other.bends),
        memo={},
        on_anchors=[],
    )


def _bends(parts: list[Taut], tau: list[list[float]], strong: float) -> Bends:
    """What the rope touches in one state, and how hard it presses there."""
    out: Bends = {}
    for k, (part, along) in enumerate(zip(parts, tau, strict=True)):
        for touch, before, after in zip(part.touches, along, along[1:], strict=False):
            force = 2.0 * max(before, after) * strong * sin(touch.turn / 2.0)
            left, at = touch.left, touch.along
            out[k + 1, touch.spot.number] = Bend(
                touch.spot, touch.turn, force, (left, left), (at, at)
            )
    return out


def _side_by_side(left: list[float], long: float) -> int:
    if not left:
        return 0
    return max(ceil((max(left) - min(left) + SPARE_ACROSS) / long - 1e-9), 1)


class Scene:
    """One grip on the load, one puller, and one kind of edge protector laid wherever the rope touches bare
    ground, or none; caches what depends on pairs of places only."""

    def __init__(
        self,
        site: Site,
        line: list[Station],
        grip: Grip,
        puller: Puller,
        laid: Owned | None = None,
    ) -> None:
        self.site, self.line, self.grip, self.puller = site, line, grip, puller
        self.laid, self.spots_below = laid, ground(site, laid)
        self.spots = spots(puller)
        self.me = Place(PlaceKind.PULLER, puller.name)
        self.hitch = [grip.at(s) for s in line]
        self.anchors = {a.name: a for a in site.anchors}
        self.badly: dict[Walk, bool] = {}  # walks looked at for where the puller stands
        self._free: dict[tuple[Place, Place], bool] = {}
        self._taut: dict[tuple[Place, Place, int, int], Taut | None] = {}
        self._seg: dict[tuple[Place, Place], list[Taut]] = {}
        self._pieces: dict[Walk, int] = {}
        self._touches: dict[Walk, bool] = {}

    def places(self) -> list[Place]:
        out = [LOAD]
        for a in self.site.anchors:
            out += [Place(PlaceKind.ANCHOR, a.name, h) for h in a.heights]
        return out

    def position(self, place: Place) -> Vec:
        x, y, z = self.anchors[place.name].position
        return x, y, z + place.height

    def _ends(self, place: Place) -> list[Vec]:
        """Where a place may be: the load at every station, the puller at its spots."""
        if place.kind is PlaceKind.LOAD:
            return self.hitch
        return self.spots if place.kind is PlaceKind.PULLER else [self.position(place)]

    def _lines(self, a: Place, b: Place) -> Iterator[tuple[int, int, Taut | None]]:
        """Every line from one place to another, by the numbers of their spots; None: it is not free."""
        if b.kind is PlaceKind.LOAD:
            for j, i, found in self._lines(b, a):
                yield i, j, None if found is None else found.back()
            return
        own, loose = self._own(a) | self._own(b), a.kind is PlaceKind.LOAD
        for i, p in enumerate(self._ends(a)):
            for j, q in enumerate(self._ends(b)):
                if (a, b, i, j) not in self._taut:
                    self._taut[a, b, i, j] = line(
                        self.site, self.spots_below, p, q, own, loose=loose
                    )
                yield i, j, self._taut[a, b, i, j]

    def _own(self, place: Place) -> set[str]:
        if place.kind is PlaceKind.PULLER:
            return {self.puller.anchor} if self.puller.anchor else set()
        return {place.name} if place.kind is PlaceKind.ANCHOR else set()

    def clear(self, a: Place, b: Place) -> bool:
        """Whether the line between two places is free with the load and the puller anywhere."""
        if b.kind is PlaceKind.LOAD:
            return self.clear(b, a)
        if (a, b) not in self._free:
            good = all(found is not None for _, _, found in self._lines(a, b))
            if good and a.kind is PlaceKind.LOAD and b.kind is PlaceKind.ANCHOR:
                good = all(self._nose_free(s, b) for s in self.line)
            self._free[a, b] = good and not self._sweeps(a, b) and not self._dips(a, b)
        return self._free[a, b]

    def _sweeps(self, a: Place, b: Place) -> bool:
        """Whether the line between them sweeps over a post as either of its ends moves on."""
        own = self._own(a) | self._own(b)
        return any(
            sweeps_over(self.site, still, self._ends(goes), own)
            for stays, goes in ((a, b), (b, a))
            for still in self._ends(stays)
        )

    def _dips(self, a: Place, b: Place) -> bool:
        """Whether the line comes too low over ground on which nothing lies yet while the puller goes from one
        of its spots to the next, unless it runs over something at one of them."""
        if a == self.me:
            return self._dips(b, a)
        if b != self.me:
            return False
        found = {(i, j): line for i, j, line in self._lines(a, b)}
        bare = [s.at for s in self.spots_below if s.laid is None or s.owned is not None]
        for i, still in enumerate(self._ends(a)):
            for j, (p, q) in enumerate(pairwise(self.spots)):
                ends = found[i, j], found[i, j + 1]
                if any(end is None or end.touches for end in ends):
                    continue
                if dips_between(self.site, bare, still, p, q, loose=a.kind is PlaceKind.LOAD):
                    return True
        return False

    def _nose_free(self, s: Station, place: Place) -> bool:
        load, radius = self.site.load, self.anchors[place.name].radius
        gap = plus(self.position(place), s.ground, -1.0)
        ahead, aside = dot(gap, s.t) - load.overhang, abs(dot(gap, s.b))
        return aside > load.width / 2 + radius or ahead >= radius or ahead < -load.length - radius

    def pulls_forward(self, place: Place) -> bool:
        """Whether a part from the load to the place pulls forward all along."""
        return all(
            found is not None and dot(found.begin, self.line[i].t) > 0.0
            for i, _, found in self._lines(LOAD, place)
        )

    def leads(self, place: Place) -> bool:
        """Whether the puller can pull a hauling line that comes from there, anywhere in its run."""
        return all(
            found is not None
            and can_pull(self.puller, plus((0.0, 0.0, 0.0), found.end, -1.0)) > 0.0
            for _, _, found in self._lines(place, self.me)
        )

    def segment(self, a: Place, b: Place) -> list[Taut]:
        """The line from a to b in every state (station by station, spot by spot); where it is not free, the
        chord."""
        if (a, b) not in self._seg:
            lines = {(i, j): found for i, j, found in self._lines(a, b)}
            out = []
            for number in range(len(self.line)):
                for spot in range(len(self.spots)):
                    i, j = (self._which(x, number, spot) for x in (a, b))
                    found = lines[i, j]
                    out.append(
                        straight(self._ends(a)[i], self._ends(b)[j]) if found is None else found
                    )
            self._seg[a, b] = out
        return self._seg[a, b]

    def _which(self, place: Place, station: int, spot: int) -> int:
        if place.kind is PlaceKind.LOAD:
            return station
        return spot if place.kind is PlaceKind.PULLER else 0

    def pieces_to_lay(self, walk: Walk) -> int:
        """How many pieces of what the rig lays its rope takes: the ground points it touches are covered in
        order, and what lies in each such place must be as wide as the rope wanders there."""
        if walk not in self._pieces:
            self._pieces[walk] = self._to_lay(walk)
        return self._pieces[walk]

    def _to_lay(self, walk: Walk) -> int:
        touched: dict[int, tuple[Spot, list[float]]] = {}
        for a, b in pairwise(walk):
            for found in self.segment(a, b):
                for touch in found.touches:
                    if touch.spot.owned is not None:
                        touched.setdefault(touch.spot.number, (touch.spot, []))[1].append(
                            touch.left
                        )
        if self.laid is None or not touched:
            return 0
        piece = self.laid.gear
        assert isinstance(piece, Protector)
        long = self.laid.length or piece.length
        pieces, begun = 0, None
        aside: list[float] = []
        for number in sorted(touched):
            spot, left = touched[number]
            if begun is None or spot.along > begun + piece.covers + 1e-9:
                pieces += _side_by_side(aside, long)
                begun, aside = spot.along, []
            aside += left
        return pieces + _side_by_side(aside, long)

    def bends(self) -> bool:
        """Whether any line that is free touches anything; where the rig lays something, that."""
        places = [*self.places(), self.me]
        return any(
            found is not None
            and any(self.laid is None or touch.spot.owned is not None for touch in found.touches)
            for a in places
            for b in places
            if a != b and b.kind is not PlaceKind.LOAD and not self._own(a) & self._own(b)
            if not self.one_spot(a, b)
            for _, _, found in (self._lines(a, b) if a.kind is not PlaceKind.PULLER else ())
        )

    def touches(self, walk: Walk) -> bool:
        """Whether the rope touches anything in any state."""
        if walk not in self._touches:
            self._touches[walk] = any(
                found.touches for a, b in pairwise(walk) for found in self.segment(a, b)
            )
        return self._touches[walk]

    def work(self, walk: Walk, etas: tuple[Ends, ...], rubs: Rubs | None = None) -> Worked | None:
        """The rig at every state, each sheave at either end, and friction over edges at both of its own;
        None where it does not work at one, or more would have to be laid than there is. `rubs`: of the rope,
        which must be said where it touches something."""
        if self.laid is not None and self.pieces_to_lay(walk) > self.laid.count:
            return None
        bent = self.touches(walk)
        whole: Worked | None = None
        for choice in product(*(sorted(set(ends)) for ends in etas)):
            for end in (1, 0) if bent else (1,):
                mu = {kind: both[end] for kind, both in (rubs or {}).items()}
                one = self._work(walk, etas, choice, mu)
                if one is None:
                    return None
                whole = one if whole is None else both(whole, one)
        return whole if whole is None or not bent else replace(whole, rubs=rubs)

    def _tensions(
        self, walk: Walk, parts: list[Taut], etas: tuple[float, ...], mu: Mapping[Protector, float]
    ) -> list[list[float]]:
        """Of each part of the rope, tensions from its standing end to its hauling end: before and after each
        bend; the hauling line at the puller has 1. A standing part on an anchor does not move."""
        out: list[list[float]] = []
        tension = 1.0
        for k in range(len(parts) - 1, -1, -1):
            stands = k == 0 and walk[0].kind is not PlaceKind.LOAD
            along = [tension]
            for touch in reversed(parts[k].touches):
                assert touch.spot.laid is not None
                rub = 0.0 if stands else mu[touch.spot.laid]
                along.append(along[-1] * exp(-rub * touch.turn))
            out.append(along[::-1])
            tension = along[-1] * (etas[k - 1] if k > 0 else 1.0)
        return out[::-1]

    def _work(
        self,
        walk: Walk,
        ends: tuple[Ends, ...],
        etas: tuple[float, ...],
        mu: Mapping[Protector, float],
    ) -> Worked | None:
        last = len(walk) - 2
        segments = [self.segment(a, b) for a, b in pairwise(walk)]
        loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
        worst = use = 0.0
        tight = [0.0] * (last + 1)
        bends: Bends = {}
        forces, where, totals = [], [], []
        for x in range(len(self.line) * len(self.spots)):
            s = self.line[x // len(self.spots)]
            parts = [segment[x] for segment in segments]
            tau = self._tensions(walk, parts, etas, mu)
            force: list[Vec] = [(0.0, 0.0, 0.0)] * len(walk)
            for k, part in enumerate(parts):
                force[k] = plus(force[k], part.begin, tau[k][0])
                force[k + 1] = plus(force[k + 1], part.end, -tau[k][-1])
            g = (0.0, 0.0, 0.0)
            for i in loads:
                g = plus(g, force[i])
            pull = self.pull(s, g)
            limit = can_pull(self.puller, plus((0.0, 0.0, 0.0), parts[last].end, -1.0))
            if pull is None or limit <= 0.0:
                return None
            looks = [(pull, force)]
            if self.grip.leg is not None:
                spot = self.spots[x % len(self.spots)]
                swung = self.swung(s, walk, parts, tau, x // len(self.spots), spot)
                if swung is None:
                    return None
                looks.append(swung)
            for node, place in enumerate(walk):
                pair = pair_at(self.site, place)
                if pair is not None:
                    spot = self.spots[x % len(self.spots)]
                    near = [parts[k].length for k in (node - 1, node) if 0 <= k <= last]
                    if min(near) < pair.legs / 2.0:
                        return None  # the shackle would come as far as that
                    slung = self._slung(pair, node, s, walk, parts, tau, spot)
                    tense = max(tau[k][0 if k == node else -1] for k in (node - 1, node) if k >= 0)
                    both = [force[node]] if slung is None else [force[node], slung[1][node]]
                    if slung is None or any(sqrt(dot(f, f)) < 0.5 * tense - 1e-9 for f in both):
                        return None
                    rest_pull, rest_force, limits = slung
                    use = max(use, rest_pull / limits)
                    looks.append((rest_pull, rest_force))
            own = looks if self.grip.leg is not None else looks[:1]
            use = max(use, *(look[0] / limit for look in own))
            for pull, force in looks:
                worst = max(worst, pull)
                tight = [max(t, max(along) * pull) for t, along in zip(tight, tau, strict=True)]
                strong = pull * self.puller.dynamic
                forces.append([(f[0] * strong, f[1] * strong, f[2] * strong) for f in force])
                where.append(s)
                bends = together(bends, _bends(parts, tau, strong))
            totals.append(sum(part.length for part in parts))
        near, far = totals[:: len(self.spots)], totals[len(self.spots) - 1 :: len(self.spots)]
        return Worked(
            walk, ends, tight, worst, use, forces, where, max(near),
            [min(part.length for part in segment) for segment in segments],
            strokes(self.puller, near, far), bends,
        )  # fmt: skip

    def swung(
        self,
        s: Station,
        walk: Walk,
        parts: list[Taut],
        tau: list[list[float]],
        number: int,
        spot: Vec,
    ) -> tuple[float, list[Vec]] | None:
        """Pull and forces with the bridle's ring where it comes to rest; None where that does not work. A
        part that touches an edge leads from the ring to where it touches first."""
        ring = self.ring_at_rest(s, walk, parts, tau, number, spot)
        at_ring = self._parts_at_ring(walk, parts, tau, number, spot)
        if not all(
            free(self.site, self.spots_below, ring, far, own, loose=True)
            for _, _, far, _, own in at_ring
        ):
            return None
        force: list[Vec] = [(0.0, 0.0, 0.0)] * len(walk)
        to_ring = {k: (node, far) for k, node, far, _, _ in at_ring}
        for k, part in enumerate(parts):
            begin, end = part.begin, part.end
            if k in to_ring:
                node, far = to_ring[k]
                way = unit(plus(far, ring, -1.0))
                if node == k + 1:
                    way = plus((0.0, 0.0, 0.0), way, -1.0)
                begin = way if node == k or not part.touches else begin
                end = way if node == k + 1 or not part.touches else end
            force[k] = plus(force[k], begin, tau[k][0])
            force[k + 1] = plus(force[k + 1], end, -tau[k][-1])
        g = (0.0, 0.0, 0.0)
        for place, f in zip(walk, force, strict=True):
            if place.kind is PlaceKind.LOAD:
                g = plus(g, f)
        pull = self.pull(s, g)
        return None if pull is None else (pull, force)

    def ring_at_rest(
        self,
        s: Station,
        walk: Walk,
        parts: list[Taut],
        tau: list[list[float]],
        number: int,
        spot: Vec,
    ) -> Vec:
        """Where the bridle's ring comes to rest."""
        at_ring = self._parts_at_ring(walk, parts, tau, number, spot)
        return self._rest(s, [(far, tension) for _, _, far, tension, _ in at_ring])

    def _parts_at_ring(
        self, walk: Walk, parts: list[Taut], tau: list[list[float]], number: int, spot: Vec
    ) -> list[tuple[int, int, Vec, float, set[str]]]:
        """Of every part at the load: its number and node, where it leads first, its tension, its own ends."""
        ends = [
            self.hitch[number]
            if p.kind is PlaceKind.LOAD
            else spot
            if p.kind is PlaceKind.PULLER
            else self.position(p)
            for p in walk
        ]
        at_ring = []
        for k, (a, b) in enumerate(pairwise(walk)):
            touches = parts[k].touches
            own = self._own(a) | self._own(b)
            if a.kind is PlaceKind.LOAD:
                far = touches[0].at if touches else ends[k + 1]
                at_ring.append((k, k, far, tau[k][0], own))
            elif b.kind is PlaceKind.LOAD:
                far = touches[-1].at if touches else ends[k]
                at_ring.append((k, k + 1, far, tau[k][-1], own))
        return at_ring

    def _slung(
        self, pair: Pair, node: int, s: Station, walk: Walk, parts: list[Taut],
        tau: list[list[float]], spot: Vec,
    ) -> tuple[float, list[Vec], float] | None:  # fmt: skip
        """Pull, forces and what the puller can pull with the shackle on a sling where it comes to rest; None
        where that does not work."""
        at_shackle = []
        for k, other in ((node - 1, node - 1), (node, node + 1)):
            if 0 <= k < len(parts):
                nodes = parts[k].nodes
                begins = other > node
                far = nodes[1] if begins else nodes[-2]
                at_shackle.append(
                    (k, begins, walk[other], far, tau[k][0] if begins else tau[k][-1])
                )
        rest = pair.rest([(far, tension) for _, _, _, far, tension in at_shackle])
        loose = not any(spot.laid is not None for spot in self.spots_below)
        for _, _, there, far, _ in at_shackle:
            start = there.kind is PlaceKind.LOAD and loose
            if not free(self.site, self.spots_below, far, rest, self._own(there), loose=start):
                return None
        for tree, tie in zip(pair.trees, pair.ties, strict=True):
            if not free(self.site, self.spots_below, rest, tie, {tree.name}, loose=True):
                return None
        force: list[Vec] = [(0.0, 0.0, 0.0)] * len(walk)
        last = parts[-1].end
        turned = {k: (begins, far) for k, begins, _, far, _ in at_shackle}
        for k, part in enumerate(parts):
            begin, end = part.begin, part.end
            if k in turned:
                begins, far = turned[k]
                way = unit(plus(far, rest, -1.0) if begins else plus(rest, far, -1.0))
                begin = way if begins or not part.touches else begin
                end = way if not begins or not part.touches else end
            if k == len(parts) - 1:
                last = end
            force[k] = plus(force[k], begin, tau[k][0])
            force[k + 1] = plus(force[k + 1], end, -tau[k][-1])
        g = (0.0, 0.0, 0.0)
        for place, f in zip(walk, force, strict=True):
            if place.kind is PlaceKind.LOAD:
                g = plus(g, f)
        pull = self.pull(s, g)
        limit = can_pull(self.puller, plus((0.0, 0.0, 0.0), last, -1.0))
        return None if pull is None or limit <= 0.0 else (pull, force, limit)

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

    def pull(self, s: Station, g: Vec) -> float | None:
        """H, or None where the load does not move, hangs, or is pulled off its line."""
        weight, c = s.weight(self.site), s.leg.resistance
        up = dot(g, s.n)
        eases = c if s.leg.saved is None or up < 0.0 else min(c, s.leg.saved)
        gives = dot(g, s.t) + eases * up
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
            over = share * weight / s.leg.moved * (s.t[2] * arm + s.n[2] * foot) / gives
            pull = max(pull, over + pull * (1.0 - share))
        if weight * s.n[2] - pull * dot(g, s.n) < 0.0 or dot(g, s.t) <= 0.0:
            return None
        p = self.site.preferences
        most = p.side_pull_rolling if s.leg.motion.value == "rolling" else p.side_pull_sliding
        return pull if abs(dot(g, s.b)) / dot(g, s.t) <= most + 1e-12 else None

    def anchor_demands(self, rig: Worked) -> list[tuple[str, float, float | None]]:
        """Name, worst demand and strength of every anchor in the rig, the winch's included."""
        if not rig.on_anchors:
            rig.on_anchors += self._anchor_demands(rig)
        return rig.on_anchors

    def _anchor_demands(self, rig: Worked) -> Iterator[tuple[str, float, float | None]]:
        for a in self.site.anchors:
            on = [
                (i, a.lever(self.puller.height if place.kind is PlaceKind.PULLER else place.height))
                for i, place in enumerate(rig.walk)
                if (place.kind is PlaceKind.ANCHOR and place.name == a.name)
                or (place.kind is PlaceKind.PULLER and self.puller.anchor == a.name)
            ]
            if not on:
                continue
            pair = pair_at(self.site, rig.walk[on[0][0]])
            if pair is not None:
                yield from pair.demands(rig.joint((on[0][0],)), rig.walk[on[0][0]].height)
                continue
            worst = 0.0
            for force in rig.forces:
                total = (0.0, 0.0, 0.0)
                for i, lever in on:
                    total = plus(total, force[i], lever)
                flat = a.horizontal_only
                worst = max(worst, hypot(total[0], total[1]) if flat else sqrt(dot(total, total)))
            yield a.name, worst, a.strength.capacity

    def one_spot(self, a: Place, b: Place) -> bool:
        """Whether two places are those of two anchors of which one spot has room for one."""
        if PlaceKind.ANCHOR is not a.kind or PlaceKind.ANCHOR is not b.kind or a.name == b.name:
            return False
        one, two = (dict(self.anchors[place.name].uses) for place in (a, b))
        there = dict(self.site.stock)
        return any(there[what] == 1 and self.anchors[a.name].position == self.anchors[b.name].position
                   for what in one.keys() & two.keys())  # fmt: skip

    def made_well(self, rig: Worked) -> bool:
        """Whether every anchor that is made is pulled only the way that it stands, and all together take no
        more than is there."""
        left = dict(self.site.stock)
        bridled, winch = self.grip.leg is not None, self.puller.anchor
        if not allowed(self.site, rig.walk, bridled=bridled, winch=winch):
            return False
        for a in self.site.anchors:
            on = [
                i
                for i, place in enumerate(rig.walk)
                if (place.kind is PlaceKind.ANCHOR and place.name == a.name)
                or (place.kind is PlaceKind.PULLER and self.puller.anchor == a.name)
            ]
            if not on:
                continue
            for what, many in a.uses:
                left[what] = left.get(what, 0) - many
            if a.uses and runs_over(self.puller, a.position):
                return False
            if a.directions is None:
                continue
            ways: list[Vec] = []
            for force in rig.forces:
                total = (0.0, 0.0, 0.0)
                for i in on:
                    total = plus(total, force[i])
                flat = hypot(total[0], total[1])
                if total[2] > flat * tan(a.directions.up) + 1e-9 * sqrt(dot(total, total)):
                    return False
                if flat > 1e-6:
                    ways.append((total[0] / flat, total[1] / flat, 0.0))
            most = a.directions.aside
            if most is not None and ways and not any(_fan(way, ways, 2.0 * most) for way in ways):
                return False
        return all(many >= 0 for many in left.values())

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


def _fan(right: Vec, ways: list[Vec], wide: float) -> bool:
    """Whether all level ways lie within an angle to the left of one of them."""
    left = (cos(wide), sin(wide))
    edge = (right[0] * left[0] - right[1] * left[1], right[0] * left[1] + right[1] * left[0])
    return all(
        right[0] * way[1] - right[1] * way[0] >= -1e-9
        and way[0] * edge[1] - way[1] * edge[0] >= -1e-9
        for way in ways
    )
