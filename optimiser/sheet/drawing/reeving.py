"""Draws how the ropes are threaded, every part by itself, left to right.

Not to scale. Each part hangs between its two sheaves; each sheave turns the rope into the next part,
so that following the rope from the left is following the numbers. Anchors are above and the load is
below; a second rope stands to the right of the first, at the level to which the grip is hauled.
"""

import itertools
from collections.abc import Sequence
from math import pi
from typing import TYPE_CHECKING

from optimiser.rig.walk import PlaceKind
from optimiser.sheet.drawing import fixtures
from optimiser.sheet.drawing.labels import fitted, measure
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.strands import Run, Strand, strands
from optimiser.sheet.drawing.strands import height as strands_height
from optimiser.sheet.drawing.style import OUTLINE, SMALL, TEXT, THIN, WIDTH
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import Rope
from shared.units import Dimension, Rounding, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_TITLE = 5.0
"""mm for the names of the ropes, where there are several."""


def height(ropes: Sequence[Rope]) -> float:
    """mm the diagram needs."""
    return strands_height(ropes) + (_TITLE if len(ropes) > 1 else 0.0)


def draw(
    figure: "Figure",
    corner: tuple[float, float],
    drawn: Drawn,
    ropes: Sequence[Rope],
    width: float = WIDTH,
) -> Panel:
    """Draw the diagram of some of the ropes with its lower left corner at `corner`, mm."""
    panel = Panel(figure, corner, width, height(ropes))
    found = strands(ropes, width)
    for strand in found:
        _rope(panel, strand)
    fixtures.draw(panel, drawn, found)
    for strand in found:
        _numbers(panel, strand)
    if len(found) > 1:
        _names(panel, found)
    panel.finish()
    return panel


def _rope(panel: Panel, strand: Strand) -> None:
    style, radius = strand.rope.style, strand.radius
    for k in range(strand.parts):
        pulled = strand.knees[k + 1].place.kind is PlaceKind.PULLER
        panel.line(strand.span(k), style, order=5.0, arrow=pulled)
    for node, knee in enumerate(strand.knees[1:-1], start=1):
        if node < strand.parts:  # not the trunk that turns go round
            panel.circle((knee.x, knee.y), radius - 0.8, OUTLINE, order=4.0)
            panel.circle((knee.x, knee.y), 0.5, OUTLINE, fill="black", order=4.1)
        begin = {Run.PLUMB: pi, Run.LEVEL: pi / 2}[knee.before]
        end = {Run.PLUMB: 0.0, Run.LEVEL: pi / 2}[knee.after]
        sign = 1.0 if knee.upper else -1.0
        panel.arc((knee.x, knee.y), radius, sign * begin, sign * end, style, order=5.0)
    first = strand.knees[0]
    panel.square((first.x, strand.outer(first)), 1.2, order=6.0)


def _numbers(panel: Panel, strand: Strand) -> None:
    """On each part its number, and below that its share of the pull on what the rope hauls."""
    rope = strand.rope
    for k in range(strand.parts):
        a, b = strand.span(k)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        number = str(rope.first + k)
        ring = max(measure(number, TEXT, True)) / 2 + 0.5
        up = 4.5 if strand.knees[k].after is not Run.LEVEL else 0.0
        panel.circle((middle[0], middle[1] + up), ring, THIN, order=8.0)
        panel.fixed(number, (middle[0], middle[1] + up), size=TEXT, bold=True, side="center")
        if rope.shares is not None and rope.pulls(k):
            text = f"{float(rope.shares[k]) * 100:.0f} %"
            panel.fixed(text, (middle[0] + 0.9, middle[1] - 0.4), size=SMALL)


def _names(panel: Panel, found: Sequence[Strand]) -> None:
    """What each rope is called, above its strand, with its own kind of line."""
    y = panel.height - 2.6
    for strand in found:
        left = strand.left + 1.0
        panel.line([(left, y), (left + 8.0, y)], strand.rope.style, avoid=0.0)
        room = strand.right - left - 10.0
        text = fitted(strand.rope.called, room, SMALL, True)
        panel.fixed(text, (left + 9.0, y), size=SMALL, bold=True)


def rows(drawn: Drawn) -> list[tuple[str, str, str, str, str]]:
    """For each part: number, from, to, share of the pull on what the rope hauls, the most it carries."""
    system, out = drawn.site.preferences.units, []
    for rope in drawn.ropes:
        for k, ends in enumerate(itertools.pairwise(rope.walk)):
            names = [f"{drawn.letter(p)} {drawn.name(p)}" for p in ends]
            share = "turns only"
            if rope.pulls(k):
                share = "holds" if rope.shares is None else f"{float(rope.shares[k]) * 100:.0f} %"
            carries = show(float(rope.carries[k]), Dimension.FORCE, system, Rounding.UP)
            out.append((str(rope.first + k), names[0], names[1], share, carries))
    return out
