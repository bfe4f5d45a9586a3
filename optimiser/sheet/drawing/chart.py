"""Draws the pull along the path with the limit above it, for the setups compared."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, isfinite
from typing import TYPE_CHECKING

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.setup import names
from optimiser.sheet.drawing.labels import Label
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.style import (
    LIMIT,
    MOVED,
    OTHERS,
    OUTLINE,
    ROPE,
    SMALL,
    TEXT,
    THIN,
    WIDTH,
    Line,
)
from optimiser.sheet.shown.drawn import Drawn
from shared.units import Dimension, Rounding, in_unit, unit_name

if TYPE_CHECKING:
    from matplotlib.figure import Figure


HEIGHT = 68.0
_LEFT, _RIGHT, _FOOT, _TOP = 12.0, 4.0, 11.0, 10.0
_APART = 6.0
"""mm between the numbers of resets at least."""
_SAME = 0.02
"""Curves closer than this share of the chart's height are one."""


def draw(
    figure: "Figure", corner: tuple[float, float], compared: Sequence[Drawn], width: float = WIDTH
) -> Panel:
    """Draw the chart; the first setup is the one the sheet is about, the limit is its own."""
    panel = Panel(figure, corner, width, HEIGHT)
    first = compared[0]
    frame = _Frame.of(compared, width)
    _axes(panel, frame, first)
    for group, style in zip(_alike(compared, frame.most), (ROPE, *OTHERS), strict=False):
        _curve(panel, frame, group, style)
    _limit(panel, frame, first)
    _resets(panel, frame, first)
    panel.finish()
    return panel


