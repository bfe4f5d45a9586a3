"""Tackle on tackle, checked from first principles: two ropes, met at the grip on the first.

The grip is put at its true place between the first rope's last place and the second's anchor, and
what both ropes pull there has to come to nothing.
"""

from collections.abc import Iterable
from itertools import pairwise
from math import dist, inf

from catalogue.gear import Block, Rope
from optimiser.results import Line as RopeLine
from optimiser.results import Setup
from optimiser.rig import Place
from optimiser.site.model import Site, Vec
from optimiser.verification.forces import (
    Group,
    Haul,
    Worst,
    fixed_places,
    force_on,
    put,
    spots_of,
    state_of,
    summed,
    toward,
)
from optimiser.verification.hanging import End, Hanging
from optimiser.verification.notes import Notes
from optimiser.verification.pulling import most_pull
from optimiser.verification.strength import Line, Strength, rope_strength
from optimiser.verification.stretch import Hold, Point, carried

GRIP_TAKES = 0.3
"""m of the first rope that the grip itself takes."""
KEPT_APART = 0.3
"""m kept between the second rope's blocks."""
ROUNDED = 1e-5
"""m of rope that do not count: a stroke may end right where the grip is moved."""


def grip_node(setup: Setup) -> int:
    """The node, of all, at which the first rope ends; the next is the second's standing end."""
    return len(setup.walk) - 1


def anchor_of_tackle(setup: Setup) -> Place | None:
    """The one place to which every part of the second rope at the grip leads; None without one."""
    assert setup.second is not None
    met = {
        a if b.kind == "grip" else b
        for a, b in pairwise(setup.second.walk)
        if "grip" in (a.kind, b.kind)
    }
    return met.pop() if len(met) == 1 else None


def sound(site: Site, setup: Setup, notes: Notes) -> None:
    """The second rope's walk is one, and the first ends where it begins."""
    second = setup.second
    assert second is not None
    notes.need(setup.walk[-1].kind == "grip", "the first rope does not end at the grip")
    notes.need(all(p.kind != "grip" for p in setup.walk[:-1]), "the first rope passes its own grip")
    notes.need(second.walk[-1].name == setup.puller.name, "the second rope ends at no puller")
    notes.need(all(p.kind in ("grip", "anchor") for p in second.walk[:-1]), "a walk astray")
    notes.need(second.walk[-2].kind == "anchor", "the hauling part leaves no anchor")
    place = anchor_of_tackle(setup)
    notes.need(place is not None and place.kind == "anchor", "the grip is pulled two ways")
    notes.need(len(second.etas) == len(second.walk) - 2, "sheaves and efficiencies differ")
    held = [h for h in setup.gear if h.role == "grip"]
    notes.need(len(held) == 1, "not one grip on the first rope")
    notes.need(setup.rope.name != second.rope.name, "one rope cannot be both")
    for rope in (setup.rope, second.rope):
        notes.need(rope.joined is None, f"{rope.name} is put together of two")


def runs(setup: Setup) -> list[tuple[Place, Place]]:
    """Every straight run of rope; the first rope's last one taken as far as the anchor."""
    if setup.second is None:
        return list(pairwise(setup.walk))
    place = anchor_of_tackle(setup)
    assert place is not None
    own = [*setup.walk[:-1], place]
    beyond = [(a, b) for a, b in pairwise(setup.second.walk) if "grip" not in (a.kind, b.kind)]
    return [*pairwise(own), *beyond]


