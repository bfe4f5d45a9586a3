"""Every way to let the load down, by the definitions written out: every walk, holder, rope, number of turns
and piece of gear; then the list.

The ground helps with the share of its least resistance that is counted on, and a sheave passes on more than
it gets. How much it really helps is as uncertain as how much it costs: every rig is worked out with its
sheaves as rated and free, each by itself, and with the most and the least friction over edges.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise, product
from math import exp, floor, inf, pi, sqrt

from catalogue.gear import Block, Protector, Rope
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import Vec
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Leg, Puller, Site
from tests.oracle.enumeration import (
    BAND,
    Answer,
    Found,
    has_rating,
    leaders,
    looks,
    offer,
    rated_scene,
    rig_of,
    rubs_of,
    unrated_ones,
    worked,
)
from tests.oracle.fill import Rigged
from tests.oracle.ground import Station, dot, grips, stations
from tests.oracle.knots import two_ends
from tests.oracle.mechanics import Ends, Rubs, Scene, Walk, Worked, both
from tests.oracle.stands import every_stand
from tests.oracle.walks import allowed, identity, walks

HAND = 150.0
"""N that a person starts or stops at most (hse-push-pull: guideline for women)."""
JERK = 1.3
"""Demand on every piece over the steady force, where a hand checks the load (a choice)."""
LEAST_SHARE = 0.25
"""Of W sin: no hold is made for less (a choice)."""
LEVEL = 1e-9
"""Of a slope's sine."""

FRICTION = {
    "polyester": (0.2, 2), "nylon": (0.2, 2), "polypropylene": (0.2, 2),
    "manila": (0.3, 3), "sisal": (0.3, 3),
}  # fmt: skip
"""Rope round a trunk: the least friction (roping-physics; natural fibre: memory), and how many round turns
are eased at most (navedtra-14160; natural fibre: a choice)."""
SLIPPERY = (0.1, 2)
"""The same of any other fibre (memory)."""


def ways_down(site: Site, *, top: int, sheaves: int) -> Answer:
    """The list of the best ways down: fully rated ones first, then those with an unrated piece."""
    rising = _upward(site)
    scenes = list(_scenes(rising))
    rated = replace(rising, gear=tuple(p for p in rising.gear if has_rating(p)))
    all_rated = rated == rising and all(a.strength.capacity is not None for a in rising.anchors)
    best: dict[tuple[object, ...], Found] = {}
    for scene in scenes if rated == rising else _scenes(rated):
        if rated_scene(scene):
            _collect(scene, sheaves, best, only_rated=True)
    listed = leaders(rising, best, top, everything=True)
    if len(listed) < top and not (all_rated and all(map(rated_scene, scenes))):
        loose: dict[tuple[object, ...], Found] = {}
        for scene in scenes:
            _collect(scene, sheaves, loose, only_rated=False)
        listed += unrated_ones(rising, loose, best, top - len(listed))
    space = sum(
        looks(scene) * sum(1 for _ in _free_walks(scene, sheaves, only_rated=False))
        for scene in scenes
    )
    return Answer(tuple(listed), space)


# ---- the ground ------------------------------------------------------------------------------------


def _upward(site: Site) -> Site:
    """The site with its path from the lower end to the higher one. Turned round, the load stands as it did:
    its hitches lie the other way along and across, what was its nose is its tail; lips and silt that were
    met where a leg began are met no more."""
    if site.legs[-1].end[2] - site.legs[0].start[2] >= -1e-9:
        return site
    load = site.load
    hitches = tuple(replace(h, ahead=-h.ahead, left=-h.left) for h in load.hitches)
    return replace(
        site,
        legs=tuple(
            replace(leg, start=leg.end, end=leg.start, step=0.0, breakout=1.0)
            for leg in site.legs[::-1]
        ),
        load=replace(load, hitches=hitches, overhang=load.length - load.overhang),
    )


def _sure(site: Site, leg: Leg) -> float:
    """The resistance that is counted on to help."""
    return site.preferences.resistance_counted_on * leg.resistance_low


