"""Tackle on tackle by enumeration: a second rope's blocks pull on the first one's hauling part.

The first rope leads to a grip on it, which the second one hauls towards an anchor. The grip lies on the line
from the first rope's last place to that anchor, so that of its place only the direction counts. When the two
blocks come together the load is held and the grip moved back.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import dist, floor, inf

from catalogue.gear import Block, MadeTo, Needs, Rope, Shackle, Strap, Termination
from catalogue.gear import Chain as ChainGear
from optimiser.rig.walk import GRIP, Place, PlaceKind, Walk
from optimiser.site.model import Owned, Site
from tests.oracle.enumeration import BAND, looks_bad, patterns, rated_scene, scenes_of
from tests.oracle.fill import END_TAKES, Rigged, ratio, ways_round
from tests.oracle.ground import Station, plus, stations
from tests.oracle.knots import End, hauling_ends, standing_ends, to_shackle
from tests.oracle.mechanics import Ends, Scene, Worked, both, can_pull
from tests.oracle.pieces import rope_strength
from tests.oracle.taut import Taut, straight
from tests.oracle.walks import allowed, identity, walks

MOST_SECOND = 4
"""Sheaves of the second rope, at most."""
GRIP_TAKES = 0.3
"""m of the first rope."""
CLOSE = 0.3
"""m left between the second rope's blocks."""
LEAST_RUN = 0.5
"""m that the grip must be able to go."""
ENDLESS = 10_000


@dataclass(frozen=True)
class Ropes:
    """Where both ropes lead: the first up to the grip, the second from its standing end to its last place
    before the puller; `anchor`: where the second one's standing blocks hang."""

    first: Walk
    anchor: Place
    second: Walk

    @property
    def at(self) -> int:
        """The node of the grip; the next one is the second rope's standing end."""
        return len(self.first)

    @property
    def parts(self) -> int:
        """Of the second rope, at the grip."""
        return sum(GRIP in pair for pair in pairwise(self.second))

    def walk(self, me: Place) -> Walk:
        return (*self.first, GRIP, *self.second, me)


def every_two(scene: Scene) -> Iterator[Ropes]:
    """All that the rules leave, whose lines are free and bend over nothing."""
    site = scene.site
    owned = sum(p.count * p.gear.sheaves for p in site.gear if isinstance(p.gear, Block))
    sheaves = min(site.preferences.most_sheaves, owned)
    places = scene.places()
    for anchor in places[1:]:
        seconds = list(_seconds(scene, anchor))
        like_a_puller = replace(scene.puller, anchor=anchor.name)
        for first in walks(places, anchor, sheaves - 2):
            own = first[:-1]
            if own[-1] == anchor or not allowed(
                (*own, scene.me), like_a_puller, site.preferences.rules
            ):
                continue
            if not all(_leads_free(scene, a, b) for a, b in pairwise(first)):
                continue
            for second in seconds:
                if len(own) - 1 + len(second) - 1 <= sheaves:
                    yield Ropes(own, anchor, second)


def _seconds(scene: Scene, anchor: Place) -> Iterator[Walk]:
    """At least two parts at the grip; the puller hauls from the anchor or from one place further on."""
    for many in range(2, MOST_SECOND + 1):
        turns = tuple(anchor if (many - k) % 2 == 0 else GRIP for k in range(many + 1))
        if scene.puller.anchor != anchor.name and _hauls(scene, anchor):
            yield turns
        if many == MOST_SECOND:
            continue
        for lead in scene.places()[1:]:
            apart = lead.name not in (anchor.name, scene.puller.anchor)
            if apart and _hauls(scene, lead) and _leads_free(scene, anchor, lead):
                yield (*turns, lead)


def _hauls(scene: Scene, place: Place) -> bool:
    return _leads_free(scene, place, scene.me) and scene.leads(place)


def _leads_free(scene: Scene, a: Place, b: Place) -> bool:
    if not scene.clear(a, b) or any(part.touches for part in scene.segment(a, b)):
        return False
    load = [place for place in (a, b) if place.kind is PlaceKind.LOAD]
    return not load or scene.pulls_forward(b if a.kind is PlaceKind.LOAD else a)