def haul_both(
    site: Site,
    setup: Setup,
    hold: Hold,
    points: list[Point],
    groups: Iterable[Group],
    notes: Notes,
    *,
    kept: bool = False,
) -> Haul:
    """Every state: the puller's pull, and the forces on the nodes of both ropes together."""
    second = setup.second
    assert second is not None
    grip, nodes = grip_node(setup), setup.nodes
    loads = [i for i, place in enumerate(nodes) if place.kind == "load"]
    tackle_place = anchor_of_tackle(setup)
    assert tackle_place is not None
    taus = tensions(setup)
    fixed = fixed_places(site, nodes)
    end = fixed_places(site, (tackle_place,))[0]
    assert end is not None
    wanted = list(groups)
    out = Haul([], {g: Worst() for g in wanted}, [], [], [inf] * (len(nodes) - 1))
    spots = spots_of(setup.puller)
    for point in points:
        hitch = carried(point, hold.ahead, hold.left, hold.height)
        last = fixed[grip - 1] or hitch
        middle = tuple((a + b) / 2.0 for a, b in zip(last, end, strict=True))
        top = dict.fromkeys(wanted, 0.0)
        for r, spot in enumerate(spots):
            where: list[Vec] = []
            for place, at in zip(nodes, fixed, strict=True):
                moving = {"load": hitch, "puller": spot, "grip": middle}
                where.append(at if at is not None else moving[place.kind])  # type: ignore[arg-type]
            force: list[Vec] = [(0.0, 0.0, 0.0)] * len(nodes)
            ideal = [0.0, 0.0, 0.0]
            for k in range(len(nodes) - 1):
                if k == grip:
                    continue
                unit, long = toward(where[k], where[k + 1])
                put(force, k, unit, taus[k])
                if "grip" not in (nodes[k].kind, nodes[k + 1].kind):
                    out.shortest[k] = min(out.shortest[k], long)
                sign = ((k in loads) - (k + 1 in loads)) * _parts_at_grip(second)
                for c in range(3):
                    ideal[c] += sign * unit[c]
            left = summed(force, [i for i, p in enumerate(nodes) if p.kind == "grip"])
            notes.need(max(map(abs, left)) < 1e-6 * taus[grip - 1], "the grip is not in balance")
            unit, _ = toward(where[-2], spot)
            limit = most_pull(setup.puller, (-unit[0], -unit[1], -unit[2]))
            pulled = (ideal[0], ideal[1], ideal[2])
            state = state_of(site, point, r, summed(force, loads), pulled, limit, kept=kept)
            out.states.append(state)
            for g in wanted:
                top[g] = max(top[g], force_on(g, force, state.pull, point, hold))
        for g in wanted:
            out.worst[g].take(point, top[g])
    return out


def tensions(setup: Setup) -> list[float]:
    """Tension / pull of every run, node by node through both ropes; 0 between the ropes."""
    second = setup.second
    assert second is not None
    below = [1.0]
    for eta in reversed(second.etas):
        below.insert(0, below[0] * eta)
    at_grip = sum(
        t
        for t, (a, b) in zip(below, pairwise(second.walk), strict=True)
        if "grip" in (a.kind, b.kind)
    )
    above = [at_grip]
    for eta in reversed(setup.etas):
        above.insert(0, above[0] * eta)
    return [*above, 0.0, *below]


def _parts_at_grip(second: RopeLine) -> int:
    return sum("grip" in (a.kind, b.kind) for a, b in pairwise(second.walk))


# ---- what hangs where -----------------------------------------------------------------------------


class TwoHanging(Hanging):
    """The pieces of both ropes."""

    def line_of(self, node: int) -> RopeLine:
        return self.setup.lines[0 if node <= grip_node(self.setup) else 1]

    def _sheaves(self) -> None:
        grip = grip_node(self.setup)
        served = sorted(node for nodes in self.blocks for node in nodes)
        turning = [n for n in range(1, self.end) if n not in (grip, grip + 1)]
        self.notes.need(served == turning, "not every turn of a rope has one sheave")
        etas = [*self.setup.etas, 1.0, 1.0, *self.setup.lines[1].etas]
        for nodes, piece in self.blocks.items():
            ropes = {self.line_of(n).rope.name: self.line_of(n).rope.gear for n in nodes}
            self.notes.need(len(ropes) == 1, f"{piece.name} holds two ropes")
            for rope in ropes.values():
                self._one_block(nodes, piece, rope, etas)

    def _one_block(
        self, nodes: tuple[int, ...], piece: object, rope: object, etas: list[float]
    ) -> None:
        block = piece.gear  # type: ignore[attr-defined]
        name = piece.name  # type: ignore[attr-defined]
        assert isinstance(rope, Rope)
        if not isinstance(block, Block):
            return
        one = len({self.walk[n] for n in nodes}) == 1
        self.notes.need(one and len(nodes) <= block.sheaves, f"{name} has too few sheaves there")
        for n in nodes:
            self.notes.same(f"{name}: efficiency", etas[n - 1], block.eta)
        size = block.rope_least - 1e-6 <= rope.diameter <= block.rope_most + 1e-6
        bend = block.sheave_diameter >= rope.least_bend_ratio * rope.diameter * (1 - 1e-6)
        self.notes.need(size and bend, f"{name} does not take this rope")

    def standing_nodes(self) -> tuple[int, ...]:
        return 0, grip_node(self.setup) + 1

    def _end_needs_shackle(self, end: End, node: int) -> bool:
        if end.knot is None or end.round_trunk:
            return False
        if node == self.end:
            return not end.knot.direct and not self.setup.puller.has_hook
        on_strap = any(node in nodes for nodes in self.strapped())
        return on_strap or self.walk[node].kind == "grip" or not end.knot.direct

    def all_ends(self) -> list[tuple[End, End, End]]:
        """Readings of the first rope's standing end, the second's, and the hauling end."""
        second = self.setup.lines[1].rope
        out = []
        for first in self.ends(0):
            for below in self.ends(grip_node(self.setup) + 1):
                for hauling in self.ends(self.end):
                    spliced = [e.knot for e in (below, hauling) if e.spliced]
                    if all(spliced.count(k) <= second.ends.count(k) for k in spliced):
                        out.append((first, below, hauling))
        return out

    def grip_keeps(self) -> float | None:
        """Share of the first rope's strength kept at the grip; None where it is none."""
        node = grip_node(self.setup)
        said = [h for h in self.setup.gear if h.role == "grip" and h.nodes == (node,)]
        rope = self.setup.rope.gear
        assert isinstance(rope, Rope)
        if len(said) != 1 or said[0].item != self.setup.rope.name:
            return None
        kept = [
            k.keeps
            for k in self.site.preferences.knots
            if said[0].how.startswith(k.name + ", ")
            and (k.grips_rope or k.in_bight)
            and k.for_wire == (not rope.knottable)
            and "hmpe" not in rope.material.casefold()
        ]
        return kept[0] if kept else None


