"""The one evaluator: works out many walks at once, at every station with the puller all along its run."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluation import Evaluation, OverEdges, States
from optimiser.rig.ground.scene import Scene
from optimiser.rig.once import Lately
from shared.effort import Effort, note

CHUNK = 100
"""Walks at a time: keeps the arrays inside the processor's cache."""


def evaluate(scene: Scene, walks: Numbers, etas: Array, duty: Duty = Duty.HAUL) -> Evaluation:
    """Evaluate walks of equal length (n, m + 2) with sheave efficiencies (n, m); of those that let down
    the twin is evaluated too."""
    if duty is Duty.HAUL:
        return look_at(scene, walks, etas)
    free = np.ones(len(walks), dtype=bool)
    twin = look_at(scene, walks, etas, ~free, duty=duty, free=free)
    return replace(look_at(scene, walks, etas, free, duty=duty), twin=twin)


def look_at(
    scene: Scene,
    walks: Numbers,
    etas: Array,
    rubbing: Mask | None = None,
    *,
    duty: Duty = Duty.HAUL,
    free: Mask | None = None,
) -> Evaluation:
    """Evaluate walks of equal length (n, m + 2) with sheave efficiencies (n, m) in one way each. `rubbing`
    (n,): the rope rubs on edges as much as it may, which is planned with; False: as little; None: as much,
    all of them. `free` (n,): the sheaves run free."""
    course, states = Course.of(walks), len(scene.stations) * len(scene.spots)
    n, nodes = len(walks), walks.shape[1] - len(course.ropes) + 1
    note(Effort.EVALUATION)
    note(Effort.STATE, n * nodes * states)
    friction = scene.frictions.tobytes() if scene.over_edges else b""
    masks = tuple(None if mask is None else mask.tobytes() for mask in (rubbing, free))
    key = (scene.reach, walks.shape, walks.tobytes(), etas.tobytes(), friction, masks, duty)

    def work() -> Evaluation:
        return _evaluated(scene, walks, course, etas, rubbing, duty, free)

    if n > FEW:
        return work()
    known = _LATELY.once(key, n * nodes * states * EACH, work)
    return known if known.scene is scene else known.on(scene)


FEW = 8
"""Rigs that are looked at together with what else is known of them. A search looks at many, and seldom at the
same again."""
EACH = 30
"""Numbers that an evaluation has for each node of a walk in each state, about."""
_LATELY: Lately[Evaluation] = Lately(2_000_000)
"""Rigs that were evaluated last, for scenes that differ in weights and ratings only; by how many numbers."""


def _evaluated(
    scene: Scene, walks: Numbers, course: Course, etas: Array, rubbing: Mask | None, duty: Duty,
    free: Mask | None,
) -> Evaluation:  # fmt: skip
    states = States.of(scene)
    n, nodes = walks.shape
    passed = _passed_on(etas, duty, free).T[:, :, None]
    if scene.over_edges and course.grip is None:
        units, lengths, over = _over_edges(scene, states, walks, rubbing, duty)
        tau = along_rope(passed=np.asarray(passed * over.passed[1:]))
        return Evaluation(
            scene, walks, etas, states, units, lengths, tau, over=over, duty=duty, free=free
        )
    points = np.empty((nodes, 3, n, len(states.station)))
    for k in range(nodes):
        here = walks[:, course.seen(k)]
        points[k] = np.nan_to_num(scene.position[here]).T[:, :, None]
        loads = np.flatnonzero(here == 0)
        if len(loads):
            points[k][:, loads, :] = scene.hitch[states.station].T[:, None, :]
        pullers = np.flatnonzero(here == scene.puller_number)
        if len(pullers):
            points[k][:, pullers, :] = scene.spots[states.spot].T[:, None, :]
    units = points[1:] - points[:-1]
    if course.grip is not None:
        units[course.grip] = 0.0
    lengths = np.sqrt((units**2).sum(axis=1))
    units /= np.maximum(lengths, 1e-9)[:, None]
    tau = _tensions(course, passed)
    return Evaluation(scene, walks, etas, states, units, lengths, tau, duty=duty, free=free)


def _tensions(course: Course, passed: Array) -> Array:
    """(m + 1, n, 1) tension of each segment / pull, by what is passed on at each node (m, n, 1). What the
    second rope gives at the grip is the tension of the first there."""
    if course.grip is None:
        return along_rope(passed=passed)
    out = np.zeros((len(passed) + 1, *passed.shape[1:]))
    out[course.grip + 1 :] = along_rope(passed=passed[course.grip + 1 :])
    hauled = out[list(course.at_grip)].sum(axis=0)
    out[: course.grip] = along_rope(passed=passed[: course.grip - 1], hauled=hauled)
    return out