# ---- forces ---------------------------------------------------------------------------------------


def work(scene: Scene, ropes: Ropes, etas: tuple[Ends, ...]) -> Worked | None:
    """Both ropes in every state, each sheave at either end of what it may pass on; None where that does not
    work in one. `etas`: the first rope's sheaves, then the second's. Lengths, strokes are not worked out."""
    whole: Worked | None = None
    for choice in product(*(sorted(set(ends)) for ends in etas)):
        one = _work(scene, ropes, etas, choice)
        if one is None:
            return None
        whole = one if whole is None else both(whole, one)
    return whole


def _tensions(ropes: Ropes, etas: tuple[float, ...]) -> list[float]:
    """Of every part in the order of the walk, the hauling one 1; between the ropes there is nothing."""
    own = ropes.at - 1
    second = _along(1.0, etas[own:])
    at_grip = sum(
        tension
        for tension, pair in zip(second, pairwise(ropes.second), strict=False)
        if GRIP in pair
    )
    return [*_along(at_grip, etas[:own]), 0.0, *second]


def _along(hauled: float, etas: Sequence[float]) -> list[float]:
    """From the standing end on, where the last part carries `hauled`."""
    out = [hauled]
    for eta in reversed(etas):
        out.append(out[-1] * eta)
    return out[::-1]


def _work(
    scene: Scene, ropes: Ropes, ends: tuple[Ends, ...], etas: tuple[float, ...]
) -> Worked | None:
    walk, tensions = ropes.walk(scene.me), _tensions(ropes, etas)
    runs = [_run(scene, ropes, k) for k in range(len(walk) - 1)]
    tau = [[tension, tension] for tension in tensions]
    pull_most = use = 0.0
    tight = [0.0] * len(tensions)
    forces, where = [], []
    for x in range(len(scene.line) * len(scene.spots)):
        station, spot = divmod(x, len(scene.spots))
        s, parts = scene.line[station], [run[x] for run in runs]
        force = _added(parts, tensions)
        looks = [(scene.pull(s, _at_load(walk, force)), force)]
        limit = can_pull(scene.puller, plus((0.0, 0.0, 0.0), parts[-1].end, -1.0))
        if scene.grip.leg is not None:
            looks.append(_swung(scene, ropes, s, parts, tau, (station, spot)))
        for pull, force in looks:
            if pull is None or limit <= 0.0:
                return None
            pull_most, use = max(pull_most, pull), max(use, pull / limit)
            tight = [max(t, tension * pull) for t, tension in zip(tight, tensions, strict=True)]
            strong = pull * scene.puller.dynamic
            forces.append([(f[0] * strong, f[1] * strong, f[2] * strong) for f in force])
            where.append(s)
    shortest = [_shortest(ropes, k, run) for k, run in enumerate(runs)]
    return Worked(walk, ends, tight, pull_most, use, forces, where, 0.0, shortest, 1)


def _run(scene: Scene, ropes: Ropes, k: int) -> list[Taut]:
    """Part k in every state. To the grip a rope lies as it would to the place on its other side."""
    walk, at = ropes.walk(scene.me), ropes.at
    last = ropes.first[-1]
    a, b = walk[k], walk[k + 1]
    if k == at - 1 or k == at:
        return scene.segment(last, ropes.anchor)  # between the ropes: carries nothing
    if GRIP in (a, b):
        return scene.segment(ropes.anchor, last) if b == GRIP else scene.segment(last, ropes.anchor)
    return scene.segment(a, b)


def _shortest(ropes: Ropes, k: int, run: list[Taut]) -> float:
    """What room there is for gear: any amount on either side of the grip, which is counted elsewhere."""
    walk = ropes.walk(GRIP)
    near_grip = GRIP in walk[k : k + 2] and k + 2 < len(walk)
    return inf if near_grip or k == ropes.at - 1 else min(part.length for part in run)


