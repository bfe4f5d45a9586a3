"""Places labels: beside what they name, over nothing else, and never off the page.

Every label's box is measured with the renderer that draws it. Labels are placed one after another,
those that must not be missing first; each takes the cheapest of its candidate places that meets no box
already placed and lies inside the drawing. What finds no place is left out and reported below the drawing,
rather than made too small to read, or put where it could be misread.
"""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.sheet.drawing.style import FONT, POINT, TEXT

Point = tuple[float, float]
Box = tuple[float, float, float, float]

GAP = 0.8
"""mm kept free around every box."""
_RADII = (1.2, 2.2, 3.5, 5.0, 7.0, 9.5, 12.5, 16.0, 20.0, 25.0, 31.0, 38.0)
_CELL = 0.5
"""mm: what is drawn already is remembered in cells of this size."""
_LINE_COST, _LEADER_COST, _FAR_COST, _MISTAKEN_COST = 0.7, 1.6, 1.1, 5.0
_THROUGH_COST = 60.0
"""Of a leader through another label or across another thing."""
_ASTRAY_COST = 40.0
"""Of standing nearer to another thing than to one's own."""
_TRIES = 5
"""Orders in which all labels of a drawing are placed, where the first one leaves some astray."""
_BESIDE = 2.6
"""mm from a thing within which its label needs no leader."""
_NEAR = 2.0
"""mm from a thing within which a label seems to be that thing's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text for a thing at `at` (mm). `centres`: the places it may take, if not anywhere around.

    `ring`: mm around a number that stands in a circle; `frame`: mm around a text in a frame; 0 for
    neither. `clear`: mm from `at` that the thing itself fills. `leader`: a line leads to the thing.
    `needed`: placed before the others, and never left out lightly. `reach`: mm from its thing beyond
    which a label that is not needed does not go.
    """

    text: str
    at: Point
    size: float = TEXT
    bold: bool = False
    italic: bool = False
    ring: float = 0.0
    frame: float = 0.0
    needed: bool = False
    clear: float = 0.0
    centres: tuple[Point, ...] = ()
    leader: bool = True
    reach: float = 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label, the centre and the whole extents of its box, mm, and how bad a place that is."""

    label: Label
    centre: Point
    extent: Point
    cost: float = 0.0

    @property
    def box(self) -> Box:
        """Left, bottom, right, top, mm."""
        (x, y), (w, h) = self.centre, self.extent
        return x - w / 2, y - h / 2, x + w / 2, y + h / 2

    @property
    def leader(self) -> tuple[Point, Point] | None:
        """The line from the thing to the label; None where that stands right beside it."""
        if not self.label.leader:
            return None
        start, end, drawn = _leaders(self.label, np.array([self.centre]), self.extent)
        if not drawn[0]:
            return None
        return (float(start[0, 0]), float(start[0, 1])), (float(end[0, 0]), float(end[0, 1]))


@dataclass(frozen=True, slots=True)
class _Settled:
    """One way to place all labels. `astray`: those badly placed, or needed and without a place."""

    placed: list[Placed]
    left: list[Label]
    astray: list[Label]

    @property
    def rank(self) -> tuple[int, int, int, float]:
        """Less is better."""
        missing = sum(label.needed for label in self.left)
        return missing, len(self.astray), len(self.left), sum(one.cost for one in self.placed)


@dataclass
class Board:
    """The labels of one drawing of `width` by `height` mm, and the lines they should not cover."""

    width: float
    height: float
    labels: list[Label] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    leaders: list[Array] = field(default_factory=list)  # of labels placed, as points
    things: int = 0  # boxes of what is drawn, before those of labels that find their place
    ink: Array = field(init=False)  # (rows, columns) how badly each cell should stay free

    def __post_init__(self) -> None:
        self.ink = np.zeros((int(self.height / _CELL) + 2, int(self.width / _CELL) + 2))

    def avoid(self, points: Sequence[Point] | Array, weight: float = 1.0) -> None:
        """Better not over this line (or spot): `weight` times the cost of a plain line."""
        row = np.asarray(points, dtype=float).reshape(-1, 2)
        marks = [row[:1]]
        for a, b in itertools.pairwise(row):
            count = max(int(np.hypot(*(b - a)) / _CELL), 1)
            marks.append(a + (b - a) * np.linspace(0.0, 1.0, count + 1)[1:, None])
        rows, columns = self._cells(np.concatenate(marks))
        self.ink[rows, columns] = np.maximum(self.ink[rows, columns], weight)

    def _cells(self, points: Array) -> tuple[Numbers, Numbers]:
        """Row and column of each point, those off the drawing in its edge cells."""
        cells = np.floor(np.asarray(points) / _CELL).astype(int)
        high, wide = self.ink.shape
        return cells[..., 1].clip(0, high - 1), cells[..., 0].clip(0, wide - 1)

    def settle(self) -> tuple[list[Placed], list[Label]]:
        """Place every label: the placed ones in order, and those that found no room.

        Where one comes to stand astray, or none is found for one, they are all placed anew with those
        first, a few times: the best of it counts.
        """
        boxes, ink = list(self.boxes), self.ink.copy()
        self.things = len(boxes)
        order = sorted(self.labels, key=lambda label: (not label.needed, not label.centres))
        best: _Settled | None = None
        for _ in range(_TRIES):
            self.boxes, self.ink, self.leaders = list(boxes), ink.copy(), []
            found = self._in_order(order)
            if best is None or found.rank < best.rank:
                best = found
            if not found.astray:
                break
            first = [label for label in order if label in found.astray]
            others = [label for label in order if label not in found.astray]
            order = sorted([*first, *others], key=lambda label: not label.needed)
        assert best is not None
        self.boxes = [*boxes, *(one.box for one in best.placed)]
        return best.placed, best.left

    def _in_order(self, order: Sequence[Label]) -> "_Settled":
        placed: list[Placed] = []
        left: list[Label] = []
        astray: list[Label] = []
        for label in order:
            found = self._place(label)
            if found is None:
                left.append(label)
                astray += [label] if label.needed else []
                continue
            placed.append(found)
            astray += [label] if found.cost >= _ASTRAY_COST else []
            self.boxes.append(found.box)
            if found.leader is not None:
                self.avoid(found.leader, 4.0)
                a, b = np.array(found.leader)
                self.leaders.append(a + np.linspace(0.0, 1.0, 25)[:, None] * (b - a))
        return _Settled(placed, left, astray)

    def _place(self, label: Label) -> Placed | None:
        extent = measure(label.text, label.size, label.bold)
        if label.ring:
            extent = (max(extent) + 2 * label.ring,) * 2
        extent = (extent[0] + 2 * label.frame, extent[1] + 2 * label.frame)
        found = self._cheapest(label, extent)
        if found is None:
            return None
        centre, cost = found
        return Placed(label=label, centre=centre, extent=extent, cost=cost)

    def _cheapest(self, label: Label, extent: Point) -> tuple[Point, float] | None:
        found, least = None, float("inf")
        for spots, costs in self._candidates(label, extent):
            free = self._free(spots, extent)
            if free.any():
                cost = costs + self._covered(spots, extent) + self._led(label, spots, extent)
                cost += self._mistaken(label, spots, extent) + self._over_leaders(spots, extent)
                cost = np.where(free, cost, np.inf)
                best = int(np.argmin(cost))
                if cost[best] < least:
                    least = float(cost[best])
                    found = (float(spots[best, 0]), float(spots[best, 1])), least
                if least < _ASTRAY_COST:  # else look further off
                    break
        return found if label.needed or least < _THROUGH_COST else None

    def _over_leaders(self, spots: Array, extent: Point) -> Array:
        """Cost of standing on leaders already drawn."""
        cost = np.zeros(len(spots))
        half = np.array(extent) / 2 + np.array(GAP / 2)
        for marks in self.leaders:
            inside = np.abs(marks[None, :, :] - spots[:, None, :]) < half
            cost += np.any(np.all(inside, axis=2), axis=1) * _THROUGH_COST
        return cost

    def _candidates(self, label: Label, extent: Point) -> Iterable[tuple[Array, Array]]:
        if label.centres:
            spots = np.array(label.centres)
            yield spots, np.linspace(0.0, 0.1 * len(spots), len(spots))
            if not label.leader:
                return
        turns, spread = _compass()
        away = np.array(_RADII if label.needed else [r for r in _RADII if r <= label.reach])
        radii = np.repeat(away + label.clear, len(turns))
        way = np.tile(turns, (len(away), 1))
        centre = np.array(label.at) + way * (radii[:, None] + np.array(extent) / 2)
        yield centre, (radii - label.clear) * _FAR_COST + np.tile(spread, len(away))
        if label.needed:
            grid = np.stack(
                np.meshgrid(np.arange(0.0, self.width, 2.0), np.arange(0.0, self.height, 2.0)), -1
            ).reshape(-1, 2)
            yield grid, np.hypot(*(grid - np.array(label.at)).T)

    def _free(self, spots: Array, extent: Point) -> npt.NDArray[np.bool_]:
        half = np.array(extent) / 2
        low, high = spots - half, spots + half
        out = (low >= GAP).all(axis=1) & (high <= np.array((self.width, self.height)) - GAP).all(
            axis=1
        )
        for left, bottom, right, top in self.boxes:
            out &= (
                (high[:, 0] + GAP <= left)
                | (low[:, 0] - GAP >= right)
                | (high[:, 1] + GAP <= bottom)
                | (low[:, 1] - GAP >= top)
            )
        return np.asarray(out)

    def _covered(self, spots: Array, extent: Point) -> Array:
        """Cost of what the boxes would cover."""
        sums = np.zeros((self.ink.shape[0] + 1, self.ink.shape[1] + 1))
        sums[1:, 1:] = self.ink.cumsum(axis=0).cumsum(axis=1)
        half = np.array(extent) / 2
        bottom, left = self._cells(spots - half)
        top, right = self._cells(spots + half)
        inside = sums[top + 1, right + 1] - sums[bottom, right + 1]
        inside += sums[bottom, left] - sums[top + 1, left]
        return np.asarray(inside * _LINE_COST)

    def _mistaken(self, label: Label, spots: Array, extent: Point) -> Array:
        """Cost of standing so near another thing that the label could be taken for that one's."""
        others = [x for x in self.labels if x.at != label.at and not x.centres]
        if label.centres or not others:
            return np.zeros(len(spots))
        at = np.array([x.at for x in others])
        own = _gaps(np.array([label.at]), spots, extent)[:, 0] - label.clear
        gaps = _gaps(at, spots, extent) - np.array([x.clear for x in others])
        astray = gaps.min(axis=1) < own
        cost = (gaps < _NEAR).sum(axis=1) * _MISTAKEN_COST
        return np.asarray(cost + astray * _ASTRAY_COST)

    def _led(self, label: Label, spots: Array, extent: Point) -> Array:
        """Cost of a leader that would run over lines, across other things or through labels already
        placed."""
        if not label.leader:
            return np.zeros(len(spots))
        start, end, drawn = _leaders(label, spots, extent)
        shares = np.linspace(0.0, 1.0, 25)[1:]
        marks = start + shares[:, None, None] * (end - start)
        crossed = self.ink[self._cells(marks)].sum(axis=0) * _LEADER_COST / 2
        through = np.zeros(len(spots))
        for i, (left, bottom, right, top) in enumerate(self.boxes):
            own = left <= label.at[0] <= right and bottom <= label.at[1] <= top
            if own and i < self.things:
                continue  # its own thing
            inside = (marks[..., 0] > left - GAP) & (marks[..., 0] < right + GAP)
            inside &= (marks[..., 1] > bottom - GAP) & (marks[..., 1] < top + GAP)
            through += inside.any(axis=0)
        return np.asarray((crossed + through * _THROUGH_COST) * drawn)


