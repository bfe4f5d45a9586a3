"""Lists what a tape and an eye can check while a rig is laid out: lengths, girths, straps, angles.

One table for every kind of page: with the load at its first station, and at its last.
"""

from collections.abc import Iterator, Mapping
from math import acos, atan2, degrees, dist

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig import where_it_stands
from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import Rope
from optimiser.sheet.wording.letters import length
from optimiser.site.model import Anchor
from shared.units import Dimension, show

SAME = "same"
"""Stands where the end is as the start is."""
NOTE = (
    "At start, at end: with the load where this page begins and ends{puller}. Lengths are from where the "
    "rope takes hold to where it takes hold; over an edge, as the rope lies. Last rows: how far two parts "
    "are apart, and how far a line leads off the path, as the plan shows it."
)

Row = tuple[str, str, str]
Ends = frozenset[Place]


def with_a_tape(drawn: Drawn) -> tuple[Row, ...]:
    """Rows of what, with the load at the start, and at the end."""
    parts = _parts(drawn)
    return (
        *_lengths(drawn, parts),
        *_to_load(drawn, parts),
        *_to_puller(drawn, parts),
        *_to_stand(drawn),
        *_anchors(drawn),
        *_at_blocks(drawn),
        *_to_path(drawn),
    )


def note(drawn: Drawn) -> str:
    """What the figures are between."""
    puller = "" if drawn.puller is None else ", and the puller where its run begins"
    return NOTE.format(puller=puller)


def _parts(drawn: Drawn) -> Mapping[Ends, list[tuple[Rope, int]]]:
    """The parts of all ropes by the two places that each leads between."""
    out: dict[Ends, list[tuple[Rope, int]]] = {}
    for rope in drawn.ropes:
        for part in range(len(rope.walk) - 1):
            out.setdefault(frozenset(rope.ends(part)), []).append((rope, part))
    return out


def _lengths(drawn: Drawn, parts: Mapping[Ends, list[tuple[Rope, int]]]) -> Iterator[Row]:
    for found in parts.values():
        rope, part = found[0]
        numbers = [str(one.first + k) for one, k in found]
        word = "part" if len(numbers) == 1 else "parts"
        what = f"{_between(drawn, *rope.ends(part))} ({word} {', '.join(numbers)})"
        yield _row(
            what, *(_shown(drawn, rope, s, _long(rope, s, part)) for s in (drawn.begin, drawn.end))
        )


def _to_load(drawn: Drawn, parts: Mapping[Ends, list[tuple[Rope, int]]]) -> Iterator[Row]:
    """Anchors to which no part of the rope leads from the load."""
    for rope in drawn.ropes:
        load = next((k for k, p in enumerate(rope.walk) if p.kind is PlaceKind.LOAD), None)
        for k in _anchor_nodes(rope):
            ends = rope.walk[k] if load is None else rope.walk[load], rope.walk[k]
            if load is None or frozenset(ends) in parts:
                continue
            both = (
                _shown(drawn, rope, s, dist(rope.near[_in_use(rope, s), load], rope.near[0, k]))
                for s in (drawn.begin, drawn.end)
            )
            yield _row(_between(drawn, *ends), *both)


def _to_puller(drawn: Drawn, parts: Mapping[Ends, list[tuple[Rope, int]]]) -> Iterator[Row]:
    """Anchors from which no part of the rope leads to the puller."""
    who = drawn.puller
    for rope in drawn.ropes:
        last = rope.walk[-1]
        if who is None or last.kind is not PlaceKind.PULLER:
            continue
        for k in _anchor_nodes(rope):
            place = rope.walk[k]
            if frozenset((place, last)) not in parts and place.name != who.anchor:
                far = length(drawn, dist(rope.near[0, k], drawn.run(who)[0]))
                yield _row(_between(drawn, place, last), far, far)


def _to_stand(drawn: Drawn) -> Iterator[Row]:
    """Tapes to where a puller is to stand that had the choice."""
    standing = None if drawn.puller is None else where_it_stands.standing(drawn.site, drawn.puller)
    for tape in () if standing is None else standing.taped:
        assert drawn.puller is not None
        far = length(drawn, tape.distance)
        yield _row(f"{tape.name} – {drawn.puller.name}: at the ground, below its hitch", far, far)
        run = length(drawn, tape.at_end)
        yield _row(f"{tape.name} – where the run of {drawn.puller.name} ends", run, run)


def _anchors(drawn: Drawn) -> Iterator[Row]:
    """How far round each trunk is, and how high its straps sit."""
    straps = {name: set(heights) for name, heights in drawn.straps.items()}
    who = drawn.puller
    if who is not None and who.anchor:
        straps.setdefault(who.anchor, set()).add(who.height)
    for name, heights in straps.items():
        anchor = drawn.site.anchor(name)
        called = " ".join(filter(None, (drawn.letters.get(("anchor", name)), name)))
        if anchor.girth is not None:
            across = show(2 * anchor.radius, Dimension.SIZE, drawn.site.preferences.units)
            thick = f" (⌀ {across})" if anchor.radius > 0.0 else ""
            round_it = _girth(drawn, anchor)
            yield _row(f"{called}: girth{thick}", round_it, round_it)
        for high in (length(drawn, height) for height in sorted(heights)):
            yield _row(f"{called}: strap above the ground", high, high)


