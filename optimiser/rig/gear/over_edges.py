"""Finds where the rope of a rig runs over edges, with what force, and how many pieces it lays there."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Protocol, TypeVar

import numpy as np

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.line.edge import passed_on, pressed, shifting
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.clearance import Runs
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.strings import Bends, Edges, bends
from optimiser.rig.once import Lately
from optimiser.site.model import Owned

BESIDE = 0.3
"""m that what is laid reaches beyond the rope, in all (project choice)."""
_NEAR = 1e-9
Some = TypeVar("Some")


class Row(Protocol):
    """One walk of an evaluation with its tensions; see `optimiser.rig.gear.row`."""

    @property
    def scene(self) -> Scene: ...
    @property
    def evaluation(self) -> Evaluation: ...
    @property
    def index(self) -> int: ...
    @property
    def numbers(self) -> tuple[int, ...]: ...
    @property
    def touches(self) -> "tuple[Touch, ...]": ...
    @property
    def dynamic(self) -> float: ...
    @property
    def corners(self) -> tuple[Evaluation, slice]: ...


@dataclass(frozen=True, slots=True)
class Touch:
    """Where one part of the rope, counted from 0 at the standing end, runs over one point of the ground with
    the load anywhere on the stretch: `at` m along the path, `left` (least, most) m to its left, the greatest
    turning `angle`, rad, and the greatest `force` that it presses with and `shift` that it pulls level
    with, N, with the dynamic factor. `load` (first, last): m along the path, where the load is meanwhile.
    `laid`: whether the rig lays something there (else it lies there already)."""

    part: int
    at: float
    left: tuple[float, float]
    angle: float
    force: float
    shift: float
    load: tuple[float, float]
    on: Protector
    laid: bool


def touches(row: Row) -> tuple[Touch, ...]:
    """Where the rope runs over edges, part by part, along the path."""
    edges = row.scene.fixed.edges
    over = row.evaluation.over
    if edges is None or over is None:
        return ()
    out: list[Touch] = []
    for part in np.flatnonzero(over.bent[:, row.index].any(axis=1)):
        out += _of_part(row, edges, int(part))
    return tuple(out)


def _of_part(row: Row, edges: Edges, part: int) -> Iterator[Touch]:
    runs, found, turned_round = _bent(row, edges, part)
    tension = _tensions(row, part, edges.kind[found.point], found.angle, turned_round=turned_round)
    for point in np.unique(found.point[found.point >= 0]):
        states, which = np.nonzero(found.point == point)
        angle = found.angle[states, which]
        left = edges.left_of(int(point), runs.pick(states), found.knots[states, which + 1])
        kind = edges.laid[point]
        assert kind is not None
        tight = tension[:, states, which]
        passed = passed_on(friction=row.scene.edging.friction(kind)[1], angle=angle)
        rises = found.rise[states, which], found.rise[states, which + 1]
        shift = max(
            float(shifting(tension=tight, left=passed, rise=some).max())
            for some in (rises, rises[::-1])  # either way
        )
        at = row.scene.stations.at[row.evaluation.states.station[states]]
        yield Touch(
            part=part,
            at=float(edges.along[point]),
            left=(float(left.min()), float(left.max())),
            angle=float(angle.max()),
            force=float(pressed(tension=tight, angle=angle).max()),
            shift=shift,
            load=(float(at.min()), float(at.max())),
            on=kind,
            laid=not edges.known[point],
        )


def _tensions(row: Row, part: int, kind: Numbers, angle: Array, *, turned_round: bool) -> Array:
    """(q, X, C) tension of a part on the tighter side of each of its bends, N, with the dynamic factor.
    (X, C): on which kind it bends, and by what angle; `turned_round`: counted from the hauling end."""
    stands = part == 0 and row.numbers[0] != 0  # made fast to an anchor: it does not move
    ev, rows = row.corners
    assert ev.over is not None
    rubs = np.moveaxis(ev.over.rubs[kind, rows, 0], -1, 0)  # (q, X, C)
    falls = np.zeros_like(rubs * angle) if stands else rubs * angle
    counted = falls if turned_round else falls[:, :, ::-1]
    nearer = np.cumsum(counted, axis=2) - counted  # of the bends between it and the hauling end
    nearer = nearer if turned_round else nearer[:, :, ::-1]
    end = np.broadcast_to(ev.tau[part, rows], ev.pull[rows].shape) * ev.pull[rows] * row.dynamic
    return np.asarray(end[:, :, None] * np.exp(-(nearer + np.minimum(falls, 0.0))))


_Bent = tuple[Runs, Bends, bool]
_LATELY: Lately[_Bent] = Lately(1_000_000)
"""How parts of a rope bend, which depends on where things stand alone; by how many numbers that are."""


def _bent(row: Row, edges: Edges, part: int) -> _Bent:
    """A part of the rope in every state, where it bends, and whether it is looked at from its end."""

    def work() -> _Bent:
        begin, end, turned_round, both_ends = _led(row, part)
        runs = Runs.between(begin, end)
        return runs, bends(edges, runs, both_ends=both_ends), turned_round

    states = row.evaluation.states.station
    key = (row.scene.reach, row.numbers[part], row.numbers[part + 1])
    return _LATELY.once(key, 5 * len(edges.over) * len(states), work)


def _led(row: Row, part: int) -> tuple[Array, Array, bool, bool]:
    """The ends (X, 3) of a part in every state, the load's first; whether that turns it round; and whether
    neither is at the load."""
    scene, states = row.scene, row.evaluation.states
    one, two = row.numbers[part], row.numbers[part + 1]
    turned_round = two == 0 or one == scene.puller_number
    if turned_round:
        one, two = two, one
    begin = scene.where(one, states.station, states.spot)
    end = scene.where(two, states.station, states.spot)
    return begin, end, turned_round, 0 not in (one, two)


@dataclass(frozen=True, slots=True)
class Place:
    """Where equal pieces lie side by side: `begin` to `end` m along the path, `left` (least, most) m to its
    left where ropes run, and how many pieces that takes."""

    begin: float
    end: float
    left: tuple[float, float]
    pieces: int


def places(found: Iterable[Touch], laid: Protector) -> tuple[Place, ...]:
    """Where so many pieces of what a rig lays have to lie: each covers the ground along the rope from the
    first point that it touches on."""
    groups = covered((touch for touch in found if touch.laid), lambda t: (t.at, t.part), laid)
    return tuple(_place(group, laid) for group in groups)


def covered(
    found: Iterable[Some], along: Callable[[Some], tuple[float, int]], laid: Protector
) -> Iterator[list[Some]]:
    """What one place of what is laid covers, place after place: each reaches along the rope from the first
    of its things on. `along`: m along the path, and what comes first of things at one place."""
    group: list[Some] = []
    for one in sorted(found, key=along):
        if group and along(one)[0] - along(group[0])[0] > laid.covers + _NEAR:
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def side_by_side(left: tuple[float, float], laid: Protector) -> int:
    """How many pieces lie side by side where ropes run from `left` least to most, m left of the path."""
    least, most = left
    return ceil((most - least + BESIDE) / laid.length - _NEAR)


def _place(group: Sequence[Touch], laid: Protector) -> Place:
    sides = [side for touch in group for side in touch.left]
    left = min(sides), max(sides)
    return Place(group[0].at, group[-1].at, left, side_by_side(left, laid))


def enough(row: Row, owned: Iterable[Owned[Protector]]) -> bool:
    """Whether there are pieces enough of what the rig lays."""
    piece = row.scene.edging.protector
    if piece is None or not row.touches:
        return True
    return pieces_laid(row) <= sum(p.count for p in owned if p.name == piece.name)


def pieces_laid(row: Row) -> int:
    """How many pieces a rig lays on edges."""
    piece = row.scene.edging.protector
    return 0 if piece is None else sum(p.pieces for p in places(row.touches, piece.gear))