class TwoStrength(Strength):
    """The account of both ropes."""

    def shares(self) -> list[float]:
        return tensions(self.setup)

    def rope_lines(self, ends: tuple[End, ...]) -> list[Line]:
        hanging = self.hanging
        assert isinstance(hanging, TwoHanging)
        tau, grip = tensions(self.setup), grip_node(self.setup)
        first, second = self.setup.lines
        out = [
            self._line(first.rope.name, "", None, tau[grip - 1], rope_strength(first.rope)),
            self._line(second.rope.name, "", None, 1.0, rope_strength(second.rope)),
        ]
        keeps = hanging.grip_keeps() or 0.0
        kept = rope_strength(first.rope, keeps=keeps)
        out.append(self._line(first.rope.name, "grip", None, tau[grip - 1], kept))
        for end, rope, share, place in (
            (ends[0], first.rope, tau[0], str(first.walk[0])),
            (ends[1], second.rope, tau[grip + 1], str(second.walk[0])),
            (ends[2], second.rope, 1.0, self.setup.puller.name),
        ):
            if end.knot is not None:
                kept = rope_strength(rope, keeps=end.knot.keeps)
                out.append(self._line(rope.name, place, None, share, kept))
        return out


# ---- rope and strokes -----------------------------------------------------------------------------


def check_work(
    site: Site, setup: Setup, hanging: TwoHanging, hold: Hold, line: list[Point],
    takes: list[float], notes: Notes,
) -> None:  # fmt: skip
    """Both ropes are long enough, and between its moves the grip has the way it needs."""
    first, second = setup.lines
    grip, spare = grip_node(setup), site.preferences.rope_spare
    readings = hanging.all_ends()
    if not notes.need(bool(readings), "no way to make the ropes' ends fast as stated"):
        return
    kinds = [r.rope.gear for r in (first, second)]
    assert isinstance(kinds[0], Rope)
    assert isinstance(kinds[1], Rope)
    gripped = _grip_eats(site, setup)
    for rope in (first, second):
        have = rope.rope.length or 0.0
        notes.need(rope.rope_needed <= have + 1e-6, f"{rope.rope.name} is too short")
    notes.same("rope needed", setup.rope_needed, first.rope_needed + second.rope_needed)
    notes.same("rope owned", setup.rope_owned, sum(r.rope.length or 0.0 for r in (first, second)))
    spans, others = _lengths(site, setup, hold, line)
    at = [p.at for p in line if p.row is not None]
    parts = _parts_at_grip(second)
    near, far = _beyond(site, setup)
    out_least = takes[grip - 1] + GRIP_TAKES
    in_least = takes_in(setup, takes) + KEPT_APART
    for begin, stop in pairwise([at[0], *setup.moved, at[-1]]):
        piece = _between(at, list(zip(spans, others, strict=True)), begin, stop)
        able = False
        for ends in readings:
            above = ends[0].eats(kinds[0], hanging.anchor(0)) + spare + gripped
            below = sum(e.eats(kinds[1], None) for e in ends[1:]) + spare
            reach = (second.rope_needed - below - near) / parts
            low = max(o + max(s - reach, out_least) for s, o in piece)
            high = min(o + s - in_least for s, o in piece)
            able = able or low <= min(high, first.rope_needed - above) + 1e-5
        notes.need(able, f"the grip has no room from {begin:.2f} to {stop:.2f} m")
    notes.need(len(setup.moved) == len({*setup.moved}), "the grip is moved twice at one place")
    _strokes(setup, at, spans, others, parts, near, far, notes)