def _limit(panel: Panel, frame: "_Frame", first: Drawn) -> None:
    """The limit along the path, and its least value in figures."""
    limit = _shown(frame, first.at, first.limits)
    if not len(limit):
        return
    panel.line(limit, LIMIT, order=4.5, avoid=1.5)
    least, most = (float(v) for v in (first.limits.min(), _limits_within(first).max()))
    distinct = dict.fromkeys(first.force_worded(v, Rounding.DOWN) for v in (least, most))
    beyond = ", off this chart" if least > frame.most * (1 + 1e-9) else ""
    x, y = limit[len(limit) // 2]
    text = f"STOP: limit of {first.called},\n{' to '.join(distinct)}{beyond}"
    panel.label(Label(text=text, at=(float(x), float(y)), bold=True, needed=True, clear=0.4))


def _limits_within(drawn: Drawn) -> Array:
    """The limits where there are any."""
    return drawn.limits[np.isfinite(drawn.limits)]


def _resets(panel: Panel, frame: "_Frame", first: Drawn) -> None:
    """A line at each reset; as many of their numbers as there is room for."""
    low, high = _FOOT, HEIGHT - _TOP
    across = [frame.x(at) for at in first.stops]
    for x in across:
        panel.line([(x, low), (x, high)], MOVED, order=1.5, avoid=0.3)
    gaps = [abs(b - a) for a, b in pairwise(across)]
    every = max(1, ceil(_APART / max(min(gaps, default=_APART), 0.1)))
    for number, x in enumerate(across, start=1):
        if number % every and every > 1:
            continue
        text = f"{first.stop_word} {number}" if len(across) < 5 else f"{number}"
        spots = tuple((x, low + up) for up in (2.0, 5.0, 8.0))
        panel.label(Label(text=text, at=spots[0], size=SMALL, leader=False, centres=spots))


class _Frame:
    """From m along the path and N to mm."""

    def __init__(self, low: float, high: float, most: float, width: float, first: Drawn) -> None:
        system = first.site.preferences.units
        self.low, self.high, self.width = low, high, width
        self.unit, self.force = first.force_unit
        self.long = in_unit(1.0, Dimension.LENGTH, system)
        self.up = _ticks(0.0, most * self.unit)
        self.across = _ticks(low * self.long, high * self.long)
        self.most = self.up[-1] / self.unit

    @staticmethod
    def of(compared: Sequence[Drawn], width: float) -> "_Frame":
        """Room for every curve; a limit far above them is shown as far as twice their height."""
        pulls = [float(p) for r in compared for p in r.forces if isfinite(p)]
        top = max(pulls, default=1.0)
        limits = [float(v) for v in compared[0].limits if isfinite(v)]
        most = min(max(max(limits, default=top), top), 2.2 * top) * 1.06
        low = min(float(r.at[0]) for r in compared)
        high = max(float(r.at[-1]) for r in compared)
        return _Frame(low, high, most, width, compared[0])

    def x(self, at: float) -> float:
        share = (at - self.low) / max(self.high - self.low, 1e-9)
        return _LEFT + share * (self.width - _LEFT - _RIGHT)

    def y(self, pull: float) -> float:
        return _FOOT + pull / self.most * (HEIGHT - _FOOT - _TOP)


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers over a range, the last one not below its end."""
    from matplotlib.ticker import MaxNLocator

    ticks = MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    return [float(t) for t in ticks if t >= low - 1e-9]


def _axes(panel: Panel, frame: _Frame, first: Drawn) -> None:
    system = first.site.preferences.units
    right, top = panel.width - _RIGHT, HEIGHT - _TOP
    panel.line([(_LEFT, top), (_LEFT, _FOOT), (right, _FOOT)], OUTLINE, avoid=0.5)
    for value in frame.up:
        y = frame.y(value / frame.unit)
        panel.line([(_LEFT, y), (right, y)], THIN, order=0.8, avoid=0.2)
        panel.fixed(f"{value:g}", (_LEFT - 1.0, y), size=SMALL, side="right")
    for value in frame.across:
        x = frame.x(value / frame.long)
        if x <= right + 0.1:
            panel.line([(x, _FOOT), (x, _FOOT - 1.0)], THIN, avoid=0.0)
            panel.fixed(f"{value:g}", (x, _FOOT - 2.8), size=SMALL, side="center")
    length = unit_name(Dimension.LENGTH, system)
    panel.fixed(f"{first.force_name}, {frame.force}", (1.0, HEIGHT - 3.0), size=TEXT)
    panel.fixed(f"load at, {length}", (right, 3.0), size=TEXT, side="right")
    ends = [(_LEFT, 3.0), (_LEFT + 14.0, 3.0)]
    panel.line(ends[::-1] if first.downward else ends, OUTLINE, order=4.0, arrow=True)
    panel.fixed("way of the load", (_LEFT + 16.0, 3.0), size=SMALL)


def _shown(frame: _Frame, at: Array, values: Array) -> Array:
    """(n, 2) mm of a curve, without what is infinite; cut at the top of the frame."""
    kept = np.isfinite(values)
    return np.array(
        [
            (frame.x(float(a)), frame.y(min(float(v), frame.most)))
            for a, v in zip(at[kept], values[kept], strict=True)
        ]
    ).reshape(-1, 2)


def _alike(compared: Sequence[Drawn], most: float) -> list[list[Drawn]]:
    """The setups in groups whose curves could not be distinguished on paper."""
    groups: list[list[Drawn]] = []
    for drawn in compared:
        for group in groups:
            there = np.interp(drawn.at, group[0].at, group[0].forces)
            if float(np.abs(there - drawn.forces).max()) < _SAME * most:
                group.append(drawn)
                break
        else:
            groups.append([drawn])
    return groups


def _curve(panel: Panel, frame: _Frame, group: Sequence[Drawn], style: Line) -> None:
    curve = _shown(frame, group[0].at, group[0].forces)
    panel.line(curve, style, order=4.0, avoid=1.5)
    called = names([r.called for r in group])
    x, y = curve[len(curve) * (1 + 2 * (group[0].rank % 2)) // 4]
    panel.label(
        Label(text=called, at=(float(x), float(y)),
              bold=style is ROPE, needed=True, clear=0.4)
    )  # fmt: skip