def _added(parts: list[Taut], tensions: list[float]) -> list[tuple[float, float, float]]:
    out = [(0.0, 0.0, 0.0)] * (len(parts) + 1)
    for k, (part, tension) in enumerate(zip(parts, tensions, strict=True)):
        out[k] = plus(out[k], part.begin, tension)
        out[k + 1] = plus(out[k + 1], part.end, -tension)
    return out


def _at_load(walk: Walk, force: list[tuple[float, float, float]]) -> tuple[float, float, float]:
    out = (0.0, 0.0, 0.0)
    for place, f in zip(walk, force, strict=True):
        if place.kind is PlaceKind.LOAD:
            out = plus(out, f)
    return out


def _swung(
    scene: Scene, ropes: Ropes, s: Station, parts: list[Taut], tau: list[list[float]],
    state: tuple[int, int],
) -> tuple[float | None, list[tuple[float, float, float]]]:  # fmt: skip
    """With the bridle's ring where it comes to rest; the second rope lies along the first's last part."""
    station, spot = state
    walk = tuple(ropes.anchor if place == GRIP else place for place in ropes.walk(scene.me))
    if ropes.first[-1].kind is PlaceKind.LOAD:
        ring = scene.ring_at_rest(s, walk, parts, tau, station, scene.spots[spot])
        far = scene.position(ropes.anchor)
        parts = [
            part if k <= ropes.at or GRIP not in pair
            else straight(far, ring) if pair[1] == GRIP else straight(ring, far)
            for k, (part, pair) in enumerate(zip(parts, pairwise(ropes.walk(scene.me)), strict=True))
        ]  # fmt: skip
    found = scene.swung(s, walk, parts, tau, station, scene.spots[spot])
    return (None, []) if found is None else found


# ---- how far the grip goes ------------------------------------------------------------------------


@dataclass(frozen=True)
class Haul:
    """m that the second rope needs between places, m of the first, and strokes."""

    first: float
    second: float
    strokes: int


def haul(scene: Scene, ropes: Ropes, gear: Sequence[Owned], most_out: float) -> Haul | None:
    """With the grip no further than `most_out` m from the anchor; None where it could not go far enough, or a
    stroke takes in nothing."""
    own = [scene.segment(a, b) for a, b in pairwise(ropes.first)]
    reach = scene.segment(ropes.first[-1], ropes.anchor)
    beyond = [
        scene.segment(a, b) for a, b in pairwise((*ropes.second, scene.me)) if GRIP not in (a, b)
    ]
    near, far = (sum(run[spot].length for run in beyond) for spot in (0, len(scene.spots) - 1))
    every = range(0, len(scene.line) * len(scene.spots), len(scene.spots))
    span = [reach[x].length for x in every]
    way = [sum(run[x].length for run in own) + reach[x].length for x in every]
    hung = _hangs(gear)
    least_out = _off(scene, gear, ropes.first[-1]) + hung + GRIP_TAKES
    least_in = _off(scene, gear, ropes.anchor) + 2.0 * hung + CLOSE
    out = [min(room - least_out, most_out) for room in span]
    longest = [room - least_in for room in way]
    shortest = [room - away for room, away in zip(way, out, strict=True)]
    if min(a - b for a, b in zip(longest, shortest, strict=True)) < LEAST_RUN:
        return None
    bands = [(shortest, longest)]
    puller = scene.puller
    run = puller.purchase if puller.purchase is not None else far - near
    if puller.purchase is not None or puller.run > 0.0:
        taken = [ropes.parts * room for room in way]
        bands.append((taken, [t + run for t in taken]))
    strokes = _strokes(bands, _turned(scene.line))
    if strokes >= ENDLESS:
        return None
    return Haul(max(shortest), ropes.parts * max(out) + near, strokes)


def _turned(line: list[Station]) -> set[int]:
    """Stations after which the load is turned on its spot, at a bend of the path."""
    return {i for i, (a, b) in enumerate(pairwise(line)) if dist(a.ground, b.ground) < 1e-9}


