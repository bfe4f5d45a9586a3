"""Works out how a tackle on a tackle takes in its ropes: how much of each, how far the grip goes, and
where the puller stops and the grip is moved back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import dist, inf

from catalogue.gear import Block, Rope, Shackle
from optimiser.proof.claim import Claim
from optimiser.proof.loads.forces import fixed_places, spots_of
from optimiser.proof.notes import Notes
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.proof.place.trunk import ways_round
from optimiser.proof.two_ropes import (
    TwoHanging,
    anchor_of_tackle,
    grip_node,
    parts_at_grip,
    place_of_tackle,
    tensions,
)
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Owned, Site

GRIP_TAKES = 0.3
"""m of the first rope that the grip itself takes."""
KEPT_APART = 0.3
"""m kept between the second rope's blocks."""
END_TAKES = 0.2
"""m from the bearing point of an end to where the plain rope begins."""
ROUNDED = 2e-5
"""m of rope that do not count: lengths are rounded where ropes are chosen."""
BEYOND = 1e-3
"""m along the path past a stop that the stroke before it must not reach."""


@dataclass(frozen=True)
class Way:
    """What a rig's geometry gives at each of the profile's points (`at`), m: `span` from the first
    rope's last place to the second's anchor, `other` the first rope's other runs. `near`, `far`: the
    second rope beyond the standing block, with the puller at either end of its run."""

    at: list[float]
    span: list[float]
    other: list[float]
    near: float
    far: float
    parts: int


def check(
    site: Site, setup: Setup, claim: Claim, hanging: TwoHanging, hold: Hold, line: list[Point],
    takes: list[float], owned: Iterable[Owned], notes: Notes,
) -> None:  # fmt: skip
    """Both ropes are long enough, as long as stated, and stops and moves are where they must be."""
    first, second = claim.lines
    readings = hanging.all_ends()
    kinds = [r.rope.gear for r in (first, second)]
    if not readings or not all(isinstance(kind, Rope) for kind in kinds):
        return
    for rope in (first, second):
        have = rope.rope.length or 0.0
        notes.need(rope.rope_needed <= have + 1e-6, f"{rope.rope.name} is too short")
    notes.same("rope needed", setup.rope_needed, first.rope_needed + second.rope_needed)
    notes.same("rope owned", setup.rope_owned, sum(r.rope.length or 0.0 for r in (first, second)))
    taus = tensions(claim)
    notes.same("gained by the second rope", first.gained, taus[grip_node(claim) - 1])
    notes.same("gained beyond it", second.gained, 1.0)
    notes.same("main rope", setup.main_rope, first.rope_needed)
    spans, others = _lengths(site, claim, hold, line)
    near, far = _beyond(site, claim)
    at = [p.at for p in line if p.row is not None]
    way = Way(at, spans, others, near, far, parts_at_grip(second))
    grip = grip_node(claim)
    hung_out = takes[grip - 1] + GRIP_TAKES
    hung_in = takes_in(claim, takes) + KEPT_APART
    found: list[list[str]] = []
    for above, below in _eaten(site, claim, hanging):
        for least_out, least_in in _gear_takes(site, claim, owned):
            if least_out < hung_out - ROUNDED or least_in < hung_in - ROUNDED:
                continue  # such gear would be shorter than what hangs there
            again = Notes()
            _fits(setup, way, least_out, least_in, above, below, again)
            found.append(again.found)
    best = min(found, key=len, default=["no gear keeps the grip as far away as what hangs there"])
    notes.found.extend(best)