def _runs(site: Site, s: Station) -> float:
    """N along the ground that keep the load from running back; 0 where it rests."""
    sine, cosine, sure = s.t[2], s.n[2], _sure(site, s.leg)
    if sine <= sure * cosine + LEVEL:
        return 0.0
    weight = site.load.weight * s.leg.apparent
    return max(weight * (sine - sure * cosine), LEAST_SHARE * weight * sine)


def to_hold(site: Site) -> list[float]:
    """N along the ground at every station at which a rope is looked at, from the lowest on."""
    rising = _upward(site)
    return [_runs(rising, s) for s in _held(rising)]


def runs_back(site: Site, line: list[Station]) -> list[Station]:
    """Of some stations in order those from the first to the last at which the load may run."""
    live = [number for number, s in enumerate(line) if _runs(site, s) > 0.0]
    return line[live[0] : live[-1] + 1] if live else []


def _held(site: Site) -> list[Station]:
    """From the station before the first at which the load may run to that after the last."""
    line = stations(site)
    live = [number for number, s in enumerate(line) if _runs(site, s) > 0.0]
    return line[max(live[0] - 1, 0) : live[-1] + 2] if live else []


# ---- who holds ---------------------------------------------------------------------------------------


def _hand(site: Site) -> Puller:
    """Stands for whoever eases the rope: no place of the walk is his, his force is looked at by itself."""
    return Puller(
        name="hand", kind=PulledBy.PEOPLE, position=site.legs[-1].end, height=0.0,
        heading=(1.0, 0.0, 0.0), run=0.0, purchase=None, limit=inf, limit_factors=(),
        hitch_rating=None, hitch_eye=None, needs_termination=False, dynamic=JERK,
    )  # fmt: skip


def _scenes(site: Site) -> Iterator["LetDown"]:
    """By hand, or by a puller that the rope is made fast to, at every stand; with nothing laid and with each
    kind of protector at hand."""
    line = _held(site)
    own = (p for p in site.pullers if p.needs_termination)
    pullers = [_hand(site), *(stood for puller in own for stood in every_stand(site, puller))]
    if line:
        yield from _of_all(site, line, pullers)


def kept_by_hand(site: Site, line: list[Station]) -> Iterator["LetDown"]:
    """By hand only, over some stations of a path that rises."""
    yield from _of_all(site, line, [_hand(site)])


def _of_all(site: Site, line: list[Station], pullers: list[Puller]) -> Iterator["LetDown"]:
    protectors = [p for p in site.gear if isinstance(p.gear, Protector) and p.count > 0]
    for puller, grip, laid in product(pullers, grips(site), (None, *protectors)):
        yield LetDown(site, line, grip, puller, laid)


