"""Draws what the ropes hang on in the diagram of how they run: anchors, the load, the grip, who pulls."""

from itertools import pairwise
from math import pi

import numpy as np

from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.drawing.labels import fitted, measure, wrapped
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.plan_ropes import grip_sign, hand_sign
from optimiser.sheet.drawing.strands import HAND, Knee, Strand
from optimiser.sheet.drawing.style import FILL, OUTLINE, ROPE, SMALL, TAIL, TEXT, USED
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.wording.letters import turns
from shared.units import Dimension, show
from shared.words import does

Lines = list[tuple[str, float, bool]]


def draw(panel: Panel, drawn: Drawn, found: tuple[Strand, ...]) -> None:
    """Everything but the ropes themselves."""
    for strand in found:
        _anchors(panel, drawn, strand)
        _load(panel, drawn, strand)
        if strand.rope.turns:
            _hand(panel, strand)
        elif strand.knees[-1].place.kind is PlaceKind.PULLER:
            _puller(panel, drawn, strand)
    for first, second in pairwise(found):
        if second.rope.pulled is PlaceKind.GRIP:
            _grip(panel, drawn, first, second)


def _anchors(panel: Panel, drawn: Drawn, strand: Strand) -> None:
    """A bar at each sheave at an anchor, with its letter, name and strap height."""
    for upper in (True, False):
        level = [
            k for k in strand.knees[:-1] if k.place.kind is PlaceKind.ANCHOR and k.upper is upper
        ]
        for n, knee in enumerate(level):
            left = (level[n - 1].x + knee.x) / 2 if n else max(strand.left, knee.x - 14.0)
            last = n + 1 == len(level)
            end = strand.knees[-1]
            beside = (end.x + knee.x) / 2 if end.upper is upper and end.x > knee.x else strand.right
            right = min(beside, knee.x + 14.0) if last else (level[n + 1].x + knee.x) / 2
            _anchor(panel, drawn, strand, knee, min(knee.x - left, right - knee.x) - 0.8)


def _anchor(panel: Panel, drawn: Drawn, strand: Strand, knee: Knee, half: float) -> None:
    bar, place = strand.bar(knee), knee.place
    panel.line([(knee.x, strand.outer(knee)), (knee.x, bar)], OUTLINE)
    panel.line([(knee.x - half, bar), (knee.x + half, bar)], ROPE)
    high = show(place.height, Dimension.LENGTH, drawn.site.preferences.units)
    lines: Lines = [
        (drawn.letter(place), TEXT, True),
        *((line, SMALL, False) for line in _two(place.name, 2 * half)),
        (fitted(f"{high} up", 2 * half, SMALL), SMALL, False),
    ]
    stacked(panel, lines, knee.x, bar + (1.0 if knee.upper else -1.0), down=not knee.upper)


def _load(panel: Panel, drawn: Drawn, strand: Strand) -> None:
    """One bar for the load, below every sheave on it."""
    on_load = [k for k in strand.knees[:-1] if k.place.kind is PlaceKind.LOAD]
    if not on_load:
        return
    top = strand.bar(on_load[0])
    for knee in on_load:
        panel.line([(knee.x, top), (knee.x, knee.y)], OUTLINE)
    left = min(k.x for k in on_load) - strand.radius
    right = max(k.x for k in on_load) + strand.radius
    text = f"{drawn.letter(on_load[0].place)} {drawn.site.load.name}"
    most, end = strand.right - 0.5, strand.knees[-1]
    if (
        not end.upper and end.place.kind is not PlaceKind.GRIP
    ):  # who pulls or holds is named beside it
        most = max(end.x - 13.0, max(k.x for k in on_load) + 1.0)
    right = min(right, most)
    wide = max(measure(text, TEXT, True)[0] + 2.0, right - left)
    right = min((left + right + wide) / 2, most)
    left = max(right - wide, strand.left + 0.5)
    right = min(left + wide, most)
    room = right - left - 1.0
    lines: Lines = [(text, TEXT, True)]
    if wide > right - left + 1e-6:
        lines = [(line, SMALL, True) for line in _two(text, room, bold=True)]
    deep = sum(measure(*line)[1] for line in lines) + 1.2
    deep = max(deep, 5.0)
    box = [(left, top - deep), (right, top - deep), (right, top), (left, top)]
    panel.shape(box, OUTLINE, fill=FILL, order=2.0)
    lines = [(fitted(line, room, size, bold), size, bold) for line, size, bold in lines]
    high = sum(measure(*line)[1] for line in lines)
    stacked(panel, lines, (left + right) / 2, top - (deep - high) / 2, down=True)