def _strokes(bands: list[tuple[list[float], list[float]]], turned: set[int]) -> int:
    """Pieces of the way, each as long as of every band one length lies between its two all along. No piece
    ends while the load is turned."""
    last, here, begun, count = len(bands[0][0]) - 1, 0.0, -1.0, 1
    held = [(low[0], high[0]) for low, high in bands]

    def at(i: int, share: float) -> list[tuple[float, float]]:
        return [
            (low[i] + share * (low[i + 1] - low[i]), high[i] + share * (high[i + 1] - high[i]))
            for low, high in bands
        ]

    def kept(there: list[tuple[float, float]], slack: float) -> bool:
        pairs = zip(held, there, strict=True)
        return all(max(a, c) <= min(b, d) + slack for (a, b), (c, d) in pairs)

    while here < last:
        i = int(here)
        if kept(at(i, 1.0), 1e-9):
            held = [(max(a, c), min(b, d)) for (a, b), (c, d) in zip(held, at(i, 1.0), strict=True)]
            here = i + 1.0
            continue
        share = here - i
        if i not in turned:
            begin, end = share, 1.0
            for _ in range(60):
                middle = (begin + end) / 2.0
                begin, end = (middle, end) if kept(at(i, middle), 0.0) else (begin, middle)
            share = begin
        here, held, count = i + share, at(i, share), count + 1
        if here <= begun + 1e-9 or any(b <= a + 1e-9 for a, b in held) or count > ENDLESS:
            return ENDLESS
        begun = here
    return count


def _hangs(gear: Sequence[Owned]) -> float:
    """m of the longest block, or end of a rope, with the longest shackle."""
    blocks = [p.gear.length for p in gear if isinstance(p.gear, Block)]
    shackles = [p.gear.length for p in gear if isinstance(p.gear, Shackle)]
    return max([*blocks, END_TAKES]) + max(shackles, default=0.0)


def _off(scene: Scene, gear: Sequence[Owned], place: Place) -> float:
    """m that a strap or chain may keep what hangs in it away from a place."""
    if place.kind is PlaceKind.LOAD:
        return 0.0
    anchor = scene.anchors[place.name]
    if anchor.girth is None:
        return 0.0
    round_it = (ways_round(p, anchor) for p in gear if isinstance(p.gear, Strap | ChainGear))
    return max((out for ways in round_it for _, out in ways), default=0.0)


# ---- ropes, ends, pieces --------------------------------------------------------------------------


@dataclass(kw_only=True)
class TwoRigged(Rigged):
    """Two ropes with their ends. `rope`, `standing` of the first, `hauling` of the second."""

    ropes: Ropes
    second: Owned
    below: End
    grip: Termination
    needed: tuple[float, float]

    def rope_needed(self) -> float:
        return sum(self.needed)

    def _fixed(self) -> tuple[float, bool]:
        rig, puller, at = self.rig, self.scene.puller, self.ropes.at
        times = puller.dynamic
        pulls = rig.pull * times
        first, gripped = rig.tight[0] * times, rig.tight[at - 1] * times
        pairs: list[tuple[float | None, float]] = [
            (1.0, rig.use),
            (rope_strength(self.rope), gripped),
            (rope_strength(self.rope, self.grip.keeps), gripped),
            (rope_strength(self.second), pulls),
        ]
        ends = (
            (self.rope, self.standing, first),
            (self.second, self.below, rig.tight[at + 1] * times),
            (self.second, self.hauling, pulls),
        )
        for rope, end, force in ends:
            if end.knot is not None:
                pairs.append((rope_strength(rope, end.knot.keeps), force))
        if puller.needs_termination and puller.purchase is None:
            pairs.append((puller.hitch_rating, pulls))
        pairs += [(strength, worst) for _, worst, strength in self.scene.anchor_demands(rig)]
        hitches = zip(self.scene.grip.hitches, self.hitches, strict=True)
        pairs += [(h.rating, worst) for h, worst in hitches]
        return min(ratio(*pair) for pair in pairs), any(strength is None for strength, _ in pairs)

    def turns(self) -> tuple[int, ...]:
        at = self.ropes.at
        return tuple(n for n in range(1, len(self.walk) - 1) if n not in (at, at + 1))

    def rope_at(self, node: int) -> Owned:
        return self.rope if node < self.ropes.at else self.second

    def eta_at(self, node: int) -> Ends:
        return self.rig.etas[node - 1 if node < self.ropes.at else node - 3]

    def _one_rope(self, one: int, other: int) -> bool:
        return (one < self.ropes.at) == (other < self.ropes.at)

    def _eye(self, node: int) -> float | None:
        return None if self.walk[node] == GRIP else super()._eye(node)

    def _end_shackles(self) -> Iterator[tuple[tuple[int, ...], float, float | None]]:
        yield from super()._end_shackles()
        node = self.ropes.at + 1
        if self.below.shackled:
            yield (node,), self.rig.joint((node,)), self._eye(node)


