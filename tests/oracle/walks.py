"""Every walk of the rope under the rules, by trying them all."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Puller


def walks(places: Sequence[Place], puller: Place, sheaves: int) -> Iterator[Walk]:
    """Every walk of at most so many sheaves: no place twice in a row, the load in it."""
    begun: list[Walk] = [(place,) for place in places]
    for _ in range(sheaves + 1):
        for walk in begun:
            if any(place.kind is PlaceKind.LOAD for place in walk):
                yield (*walk, puller)
        begun = [(*walk, place) for walk in begun for place in places if place != walk[-1]]


def allowed(walk: Walk, puller: Puller, rules: frozenset[str]) -> bool:
    """Whether the rules that are on let the walk pass (that on backward parts is the scene's)."""
    if "one-height-per-leg" in rules:
        for a, b in pairwise(walk):
            first, second = _anchor(a, puller), _anchor(b, puller)
            if first is not None and first == second:
                return False
    if "two-anchors-in-a-row" in rules:
        run = 0
        for place in walk:
            run = run + 1 if place.kind is PlaceKind.ANCHOR else 0
            if run > 2:
                return False
    if "no-block-behind-standing-anchor" in rules:
        return walk[0].kind is PlaceKind.LOAD or walk[1].kind is PlaceKind.LOAD
    return True


def _anchor(place: Place, puller: Puller) -> str | None:
    if place.kind is PlaceKind.PULLER:
        return puller.anchor
    return place.name if place.kind is PlaceKind.ANCHOR else None


def identity(walk: Walk) -> tuple[object, ...]:
    """What distinguishes setups: the puller, the anchors at either end of the walk, and the runs of
    anchors between visits to the load in either direction and any order; and their number."""
    runs: list[list[str]] = [[]]
    for place in walk[:-1]:
        if place.kind is PlaceKind.LOAD:
            runs.append([])
        else:
            runs[-1].append(place.name)
    first, *between = runs
    tail = between.pop()
    loops = sorted(min(tuple(run), tuple(run[::-1])) for run in between)
    return (walk[-1].name, tuple(first), tuple(loops), tuple(tail), len(runs))
