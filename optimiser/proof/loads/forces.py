"""Works out the forces in a rig at every point of the path with the puller at every spot of its run.

Written out from equilibrium: a second opinion by means of its own. The same steps serve a line that hauls,
holds or steers; what differs is its `Duty`: what a sheave passes on, and what the end of the rope has to
pull with the load at one point.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from catalogue.gear import Block, Rope
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.loads.pulling import most_pull
from optimiser.proof.loads.states import Duty, Found, Group, Pulled, accounted
from optimiser.proof.loads.taut_line import Look, Part, passed_on, tensions
from optimiser.proof.place.course import Course, vec
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold, Point
from optimiser.proof.place.string import String
from optimiser.proof.ring import ring_at_rest
from optimiser.proof.sling import AtRest, Shared, at_rest, shared
from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Owned, Puller, Site

SPOTS = (0.0, 0.5, 1.0)
"""Shares of its run at which the puller is looked at."""
BARE = String((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
"""Stands for a part of a line that rubs on nothing, wherever it is."""


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


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line drawn tight with the load at each of P points and the puller at each of S spots. Of each of
    its K parts: where it begins and leads from there, where it comes from at its end, and ends, (P, S, K, 3);
    its length, (P, S, K), m. `strings`: the parts that run over something, by point, spot and part."""

    begin: Array
    after: Array
    before: Array
    end: Array
    length: Array
    strings: Mapping[tuple[int, int, int], String]

    def along(self) -> tuple[Array, Array]:
        """Which ways its parts pull on the nodes at their beginnings and their ends."""
        return units(self.after - self.begin), units(self.before - self.end)

    def bent(self) -> dict[tuple[int, int], list[String]]:
        """All parts by point and spot, where any of them runs over something."""
        out: dict[tuple[int, int], list[String]] = {}
        for (p, s, k), string in self.strings.items():
            out.setdefault((p, s), [BARE] * self.length.shape[2])[k] = string
        return out


def units(ways: Array) -> Array:
    """The ways as unit vectors; 0 for what has no length."""
    long = np.sqrt((ways * ways).sum(axis=-1, keepdims=True))
    return np.where(long < 1e-9, 0.0, ways / np.where(long < 1e-9, 1.0, long))


def drawn(
    ground: Ground, course: Course, hold: Hold, walk: Walk, fixed: Sequence[Vec | None],
    spots: Sequence[Vec],
) -> Line:  # fmt: skip
    """The line of a walk, tight over what is laid. `fixed`: places of the nodes that keep still."""
    many, last = len(course.points), len(walk) - 2
    hitch = course.carried(hold.ahead, hold.left, hold.height)
    loads = [place.kind is PlaceKind.LOAD for place in walk]
    at = np.empty((many, len(spots), last + 2, 3))
    for node, place in enumerate(fixed):
        at[:, :, node] = hitch[:, None] if place is None else place
    at[:, :, last + 1] = spots
    begin, end = at[:, :, :-1], at[:, :, 1:]
    after, before = end.copy(), begin.copy()
    length = np.sqrt(((end - begin) ** 2).sum(axis=-1))
    strings: dict[tuple[int, int, int], String] = {}
    for k in range(last + 1):
        # But for the last part a line is the same wherever the puller is.
        looked_at = len(spots) if k == last else 1
        bends = ground.may_bend(
            begin[:, :looked_at, k], end[:, :looked_at, k], from_load=loads[k], to_load=loads[k + 1]
        )
        for p, s in np.argwhere(bends).tolist():
            ends = (vec(begin[p, s, k]), vec(end[p, s, k]))
            string = ground.string(*ends, from_load=loads[k], to_load=loads[k + 1])
            if string.touches:
                alike = [s] if k == last else range(len(spots))
                strings |= {(p, r, k): string for r in alike}
                after[p, alike, k], before[p, alike, k] = string.next, string.before
                length[p, alike, k] = string.length
    return Line(begin, after, before, end, length, strings)