class LetDown(Scene):
    """One grip on the load and one that holds the rope."""

    @property
    def by_hand(self) -> bool:
        return not self.puller.needs_termination

    def work(self, walk: Walk, etas: tuple[Ends, ...], rubs: Rubs | None = None) -> Worked | None:
        """The rig in every state, each sheave as rated or free by itself. Towards the standing end tension
        grows: at a sheave by one over what it passes on hauling, over an edge by e^(mu turn)."""
        if self.laid is not None and self.pieces_to_lay(walk) > self.laid.count:
            return None
        bent = self.touches(walk)
        least, most = ({kind: -both[end] for kind, both in (rubs or {}).items()} for end in (0, 1))
        each = product(*(sorted({1.0, *(1.0 / eta for eta in ends)}) for ends in etas))
        whole: Worked | None = None
        for passed, mu in product(each, (most, least) if bent else (most,)):
            one = self._work(walk, etas, passed, mu)
            if one is None:
                return None
            whole = one if whole is None else both(whole, one)
        return whole if whole is None or not bent else replace(whole, rubs=rubs)

    def pulls_forward(self, place: Place) -> bool:
        """Only where there is something to hold."""
        return all(
            found is not None
            and (dot(found.begin, self.line[i].t) > 0.0 or _runs(self.site, self.line[i]) <= 0.0)
            for i, _, found in self._lines(Place(PlaceKind.LOAD), place)
        )

    def pull(self, s: Station, g: Vec) -> float | None:
        """Tension at the held end; 0 where the load rests, None where it is not held, hangs or is pulled off
        its line. Along the ground: H g.t = F + c (what the line lifts), for that much less helps."""
        site, force, sure = self.site, _runs(self.site, s), _sure(self.site, s.leg)
        weight = site.load.weight * s.leg.apparent
        pull = 0.0
        if force > 0.0:
            holds = dot(g, s.t) - sure * dot(g, s.n)
            if holds <= 0.0:
                return None
            pull = force / holds
        if s.leg.step > 0.0 and s.reach <= 0.0:
            radius, share, h = site.load.wheel_radius, site.load.axle_share, s.leg.step
            if radius is None or h >= radius:
                return None
            arm, foot = radius - h, sqrt(2.0 * radius * h - h * h)
            gives = dot(g, s.t) * arm + dot(g, s.n) * foot
            if gives <= 0.0:
                return None
            lip = share * weight * (s.t[2] * arm + s.n[2] * foot) / gives
            pull = max(pull, lip + pull * (1.0 - share))
        if weight * s.n[2] - pull * dot(g, s.n) < 0.0:
            return None
        if pull > 0.0:
            p = site.preferences
            most = p.side_pull_rolling if s.leg.motion.value == "rolling" else p.side_pull_sliding
            if dot(g, s.t) <= 0.0 or abs(dot(g, s.b)) / dot(g, s.t) > most + 1e-12:
                return None
        return pull


# ---- the rope ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Turns:
    """Round turns on a trunk, and how much more than the hand they hold: e^(2 pi mu turns) (capstan)."""

    many: int
    ratio: float


@dataclass
class Eased(Rigged):
    """A rig with its rope; `round_turns` None: a puller holds it."""

    round_turns: Turns | None = None

    @property
    def hand(self) -> float:
        """N behind the turns; 0: nobody's."""
        return 0.0 if self.round_turns is None else self.rig.pull / self.round_turns.ratio

    def rope_needed(self) -> float:
        plain = super().rope_needed()
        if self.round_turns is None:
            return plain
        return plain + self.round_turns.many * (self.scene.anchors[self.walk[-1].name].girth or 0.0)

    def drive(self) -> tuple[float, float]:
        return super().drive() if self.round_turns is None else (HAND, self.hand)

    def tightest(self) -> float:
        return max(self.rig.tight)

    def over_sheaves(self, nodes: tuple[int, ...]) -> float:
        return max(self.rig.tight[k] for n in nodes for k in (n - 1, n))

    def on_anchors(self) -> Iterator[tuple[str, float, float | None]]:
        """The trunk of the turns bears the hand's pull besides, whichever way that is."""
        last, dynamic = self.walk[-1], self.scene.puller.dynamic
        for name, worst, strength in self.scene.anchor_demands(self.rig):
            more = 0.0
            if self.round_turns is not None and name == last.name:
                more = self.hand * self.scene.anchors[name].lever(last.height) * dynamic
            yield name, worst + more, strength


def _turns(site: Site, rope: Rope, trunk: str, line: float) -> Turns | None:
    """The fewest turns with which the hand's force is comfortable, or as many as there may be; None: this
    rope is not eased round this trunk. `line`: N, the worst before the turns."""
    thick = 2.0 * site.anchor(trunk).least_radius
    if not rope.knottable or thick < rope.least_bend_ratio * rope.diameter - 1e-9:
        return None
    mu, most = FRICTION.get(rope.material.casefold(), SLIPPERY)
    for many in range(1, most + 1):
        ratio = exp(2.0 * pi * mu * many)
        if many == most or line / ratio <= _comfort(site) + 1e-9:
            return Turns(many, ratio)
    raise AssertionError("no turn at all")


def _comfort(site: Site) -> float:
    """N: less in the hand is no better."""
    return HAND / max(site.preferences.enough, 1.0)