def grips_on(site: Site, rope: Owned) -> list[Termination]:
    """What holds on a rope that is hauled, the best first."""
    kind = rope.gear
    assert isinstance(kind, Rope)
    if any(word in kind.material.lower() for word in ("hmpe", "hmwpe")):
        return []
    wire = not kind.knottable
    able = [
        knot
        for knot in site.preferences.knots
        if knot.needs is not Needs.FITTED and knot.for_wire == wire and _holds_in_the_middle(knot)
    ]
    return sorted(able, key=lambda knot: (-knot.keeps, MadeTo.ROPE not in knot.made_to, knot.id))


def _holds_in_the_middle(knot: Termination) -> bool:
    grips, bend = MadeTo.ROPE in knot.made_to, MadeTo.ROPE_END in knot.made_to
    return grips or (knot.needs is Needs.BIGHT and not bend)


def _eats(end: End, rope: Owned, girth: float = 0.0) -> float:
    kind = rope.gear
    assert isinstance(kind, Rope)
    if end.knot is None or end.on_rope:
        return 0.0
    round_it = end.knot.turns * girth if end.round_trunk else 0.0
    return end.knot.eats_diameters * kind.diameter + end.knot.eats + round_it


def rigged(scene: Scene, ropes: Ropes, rig: Worked) -> Iterator[TwoRigged]:
    """Every two ropes that reach, with every way to make their ends fast."""
    gear = tuple(p for p in scene.site.gear if p.count > 0)
    lines = [p for p in gear if isinstance(p.gear, Rope) and p.length is not None]
    spare = scene.site.preferences.rope_spare
    known: dict[float, Haul | None] = {}
    for first, second in product(lines, repeat=2):
        grips = grips_on(scene.site, first)
        if not grips or (first is second and first.count < 2):
            continue
        grip = grips[0]
        kind = first.gear
        assert isinstance(kind, Rope)
        grip_eats = grip.eats_diameters * kind.diameter + grip.eats
        for below, hauling in _second_ends(scene, ropes, second):
            eaten = _eats(below, second) + _eats(hauling, second)
            found = _reach(scene, ropes, gear, second, eaten + spare, known)
            if found is None:
                continue
            for standing in _first_ends(scene, rig.walk, first):
                place = rig.walk[0]
                girth = 0.0
                if place.kind is PlaceKind.ANCHOR:
                    girth = scene.anchors[place.name].girth or 0.0
                needed = found.first + _eats(standing, first, girth) + grip_eats + spare
                assert first.length is not None
                if needed <= first.length + 1e-9:
                    yield TwoRigged(
                        scene, replace(rig, strokes=found.strokes), first, standing, hauling, gear,
                        ropes=ropes, second=second, below=below, grip=grip,
                        needed=(needed, found.second + eaten + spare),
                    )  # fmt: skip


def _reach(
    scene: Scene, ropes: Ropes, gear: tuple[Owned, ...], second: Owned, taken: float,
    known: dict[float, Haul | None],
) -> Haul | None:  # fmt: skip
    """The haul with the grip as far out as the second rope lets it, in whole micrometres."""
    beyond = sum(
        scene.segment(a, b)[0].length
        for a, b in pairwise((*ropes.second, scene.me))
        if GRIP not in (a, b)
    )
    assert second.length is not None
    out = round((second.length - taken - beyond) / ropes.parts - 5e-7, 6)
    if out not in known:
        known[out] = haul(scene, ropes, gear, out)
    return known[out]


