"""Draws the ropes in the plan view: every part by itself, numbered; grips, turns round a trunk, hands."""

from collections import Counter
from dataclasses import dataclass
from math import atan2

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array
from optimiser.rig.walk import GRIP, PlaceKind
from optimiser.sheet.drawing.labels import Label
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.plan_things import named
from optimiser.sheet.drawing.style import MOVED, OUTLINE, SMALL, TAIL
from optimiser.sheet.drawing.view import View, outline, pair
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.shown.ropes import Key, Rope, key
from optimiser.sheet.shown.seen import Seen

_ALONG = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9)
"""Where along a part its number may stand."""
_APART = 1.5
"""mm between parts of line that run side by side."""
_GRIP = key(GRIP)


def draw(panel: Panel, view: View, drawn: Seen) -> None:
    """Every rope with the load where the rope is first in use."""
    beside = _beside(drawn)
    count = 0
    for rope in drawn.ropes:
        nodes = _nodes(view, drawn, rope)
        for k in range(len(rope.walk) - 1):
            _part(panel, rope, nodes, k, beside[count + k])
        count += len(rope.walk) - 1
        _fittings(panel, rope, nodes)
        if len(drawn.ropes) > 1:
            _called(panel, rope, nodes)
        if rope.turns:
            _held(panel, view, drawn, rope)
        _where_it_begins(panel, view, drawn, rope)
    for rope in drawn.ropes:
        if rope.walk[-1].kind is PlaceKind.GRIP:
            at = pair(view(rope.near[drawn.begin, -1]))
            named(panel, drawn, GRIP, "", at, 1.6)


def _part(panel: Panel, rope: Rope, nodes: Array, k: int, shift: float) -> None:
    way = nodes[k + 1] - nodes[k]
    across = np.array((-way[1], way[0])) / max(float(np.hypot(*way)), 1e-9)
    a, b = nodes[k] + shift * across, nodes[k + 1] + shift * across
    panel.line([a, b], rope.style, order=5.0, avoid=1.6)
    if rope.walk[k + 1].kind is PlaceKind.PULLER:
        panel.head(b, b - a, order=5.1, size=3.0)
    spots = tuple(pair(a + share * (b - a)) for share in _ALONG)
    panel.label(
        Label(
            text=str(rope.first + k), at=spots[0], centres=spots, ring=0.3, bold=True, needed=True
        )
    )


def _fittings(panel: Panel, rope: Rope, nodes: Array) -> None:
    """Blocks where it turns, a square at its standing end, and the grip on it."""
    for node in nodes[1:-1]:
        panel.circle(pair(node), 1.25, OUTLINE, order=5.5)
    panel.square(pair(nodes[0]), 1.0)
    if rope.walk[-1].kind is PlaceKind.GRIP:
        grip_sign(panel, pair(nodes[-1]), nodes[-1] - nodes[-2])


def grip_sign(panel: Panel, at: tuple[float, float], way: npt.ArrayLike) -> None:
    """A grip on a rope: three coils across it."""
    row = np.asarray(way, dtype=float)
    unit = row / max(float(np.hypot(*row)), 1e-9)
    across = np.array((-unit[1], unit[0])) * 1.6
    for step in (-0.9, 0.0, 0.9):
        middle = np.array(at) + step * unit
        panel.line([middle - across, middle + across], OUTLINE, order=5.7, avoid=2.0)


def _called(panel: Panel, rope: Rope, nodes: Array) -> None:
    """What the rope is called, at the middle of its longest part."""
    long = np.hypot(*np.diff(nodes, axis=0).T)
    k = int(np.argmax(long))
    at = pair(nodes[k] + 0.3 * (nodes[k + 1] - nodes[k]))
    panel.label(Label(text=rope.called, at=at, size=SMALL, bold=True, needed=True, clear=0.8))