def _fits(
    setup: Setup, way: Way, least_out: float, least_in: float, above: float, below: float,
    notes: Notes,
) -> None:  # fmt: skip
    """`least_out`, `least_in`: m of gear on either side of the grip; `above`, `below`: m of the first
    and the second rope besides their runs."""
    first, second = setup.lines
    most_out = ((second.rope.length or 0.0) - below - way.near) / way.parts

    # Least and greatest length of the first rope up to the grip, and the way on to the anchor; between
    # two points in proportion, which is on the safe side of what the least is there.
    all_along = [
        (o + s - min(s - least_out, most_out), o + s - least_in, o + s)
        for s, o in zip(way.span, way.other, strict=True)
    ]
    out = max(min(s - least_out, most_out) for s in way.span)
    _near(notes, "main rope", first.rope_needed, max(short for short, _, _ in all_along) + above)
    _near(notes, "second rope", second.rope_needed, way.parts * out + way.near + below)
    puller = setup.puller
    run = puller.purchase if puller.purchase is not None else way.far - way.near
    if puller.purchase is None and puller.run <= 0.0:
        run = inf

    def able(begin: float, end: float) -> bool:
        shorts, longs, whole = zip(*_between(way.at, all_along, begin, end), strict=True)
        room = max(shorts) <= min(longs) + ROUNDED
        return room and way.parts * (max(whole) - min(whole)) <= run + ROUNDED

    notes.need(setup.strokes == len(setup.stops) + 1, "strokes and stops differ")
    edges = [way.at[0], *setup.stops, way.at[-1]]
    notes.need(edges == sorted(edges), "stops out of order")
    for begin, end in pairwise(edges):
        notes.need(able(begin, end), f"no stroke reaches from {begin:.3f} to {end:.3f} m")
        further = min(end + BEYOND, way.at[-1])
        needless = end < way.at[-1] and able(begin, further) and further > end
        notes.need(not needless, f"the puller need not stop at {end:.3f} m yet")
    strokes = [_between(way.at, all_along, begin, end) for begin, end in pairwise(edges)]
    least = [max(short for short, _, _ in some) for some in strokes]
    most = [min(long for _, long, _ in some) for some in strokes]
    moves = list(_moves(least, most))
    notes.need(
        setup.moved == tuple(setup.stops[n - 1] for n in moves), "the grip is moved elsewhere"
    )
    hauled, gripped = 0.0, []
    for begin, end in pairwise([0, *moves, len(strokes)]):
        ways = [whole for some in strokes[begin:end] for _, _, whole in some]
        hauled += way.parts * (ways[0] - min(ways))
        gripped.append(max(least[begin:end]))
    _near(notes, "rope hauled", setup.hauled, hauled)
    if notes.need(len(gripped) == len(setup.gripped), "ways of the grip and its moves differ"):
        for stated, own in zip(setup.gripped, gripped, strict=True):
            _near(notes, "main rope to the grip", stated, own)


def _moves(least: list[float], most: list[float]) -> Iterator[int]:
    """The strokes before which the grip is moved: no earlier place on the first rope serves them."""
    low, high = least[0], most[0]
    for n in range(1, len(least)):
        low, high = max(low, least[n]), min(high, most[n])
        if low > high + 1e-9:
            yield n
            low, high = least[n], most[n]


def _near(notes: Notes, what: str, stated: float, own: float) -> None:
    close = abs(stated - own) <= ROUNDED * max(1.0, abs(own) * 0.05)
    notes.need(close, f"{what}: the answer says {stated:.6g} m, the check finds {own:.6g} m")


def _eaten(site: Site, claim: Claim, hanging: TwoHanging) -> Iterator[tuple[float, float]]:
    """m of either rope besides its runs, for each reading of how the ends are made fast."""
    kinds = [line.rope.gear for line in claim.lines]
    spare = site.preferences.rope_spare
    for ends in hanging.all_ends():
        above = ends[0].eats(kinds[0], hanging.anchor(0)) + spare + _grip_eats(site, claim)
        yield above, sum(e.eats(kinds[1], None) for e in ends[1:]) + spare