def _puller(panel: Panel, drawn: Drawn, strand: Strand) -> None:
    """The puller at the end of the last part."""
    knee = strand.knees[-1]
    level = [k.x for k in strand.knees[:-1] if k.upper is knee.upper and k.x < knee.x]
    left = (max(level) + knee.x) / 2 if level and knee.upper else strand.left
    room = 2 * min(knee.x - left, panel.width - knee.x) - 1.0
    name = knee.place.name
    acts = f"{does(name, 'pay')} out" if drawn.downward else does(name, "pull")
    lines: Lines = [(drawn.letter(knee.place), TEXT, True)]
    lines += [(line, SMALL, False) for line in _two(name, min(max(room, 10.0), 24.0))]
    lines.append((acts, SMALL, False))
    stacked(panel, lines, knee.x, knee.y + (1.2 if knee.upper else -1.2), down=not knee.upper)


def _grip(panel: Panel, drawn: Drawn, first: Strand, second: Strand) -> None:
    """The grip at the end of the first rope, and the bar on which the second rope's blocks hang."""
    end = first.knees[-1]
    knees = [k for k in second.knees[:-1] if k.place.kind is PlaceKind.GRIP]
    bar = second.bar(knees[0])
    for knee in knees:
        panel.line([(knee.x, bar), (knee.x, second.outer(knee))], OUTLINE)
    panel.line([(end.x, bar), (max(k.x for k in knees) + 1.0, bar)], OUTLINE)
    tip = first.span(first.parts - 1)[1]
    panel.line([(end.x, bar), tip], OUTLINE)
    before = first.span(first.parts - 1)[0]
    grip_sign(panel, tip, np.subtract(tip, before))
    up = tip[1] > before[1]
    name = next((h.how.partition(",")[0] for h in first.rope.gear if h.role is Role.GRIP), "")
    left, right = tip[0] + 2.5, second.knees[-1].x - 12.5
    room = max(right - left, 16.0)
    lines: Lines = [(f"{drawn.letter(end.place)} grip on part {first.rope.last}", SMALL, True)]
    lines += [(line, SMALL, False) for line in _two(name, room)]
    stacked(panel, lines, left + room / 2, bar + (-1.2 if up else 1.2), down=up)


def _hand(panel: Panel, strand: Strand) -> None:
    """The trunk with the turns round it, and the hand on the tail."""
    knee, hand, rope = strand.knees[-2], strand.knees[-1], strand.rope
    assert hand.place == HAND
    tail = strand.span(strand.parts)
    panel.circle((knee.x, knee.y), strand.radius - 0.8, OUTLINE, fill=USED, order=4.2)
    for turn in range(rope.turns):
        panel.arc((knee.x, knee.y), strand.radius - 0.5 * turn, 0.0, 2 * pi, TAIL, order=5.0)
    panel.line(tail, TAIL, order=5.0)
    hand_sign(panel, tail[1], np.subtract(tail[1], tail[0]))
    lines: Lines = [(f"{turns(rope)},", SMALL, True), ("then the hand", SMALL, True)]
    wide = max(measure(line, size, bold)[0] for line, size, bold in lines)
    x = min(max(hand.x, strand.left + wide / 2), strand.right - wide / 2 - 0.5)
    stacked(panel, lines, x, hand.y - 2.6, down=True)


def _two(text: str, width: float, *, bold: bool = False) -> list[str]:
    """A name in at most two lines."""
    lines = wrapped(text, width, SMALL, bold)
    return lines if len(lines) < 3 else [lines[0], fitted(" ".join(lines[1:]), width, SMALL, bold)]


def stacked(panel: Panel, lines: Lines, x: float, y: float, *, down: bool = False) -> None:
    """Lines of text over each other, the last one just above y (or the first just below it)."""
    rows = lines if down else list(reversed(lines))
    for text, size, bold in rows:
        high = measure(text, size, bold)[1]
        y += -high / 2 if down else high / 2
        panel.fixed(text, (x, y), size=size, bold=bold, side="center")
        y += -high / 2 if down else high / 2