def _girth(drawn: Drawn, anchor: Anchor) -> str:
    """Of a range both ends."""
    assert anchor.girth is not None
    least = anchor.girth * anchor.least_radius / anchor.radius if anchor.radius else anchor.girth
    return " to ".join(dict.fromkeys((length(drawn, least), length(drawn, anchor.girth))))


def _at_blocks(drawn: Drawn) -> Iterator[Row]:
    """The angle between the two parts at every block."""
    for rope in drawn.ropes:
        for k in range(1, len(rope.walk) - 1):
            first = rope.first + k - 1
            both = (
                _shown_angle(rope, s, _apart(_back(rope, s, k), _on(rope, s, k)))
                for s in (drawn.begin, drawn.end)
            )
            yield _row(
                f"at {_called(drawn, rope.walk[k])}: part {first} to part {first + 1}", *both
            )


def _to_path(drawn: Drawn) -> Iterator[Row]:
    """The angle in plan between the path and each line from the load, once for each place it leads to."""
    done: set[tuple[str, Ends]] = set()
    for rope in drawn.ropes:
        for part in range(len(rope.walk) - 1):
            mark = rope.called, frozenset(rope.ends(part))
            kinds = [place.kind for place in rope.ends(part)]
            if PlaceKind.LOAD not in kinds or mark in done:
                continue
            done.add(mark)
            begins = kinds[0] is PlaceKind.LOAD
            both = []
            for s in (drawn.begin, drawn.end):
                way = _on(rope, s, part) if begins else _back(rope, s, part + 1)
                both.append(_aside(drawn, rope, s, way))
            ends = rope.ends(part) if begins else rope.ends(part)[::-1]
            yield _row(f"{_between(drawn, *ends)}: to the path", *both)


def _aside(drawn: Drawn, rope: Rope, station: int, way: Array) -> str:
    """How far a line leads off the path, from above."""
    if rope.station(station) != station:
        return "–"
    along = drawn.stations.along[station][:2]
    # A line that leads back along the path is measured from the path too, not from the way of the load.
    forward = float(way[:2] @ along)
    left = float(along[0] * way[1] - along[1] * way[0])
    off = round(degrees(atan2(left, abs(forward))))
    return f"{abs(off)}° {'left' if off > 0 else 'right'}" if off else "0°"


def _back(rope: Rope, station: int, node: int) -> Array:
    """From a node along the part before it."""
    course = rope.course(_in_use(rope, station), node - 1)
    return np.asarray(course[-2] - course[-1])


def _on(rope: Rope, station: int, node: int) -> Array:
    """From a node along the part after it."""
    course = rope.course(_in_use(rope, station), node)
    return np.asarray(course[1] - course[0])


def _apart(one: Array, other: Array) -> float:
    """The angle between two ways, degrees."""
    size = float(np.linalg.norm(one) * np.linalg.norm(other))
    return degrees(acos(min(max(float(one @ other) / size, -1.0), 1.0))) if size > 0.0 else 0.0


def _long(rope: Rope, station: int, part: int) -> float:
    """m of rope in a part."""
    steps = np.diff(rope.course(_in_use(rope, station), part), axis=0)
    return float(np.linalg.norm(steps, axis=1).sum())


def _in_use(rope: Rope, station: int) -> int:
    return rope.station(station)


def _anchor_nodes(rope: Rope) -> list[int]:
    """The nodes at anchors, each place once."""
    first = {p: k for k, p in reversed(list(enumerate(rope.walk))) if p.kind is PlaceKind.ANCHOR}
    return sorted(first.values())


def _shown(drawn: Drawn, rope: Rope, station: int, value: float) -> str:
    return length(drawn, value) if rope.station(station) == station else "–"


def _shown_angle(rope: Rope, station: int, value: float) -> str:
    return f"{round(value)}°" if rope.station(station) == station else "–"


def _between(drawn: Drawn, one: Place, other: Place) -> str:
    return f"{_called(drawn, one)} – {_called(drawn, other)}"


def _called(drawn: Drawn, place: Place) -> str:
    """With its height where ropes hang on several straps there."""
    name = f"{drawn.letter(place)} {drawn.name(place)}"
    if place.kind is PlaceKind.ANCHOR and len(drawn.straps[place.name]) > 1:
        return f"{name} at {length(drawn, place.height)}"
    return name


def _row(what: str, start: str, end: str) -> Row:
    return what, start, SAME if end == start != "–" else end
