"""Re-checks a way down from first principles, place by place, without the search's code.

Plain sums over the site file's own figures: no tables, no arrays, no solver. RuntimeError where the
answer does not bear it out, which would be a fault of this program.
"""

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from math import asin, dist, exp, hypot, pi, sqrt

from catalogue.gear import Block
from optimiser.lowering.results import HoldRow, LoweringSetup
from optimiser.rig import Place
from optimiser.scene import attachments
from optimiser.site.model import Leg, Obstacle, Site, Vec

SLACK = 1e-6


def verify(site: Site, setup: LoweringSetup) -> None:
    """Raise RuntimeError with the first thing that does not hold."""
    for fault in faults(site, setup):
        raise RuntimeError(f"{setup.reeving}: {fault}")


def faults(site: Site, setup: LoweringSetup) -> Iterator[str]:
    """Everything that does not hold, in words."""
    yield from _gear(site, setup)
    yield from _pieces(site, setup)
    line = hand = out = 0.0
    moments: dict[str, float] = {}
    for row in setup.profile:
        leg = _leg_of(site, row)
        for share in _shares(setup):
            state = _State(site, setup, row, leg, share)
            yield from state.faults()
            line = max(line, state.line)
            out = max(out, state.length if share == 0.0 else 0.0)
            for name, demand in state.demands.items():
                moments[name] = max(moments.get(name, 0.0), demand)
    if abs(line - setup.line) > SLACK * max(line, 1.0):
        yield f"the line is told as {setup.line:.3f} N, worked out it is {line:.3f} N"
    if setup.turns:
        hand = line / exp(setup.friction * 2.0 * pi * setup.turns)
        if abs(hand - setup.hand) > SLACK * max(hand, 1.0):
            yield f"the hand is told as {setup.hand:.3f} N, worked out it is {hand:.3f} N"
        if hand > setup.hand_limit / site.preferences.margin_wanted * (1.0 + SLACK):
            yield f"the hand holds {hand:.1f} N, more than it is asked for"
    girth = site.anchor(setup.walk[-1].name).girth or 0.0 if setup.turns else 0.0
    least = out + site.preferences.rope_spare + setup.turns * girth
    if least > setup.rope_needed + SLACK or setup.rope_needed > setup.rope_owned + SLACK:
        told_rope = f"told {setup.rope_needed:.3f} of {setup.rope_owned:.3f} m"
        yield f"rope: {least:.3f} m at least, {told_rope}"
    for name, demand in moments.items():
        anchor = site.anchor(name)
        told = next(
            (
                c
                for c in setup.components
                if c.item == name
                and c.unit == anchor.strength.unit
                and c.name == f"{name} ({anchor.kind})"
            ),
            None,
        )
        if told is None:
            yield f"{name} carries load and is not listed"
            continue
        extra = setup.hand * _lever(site, setup.walk[-1]) if name == setup.walk[-1].name else 0.0
        worst = (demand + extra) * setup.dynamic
        if worst > told.demand * (1.0 + SLACK):
            yield f"{name} carries {worst:.1f} {told.unit}, told {told.demand:.1f}"


def _gear(site: Site, setup: LoweringSetup) -> Iterator[str]:
    """Nothing is used more often than it is owned; every turn of the rope has its sheave."""
    owned = {piece.name: piece.count for piece in site.gear}
    used = Counter(piece.item for piece in setup.gear if piece.role not in ("end", "tie", "turns"))
    for item, count in used.items():
        if count > owned.get(item, 0):
            yield f"{item} is used {count} times, owned {owned.get(item, 0)}"
    kinds = {piece.name: piece.gear for piece in site.gear}
    sheaves = {
        node: kinds[piece.item]
        for piece in setup.gear
        if piece.role == "block"
        for node in piece.nodes
    }
    for node, eta in enumerate(setup.etas, start=1):
        block = sheaves.get(node)
        if not isinstance(block, Block) or abs(block.eta - eta) > 1e-12:
            yield f"turn {node} of the rope has no sheave of efficiency {eta:g}"