def _held(panel: Panel, view: View, drawn: Seen, rope: Rope) -> None:
    """The turns round the trunk, and the tail that leads on to the hand."""
    hand = hand_of(drawn, rope)
    trunk = view(np.array(drawn.site.anchor(rope.walk[-1].name).position[:2]))
    radius = max(drawn.site.anchor(rope.walk[-1].name).radius * view.scale, 0.9) + 0.7
    for turn in range(rope.turns):
        panel.circle(pair(trunk), radius + 0.5 * (turn + 1), OUTLINE, fill="none", avoid=0.5)
    at = view(np.array(hand.at))
    way = at - trunk
    edge = trunk + way / max(float(np.hypot(*way)), 1e-9) * (radius + 0.5 * rope.turns)
    panel.line([edge, at], TAIL, order=5.0, avoid=1.2)
    hand_sign(panel, pair(at), way)
    several = sum(bool(other.turns) for other in drawn.ropes) > 1
    text = f"hand, part {rope.last}" if several else "hand"
    panel.label(Label(text=text, at=pair(at), size=SMALL, bold=True, needed=True, clear=1.8))


def hand_sign(panel: Panel, at: tuple[float, float], way: npt.ArrayLike) -> None:
    """Somebody who holds a rope: a head, and shoulders across the rope."""
    x, y = np.asarray(way, dtype=float)
    turn = atan2(y, x)
    panel.circle(at, 1.1, OUTLINE, fill="white", order=5.6)
    panel.keep_free(at, 1.6)
    panel.arc(at, 1.7, turn - 2.2, turn + 2.2, OUTLINE, order=5.5)


def _where_it_begins(panel: Panel, view: View, drawn: Seen, rope: Rope) -> None:
    """The load where a line comes on that is not there from the start."""
    station = rope.station(drawn.begin)
    if station == drawn.begin:
        return
    corners = view(outline(drawn, station))
    panel.shape(corners, MOVED, order=2.3, avoid=0.8)
    side = pair(corners[[0, 1]].mean(axis=0))
    panel.label(Label(text=f"{rope.called} from here", at=side, size=SMALL, needed=True))


def _nodes(view: View, drawn: Seen, rope: Rope) -> Array:
    """(nodes, 2) mm where the rope turns. A block hangs off its tree, on the side it is pulled to."""
    nodes = view(rope.near[rope.station(drawn.begin)])
    out = nodes.copy()
    count = len(rope.walk)
    for k, place in enumerate(rope.walk):
        if place.kind is not PlaceKind.ANCHOR:
            continue
        ways = [nodes[i] - nodes[k] for i in (k - 1, k + 1) if 0 <= i < count]
        pull = np.sum([way / max(float(np.hypot(*way)), 1e-9) for way in ways], axis=0)
        size = float(np.hypot(*pull))
        radius = max(drawn.site.anchor(place.name).radius * view.scale, 0.9)
        if k == count - 1:
            out[k] += ways[0] / max(float(np.hypot(*ways[0])), 1e-9) * (radius + 0.7)
        elif size > 0.05:
            out[k] += pull / size * (radius + 2.2)
    return np.asarray(out)


@dataclass(frozen=True, slots=True)
class _Straight:
    """The straight line on the ground that a part lies on, and whether the part runs along it the way
    its places are sorted."""

    ends: frozenset[Key]
    forward: bool


def _straights(drawn: Seen) -> list[_Straight]:
    """Of every part of all ropes. What leads to a grip lies on the line on which the grip is hauled."""
    lies = [pair for rope in drawn.ropes for pair in rope.lies]
    gripped = [place for pair in lies if _GRIP in pair for place in pair if place != _GRIP]
    out = []
    for a, b in lies:
        if _GRIP in (a, b):
            begin, end = gripped[0], gripped[1]
            onward = a == begin or b == end
            out.append(_Straight(frozenset((begin, end)), onward == (begin <= end)))
        else:
            out.append(_Straight(frozenset((a, b)), a <= b))
    return out


def _beside(drawn: Seen) -> list[float]:
    """How far each part of all ropes is moved to the left of its way, mm, among those on one line."""
    straights = _straights(drawn)
    lines = [straight.ends for straight in straights]
    out, seen = [], Counter[frozenset[Key]]()
    for straight in straights:
        shift = _APART * (seen[straight.ends] - (lines.count(straight.ends) - 1) / 2)
        seen[straight.ends] += 1
        out.append(shift if straight.forward else -shift)
    return out