def work_out(
    site: Site, ground: Ground, claim: Claim, duty: Duty, hold: Hold, points: list[Point],
    groups: Iterable[Group], owned: Mapping[str, Owned],
) -> Found:  # fmt: skip
    """Every state of a rig of one rope. `owned`: the pieces by name."""
    walk, puller = claim.walk, claim.puller
    every = [one.etas for one in at_every_end(claim, owned)]
    looks = duty.looks(every, edges=bool(ground.laid))
    course, spots = Course.of(points), ends_of(site, claim)
    line = drawn(ground, course, hold, walk, fixed_places(site, walk), spots)
    limit = limits(puller, line.along()[1][:, :, -1])
    still = walk[0].kind is PlaceKind.ANCHOR
    bent = line.bent()
    tense = [_tense(line, bent, look, claim.rope.gear, still=still) for look in looks]
    sheets = [_Sheet(line, tense, limit)]
    if hold.leg is not None:
        sheets += [
            _Sheet(_swung(line, one, course, hold, walk), [one], limit, number)
            for number, one in enumerate(tense)
        ]
    slung = shared(site, claim)
    if slung is not None:
        for number, one in enumerate(tense):
            moved = _slung(line, one, slung)
            own = limits(puller, moved.along()[1][:, :, -1])
            sheets.append(_Sheet(moved, [one], own, number))
    loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
    force = np.concatenate([sheet.force() for sheet in sheets], axis=1)
    plain = np.concatenate([sheet.force(plain=True) for sheet in sheets], axis=1)
    look = np.concatenate([sheet.look for sheet in sheets])
    begins = np.concatenate([one.begin for sheet in sheets for one in sheet.tense], axis=1)
    ends = np.concatenate([one.end for sheet in sheets for one in sheet.tense], axis=1)
    variants = np.concatenate(
        [np.tile(sheet.limit, (1, len(sheet.tense))) for sheet in sheets], axis=1
    )
    onto, ideal = (some[:, :, loads].sum(axis=2) for some in (force, plain))
    needs = duty.needs(course, Pulled(onto, ideal, variants))
    worst, ways = accounted(course, hold, force, needs, list(groups))
    whole = line.length.sum(axis=2)[course.listed]
    out = Found(
        course=course,
        spot=np.tile(np.arange(len(spots)), len(look) // len(spots)),
        look=look,
        needs=needs,
        tau=np.maximum(begins, ends),
        worst=worst,
        near=whole[:, 0].tolist(),
        far=whole[:, -1].tolist(),
        shortest=line.length.min(axis=(0, 1)).tolist(),
        looks=len(looks),
        slips=looks[0].slips,
        ways=ways,
    )
    if slung is not None:
        out.shackles.extend(_at_rest(slung, sheets[1:], force, out))
    _touch(out, bent, [one for sheet in sheets for one in sheet.tense], puller.dynamic)
    return out


def limits(puller: Puller, leaves: Array) -> Array:
    """What the puller can pull at most in lines that leave it along unit vectors, (P, S, 3) -> (P, S), N."""
    still = bool((leaves == leaves[:1]).all())  # then the load's place makes no difference
    each = [
        [most_pull(puller, vec(way)) for way in there] for there in leaves[: 1 if still else None]
    ]
    return np.broadcast_to(np.array(each), leaves.shape[:2])


@dataclass(frozen=True, slots=True, eq=False)
class _Tense:
    """Tension over pull of each part of the line at its beginning and its end, (P, S, K), in one look.
    `parts`: by point and spot, where anything rubs."""

    begin: Array
    end: Array
    parts: Mapping[tuple[int, int], list[Part]]


def _tense(
    line: Line, bent: Mapping[tuple[int, int], list[String]], look: Look, rope: Rope, *, still: bool
) -> _Tense:
    free = np.array(passed_on(look.passes, line.length.shape[2]))
    begin = np.broadcast_to(free, line.length.shape).copy()
    end = begin.copy()
    parts: dict[tuple[int, int], list[Part]] = {}
    for (p, s), strings in bent.items():
        before = bent.get((p, s - 1), [])
        alike = len(before) > 0 and all(a is b for a, b in zip(before, strings, strict=True))
        parts[p, s] = parts[p, s - 1] if alike else tensions(strings, look, rope, still=still)
        begin[p, s] = [part.begin for part in parts[p, s]]
        end[p, s] = [part.end for part in parts[p, s]]
    return _Tense(begin, end, parts)


@dataclass(frozen=True, slots=True, eq=False)
class _Sheet:
    """A line with its tensions in each of L looks: L x S variants. `number`: of the look, where there is
    one."""

    line: Line
    tense: Sequence[_Tense]
    limit: Array
    number: int | None = None

    @property
    def look(self) -> Numbers:
        """The look of each variant."""
        looks = range(len(self.tense)) if self.number is None else [self.number]
        return np.repeat(np.array(looks, dtype=np.int64), self.limit.shape[1])

    def force(self, *, plain: bool = False) -> Array:
        """The forces on the nodes, per newton at the rope's end, (P, L x S, K + 1, 3); `plain`: with no
        friction anywhere."""
        out_of, into = self.line.along()
        points, spots, parts = self.line.length.shape
        force = np.zeros((points, len(self.tense), spots, parts + 1, 3))
        for look, tense in enumerate(self.tense):
            begin, end = (1.0 if plain else one[..., None] for one in (tense.begin, tense.end))
            force[:, look, :, :-1] = out_of * begin
            force[:, look, :, 1:] += into * end
        return force.reshape(points, -1, parts + 1, 3)


def _swung(line: Line, tense: _Tense, course: Course, hold: Hold, walk: Walk) -> Line:
    """The line with the ring of a bridle where it comes to rest."""
    assert hold.leg is not None
    a, b = (course.carried(h.ahead, h.left, h.height) for h in hold.hitches)
    off = [k for k in range(len(walk) - 1) if walk[k].kind is PlaceKind.LOAD]
    on = [k for k in range(len(walk) - 1) if walk[k + 1].kind is PlaceKind.LOAD]
    ring = np.empty((*line.length.shape[:2], 3))
    for p in range(len(course.points)):
        known: dict[tuple[object, ...], Vec] = {}
        for s in range(ring.shape[1]):
            ends = [vec(line.after[p, s, k]) for k in off]
            ends += [vec(line.before[p, s, k]) for k in on]
            pulls = [*tense.begin[p, s, off].tolist(), *tense.end[p, s, on].tolist()]
            key = (*ends, *pulls)
            if key not in known:
                known[key] = ring_at_rest(vec(a[p]), vec(b[p]), hold.leg, ends, pulls)
            ring[p, s] = known[key]
    return _moved(line, ring, off, on)


def _moved(line: Line, at: Array, begins: Iterable[int], ends: Iterable[int]) -> Line:
    """The line with some of its parts beginning, and some ending, at other places, (P, S, 3). What the line
    runs over stays, and so does what it rubs there."""
    begin, after, before, end = (
        some.copy() for some in (line.begin, line.after, line.before, line.end)
    )
    straight = np.ones((*line.length.shape, 1), dtype=bool)
    for p, s, k in line.strings:
        straight[p, s, k] = False
    for k in begins:
        begin[:, :, k] = at
        before[:, :, k] = np.where(straight[:, :, k], at, before[:, :, k])
    for k in ends:
        end[:, :, k] = at
        after[:, :, k] = np.where(straight[:, :, k], at, after[:, :, k])
    return Line(begin, after, before, end, line.length, line.strings)


def _slung(line: Line, tense: _Tense, slung: Shared) -> Line:
    """The line with the shackle on a sling between two trees where it comes to rest."""
    node, parts = slung.node, line.length.shape[2]
    place = np.empty((*line.length.shape[:2], 3))
    known: dict[tuple[object, ...], Vec] = {}
    for p, s in np.ndindex(*place.shape[:2]):
        ends, pulls = [], []
        if node > 0:
            ends.append(vec(line.before[p, s, node - 1]))
            pulls.append(float(tense.end[p, s, node - 1]))
        if node < parts:
            ends.append(vec(line.after[p, s, node]))
            pulls.append(float(tense.begin[p, s, node]))
        key = (*ends, *pulls)
        if key not in known:
            known[key] = at_rest(slung, ends, pulls)
        place[p, s] = known[key]
    return _moved(
        line, place, begins=[node] if node < parts else [], ends=[node - 1] if node > 0 else []
    )


def _at_rest(slung: Shared, sheets: Sequence[_Sheet], force: Array, out: Found) -> Iterator[AtRest]:
    """Where the shackle is in each state, with the line there. `force`: of all variants, those with the
    shackle at rest last."""
    node, spots = slung.node, sheets[0].limit.shape[1]
    first = force.shape[1] - spots * len(sheets)
    size = np.sqrt((force[:, :, node] ** 2).sum(axis=-1)) * out.pull
    for number, sheet in enumerate(sheets):
        line, tense = sheet.line, sheet.tense[0]
        parts = [k for k in (node - 1, node) if 0 <= k < line.length.shape[2]]
        for p, s in np.ndindex(*line.length.shape[:2]):
            ways, tight = [], 0.0
            for k in parts:
                begins = k == node
                far = (line.after if begins else line.before)[p, s, k]
                tight = max(tight, float((tense.begin if begins else tense.end)[p, s, k]))
                ways.append((k, vec(far), (p, s, k) in line.strings))
            at = vec(line.begin[p, s, node] if node in parts else line.end[p, s, node - 1])
            v = first + number * spots + s
            pull = float(out.pull[p, v])
            yield AtRest(at, tuple(ways), float(size[p, v]), tight * pull, bool(out.listed[p]))


def _touch(
    out: Found, bent: Mapping[tuple[int, int], list[String]], tense: Sequence[_Tense], dynamic: float
) -> None:  # fmt: skip
    """Notes what the line presses on, with the load at the profile's points."""
    spots = out.pull.shape[1] // len(tense)
    for (p, s), strings in bent.items():
        if out.course.row[p] < 0:
            continue
        pulls = (out.pull[p, s::spots] * dynamic).tolist()
        for k, string in enumerate(strings):
            if string.touches:
                parts = [one.parts[p, s][k] for one in tense]
                out.touch(k, float(out.course.at[p]), string, parts, pulls)