def _gear_takes(site: Site, claim: Claim, owned: Iterable[Owned]) -> Iterator[tuple[float, float]]:
    """m of gear on either side of the grip if the longest of what there is hung there: of all, of
    what has a rating, and of either without what would be bought."""
    there = list(owned)
    last, anchor = claim.walk[-2], anchor_of_tackle(claim)
    done = set()
    for rated in (False, True):
        for bought in (True, False):
            some = [
                piece
                for piece in there
                if not (rated and (piece.unrated or piece.gear.wll is None))
                and (bought or piece.price is None)
            ]
            block = max((p.gear.length for p in some if isinstance(p.gear, Block)), default=0.0)
            pin = max((p.gear.length for p in some if isinstance(p.gear, Shackle)), default=0.0)
            hangs = max(block, END_TAKES) + pin
            out = _stand_off(site, some, last) + hangs + GRIP_TAKES
            back = _stand_off(site, some, anchor) + 2.0 * hangs + KEPT_APART
            if (out, back) not in done:
                done.add((out, back))
                yield out, back


def _stand_off(site: Site, some: Iterable[Owned], place: Place | None) -> float:
    """The most that a strap keeps gear away from a place, m."""
    if place is None or place.kind is not PlaceKind.ANCHOR:
        return 0.0
    anchor = site.anchor(place.name)
    return max((w.standoff for piece in some for w in ways_round(piece, anchor)), default=0.0)


def takes_in(claim: Claim, takes: list[float]) -> float:
    """m of gear between the grip and the second rope's anchor, the longest of each side."""
    grip = grip_node(claim)
    place = anchor_of_tackle(claim)
    sides = [(n, p) for n, p in enumerate(claim.nodes) if n > grip]
    at_anchor = max(takes[n] for n, p in sides if p == place)
    at_grip = max(takes[n] for n, p in sides if p.kind is PlaceKind.GRIP)
    return at_anchor + at_grip


def _grip_eats(site: Site, claim: Claim) -> float:
    stated = next(h for h in claim.gear if h.role is Role.GRIP)
    rope = claim.rope.gear
    for k in site.preferences.knots:
        if stated.how.startswith(k.name + ", "):
            return k.eats_diameters * rope.diameter + k.eats
    return inf


def _lengths(
    site: Site, claim: Claim, hold: Hold, line: list[Point]
) -> tuple[list[float], list[float]]:
    """At each of the profile's points: from the first rope's last place to the anchor, and the
    first rope's other runs together, m."""
    place = place_of_tackle(claim)
    fixed = fixed_places(site, (*claim.walk[:-1], place))
    spans, others = [], []
    for p in line:
        if p.row is not None:
            hitch = carried(p, hold.ahead, hold.left, hold.height)
            where = [at or hitch for at in fixed]
            long = [dist(a, b) for a, b in pairwise(where)]
            spans.append(long[-1])
            others.append(sum(long[:-1]))
    return spans, others


def _beyond(site: Site, claim: Claim) -> tuple[float, float]:
    """The second rope beyond the standing block, with the puller near and far, m."""
    second = claim.lines[1]
    fixed = fixed_places(site, second.walk)
    spots = spots_of(claim.puller)
    long = []
    for spot in (spots[0], spots[-1]):
        total = 0.0
        for k, (a, b) in enumerate(pairwise(second.walk)):
            if PlaceKind.GRIP not in (a.kind, b.kind):
                begin, end = fixed[k], spot if b.kind is PlaceKind.PULLER else fixed[k + 1]
                assert begin is not None
                assert end is not None
                total += dist(begin, end)
        long.append(total)
    return long[0], long[1]


Triple = tuple[float, float, float]


def _between(at: list[float], values: list[Triple], begin: float, end: float) -> list[Triple]:
    """The values at the points from `begin` to `end`, with those at both ends. At a bend, where the
    load turns, whatever ends there ends before it turns."""

    def there(x: float) -> Triple:
        for i in range(len(at) - 1):
            if at[i] <= x <= at[i + 1]:
                share = (x - at[i]) / (at[i + 1] - at[i]) if at[i + 1] > at[i] else 0.0
                p, q, r = (
                    a + share * (b - a) for a, b in zip(values[i], values[i + 1], strict=True)
                )
                return p, q, r
        return values[-1]

    inside = [v for x, v in zip(at, values, strict=True) if begin <= x < end]
    return [there(begin), *inside, there(end)]
