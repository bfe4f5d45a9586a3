"""Finds chains of stretches as shortest paths in an explicit graph.

A node is (stages so far, mark reached). From each node an edge leads to every mark that is the
furthest any setup reaches with some number of resets; nearer marks with as many resets are no use
(see the package's text). An edge weighs its resets, and one more for the change of stage before
it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf
from typing import Any

from optimiser.search.stages.finder import Caps, Finder

Node = tuple[int, int]
FINISH: Node = (-1, -1)


@dataclass(frozen=True, slots=True)
class Link:
    """One stage of a chain: marks, and the resets it may take."""

    begin: int
    end: int
    resets: float


@dataclass(frozen=True, slots=True)
class Chain:
    """Stretches that cover the path, with the resets of all of them and of the changes between."""

    links: tuple[Link, ...]

    @property
    def resets(self) -> float:
        return sum(link.resets for link in self.links) + len(self.links) - 1


def forward(finder: Finder[Caps], caps: Caps, most_stages: int) -> list[int]:
    """Marks at which each stage ends when each goes as far as any setup does: the start, then the
    latest ends. The last is the finish, or where it got stuck or ran out of stages."""
    out = [0]
    while out[-1] < finder.track.end and len(out) <= most_stages:
        mark = finder.furthest(out[-1], caps)
        if mark == out[-1]:
            break
        out.append(mark)
    return out


def backward(finder: Finder[Caps], caps: Caps, most_stages: int) -> list[int]:
    """The same from the finish back: with i stages left the load must have come to mark i of
    these."""
    out = [finder.track.end]
    while out[-1] > 0 and len(out) <= most_stages:
        mark = finder.earliest(out[-1], caps)
        if mark == out[-1]:
            break
        out.append(mark)
    return out


def fewest_stages(finder: Finder[Caps], caps: Caps, most_stages: int) -> Chain | None:
    """The chain of fewest stages, resets not counted; None where none covers the path."""
    ends = forward(finder, caps, most_stages)
    if ends[-1] != finder.track.end:
        return None
    return Chain(tuple(Link(a, b, inf) for a, b in pairwise(ends)))


def fewest_resets(
    finder: Finder[Caps], caps: Caps, most_stages: int, most_resets: float = inf
) -> Chain | None:
    """The chain of fewest resets in at most so many stages, or None where none has at most
    `most_resets`. Of equal ones that of fewest stages."""
    import networkx as nx

    from_here = backward(finder, caps, most_stages)
    if from_here[-1] != 0:
        return None
    graph = grow(finder, caps, most_stages, most_resets, from_here)
    if FINISH not in graph:
        return None
    marks: list[Any] = nx.dijkstra_path(graph, (0, 0), FINISH, weight="weight")
    links = []
    for a, b in pairwise(marks):
        end = finder.track.end if b == FINISH else b[1]
        links.append(Link(a[1], end, graph.edges[a, b]["resets"]))
    chain = Chain(tuple(links))
    return chain if chain.resets <= most_resets else None


def grow(
    finder: Finder[Caps], caps: Caps, most_stages: int, most_resets: float, from_here: list[int]
) -> Any:
    """The graph: a networkx DiGraph from (0, 0) to FINISH. `from_here`: see `backward`."""
    import networkx as nx

    graph = nx.DiGraph()
    graph.add_node((0, 0))
    best = most_resets  # of a whole chain
    level: dict[int, float] = {0: 0.0}  # marks reached with the fewest resets so far
    tie = 1e-6  # a stage weighs a little besides: of equal resets the fewer stages
    for stage in range(1, most_stages + 1):
        reached: dict[int, float] = {}
        left = most_stages - stage
        for begin, spent in _undominated(level):
            change = 1.0 if stage > 1 else 0.0
            room = best - spent - change
            if len(from_here) > 1 and begin >= from_here[1]:
                many = _within(finder, begin, finder.track.end, caps, room)
                if many is not None:
                    best = min(best, spent + change + many)
                    graph.add_edge(
                        (stage - 1, begin), FINISH, resets=many, weight=many + change + tie
                    )
            if left == 0:
                continue
            target = from_here[min(left, len(from_here) - 1)]
            for end, many in _edges(finder, begin, target, caps, best - spent - change - 1.0):
                graph.add_edge(
                    (stage - 1, begin), (stage, end), resets=many, weight=many + change + tie
                )
                total = spent + change + many
                reached[end] = min(reached.get(end, inf), total)
        level = reached
    return graph


def _undominated(level: dict[int, float]) -> Iterator[tuple[int, float]]:
    """Marks that no mark further on reaches with as few resets."""
    least = inf
    for mark in sorted(level, reverse=True):
        if level[mark] < least:
            least = level[mark]
            yield mark, level[mark]


def _within(finder: Finder[Caps], begin: int, end: int, caps: Caps, room: float) -> int | None:
    """The fewest resets on a stretch if that is at most `room`."""
    most = min(room, caps.resets)
    if most < 0:
        return None
    return finder.least_resets(begin, end, replace(caps, resets=most))


def _edges(
    finder: Finder[Caps], begin: int, target: int, caps: Caps, room: float
) -> Iterator[tuple[int, int]]:
    """(mark, resets): the furthest marks from `begin` for each number of resets, from the fewest
    with which `target` is reached (one mark further at least) up to `room`."""
    least = max(target, begin + 1)
    many = _within(finder, begin, least, caps, room)
    if many is None:
        return
    last = finder.furthest(begin, caps)
    while many <= min(room, caps.resets):
        end = finder.furthest(begin, replace(caps, resets=many))
        yield end, many
        if end >= last:
            return
        more = finder.least_resets(begin, end + 1, caps)
        assert more is not None  # `last` lies beyond
        many = more