def _first_ends(scene: Scene, walk: Walk, rope: Owned) -> Iterator[End]:
    """Its other end hangs loose."""
    seen = set()
    for there in rope.ends:
        for end in standing_ends(scene, walk, rope, there):
            if end not in seen:
                seen.add(end)
                yield end


def _second_ends(scene: Scene, ropes: Ropes, rope: Owned) -> Iterator[tuple[End, End]]:
    seen = set()
    for mine, other in (rope.ends, rope.ends[::-1]):
        if ropes.second[0] == GRIP:
            belows = to_shackle(scene, rope, mine)
        else:
            beside = (
                ropes.second[0],
                ropes.second[0],
            )  # more than one thing there: not round the trunk
            belows = standing_ends(scene, beside, rope, mine)
        for pair in product(belows, list(hauling_ends(scene, rope, other))):
            if pair not in seen:
                seen.add(pair)
                yield pair


# ---- the list -------------------------------------------------------------------------------------


def best_of_all(
    site: Site, names: Sequence[str], *, rated: bool
) -> dict[object, tuple[float, ...]]:
    """The best counts of every setup of tackle on tackle, by what tells setups apart."""
    best: dict[object, tuple[float, ...]] = {}
    wanted = site.preferences.margin_wanted
    for scene in scenes_of(site, stations(site)):
        for one in rigs_of_two(scene, only_rated=rated):
            ropes = one.ropes
            who = (
                identity((*ropes.first, scene.me)),
                tuple("grip" if p == GRIP else p.name for p in ropes.second),
            )
            at_best = _counts(one, one.fixed, names)
            if one.fixed < wanted or (who in best and at_best >= best[who]):
                continue
            margin, _ = one.best()
            if margin >= wanted:
                found = _counts(one, margin, names)
                best[who] = min(best.get(who, found), found)
    return best


def rigs_of_two(scene: Scene, *, only_rated: bool) -> Iterator[TwoRigged]:
    """Every rig of two ropes that works in a scene in which nothing is laid, its pieces still open."""
    if scene.laid is not None or (only_rated and not rated_scene(scene)):
        return
    for ropes in every_two(scene):
        places = {p.name for p in (*ropes.first, *ropes.second) if p.kind is PlaceKind.ANCHOR}
        if only_rated and any(scene.anchors[n].strength.capacity is None for n in places):
            continue
        for etas in patterns(scene.site.gear, len(ropes.first) + len(ropes.second) - 2):
            rig = work(scene, ropes, etas)
            if rig is not None:
                yield from rigged(scene, ropes, rig)


def pairs_in_space(site: Site) -> int:
    """Pairs of walks under the rules."""
    every = (scene for scene in scenes_of(site, stations(site)) if scene.laid is None)
    return sum(1 for scene in every for _ in every_two(scene))


def _counts(one: TwoRigged, margin: float, names: Sequence[str]) -> tuple[float, ...]:
    scene, ropes = one.scene, one.ropes
    band = floor(min(margin, scene.site.preferences.enough) / BAND + 1e-6)
    bad = any(looks_bad(scene, course) for course in _courses(ropes, scene.me))
    parts = sum(
        (a.kind is PlaceKind.LOAD) + (b.kind is PlaceKind.LOAD) for a, b in pairwise(one.walk)
    )
    counts = {
        "margin": float((5 if bad else 0) - band),
        "resets": float(one.rig.strokes - 1),
        "rope": round(one.rope_needed(), 3),
        "parts": float(parts),
        "pull": round(one.rig.pull, 3),
    }
    return tuple(counts[name] for name in names)


def _courses(ropes: Ropes, me: Place) -> tuple[Walk, Walk]:
    """Both ropes as they lie: the first leads on to the second's anchor."""
    after = ropes.second[ropes.second.index(ropes.anchor) :]
    rest = tuple(place for place in after if place not in (ropes.anchor, GRIP))
    return (*ropes.first, ropes.anchor, me), (ropes.first[-1], ropes.anchor, *rest, me)
