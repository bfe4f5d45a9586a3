"""What a line drawn tight does to its nodes per newton at its end, with every friction it is looked at with.

Nothing of it depends on what the load weighs, nor on what anything stands: so it is kept for a few rigs, for
sites that differ in nothing else.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.pressing import Pressing, Touched, pressed_on
from optimiser.proof.loads.pulling import most_pull
from optimiser.proof.loads.stretched import Line, drawn
from optimiser.proof.loads.taut_line import Look, Part, passed_on, tensions
from optimiser.proof.place.course import Course, vec
from optimiser.proof.place.ground import Ground, Lie
from optimiser.proof.place.points import Hold
from optimiser.proof.place.string import String
from optimiser.proof.ring import ring_at_rest
from optimiser.proof.sling import Shared, at_rest
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Puller

MOST = 32
"""Lines that are kept: a list of ten, and those of the lists before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Everything that says how a line lies and what it rubs on. `course`, `ground`: where the load is carried
    and what lies there; `stands` and `lie` tell them from others. `fixed`: places of the nodes that keep
    still; `spots`: where its end is; `slung`: the trees with a sling that it runs on, if there are any."""

    course: Course = field(compare=False)
    ground: Ground = field(compare=False)
    stands: tuple[bytes, ...]
    lie: Lie
    walk: Walk
    hold: Hold
    fixed: tuple[Vec | None, ...]
    spots: tuple[Vec, ...]
    puller: Puller
    rope: Rope
    looks: tuple[Look, ...]
    slung: Shared | None

    @classmethod
    def on(
        cls, course: Course, ground: Ground, *, walk: Walk, hold: Hold, fixed: Sequence[Vec | None],
        spots: Sequence[Vec], puller: Puller, rope: Rope, looks: Sequence[Look],
        slung: Shared | None,
    ) -> "Laid":  # fmt: skip
        """A line on a course over the ground."""
        where = (course.row, course.at, course.ground, course.along, course.across)
        return cls(
            course=course, ground=ground, stands=tuple(some.tobytes() for some in where),
            lie=ground.lie, walk=walk, hold=hold, fixed=tuple(fixed), spots=tuple(spots),
            puller=puller, rope=rope, looks=tuple(looks), slung=slung,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Tense:
    """Tension over pull of each part of the line at its beginning and its end, (P, S, K), in one look.
    `parts`: by point and spot, where anything rubs."""

    begin: Array
    end: Array
    parts: Mapping[tuple[int, int], list[Part]]


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A line with its tensions in each of L looks: L x S variants. `number`: of the look, where there is
    one."""

    line: Line
    tense: Sequence[Tense]
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


@dataclass(frozen=True, slots=True, eq=False)
class Tight:
    """A line drawn tight at P points in V variants, see `optimiser.proof.loads.states`. `sheets`: as it is
    drawn, and with what gives way at rest; per newton at its end the forces on its nodes, with friction and
    without (`plain`), (P, V, K + 1, 3); `tau`: the tension of each part where it is tighter, (P, V, K);
    `limit`: the puller's, N, (P, V). `rubbing`: with the load at which point of the profile, and the puller
    at which spots, from and to, it rubs alike; `pressing`: on what, by part and m along the path."""

    line: Line
    sheets: tuple[Sheet, ...]
    look: Numbers
    force: Array
    plain: Array
    tau: Array
    limit: Array
    rubbing: tuple[tuple[int, int, int], ...]
    pressing: Mapping[tuple[int, float], Pressing]

    def touched(self, pull: Array) -> dict[tuple[int, float], Touched]:
        """What comes on each point of the ground with those pulls at the line's end, (P, V), N."""
        if not self.pressing:
            return {}
        points, variants = pull.shape
        spots = self.line.length.shape[1]
        each = pull.reshape(points, variants // spots, spots)
        pulls = np.array([each[p, :, begin:end].max(axis=1) for p, begin, end in self.rubbing])
        return {at: some.under(pulls) for at, some in self.pressing.items()}


@lru_cache(maxsize=MOST)
def tight(laid: Laid) -> Tight:
    """A line drawn tight, with the ring of a bridle and the shackle on a sling where the line is looked at
    first, and where they come to rest."""
    course, hold, walk, looks = laid.course, laid.hold, laid.walk, laid.looks
    line = drawn(laid.ground, course, hold, walk, laid.fixed, laid.spots)
    limit = limits(laid.puller, line.along()[1][:, :, -1])
    still = walk[0].kind is PlaceKind.ANCHOR
    bent = line.bent()
    tense = [_tense(line, bent, look, laid.rope, still=still) for look in looks]
    sheets = [Sheet(line, tense, limit)]
    if hold.leg is not None:
        sheets += [
            Sheet(_swung(line, one, course, hold, walk), [one], limit, number)
            for number, one in enumerate(tense)
        ]
    if laid.slung is not None:
        for number, one in enumerate(tense):
            moved = _slung(line, one, laid.slung)
            own = limits(laid.puller, moved.along()[1][:, :, -1])
            sheets.append(Sheet(moved, [one], own, number))
    every = [one for sheet in sheets for one in sheet.tense]
    begins = np.concatenate([one.begin for one in every], axis=1)
    ends = np.concatenate([one.end for one in every], axis=1)
    rubbing, pressing = pressed_on(course, bent, [one.parts for one in every])
    return Tight(
        line=line,
        sheets=tuple(sheets),
        look=np.concatenate([sheet.look for sheet in sheets]),
        force=np.concatenate([sheet.force() for sheet in sheets], axis=1),
        plain=np.concatenate([sheet.force(plain=True) for sheet in sheets], axis=1),
        tau=np.maximum(begins, ends),
        limit=np.concatenate(
            [np.tile(sheet.limit, (1, len(sheet.tense))) for sheet in sheets], axis=1
        ),
        rubbing=rubbing,
        pressing=pressing,
    )


def limits(puller: Puller, leaves: Array) -> Array:
    """What the puller can pull at most in lines that leave it along unit vectors, (P, S, 3) -> (P, S), N."""
    still = bool((leaves == leaves[:1]).all())  # then the load's place makes no difference
    each = [
        [most_pull(puller, vec(way)) for way in there] for there in leaves[: 1 if still else None]
    ]
    return np.broadcast_to(np.array(each), leaves.shape[:2])


def _tense(
    line: Line, bent: Mapping[tuple[int, int], list[String]], look: Look, rope: Rope, *, still: bool
) -> Tense:
    free = np.array(passed_on(look.passes, line.length.shape[2]))
    begin = np.broadcast_to(free, line.length.shape).copy()
    end = begin.copy()
    parts: dict[tuple[int, int], list[Part]] = {}
    for (p, s), strings in bent.items():
        before = bent.get((p, s - 1), [])
        alike = len(before) > 0 and all(a is b for a, b in zip(before, strings, strict=True))
        parts[p, s] = parts[p, s - 1] if alike else tensions(strings, look, rope, still=still)
    if parts:
        where = tuple(np.array(list(parts)).T)
        begin[where] = [[part.begin for part in some] for some in parts.values()]
        end[where] = [[part.end for part in some] for some in parts.values()]
    return Tense(begin, end, parts)


def _swung(line: Line, tense: Tense, course: Course, hold: Hold, walk: Walk) -> Line:
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


def _slung(line: Line, tense: Tense, slung: Shared) -> Line:
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
