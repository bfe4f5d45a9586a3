"""Draws on a surface in millimetres: lines, shapes and labels, on one part of a figure."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from optimiser.sheet.drawing.labels import Board, Label, Placed, measure
from optimiser.sheet.drawing.style import (
    BLANK,
    FONT,
    HATCH_SHADE,
    LEADER,
    OUTLINE,
    SMALL,
    THIN,
    Line,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Point = tuple[float, float]
Points = Sequence[Any] | npt.NDArray[np.float64]
INCH = 25.4


@contextmanager
def drawing() -> Iterator[None]:
    """Settings while something is drawn or saved: the same everywhere, and no text taken for a formula."""
    import warnings

    import matplotlib

    settings: Any = {
        "font.family": FONT,
        "text.parse_math": False,
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
        "hatch.linewidth": 0.45,
        "path.simplify": False,
        "lines.dash_capstyle": "butt",
        "lines.scale_dashes": True,
    }
    with matplotlib.rc_context(settings), warnings.catch_warnings():
        # A name may have letters the drawing's font lacks: a box stands there; the text has the name.
        warnings.filterwarnings("ignore", message=r"Glyph .* missing from", category=UserWarning)
        yield


def blank(width: float, height: float) -> "Figure":
    """An empty figure of a size in mm."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width / INCH, height / INCH), dpi=100, facecolor="white")