def _roped(scene: LetDown, rig: Worked) -> Iterator[Eased]:
    """Every rope that rubs as the rig was worked out for, with its turns and every way to make its ends
    fast."""
    gear = tuple(p for p in scene.site.gear if p.count > 0)
    for rope in gear:
        if not isinstance(rope.gear, Rope) or rope.length is None:
            continue
        if rig.rubs is not None and rubs_of(rope, scene.site) != rig.rubs:
            continue
        turns = None
        if scene.by_hand:
            turns = _turns(scene.site, rope.gear, rig.walk[-1].name, rig.pull)
            if turns is None:
                continue
        for standing, hauling in two_ends(scene, rig.walk, rope):
            eased = Eased(scene, rig, rope, standing, hauling, gear, round_turns=turns)
            if eased.rope_needed() <= rope.length + 1e-9:
                yield eased


# ---- the list ------------------------------------------------------------------------------------------


def _free_walks(scene: LetDown, sheaves: int, *, only_rated: bool) -> Iterator[Walk]:
    """Every walk under the rules whose lines are free, from the standing end to the puller or to the trunk of
    the turns. That trunk counts in no row of anchors."""
    site, anchors = scene.site, scene.anchors
    places = [
        place
        for place in scene.places()
        if place.kind is PlaceKind.LOAD
        or not only_rated
        or anchors[place.name].strength.capacity is not None
    ]
    owned = sum(p.count * p.gear.sheaves for p in site.gear if isinstance(p.gear, Block))
    ends = [scene.me]
    if scene.by_hand:
        ends = [p for p in places if p.kind is PlaceKind.ANCHOR and anchors[p.name].ties_round]
    rules = site.preferences.rules
    for end in ends:
        holder = replace(scene.puller, anchor=end.name) if scene.by_hand else scene.puller
        for walk in walks(places, scene.me, min(sheaves, owned)):
            whole = (*walk[:-1], end)
            if walk[-2] == end or not allowed(walk, holder, rules):
                continue
            if _is_free(scene, whole) and (scene.by_hand or scene.leads(whole[-2])):
                yield whole


def _is_free(scene: LetDown, walk: Walk) -> bool:
    for a, b in pairwise(walk):
        if scene.one_spot(a, b) or not scene.clear(a, b):
            return False
    if "no-backward-part" not in scene.site.preferences.rules:
        return True
    pairs = [(a, b) for a, b in pairwise(walk) if PlaceKind.LOAD in (a.kind, b.kind)]
    return all(scene.pulls_forward(b if a.kind is PlaceKind.LOAD else a) for a, b in pairs)


def _collect(
    scene: LetDown, sheaves: int, best: dict[tuple[object, ...], Found], *, only_rated: bool
) -> None:
    for eased in eased_rigs(scene, sheaves, only_rated=only_rated):
        offer(eased, best, partial(_found, eased))


def eased_rigs(scene: LetDown, sheaves: int, *, only_rated: bool) -> Iterator[Eased]:
    """Every rig that lets down in a scene, with its rope, its turns and its ends, its pieces still open."""
    for rig in worked(scene, _free_walks(scene, sheaves, only_rated=only_rated)):
        yield from _roped(scene, rig)


def _found(eased: Eased, margin: float, loose: bool) -> Found:
    """Ranked by margin, the hand's force where it is more than comfortable, resets, rope."""
    site, rig, rope = eased.scene.site, eased.rig, eased.rope_needed()
    band = -float(floor(min(margin, site.preferences.enough) / BAND + 1e-6))
    resets, force = rig.strokes - 1, max(eased.hand, _comfort(site))
    length = round(rope, 3)
    return Found(
        (*identity(rig.walk), eased.scene.puller.name),
        (band, round(force, 3), float(resets), length), (band, float(resets), length),
        margin, resets, rope, ((margin, force),), (rig.walk,), loose, (rig_of(eased, margin),),
    )  # fmt: skip


__all__ = ["Eased", "LetDown", "eased_rigs", "kept_by_hand", "runs_back", "to_hold", "ways_down"]