def _passed_on(etas: Array, duty: Duty, free: Mask | None) -> Array:
    """(n, m) what each sheave passes on towards the standing end."""
    out = etas if duty is Duty.HAUL else 1.0 / etas
    return out if free is None else np.where(free[:, None], 1.0, out)


def _over_edges(
    scene: Scene, states: States, walks: Numbers, rubbing: Mask | None, duty: Duty
) -> tuple[Array, Array, OverEdges]:
    """The way of each segment where it begins (m + 1, 3, n, X), its length (m + 1, n, X), and the rest."""
    n, nodes = walks.shape
    shape = (nodes - 1, n, len(states.station))
    units, ends = np.empty((nodes - 1, 3, *shape[1:])), np.empty((nodes - 1, 3, *shape[1:]))
    lengths, passed, first, last = (np.empty(shape) for _ in range(4))
    bent = np.empty(shape, dtype=bool)
    which = np.ones(n, dtype=int) if rubbing is None else np.asarray(rubbing).astype(int)
    friction = scene.frictions[:, which].T[:, None, :]  # (n, 1, K)
    for k in range(nodes - 1):
        found = scene.lines(walks[:, k], walks[:, k + 1], states.station, states.spot)
        units[k], ends[k] = np.moveaxis(found.begin, -1, 0), -np.moveaxis(found.end, -1, 0)
        lengths[k], first[k], last[k], bent[k] = found.length, found.first, found.last, found.bent
        passed[k] = found.passed(friction)
    if duty is Duty.LOWER:
        passed = 1.0 / passed
    # A part that is made fast to an anchor does not run over the edge: no friction is counted on there.
    passed[0, walks[:, 0] != 0] = 1.0
    rubs = np.moveaxis(friction, -1, 0) * (1.0 if duty is Duty.HAUL else -1.0)
    return units, lengths, OverEdges(ends, passed, first, last, bent, rubs)


def turning(ev: Evaluation, row: int, etas: Array, rubbing: Mask | None = None) -> Evaluation:
    """One walk with other efficiencies of its sheaves, (q, m). `rubbing` (q,): see `look_at`."""
    walks = np.tile(ev.walks[row], (len(etas), 1))
    return look_at(ev.scene, walks, etas, rubbing, duty=ev.duty)


def corners(ev: Evaluation, row: int) -> tuple[Evaluation, slice]:
    """An evaluation and its rows (q) at which a walk is to be looked at: at every combination of ends of
    its sheaves' efficiencies, all low first; hauling over edges with the most friction there, then
    with the least. Letting down with the most friction on edges, and then with all or some of its sheaves
    running free (`mixed`), which the rows are marked as. Itself where these are all one."""
    rows = slice(row, row + 1)
    etas = ev.ends(row) if ev.ranged else ev.etas[rows]
    rubbing, free = np.ones(len(etas), dtype=bool), None
    if ev.twin is not None:
        eased, eased_rubs = mixed(ev, row)
        free = np.repeat([False, True], [len(etas), len(eased)])
        etas, rubbing = np.concatenate([etas, eased]), np.concatenate([rubbing, eased_rubs])
    elif ev.rubs(row) and ev.duty is Duty.HAUL:
        etas, rubbing = np.concatenate([etas, etas]), np.repeat([True, False], len(etas))
    if len(etas) < 2:
        return ev, rows
    return replace(turning(ev, row, etas, rubbing), free=free), slice(0, len(etas))


def mixed(ev: Evaluation, row: int) -> tuple[Array, Mask]:
    """(q, m) what a walk that lets down is looked at with besides: some of its sheaves running free and some
    as rated at the low end of their ranges, all free first; and (q,) whether its rope rubs on edges as much
    as it may. Over an edge both, and all as rated too, which then rubs least; else as little as it may."""
    rated = ev.etas[row].tolist()
    some = list(product(*((1.0, eta) for eta in rated)))
    over = ev.rubs(row) and bool(rated)
    if rated and not over:
        some = some[:-1]
    etas = np.array(some, dtype=float).reshape(len(some), len(rated))
    if not over:
        return etas, np.zeros(len(etas), dtype=bool)
    return np.concatenate([etas, etas]), np.repeat([True, False], len(etas))


def subsets(nodes: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every non-empty choice of the nodes: what may hang on one block of as many sheaves."""
    for size in range(1, len(nodes) + 1):
        yield from combinations(nodes, size)
