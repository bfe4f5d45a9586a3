"""Finds the best order of corners: every order within the rule is gone through, none is guessed.

Stacks only grow, so their states make a graph without circles. Along it the least spare tilt of a
path is made as large as it can be, up to twice what is wanted; then the bites of the bar as few as
they can be, then its worst force as small, then changes of corner as few.
"""

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from math import floor, inf, radians

from optimiser.jobs.lever.layers import Layers, Move, Yard

MOST_UNEVEN = 2
"""Layers by which one corner may stand above another (rule of this program)."""
BAND = radians(0.1)
"""Spare tilt is compared in steps of this."""
ENOUGH = 2.0
"""More than so many times the spare tilt wanted is no better."""


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The moves in order; `spare`, `force`: the worst of them; `states`: how many there are."""

    moves: tuple[Move, ...]
    spare: float
    force: float
    states: int


def best_order(yard: Yard, layers: int, *, least_spare: float, most_force: float) -> Plan | None:
    """The best order to raise every corner by so many layers; None where none keeps the limits."""
    graph = _graph(yard, layers)
    allowed = {
        state: [m for m in moves if m.spare >= least_spare - 1e-9 and m.force <= most_force + 1e-9]
        for state, moves in graph.items()
    }
    count = len(yard.job.corners)
    start, end = (0,) * count, (layers,) * count

    def steady(move: Move) -> float:
        return float(floor(min(move.spare, ENOUGH * least_spare) / BAND + 1e-6))

    spare = _best_worst(allowed, start, end, steady)
    if spare == -inf:
        return None
    kept = {state: [m for m in moves if steady(m) >= spare] for state, moves in allowed.items()}
    kept = _fewest_bites(kept, end)
    force = -_best_worst(kept, start, end, lambda move: -round(move.force, 3))
    kept = {
        state: [m for m in moves if round(m.force, 3) <= force] for state, moves in kept.items()
    }
    moves = _shortest(kept, start, end)
    return Plan(
        moves=moves,
        spare=min(move.spare for move in moves),
        force=max(move.force for move in moves),
        states=len(graph),
    )


def limits(yard: Yard, layers: int) -> tuple[float, float]:
    """The largest least spare tilt [rad] and the smallest worst force on the bar's tip [N] that any
    order has, each by itself; (-inf, inf) where the load tips over in every one."""
    graph = _graph(yard, layers)
    count = len(yard.job.corners)
    start, end = (0,) * count, (layers,) * count
    spare = _best_worst(graph, start, end, lambda move: move.spare)
    return spare, -_best_worst(graph, start, end, lambda move: -move.force)


def _graph(yard: Yard, layers: int) -> dict[Layers, list[Move]]:
    """Moves from every state of the stacks that keeps the rule."""
    count = len(yard.job.corners)
    return {state: list(_moves(yard, state, layers)) for state in _states(count, layers)}


def _states(count: int, layers: int) -> Iterator[Layers]:
    for state in product(range(layers + 1), repeat=count):
        if max(state) - min(state) <= MOST_UNEVEN:
            yield state


def _moves(yard: Yard, state: Layers, layers: int) -> Iterator[Move]:
    for corner, height in enumerate(state):
        if height < layers and height + 1 - min(_raised(state, corner)) <= MOST_UNEVEN:
            move = yard.move(state, corner)
            if move is not None:
                yield move


def _raised(state: Layers, corner: int) -> Layers:
    return tuple(k + (i == corner) for i, k in enumerate(state))


def _best_worst(
    graph: dict[Layers, list[Move]], start: Layers, end: Layers, value: Callable[[Move], float]
) -> float:
    """The largest least value of a move that a path from start to end can have; -inf: no path."""
    best = {end: inf}
    for state in sorted(graph, key=sum, reverse=True):
        if state != end:
            ways = [min(value(move), best.get(move.to, -inf)) for move in graph[state]]
            best[state] = max(ways, default=-inf)
    return best[start]


def _fewest_bites(graph: dict[Layers, list[Move]], end: Layers) -> dict[Layers, list[Move]]:
    """The graph with those moves only that lie on a way to the end with the fewest bites."""
    left: dict[Layers, float] = {end: 0.0}
    kept: dict[Layers, list[Move]] = {end: []}
    for state in sorted(graph, key=sum, reverse=True):
        if state != end:
            ways = [(move.bites + left[move.to], move) for move in graph[state]]
            left[state] = min((bites for bites, _ in ways), default=inf)
            kept[state] = [m for bites, m in ways if bites == left[state] < inf]
    return kept


def _shortest(graph: dict[Layers, list[Move]], start: Layers, end: Layers) -> tuple[Move, ...]:
    """The path with the fewest changes of corner, then corners as they are listed."""
    queue: list[tuple[int, tuple[int, ...], Layers, int]] = [(0, (), start, -1)]
    done: set[tuple[Layers, int]] = set()
    while queue:
        changes, order, state, last = heapq.heappop(queue)
        if (state, last) in done:
            continue
        done.add((state, last))
        if state == end:
            return _follow(graph, start, order)
        for move in graph[state]:
            if (move.to, move.corner) not in done:
                more = changes + (move.corner != last)
                heapq.heappush(queue, (more, (*order, move.corner), move.to, move.corner))
    raise RuntimeError("an order was found and is not there any more")


def _follow(
    graph: dict[Layers, list[Move]], start: Layers, order: tuple[int, ...]
) -> tuple[Move, ...]:
    """The moves of an order of corners."""
    state, out = start, []
    for corner in order:
        move = next(m for m in graph[state] if m.corner == corner)
        out.append(move)
        state = move.to
    return tuple(out)