def _pieces(site: Site, setup: LoweringSetup) -> Iterator[str]:
    wanted = site.preferences.margin_wanted
    for piece in setup.components:
        if piece.margin < wanted * (1.0 - SLACK):
            yield f"{piece.name} has a margin of {piece.margin:.3f}, wanted {wanted:g}"
    least = min(piece.margin for piece in setup.components)
    if abs(least - setup.margin) > SLACK:
        yield f"the margin is told as {setup.margin:.4f}, the weakest piece has {least:.4f}"


def _shares(setup: LoweringSetup) -> tuple[float, ...]:
    """How far along its run a puller that holds is looked at: near end, middle and far end."""
    return (0.0, 0.5, 1.0) if setup.holder is not None and setup.holder.run > 0.0 else (0.0,)


def _lever(site: Site, place: Place) -> float:
    return site.anchor(place.name).lever(place.height)


def _leg_of(site: Site, row: HoldRow) -> tuple[Leg, float]:
    """The leg a row is on (at a corner the one of its slope), and how far along it."""
    start = 0.0
    for leg in site.legs:
        length = dist(leg.start, leg.end)
        rise = asin((leg.end[2] - leg.start[2]) / length)
        inside = start - 1e-7 <= row.at <= start + length + 1e-7
        if inside and abs(rise - row.slope) < 1e-7 and leg.surface == row.surface:
            return leg, row.at - start
        start += length
    raise RuntimeError(f"no leg at {row.at:.3f} m of the path has the slope that is told")