@dataclass
class Panel:
    """A rectangle of a figure, its lower left corner at `corner`; everything in mm from there."""

    figure: "Figure"
    corner: Point
    width: float
    height: float
    board: Board = field(init=False)
    left_out: list[Label] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)

    def __post_init__(self) -> None:
        wide, high = (float(v) * INCH for v in self.figure.get_size_inches())
        place = (
            self.corner[0] / wide,
            self.corner[1] / high,
            self.width / wide,
            self.height / high,
        )
        self.ax = self.figure.add_axes(place)
        self.ax.set_axis_off()
        self.ax.set_xlim(0.0, self.width)
        self.ax.set_ylim(0.0, self.height)
        self.board = Board(self.width, self.height)

    def line(
        self,
        points: Points,
        style: Line,
        *,
        order: float = 3.0,
        avoid: float = 1.0,
        arrow: bool = False,
    ) -> None:
        """A line; `avoid`: how badly labels should keep off it."""
        from matplotlib.lines import Line2D

        row = np.asarray(points, dtype=float)
        dashes: Any = "solid" if not style.dashes else (0, style.dashes)
        self.ax.add_artist(
            Line2D(
                row[:, 0],
                row[:, 1],
                lw=style.width,
                ls=dashes,
                color=style.shade,
                zorder=order,
                solid_joinstyle="round",
            )
        )
        if avoid:
            self.board.avoid(row, avoid)
        if arrow:
            self.head(row[-1], row[-1] - row[-2], order=order, shade=style.shade, size=style.width)

    def strokes(self, lines: Sequence[Points], style: Line, *, order: float = 2.0) -> None:
        """Many short lines at once, which labels may cover."""
        from matplotlib.collections import LineCollection

        rows = [np.asarray(line, dtype=float) for line in lines]
        self.ax.add_collection(
            LineCollection(rows, colors=style.shade, linewidths=style.width, zorder=order),
            autolim=False,
        )

    def head(
        self, tip: Any, way: Any, *, order: float = 3.0, shade: str = "black", size: float = 1.0
    ) -> None:
        """An arrow head, filled, three times as long as it is wide."""
        from matplotlib.patches import Polygon

        unit = np.asarray(way, dtype=float)
        unit = unit / max(float(np.hypot(*unit)), 1e-9)
        across = np.array((-unit[1], unit[0]))
        long = 1.8 + 0.5 * size
        base = np.asarray(tip) - long * unit
        corners = [np.asarray(tip), base + across * long / 4.5, base - across * long / 4.5]
        self.ax.add_artist(Polygon(corners, closed=True, fc=shade, ec=shade, lw=0.3, zorder=order))

    def shape(
        self,
        corners: Points,
        style: Line = OUTLINE,
        *,
        fill: str = "none",
        order: float = 3.0,
        avoid: float = 1.0,
    ) -> None:
        """A closed outline."""
        from matplotlib.patches import Polygon

        dashes: Any = "solid" if not style.dashes else (0, style.dashes)
        row = np.asarray(corners, dtype=float)
        self.ax.add_artist(
            Polygon(
                row, closed=True, fc=fill, ec=style.shade, lw=style.width, ls=dashes, zorder=order
            )
        )
        if avoid:
            self.board.avoid(np.concatenate([row, row[:1]]), avoid)

    def circle(
        self,
        centre: Point,
        radius: float,
        style: Line = OUTLINE,
        *,
        fill: str = "white",
        order: float = 4.0,
        avoid: float = 2.0,
    ) -> None:
        """A circle."""
        from matplotlib.patches import Circle

        self.ax.add_artist(
            Circle(centre, radius, fc=fill, ec=style.shade, lw=style.width, zorder=order)
        )
        if avoid:
            angles = np.linspace(0.0, 2 * np.pi, max(8, int(radius * 8)))
            ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
            self.board.avoid(np.array(centre) + radius * ring, avoid)
            self.board.avoid([centre], 2 * avoid)

    def square(self, centre: Point, half: float, *, order: float = 5.5) -> None:
        """A filled square: the standing end of the rope."""
        x, y = centre
        box = [
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        ]
        self.shape(box, THIN, fill="black", order=order, avoid=2.0)

    def keep_free(self, centre: Point, radius: float) -> None:
        """No label may cover this spot."""
        x, y = centre
        self.board.boxes.append((x - radius, y - radius, x + radius, y + radius))

    def hatched(self, polygons: Sequence[Points], hatch: str, *, order: float = 0.5) -> None:
        """Areas as one: where they overlap the hatching stays as it is."""
        from matplotlib.patches import PathPatch
        from matplotlib.path import Path

        if not polygons:
            return
        loops = [np.concatenate([np.asarray(p), np.asarray(p)[:1]]) for p in polygons]
        path = Path.make_compound_path(*[Path(loop, closed=True) for loop in loops])
        self.ax.add_artist(
            PathPatch(path, fc="none", ec=HATCH_SHADE, hatch=hatch, lw=0.0, zorder=order)
        )

    def arc(
        self,
        centre: Point,
        radius: float,
        begin: float,
        end: float,
        style: Line,
        *,
        order: float = 3.0,
    ) -> None:
        """Part of a circle between two angles, rad."""
        angles = np.linspace(begin, end, 24)
        self.line(
            np.array(centre) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1),
            style,
            order=order,
        )

    def fixed(
        self,
        text: str,
        at: Point,
        *,
        size: float = SMALL,
        bold: bool = False,
        side: str = "left",
        halo: bool = True,
    ) -> None:
        """A text that has its own place, its left end, middle or right end at `at`; labels keep off."""

        wide, high = measure(text, size, bold)
        left = at[0] - {"left": 0.0, "center": wide / 2, "right": wide}[side]
        middle = (left + wide / 2, at[1])
        self._write(text, middle, size, bold, halo=halo, at=at, side=side)
        self.board.boxes.append((left, at[1] - high / 2, left + wide, at[1] + high / 2))

    def label(self, label: Label) -> None:
        """A text that finds its own place when the drawing is finished."""
        self.board.labels.append(label)

    def finish(self) -> None:
        """Place the labels."""
        self.placed, self.left_out = self.board.settle()
        for placed in self.placed:
            self._put(placed)

    def _put(self, placed: Placed) -> None:
        label, (x, y) = placed.label, placed.centre
        self._lead(placed)
        if label.frame:
            left, bottom, right, top = placed.box
            box = [(left, bottom), (right, bottom), (right, top), (left, top)]
            self.shape(box, THIN, fill="white", order=8.0, avoid=0.0)
        elif label.ring:
            self.circle((x, y), placed.extent[0] / 2, THIN, order=8.0, avoid=0.0)
        halo = not label.ring and not label.frame
        self._write(label.text, (x, y), label.size, label.bold, halo=halo, italic=label.italic)

    def _lead(self, placed: Placed) -> None:
        """A thin line from the thing to its label, where that does not stand right beside it."""
        if placed.leader is not None:
            self.line(placed.leader, LEADER, order=6.0, avoid=0.0)

    def _write(
        self,
        text: str,
        centre: Point,
        size: float,
        bold: bool,
        *,
        halo: bool = True,
        at: Point | None = None,
        side: str = "center",
        italic: bool = False,
    ) -> None:
        """A text in the middle of its box, or from `at`; `halo`: on white, so that no line runs through."""
        if halo:
            wide, high = measure(text, size, bold)
            high *= 0.86
            x, y = centre
            box = [(x - wide / 2, y - high / 2), (x + wide / 2, y - high / 2),
                   (x + wide / 2, y + high / 2), (x - wide / 2, y + high / 2)]  # fmt: skip
            self.shape(box, BLANK, fill="white", order=8.5, avoid=0.0)
        x, y = at or centre
        self.ax.text(
            x,
            y,
            text,
            size=size,
            weight="bold" if bold else "normal",
            ha=side,
            va="center_baseline" if "\n" not in text else "center",
            zorder=9.0,
            parse_math=False,
            linespacing=1.2,
            style="italic" if italic else "normal",
        )
