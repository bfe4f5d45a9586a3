"""Computes how a tackle on a tackle takes in its ropes: how far the grip goes, how often it is moved
back.

The grip starts as near to the first rope's last place as gear and the second rope's length allow, is
hauled towards the anchor until the blocks are close, and is moved back. All lengths run between
places, hardware not taken off: that is on the safe side for the rope needed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol, TypeVar

import numpy as np

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Array
from optimiser.rig.forces import travel
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.ends import END_LENGTH
from optimiser.rig.gear.kit import Kit, long_of
from optimiser.rig.ground.scene import Scene
from optimiser.site.model import Owned, Puller

Size = TypeVar("Size", float, Array)
LEAST_RUN = 0.5
"""m: a grip that goes less far before it must be moved back is no use (project choice)."""
GRIP_LENGTH = 0.3
"""m that the grip itself takes on the first rope (project choice)."""
CLOSE = 0.3
"""m left between the second rope's blocks when the grip is moved back (project choice)."""


class Row(Protocol):
    """One rig of two ropes; see `optimiser.rig.gear.row`."""

    @property
    def scene(self) -> Scene: ...
    @property
    def evaluation(self) -> Evaluation: ...
    @property
    def index(self) -> int: ...
    @property
    def course(self) -> Course: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """A rig's lengths, m. `at`, `span`, `other` (S,): distance along the path; from the first rope's
    last place to the second's anchor; the first rope's other runs. `fixed_near`, `fixed_far`: the
    second rope beyond the standing block, with the puller at either end of its run. `parts` at the
    grip. `least_out`, `least_in`: what gear takes on either side of the grip."""

    at: Array
    span: Array
    other: Array
    parts: int
    fixed_near: float
    fixed_far: float
    least_out: float
    least_in: float

    @property
    def way(self) -> Array:
        """(S,) the first rope's other runs and the way on to the anchor."""
        return self.other + self.span


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What the haul takes: rope between places of either line, rope taken in by the puller [m], all
    strokes of the puller, and where it stops (`moved`: of those, where the grip is moved back).
    `gripped`: m of the first rope between places up to the grip, on each way between two moves."""

    first: float
    second: float
    hauled: float
    strokes: int
    stops: tuple[float, ...]
    moved: tuple[float, ...]
    gripped: tuple[float, ...]
    run: float  # m, the most the grip goes between two moves


def geometry(row: Row, kit: Kit) -> Geometry:
    """Lengths of a rig, with the longest gear of the kit wherever some may hang."""
    ev, scene, course, index = row.evaluation, row.scene, row.course, row.index
    assert course.grip is not None
    assert course.tackle is not None
    lengths = ev.lengths[:, index].reshape(len(ev.lengths), len(scene.stations), len(scene.spots))
    beyond = lengths[list(course.beyond)].sum(axis=0)
    return Geometry(
        at=scene.stations.at,
        span=lengths[course.grip - 1, :, 0],
        other=lengths[: course.grip - 1, :, 0].sum(axis=0),
        parts=course.tackle.parts,
        fixed_near=float(beyond[0, 0]),
        fixed_far=float(beyond[0, -1]),
        least_out=stand_off(scene, kit, course.numbers[course.grip - 1]) + out_takes(kit),
        least_in=stand_off(scene, kit, course.tackle.anchor) + in_takes(kit),
    )


def stand_off(scene: Scene, kit: Kit, number: int) -> float:
    """The most that a strap or chain at a place surely keeps the gear away from it, m."""
    if number == 0:
        return 0.0
    anchor = scene.anchor_at(number)
    return max((h.standoff for h in kit.sure.round_anchor(anchor)), default=0.0)


def out_takes(kit: Kit) -> float:
    """m between what is hung at the first rope's last place and the grip, with the longest gear."""
    return _hangs(kit) + GRIP_LENGTH