def takes_in(setup: Setup, takes: list[float]) -> float:
    """m of gear between the grip and the second rope's anchor, the longest of each side."""
    grip = grip_node(setup)
    place = anchor_of_tackle(setup)
    sides = [(n, p) for n, p in enumerate(setup.nodes) if n > grip]
    at_anchor = max(takes[n] for n, p in sides if p == place)
    at_grip = max(takes[n] for n, p in sides if p.kind == "grip")
    return at_anchor + at_grip


def _grip_eats(site: Site, setup: Setup) -> float:
    said = next(h for h in setup.gear if h.role == "grip")
    rope = setup.rope.gear
    assert isinstance(rope, Rope)
    for k in site.preferences.knots:
        if said.how.startswith(k.name + ", "):
            return k.eats_diameters * rope.diameter + k.eats
    return inf


def _lengths(
    site: Site, setup: Setup, hold: Hold, line: list[Point]
) -> tuple[list[float], list[float]]:
    """At each of the profile's points: from the first rope's last place to the anchor, and the
    first rope's other runs together, m."""
    place = anchor_of_tackle(setup)
    assert place is not None
    fixed = fixed_places(site, (*setup.walk[:-1], place))
    spans, others = [], []
    for p in line:
        if p.row is not None:
            hitch = carried(p, hold.ahead, hold.left, hold.height)
            where = [at or hitch for at in fixed]
            long = [dist(a, b) for a, b in pairwise(where)]
            spans.append(long[-1])
            others.append(sum(long[:-1]))
    return spans, others


def _beyond(site: Site, setup: Setup) -> tuple[float, float]:
    """The second rope beyond the standing block, with the puller near and far, m."""
    second = setup.lines[1]
    fixed = fixed_places(site, second.walk)
    spots = spots_of(setup.puller)
    long = []
    for spot in (spots[0], spots[-1]):
        total = 0.0
        for k, (a, b) in enumerate(pairwise(second.walk)):
            if "grip" not in (a.kind, b.kind):
                begin, end = fixed[k], spot if b.kind == "puller" else fixed[k + 1]
                assert begin is not None
                assert end is not None
                total += dist(begin, end)
        long.append(total)
    return long[0], long[1]


def _between(
    at: list[float], values: list[tuple[float, float]], begin: float, end: float
) -> list[tuple[float, float]]:
    """The values at the points from `begin` to `end`, with those at both ends. At a bend, where the
    load turns, whatever ends there ends before it turns."""

    def there(x: float) -> tuple[float, float]:
        for i in range(len(at) - 1):
            if at[i] <= x <= at[i + 1]:
                share = (x - at[i]) / (at[i + 1] - at[i]) if at[i + 1] > at[i] else 0.0
                a, b = values[i], values[i + 1]
                return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        return values[-1]

    inside = [v for x, v in zip(at, values, strict=True) if begin <= x < end]
    return [there(begin), *inside, there(end)]


def _strokes(
    setup: Setup, at: list[float], spans: list[float], others: list[float], parts: int, near: float,
    far: float, notes: Notes,
) -> None:  # fmt: skip
    """Between two moves of the grip the first rope keeps its length, so the grip comes as much
    nearer to the anchor as the first rope's other runs and the way to the anchor shorten. Each stroke
    has run enough for that; two that the puller alone parts could not be one."""
    notes.need(set(setup.moved) <= set(setup.stops), "the grip is moved where nothing stops")
    notes.need(setup.strokes == len(setup.stops) + 1, "strokes and stops differ")
    puller, values = setup.puller, list(zip(spans, others, strict=True))
    run = puller.purchase if puller.purchase is not None else far - near
    if puller.purchase is None and puller.run <= 0.0:
        run = inf

    def taken(begin: float, end: float) -> float:
        lengths = [parts * (s + o) for s, o in _between(at, values, begin, end)]
        return max(lengths) - min(lengths)

    edges = [at[0], *setup.stops, at[-1]]
    for begin, end in pairwise(edges):
        told = f"the puller has no run for {begin:.2f} to {end:.2f} m"
        notes.need(taken(begin, end) <= run + ROUNDED, told)
    for begin, stop, end in zip(edges, edges[1:-1], edges[2:], strict=False):
        needless = stop not in setup.moved and taken(begin, end) < run - ROUNDED
        notes.need(not needless, f"the puller need not stop at {stop:.2f} m")