class _State:
    """Forces with the load at one place, worked out twice: sheaves as rated, sheaves free."""

    def __init__(
        self,
        site: Site,
        setup: LoweringSetup,
        row: HoldRow,
        on: tuple[Leg, float],
        share: float,
    ) -> None:
        self.site, self.setup, self.row, self.share = site, setup, row, share
        leg, along = on
        length = dist(leg.start, leg.end)
        t = _scale(_minus(leg.end, leg.start), 1.0 / length)
        flat = hypot(t[0], t[1])
        b = (-t[1] / flat, t[0] / flat, 0.0)
        n = (t[1] * b[2] - t[2] * b[1], t[2] * b[0] - t[0] * b[2], t[0] * b[1] - t[1] * b[0])
        hold = next(a for a in attachments(site) if a.name == setup.attachment)
        here = _plus(leg.start, _scale(t, along))
        hitch = _plus(here, _plus(_scale(t, hold.ahead), _scale(b, hold.left)))
        hitch = (hitch[0], hitch[1], hitch[2] + hold.height)
        spots = [self._place(place, hitch) for place in setup.walk]
        self.length = sum(dist(one, other) for one, other in pairwise(spots))
        self.ways = [
            _scale(_minus(other, one), 1.0 / dist(one, other)) for one, other in pairwise(spots)
        ]
        self.spots = spots
        weight = site.load.weight * leg.apparent
        self.runs = weight * (t[2] - leg.resistance_low * n[2])
        if self.runs < 1.0:  # a load that only just rests
            self.runs = 0.0
        self.low, self.axes = leg.resistance_low, (t, b, n)
        self.stepped = leg.step > 0.0 and along < 1e-7
        self.weight, self.level = weight, n[2]
        self.tensions = [
            self._tensions([1.0 / eta for eta in setup.etas]),
            self._tensions([1.0] * len(setup.etas)),
        ]
        self.pulls = [self._pull(taus) for taus in self.tensions]
        self.line = max(self.pulls) if not self.stepped else max(*self.pulls, row.line)
        self.demands = self._demands()

    def _place(self, place: Place, hitch: Vec) -> Vec:
        if place.kind == "load":
            return hitch
        if place.kind == "anchor":
            x, y, z = self.site.anchor(place.name).position
            return (x, y, z + place.height)
        puller = self.setup.holder
        assert puller is not None
        x, y, z = _plus(puller.position, _scale(puller.heading, self.share * puller.run))
        return (x, y, z + puller.height)

    def _tensions(self, steps: list[float]) -> list[float]:
        """Tension of each part over that at the held end: each sheave further on multiplies."""
        out = [1.0]
        for step in reversed(steps):
            out.insert(0, out[0] * step)
        return out

    def _on_load(self, taus: list[float]) -> Vec:
        total: Vec = (0.0, 0.0, 0.0)
        for k, (tau, way) in enumerate(zip(taus, self.ways, strict=True)):
            if self.setup.walk[k].kind == "load":
                total = _plus(total, _scale(way, tau))
            if self.setup.walk[k + 1].kind == "load":
                total = _minus(total, _scale(way, tau))
        return total

    def _pull(self, taus: list[float]) -> float:
        if self.runs <= 0.0:
            return 0.0
        t, _, n = self.axes
        force = self._on_load(taus)
        gained = _dot(force, t) - self.low * _dot(force, n)
        return self.runs / gained if gained > 0.0 else float("inf")

    def _demands(self) -> dict[str, float]:
        """Demand on each anchor without dynamic factor, the worse of both looks."""
        out: dict[str, float] = {}
        for taus, pull in zip(self.tensions, self.pulls, strict=True):
            totals: dict[str, Vec] = {}
            for node, place in enumerate(self.setup.walk):
                if place.kind != "anchor":
                    continue
                force: Vec = (0.0, 0.0, 0.0)
                if node < len(self.ways):
                    force = _plus(force, _scale(self.ways[node], taus[node] * pull))
                if node > 0:
                    force = _minus(force, _scale(self.ways[node - 1], taus[node - 1] * pull))
                force = _scale(force, _lever(self.site, place))
                totals[place.name] = _plus(totals.get(place.name, (0.0, 0.0, 0.0)), force)
            for name, (x, y, z) in totals.items():
                level = self.site.anchor(name).horizontal_only
                size = hypot(x, y) if level else sqrt(x * x + y * y + z * z)
                out[name] = max(out.get(name, 0.0), size)
        return out

    def faults(self) -> Iterator[str]:
        at = f"with the load at {self.row.at:.3f} m"
        if self.line == float("inf"):
            yield f"{at} it runs and nothing holds it"
            return
        t, b, n = self.axes
        prefs = self.site.preferences
        rolling = self.site.legs[0].motion.value == "rolling"
        limit = prefs.side_pull_rolling if rolling else prefs.side_pull_sliding
        for taus, pull in zip(self.tensions, self.pulls, strict=True):
            force = self._on_load(taus)
            if self.weight * self.level - pull * _dot(force, n) < -SLACK * self.weight:
                yield f"{at} the rig lifts it off the ground"
            if pull > 0.0 and abs(_dot(force, b)) > limit * _dot(force, t) * (1.0 + SLACK):
                yield f"{at} the side pull is beyond {limit:g}"
        posts = [*self.site.obstacles, *self._trunks()]
        for k, (one, other) in enumerate(pairwise(self.spots)):
            own = {self.setup.walk[k].name, self.setup.walk[k + 1].name}
            if self.setup.holder is not None and self.setup.holder.anchor is not None:
                own.add(self.setup.holder.anchor)
            for post in posts:
                if post.name not in own and _through(one, other, post):
                    yield f"{at} the line runs through {post.name}"
        if self.row.line + SLACK * max(self.line, 1.0) < self.line:
            yield f"{at} the line carries {self.line:.2f} N, told {self.row.line:.2f}"

    def _trunks(self) -> list[Obstacle]:
        return [
            Obstacle(name=a.name, position=a.position, radius=a.radius, top=a.top)
            for a in self.site.anchors
            if a.radius > 0.0
        ]


def _through(one: Vec, other: Vec, post: Obstacle) -> bool:
    """Whether the line passes inside the post, at the point where it is nearest to its middle."""
    way = _minus(other, one)
    flat = way[0] ** 2 + way[1] ** 2
    if flat <= 0.0:
        return False
    off = _minus(post.position, one)
    share = min(max((off[0] * way[0] + off[1] * way[1]) / flat, 0.0), 1.0)
    x, y, z = _plus(one, _scale(way, share))
    aside = hypot(x - post.position[0], y - post.position[1])
    return aside < post.radius - 1e-9 and z < post.position[2] + post.top


def _plus(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _minus(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _scale(a: Vec, by: float) -> Vec:
    return (a[0] * by, a[1] * by, a[2] * by)


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