def in_takes(kit: Kit) -> float:
    """m between the grip and what is hung at the second rope's anchor, with the longest gear."""
    return 2.0 * _hangs(kit) + CLOSE


def _hangs(kit: Kit) -> float:
    block = max((long_of(p) for p in kit.sure.blocks), default=0.0)
    shackle = max((long_of(p) for p in kit.sure.shackles), default=0.0)
    return max(block, END_LENGTH) + shackle


def work(g: Geometry, *, puller: Puller, most_out: float) -> Work | None:
    """`most_out`: the farthest the grip may be from the second rope's anchor, m (what the second rope
    reaches). None where the grip could not go LEAST_RUN everywhere, or a stroke takes in next to
    nothing.

    At the end of a stroke the load is held, and whatever has to be is moved: the puller, or the grip,
    or both. So a stroke reaches as far as one place of the grip on the first rope serves all of it,
    and one length of the second; taking each as far as it goes gives the fewest, and a shorter stretch
    never takes more. The grip is moved at those stops only where it must be.
    """
    out = np.minimum(g.span - g.least_out, most_out)
    way = g.way
    longest, shortest = way - g.least_in, way - out
    if float((longest - shortest).min()) < LEAST_RUN:
        return None
    bands = [(shortest, longest)]
    run = stroke_of(puller, g.fixed_far - g.fixed_near)
    if run is not None:
        bands.append((g.parts * way, g.parts * way + run))
    turns = frozenset(np.flatnonzero(np.diff(g.at) <= 0.0).tolist())  # the load, at bends
    stops = travel.joint_grips(bands, whole=turns)
    if len(stops) >= travel.ENDLESS - 1:
        return None
    index = np.arange(len(g.at), dtype=float)
    edges = [0.0, *stops, float(len(g.at) - 1)]
    pieces = [
        np.concatenate([[begin], index[(index > begin) & (index < end)], [end]])
        for begin, end in pairwise(edges)
    ]
    least = [float(np.interp(piece, index, shortest).max()) for piece in pieces]
    most = [float(np.interp(piece, index, longest).min()) for piece in pieces]
    moves = list(_moves(least, most))
    hauled = gone = 0.0
    gripped = []
    for begin, end in pairwise([0, *moves, len(pieces)]):
        inside = np.concatenate(pieces[begin:end])
        gripped.append(max(least[begin:end]))
        from_anchor = np.interp(inside, index, way) - gripped[-1]
        hauled += travel.hauled(g.parts * from_anchor)
        gone = max(gone, float(from_anchor.max() - from_anchor.min()))
    at = tuple(float(np.interp(stop, index, g.at)) for stop in stops)
    return Work(
        first=float(shortest.max()),
        second=g.parts * float(out.max()) + g.fixed_near,
        hauled=hauled,
        strokes=len(pieces),
        stops=at,
        moved=tuple(at[move - 1] for move in moves),
        gripped=tuple(gripped),
        run=gone,
    )


def most_out(rope: Owned[Rope], taken: float, parts: int) -> float:
    """The farthest from its anchor, m, that the second rope lets the grip be; `taken`: m of it that its
    ends, its other runs and what is kept in hand take."""
    assert rope.length is not None
    return round((rope.length - taken) / parts - 5e-7, 6)


def stroke_of(puller: Puller, taken: Size) -> Size | float | None:
    """m of rope that a stroke of the puller takes in at most, where its run takes in `taken`; None
    where it takes in whatever comes."""
    if puller.purchase is not None:
        return puller.purchase
    return taken if puller.run > 0.0 else None


def _moves(least: list[float], most: list[float]) -> Iterator[int]:
    """The strokes, by number, before which the grip is moved, from the least and the greatest length
    of the first rope that each stroke can do with."""
    low, high = least[0], most[0]
    for number in range(1, len(least)):
        low, high = max(low, least[number]), min(high, most[number])
        if low > high + 1e-9:
            yield number
            low, high = least[number], most[number]