def _gaps(points: Array, spots: Array, extent: Point) -> Array:
    """(spots, points) mm from boxes at some centres to points."""
    away = np.abs(points[None, :, :] - spots[:, None, :]) - np.array(extent) / 2
    away = np.maximum(away, 0.0)
    return np.asarray(np.hypot(away[..., 0], away[..., 1]))


def _leaders(
    label: Label, spots: Array, extent: Point
) -> tuple[Array, Array, npt.NDArray[np.bool_]]:
    """Where the leaders to boxes at some centres begin and end, and which of them are long enough to be
    drawn."""
    at, half = np.array(label.at), np.array(extent) / 2
    end = np.clip(at, spots - half, spots + half)
    gap = np.hypot(*(end - at).T)
    share = np.minimum(label.clear / np.maximum(gap, 1e-9), 1.0)
    return at + share[:, None] * (end - at), end, gap > label.clear + _BESIDE


@cache
def _compass() -> tuple[Array, Array]:
    """Directions around a thing, and how much the less readable ones cost."""
    angles = np.linspace(0.0, 2 * np.pi, 16, endpoint=False)
    turns = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return turns, 0.3 * np.abs(turns[:, 1]) + 0.2 * (turns[:, 0] < 0.0)


@cache
def measure(text: str, size: float, bold: bool = False) -> Point:
    """Width and height of a text, mm, as the renderer draws it; line by line."""
    from matplotlib.backends.backend_agg import RendererAgg
    from matplotlib.font_manager import FontProperties

    prop = FontProperties(family=FONT, size=size, weight="bold" if bold else "normal")
    dots = 288.0
    renderer: Any = RendererAgg(1, 1, dots)  # type: ignore[no-untyped-call]
    widths = [
        renderer.get_text_width_height_descent(line or " ", prop, False)[0]
        for line in text.split("\n")
    ]
    lines = text.count("\n") + 1
    high = 1.3 if lines == 1 else 1.3 * lines + 0.1
    return 1.03 * max(widths) / dots * 25.4 + 0.3, high * size * POINT


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """A text in lines of at most `width` mm; a word that is longer is cut with an ellipsis."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if measure(longer, size, bold)[0] <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            line = fitted(word, width, size, bold)
        lines.append(line)
    return lines


def fitted(text: str, width: float, size: float, bold: bool = False) -> str:
    """A text cut with an ellipsis to at most `width` mm."""
    text = plain(text)
    if measure(text, size, bold)[0] <= width:
        return text
    while text and measure(text + "…", size, bold)[0] > width:
        text = text[:-1]
    return text.rstrip() + "…"


def plain(text: str) -> str:
    """A text in one line without control characters: what is drawn must be one line high."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def folded(text: str, width: int) -> str:
    """A name in two lines of at most about `width` characters, cut if it is longer."""
    from textwrap import wrap

    lines = wrap(plain(text), width) or [""]
    return "\n".join(lines[:1] + ([short(" ".join(lines[1:]), width)] if lines[1:] else []))


def short(text: str, most: int = 22) -> str:
    """A name cut to what a label has room for."""
    text = plain(text)
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
