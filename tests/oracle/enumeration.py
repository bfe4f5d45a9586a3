"""The exhaustive enumeration: every walk, efficiency, rope, end and piece of gear; then the list.

Deliberately simple, and slow on anything but a few trees. The search must find the same.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise, product
from math import asin, atan, dist, floor, isclose

from catalogue.edges import rubbing
from catalogue.gear import Block, Chain, Protector, Rope, Strap
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Owned, Site
from tests.oracle import keep_out
from tests.oracle.fill import Rigged, rated, turns_with
from tests.oracle.ground import Station, grips, stations
from tests.oracle.knots import two_ends
from tests.oracle.mechanics import Bend, Ends, Rubs, Scene, Worked
from tests.oracle.pieces import rope_strength
from tests.oracle.stands import every_stand
from tests.oracle.walks import allowed, identity, walks

BAND = 0.1
TIE = 3e-6
"""Margins closer than this are a tie: the solver counts them in whole millionths."""


@dataclass(frozen=True)
class Found:
    """One setup of the list: the best of its kind, and what it is ranked by."""

    identity: tuple[object, ...]
    sort: tuple[float, ...]
    counts: tuple[float, float, float]  # band (less is better), resets, rope in whole mm
    margin: float
    resets: int
    rope: float
    as_good: tuple[tuple[float, float], ...]  # (margin, pull) of every rig that is as good
    walks: tuple[Walk, ...]
    unrated: bool
    rigs: tuple["Rig", ...] = ()  # every rig that is as good


@dataclass(frozen=True)
class Rig:
    """One of the rigs that are as good: figures, rope, what it lays, and where each part touches."""

    walk: Walk
    margin: float
    pull: float
    rope: str
    length: float  # m of rope needed
    laid: str | None
    pieces: int
    bends: tuple[tuple[int, Bend], ...]  # part of the rope, and how it bends there


@dataclass(frozen=True)
class Answer:
    setups: tuple[Found, ...]
    space: int  # walks under the rules whose lines are free


def enumerate_setups(
    site: Site,
    *,
    top: int = 10,
    order: Sequence[str] | None = None,
    everything: bool = False,
    lengthened: bool = False,
) -> Answer:
    """The list of the best setups: fully rated ones first, then those with an unrated piece. Ropes are
    lengthened by a strap or chain only where no rope does without, or in any case (`lengthened`); none is
    joined to another here."""
    names = tuple(order or site.preferences.order)
    names += tuple(n for n in ("margin", "resets", "rope") if n not in names)
    rated_only = replace(site, gear=tuple(p for p in site.gear if has_rating(p)))
    best: dict[tuple[object, ...], Found] = {}
    for longer in (False, True):
        for scene in scenes_of(rated_only, stations(site)) if lengthened or not best else ():
            if rated_scene(scene):
                _collect(scene, names, best, only_rated=True, longer=longer)
    listed = leaders(site, best, top, everything=everything)
    if len(listed) < top:
        loose: dict[tuple[object, ...], Found] = {}
        for longer in (False, True):
            if lengthened or not longer or not (listed or loose):
                for scene in scenes_of(site, stations(site)):
                    _collect(scene, names, loose, only_rated=False, longer=longer)
        listed += unrated_ones(site, loose, best, top - len(listed))
    return Answer(tuple(listed), _space(site))


def unrated_ones(
    site: Site,
    loose: dict[tuple[object, ...], Found],
    rated: dict[tuple[object, ...], Found],
    many: int,
) -> list[Found]:
    """The best of those that have an unrated piece, and are nothing that is fully rated too."""
    out: list[Found] = []
    for found in sorted(loose.values(), key=lambda f: (f.sort, str(f.identity))):
        new = found.identity not in rated and found.unrated
        if len(out) < many and new and not any(_twins(site, found, other) for other in out):
            out.append(found)
    return out


def _space(site: Site) -> int:
    scenes = scenes_of(site, stations(site))
    return sum(
        looks(scene) * sum(1 for _ in _free_walks(scene, rated_anchors=False)) for scene in scenes
    )


def looks(scene: Scene) -> int:
    """How often the walks of a scene count: where lines bend for every group of ropes that rub alike, and
    where they do not it makes no difference what is laid."""
    site = scene.site
    lying = {spot.laid for spot in scene.spots_below}
    unlike: list[Rubs] = []
    for rope in (p for p in site.gear if isinstance(p.gear, Rope) and p.count > 0):
        rubs = {k: mu for k, mu in rubs_of(rope, site).items() if k in lying}
        unlike += [rubs] * (rubs not in unlike)
    return max(len(unlike), 1) if scene.bends() else int(scene.laid is None)


def leaders(
    site: Site, best: dict[tuple[object, ...], Found], top: int, *, everything: bool
) -> list[Found]:  # fmt: skip
    out: list[Found] = []
    for found in sorted(best.values(), key=lambda f: (f.sort, str(f.identity))):
        beaten = any(
            all(o < m for m, o in zip(found.counts, other.counts, strict=True)) for other in out
        )
        twin = any(_twins(site, found, other) for other in out)
        if len(out) < top and not twin and (everything or not beaten):
            out.append(found)
    return out


def _twins(site: Site, one: Found, other: Found) -> bool:
    """Whether two setups are one but for the names of interchangeable anchors: the walks have equal
    anchors in the same order, and every figure is the same."""

    def pattern(walk: Walk) -> list[object]:
        out: list[object] = []
        names = list(dict.fromkeys(place.name for place in walk))
        for place in walk:
            if place.kind is not PlaceKind.ANCHOR:
                out.append(place)
            else:
                a = site.anchor(place.name)
                strength = a.strength.capacity
                kind: tuple[object, ...] = (
                    a.kind, strength, a.heights, a.girth, a.least_radius, a.directions
                )  # fmt: skip
                if a.uses:
                    kind = (a.position,)
                out.append((kind, place.height, names.index(a.name)))
        return out

    figures = zip(max(one.as_good), max(other.as_good), strict=True)
    return (
        one.sort == other.sort
        and isclose(one.rope, other.rope, rel_tol=1e-9)
        and all(isclose(a, b, rel_tol=1e-9) for a, b in figures)
        and any(pattern(a) == pattern(b) for a in one.walks for b in other.walks)
    )


def has_rating(piece: Owned) -> bool:
    """What a rope runs over needs no rating."""
    known = rope_strength(piece) if isinstance(piece.gear, Rope) else rated(piece)
    return known is not None or isinstance(piece.gear, Protector)


def scenes_of(site: Site, line: list[Station]) -> Iterator[Scene]:
    """Every puller at every stand with every grip, with nothing laid and with each kind of protector at
    hand."""
    protectors = [p for p in site.gear if isinstance(p.gear, Protector) and p.count > 0]
    for puller in (stood for own in site.pullers for stood in every_stand(site, own)):
        for grip in grips(site):
            for laid in (None, *protectors):
                yield Scene(site, line, grip, puller, laid)


def rubs_of(rope: Owned, site: Site) -> Rubs:
    """Friction of a rope on everything that may lie on an edge there."""
    assert isinstance(rope.gear, Rope)
    lies = [leg.laid for leg in site.legs if leg.laid is not None]
    kinds = (*lies, *(p.gear for p in site.gear if isinstance(p.gear, Protector)))
    found = {kind: rubbing(kind, rope.gear) for kind in kinds}
    return {kind: (mu.low, mu.high) for kind, mu in found.items()}


def rated_scene(scene: Scene) -> bool:
    puller, grip = scene.puller, scene.grip
    hitch = (
        not puller.needs_termination
        or puller.purchase is not None
        or puller.hitch_rating is not None
    )
    known = puller.anchor is None or scene.anchors[puller.anchor].strength.capacity is not None
    return hitch and known and all(h.rating is not None for h in grip.hitches)


def _free_walks(scene: Scene, *, rated_anchors: bool) -> Iterator[Walk]:
    site = scene.site
    owned = sum(p.count * p.gear.sheaves for p in site.gear if isinstance(p.gear, Block))
    places = [
        place
        for place in scene.places()
        if not rated_anchors
        or place.kind is PlaceKind.LOAD
        or scene.anchors[place.name].strength.capacity is not None
    ]
    rules = site.preferences.rules
    for walk in walks(places, scene.me, min(site.preferences.most_sheaves, owned)):
        if not allowed(walk, scene.puller, rules):
            continue
        pairs = list(pairwise(walk))
        if any(scene.one_spot(a, b) for a, b in pairs):
            continue
        if not all(scene.clear(a, b) for a, b in pairs):
            continue
        ends = {
            b if a.kind is PlaceKind.LOAD else a
            for a, b in pairs
            if PlaceKind.LOAD in (a.kind, b.kind)
        }
        if "no-backward-part" in rules and not all(scene.pulls_forward(end) for end in ends):
            continue
        if scene.leads(walk[-2]):
            yield walk


def _collect(
    scene: Scene, names: tuple[str, ...], best: dict[tuple[object, ...], Found], *, only_rated: bool,
    longer: bool = False,
) -> None:  # fmt: skip
    for rigged in rigs(scene, only_rated=only_rated, longer=longer):
        offer(rigged, best, partial(_found, scene.site, rigged, names))


def rigs(scene: Scene, *, only_rated: bool, longer: bool = False) -> Iterator[Rigged]:
    """Every rig that works in a scene, with its rope and its ends, its pieces still open."""
    gear = tuple(p for p in scene.site.gear if p.count > 0)
    for rig in worked(scene, _free_walks(scene, rated_anchors=only_rated)):
        yield from roped(scene, rig, gear, longer=longer)


def worked(scene: Scene, every: Iterable[Walk]) -> Iterator[Worked]:
    """Some walks with all efficiencies and friction that there may be, as far as they work."""
    gear = tuple(p for p in scene.site.gear if p.count > 0)
    ropes = [rubs_of(p, scene.site) for p in gear if isinstance(p.gear, Rope)]
    unlike = [rubs for i, rubs in enumerate(ropes) if rubs not in ropes[:i]]
    for walk in every:
        if scene.laid is not None and not scene.pieces_to_lay(walk):
            continue  # the scene in which nothing is laid has it too
        for etas in patterns(gear, len(walk) - 2):
            for rubs in unlike if scene.touches(walk) else unlike[:1]:
                rig = scene.work(walk, etas, rubs)
                if rig is not None and scene.made_well(rig):
                    yield rig


def patterns(gear: Sequence[Owned], sheaves: int) -> Iterator[tuple[Ends, ...]]:
    have: dict[Ends, int] = {}
    for piece in gear:
        if isinstance(piece.gear, Block):
            ends = turns_with(piece.gear)
            have[ends] = have.get(ends, 0) + piece.count * piece.gear.sheaves
    for etas in product(have, repeat=sheaves):
        if all(etas.count(ends) <= many for ends, many in have.items()):
            yield etas


def roped(
    scene: Scene, rig: Worked, gear: tuple[Owned, ...], *, longer: bool = False
) -> Iterator[Rigged]:
    """Every rope that rubs as the rig was worked out for, with every way to make its ends fast. `longer`:
    ropes that a strap or chain at the standing end lengthens too: the rope is tied to it with a knot of its
    own."""
    between = [p for p in gear if isinstance(p.gear, Strap | Chain)] if longer else []
    for rope in gear:
        if not isinstance(rope.gear, Rope) or rope.length is None:
            continue
        if rig.rubs is not None and rubs_of(rope, scene.site) != rig.rubs:
            continue
        for strap in (None, *between):
            for standing, hauling in two_ends(scene, rig.walk, rope, on_strap=strap is not None):
                rigged = Rigged(scene, rig, rope, standing, hauling, gear, strap)
                if rigged.rope_needed() <= rigged.reaches() + 1e-9:
                    yield rigged


def offer(
    rigged: Rigged,
    best: dict[tuple[object, ...], Found],
    found_with: Callable[[float, bool], Found],
) -> None:
    """Fill the rig as well as can be, and keep it where it is the best of its kind so far. `found_with`: the
    setup that it is with a margin, and whether an unrated piece is in it."""
    wanted = rigged.scene.site.preferences.margin_wanted
    if rigged.fixed < wanted:
        return
    at_best = found_with(rigged.fixed, True)
    who = at_best.identity
    known = best.get(who)
    if known is not None and at_best.sort > known.sort:
        return  # not even with the best of pieces
    margin, loose = rigged.best()
    if margin < wanted:
        return
    found = found_with(margin, loose)
    if known is not None and found.sort == known.sort and abs(found.margin - known.margin) <= TIE:
        best[who] = replace(
            found if found.margin > known.margin else known,
            as_good=known.as_good + found.as_good,
            walks=known.walks + found.walks,
            rigs=known.rigs + found.rigs,
            unrated=known.unrated and found.unrated,
        )
    elif known is None or (found.sort, -found.margin) < (known.sort, -known.margin):
        best[who] = found


def _found(site: Site, rigged: Rigged, names: tuple[str, ...], margin: float, loose: bool) -> Found:
    rig, rope = rigged.rig, rigged.rope_needed()
    band = floor(min(margin, site.preferences.enough) / BAND + 1e-6)
    mark = 5 if _stands_badly(rigged.scene, rig.walk) else 0
    parts = sum(
        (a.kind is PlaceKind.LOAD) + (b.kind is PlaceKind.LOAD) for a, b in pairwise(rig.walk)
    )
    counts = {
        "margin": float(mark - band), "resets": float(rig.strokes - 1), "rope": round(rope, 3),
        "parts": float(parts), "pull": round(rig.pull, 3),
    }  # fmt: skip
    return Found(
        identity(rig.walk), tuple(counts[n] for n in names),
        (counts["margin"], counts["resets"], counts["rope"]),
        margin, rig.strokes - 1, rope, ((margin, rig.pull),), (rig.walk,), loose,
        (rig_of(rigged, margin),),
    )  # fmt: skip


def rig_of(rigged: Rigged, margin: float) -> Rig:
    rig, laid = rigged.rig, rigged.scene.laid
    return Rig(
        rig.walk, margin, rig.pull, rigged.rope.name, rigged.rope_needed(),
        None if laid is None else laid.name,
        0 if laid is None else rigged.scene.pieces_to_lay(rig.walk),
        tuple((part, rig.bends[part, spot]) for part, spot in sorted(rig.bends)),
    )  # fmt: skip


def _stands_badly(scene: Scene, walk: Walk) -> bool:
    """The rule that marks a rig down by 0.5 of margin: its puller stands inside an angle of the rope,
    in line with a part it does not haul on, or below a load that can run back."""
    if walk not in scene.badly:
        scene.badly[walk] = looks_bad(scene, walk)
    return scene.badly[walk]


def looks_bad(scene: Scene, walk: Walk) -> bool:
    site, spots, done = scene.site, keep_out.stands_at(scene.puller), 0.0
    back: list[float] = []
    for leg in site.legs:
        here = [s for s in scene.line if s.leg is leg]
        # A slope that the friction counted on would not hold: its angle is beyond that of the friction.
        sure = atan(site.preferences.resistance_counted_on * leg.resistance_low)
        back += [done + s.reach for s in here if asin(here[0].t[2]) > sure + 1e-9]
        done += dist(leg.start, leg.end)
    if keep_out.below(site, scene.puller, max(back, default=None)):
        return True
    for station in scene.line:
        where = [_above(scene, place, station) for place in walk]
        for a, b, c in zip(where, where[1:], where[2:-1], strict=False):
            if any(keep_out.in_angle(spot, a, b, c) for spot in spots):
                return True
        for a, b in pairwise(where[:-1]):
            if any(keep_out.in_lane(spot, a, b) for spot in spots):
                return True
    return False


def _above(scene: Scene, place: Place, station: Station) -> tuple[float, float]:
    """A place from above."""
    if place.kind is PlaceKind.LOAD:
        return station.ground[:2]
    spot = scene.position(place) if place.kind is PlaceKind.ANCHOR else scene.puller.position
    return spot[:2]


__all__ = ["Answer", "Found", "enumerate_setups"]
