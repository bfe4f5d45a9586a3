"""Searches scenes: a good list first (beam), then the proof that nothing better exists (depth first).

Both grow the same walks with the same bounds; the beam keeps the most hopeful of each pattern, the
proof keeps all that can still reach the list.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from math import isfinite

import numpy as np

from optimiser.mechanics.arrays import Mask, Numbers
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.rig.status import Unsearched
from optimiser.search.board import Admit, Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.partial import SLACK, Bound, Partial, Wanted
from optimiser.search.clock import Clock
from optimiser.search.leaves import Confirmer, one_rope
from optimiser.search.line import HAULING, Line
from optimiser.search.rules import Rules
from optimiser.search.sought import Tally
from optimiser.search.trail import Taken

Worker = tuple[Grower, Confirmer]
Workers = Callable[[Board, Tally], Iterable[Worker]]
BEAM = 250
STANDS = 5
"""Of the candidate stands of one puller so many make the first list, evenly spread: the best of the others
differ from theirs by little, and the proof looks at all. Fewer make a poorer list, more take longer."""
PAIRS = 100_000
"""Partial walks times places grown at a time."""


class Stop(Enum):
    """When a search has found enough: one setup, some good ones (what the beam finds), or the best."""

    FIRST = "first"
    GOOD = "good"
    PROVEN = "proven"


@dataclass(frozen=True)
class Outcome:
    """What a search leaves behind. `unsearched`: what could still come where the best was searched and is not
    proven; None where that is not known."""

    board: Board
    proven: bool
    tally: Tally
    timings: tuple[tuple[str, float], ...]
    unsearched: Unsearched | None = None


def search(
    scenes: Sequence[Scene],
    kit: Kit,
    order: Order,
    rules: Rules,
    *,
    top: int,
    floor: float,
    everything: bool,
    clock: Clock,
    only_rated: bool = True,
    stop: Stop = Stop.PROVEN,
    workers: Workers | None = None,
    line: Line = HAULING,
    admit: Admit | None = None,
    near: Collection[Taken] = (),
    as_good: bool = False,
) -> Outcome:
    """The `top` best setups over all scenes. `floor`: least margin a setup must have; `only_rated`:
    leave out anchors without a rating; an empty board that is proven means that there is none, wherever
    it was to `stop`.
    `line`: what the rope is for; `admit`: which fillings count; `workers`: what grows and confirms the walks,
    in place of the usual; `near`: walks that were best on a site like this. Where they fill the list here,
    they are the good list to begin with: the proof is the same, whatever list it begins with; `as_good`:
    after the best only what is as good as that is wanted.
    Where the rules allow tackle on tackle, it is in the same list."""
    kit = kit.of_use
    board = Board(order, top, everything=everything, admit=admit, as_good=as_good)
    tally = Tally()
    watch = tally.watch

    def tables_of(scene: Scene) -> Tables:
        return Tables(scene, kit, rules, floor, only_rated, line=line)

    def usual(board: Board, tally: Tally) -> Iterable[Worker]:
        for scene in scenes:
            tables = tables_of(scene)
            if scene.puller.stand is not None and not tables.begins:
                continue  # no line leads to it there
            yield Grower(tables), one_rope(tables, board, order, tally)

    def two_ropes() -> Iterable[Worker]:
        from optimiser.search.two_ropes.search import (
            tackle_workers,  # it needs the parts of a search
        )

        return tackle_workers(scenes, tables_of, order, board, tally)

    def wanted() -> bool:
        """Whether a further scene is looked at: for a proof each one is, be it to bound what is left."""
        return stop is Stop.PROVEN or clock.runs()

    def first(workers: Iterable[Worker]) -> tuple[list[Worker], list[Worker]]:
        """The workers, once a good list is made of what they find, and those that have not looked at all
        yet."""
        with watch.on("tabulate"):
            ready = list(workers)
            for grower, _ in ready if stop is Stop.PROVEN else ():  # else the first may be enough
                grower.tabulate()
        looked = [False] * len(ready)
        with watch.on("search"):
            if near:
                for grower, confirmer in ready:
                    _follow(grower, confirmer, board, order, clock, near)
            # Of few that are wanted the proof finds some soon enough by itself, the most hopeful first.
            if not near or (board.limit is None and not as_good):
                for number in _spread(ready):
                    if wanted():
                        looked[number] = _beam(*ready[number], board, order, clock)
        return ready, [worker for worker, all_ in zip(ready, looked, strict=True) if not all_]

    def prove(ready: Iterable[Worker]) -> list[Bound]:
        """Returns bounds on what was not looked at."""
        left: list[Bound] = []
        with watch.on("proof"):
            for grower, confirmer in ready:
                if wanted():
                    left += _depth_first(grower, confirmer, board, order, clock)
        return left

    def look_again(ready: Iterable[Worker]) -> None:
        """Have walks come anew that were only dismissed by a limit that is not final."""
        board.overturned = False
        for _, confirmer in ready:
            confirmer.again()

    left: list[Bound] | None = None
    try:
        if stop is Stop.FIRST:
            clock.until = lambda: bool(board.entries)
        every, open_ = first((workers or usual)(board, tally))
        if stop is Stop.GOOD:
            clock.until = lambda: bool(board.entries)
        if board.overturned:
            look_again(every)
            open_ = every
        left = prove(open_)
        if rules.compound and workers is None:
            if clock.runs():
                # After the others: most are then dismissed at once.
                second, open_ = first(two_ropes())
                left += prove(open_)
                every += second
            else:
                left = None  # to bound them would take a table for each place of the second tackle
        while board.overturned and clock.runs():
            look_again(every)
            prove(every)
    except KeyboardInterrupt:
        clock.stopped = clock.interrupted = True
        left = None
    unsearched = None
    if clock.stopped and stop is Stop.PROVEN and left is not None:
        unsearched = _unsearched(left, board, order, floor)
    return Outcome(board, not clock.stopped, tally, watch.read(), unsearched)


def _spread(ready: Sequence[Worker]) -> list[int]:
    """Which make the first list: of scenes that differ in nothing but where the puller stands some of
    them."""
    alike: dict[object, list[int]] = {}
    for number, (grower, _) in enumerate(ready):
        scene = grower.t.scene
        one_spot = scene.puller.stand is None
        mark = number if one_spot else (scene.puller.name, scene.attachment, scene.edging)
        alike.setdefault(mark, []).append(number)
    out = []
    for numbers in alike.values():
        many = min(len(numbers), STANDS)
        out += [numbers[(2 * i + 1) * len(numbers) // (2 * many)] for i in range(many)]
    return out


def _unsearched(
    left: Sequence[Bound], board: Board, order: Order, floor: float
) -> Unsearched | None:
    """What could still come of walks that were not looked at. None where what was dismissed by a limit that
    has turned out too strict has to be looked at again: that is worse than the first of the list, but no
    bound on it was kept."""
    listed = board.leaders()
    stands = bool(listed) and not any(
        bound.better(order, listed[0][1].sort, floor).any() for bound in left
    )
    every = Bound.join([bound.pick(bound.hopeful(order, board.limit, floor)) for bound in left])
    if board.overturned or not len(every):
        return Unsearched(first_stands=True) if stands else None
    margin, resets, rope = every.margin.max() * (1 + SLACK), every.resets.min(), every.rope.min()
    return Unsearched(
        margin=float(margin) if isfinite(margin) else None,
        resets=int(resets) if isfinite(resets) else None,
        rope=float(max(rope, 0.0)) if isfinite(rope) else None,
        first_stands=stands,
    )


def _keep(board: Board, order: Order, floor: float) -> Callable[[Bound], Mask]:
    return lambda bound: bound.hopeful(order, board.limit, floor)


def _wanted(board: Board, order: Order, floor: float) -> Callable[[Bound], Wanted]:
    return lambda bound: bound.wanted(order, board.limit, floor)


def _beam(grower: Grower, confirmer: Confirmer, board: Board, order: Order, clock: Clock) -> bool:
    """Looks at the most hopeful walks. True where none that may come into the list was left out, so that
    nothing is left to prove."""
    floor, whole = grower.t.floor, True
    level, done = grower.first()
    confirmer.take(done.path, clock.runs)
    while len(level) and clock.runs():
        clock.report(f"a first list: {len(level)} walks of {level.depth} parts")
        keep, wanted = _keep(board, order, floor), _wanted(board, order, floor)
        parts, bounds, leaves, leaf_bounds = [], [], [], []
        for some in _portions(level, grower):
            open_, bound, ready, ready_bound = grower.grow(some, keep, wanted)
            parts.append(open_)
            bounds.append(bound)
            leaves.append(ready)
            leaf_bounds.append(ready_bound)
            if not clock.runs():
                return False
        ready, ready_bound = Partial.join(leaves), Bound.join(leaf_bounds)
        best = _select(ready, ready_bound, order)
        confirmer.take(ready.path[best], clock.runs)
        grown, bound = Partial.join(parts), Bound.join(bounds)
        level = grown.pick(_select(grown, bound, order))
        whole &= len(best) == len(ready) and len(level) == len(grown)
    return whole and not clock.stopped


def _follow(
    grower: Grower, confirmer: Confirmer, board: Board, order: Order, clock: Clock,
    near: Collection[Taken],
) -> None:  # fmt: skip
    """Grows nothing but the given walks, as far as they are walks here too, and confirms them."""
    number, drives = grower.t.scene.number, grower.t.scene.puller_number
    paths = [
        tuple(number[place] for place in reversed(walk[:-1]))
        for walk, attachment in near
        if attachment == grower.t.scene.attachment.name
        and all(place in number for place in walk)
        and number[walk[-1]] == drives
    ]
    level, done = grower.first()
    while paths and clock.runs():
        ends = {path for path in paths if len(path) == done.path.shape[1]}
        confirmer.take(done.path[_among(done.path, ends)], clock.runs)
        paths = [path for path in paths if len(path) > level.path.shape[1]]
        level = level.pick(_among(level.path, {path[: level.path.shape[1]] for path in paths}))
        if not len(level):
            return
        keep, wanted = _keep(board, order, grower.t.floor), _wanted(board, order, grower.t.floor)
        level, _, done, _ = grower.grow(level, keep, wanted)


def _among(paths: Numbers, known: Collection[tuple[int, ...]]) -> Mask:
    """Which of some paths (n, m) are among the known ones."""
    return np.array([tuple(path) in known for path in paths.tolist()], dtype=bool)


def _select(walks: Partial, bound: Bound, order: Order) -> np.ndarray:
    """The most hopeful of each pattern of loads and anchors, at most BEAM in all."""
    if len(walks) <= BEAM:
        return np.arange(len(walks))
    rank = np.lexsort(
        [np.arange(len(walks)), bound.rope, -bound.margin, *reversed(bound.columns(order))]
    )
    pattern = ((walks.path == 0) * (2 ** np.arange(walks.depth))).sum(axis=1)
    kinds = np.unique(pattern)
    each = max(BEAM // len(kinds), 10)
    taken = [rank[pattern[rank] == kind][:each] for kind in kinds]
    return np.sort(np.concatenate(taken))


def _depth_first(
    grower: Grower, confirmer: Confirmer, board: Board, order: Order, clock: Clock
) -> list[Bound]:
    """Looks at every walk that may come into the list. Returns bounds on those it did not come to."""
    floor = grower.t.floor
    first, done = grower.first()
    confirmer.take(done.path, clock.runs)
    if clock.stopped:
        return _of_all(grower, first, done)
    stack: list[tuple[Partial, Bound | None]] = [(first, None)]
    left: list[Bound] = []
    while stack and clock.runs():
        walks, bound = stack.pop()
        keep = _keep(board, order, floor)
        if bound is not None:
            still = keep(bound)
            walks = walks.pick(still)
        if not len(walks):
            continue
        clock.report(
            f"{confirmer.tally.looked_at} walks looked at, {len(board.entries)} setups found"
        )
        portions = list(_portions(walks, grower))
        if len(portions) > 1:
            rest = Partial.join(portions[1:])
            stack.append(
                (rest, None if bound is None else bound.pick(_tail(still, len(portions[0]))))
            )
        open_, bounds, ready, ready_bounds = grower.grow(
            portions[0], keep, _wanted(board, order, floor)
        )
        if len(ready):
            ready_order = np.lexsort(
                [np.arange(len(ready)), *reversed(ready_bounds.columns(order))]
            )
            for begin in range(0, len(ready), 400):
                part = ready_order[begin : begin + 400]
                good = keep(ready_bounds.pick(part))
                confirmer.take(ready.path[part[good]], clock.runs)
            if clock.stopped:
                left.append(ready_bounds)  # some of them were not come to
        if len(open_):
            # The most hopeful on top of the stack.
            rank = np.lexsort([np.arange(len(open_)), *reversed(bounds.columns(order))])
            stack.append((open_.pick(rank), bounds.pick(rank)))
    for walks, bound in stack:
        left.append(grower.bound(walks, complete=False) if bound is None else bound)
    return left


def _of_all(grower: Grower, first: Partial, done: Partial) -> list[Bound]:
    """Bounds on all walks of a scene, by the walks of one segment."""
    return [grower.bound(first, complete=False), grower.bound(done, complete=True)]


def _tail(still: Mask, skip: int) -> np.ndarray:
    return np.flatnonzero(still)[skip:]


def _portions(walks: Partial, grower: Grower) -> list[Partial]:
    each = max(PAIRS // max(len(grower.t.scene.places), 1), 50)
    return [walks.pick(slice(begin, begin + each)) for begin in range(0, len(walks), each)]
