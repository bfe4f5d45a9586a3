"""Draws a sweep: curves over one axis, a map over two. Black, white and grey: no meaning hangs on a
colour, and it prints anywhere."""

import io
import itertools
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimiser.jobs.sweep.axes import Axis
from optimiser.jobs.sweep.results import NONE, Cell, Sweep
from optimiser.telling.sweep import worst
from shared.files import write_atomically
from shared.units import Dimension, in_unit, unit_name

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KINDS = (".svg", ".png", ".pdf")
"""Endings of the files that can be written."""
_DOTS = 200
_STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": 9.0,
    "svg.hashsalt": "sweep",
    "svg.fonttype": "path",
    "axes.spines.top": False,
    "axes.spines.right": False,
}
_FACTS: dict[str, dict[str, Any]] = {
    ".svg": {"Date": None, "Creator": None},
    ".png": {"Software": None},
    ".pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}
"""What the files must not contain, so that the same sweep gives the same file."""


def write(found: Sweep, path: Path, system: str) -> None:
    """Write the picture; its kind goes by the name's ending (KeyError for another one). OSError where
    the file cannot be written."""
    import matplotlib

    kind = path.suffix.lower()
    stream = io.BytesIO()
    with matplotlib.rc_context(_STYLE):  # type: ignore[arg-type, unused-ignore]
        figure = lines(found, system) if len(found.axes) == 1 else chart(found)
        figure.savefig(stream, format=kind[1:], dpi=_DOTS, metadata=_FACTS[kind])
    write_atomically(path, stream.getvalue())


def lines(found: Sweep, system: str) -> "Figure":
    """Margin, pull and rope over one axis; the letters of the best setups above, boundaries dashed."""
    from matplotlib.figure import Figure

    (axis,) = found.axes
    figure = Figure(figsize=(6.4, 6.4), layout="constrained")
    plots = figure.subplots(3, 1, sharex=True)
    cells = sorted((*found.cells, *found.between), key=lambda cell: cell.values)
    pull, length = Dimension.FORCE, Dimension.LENGTH
    shown = (
        ("margin", [_or_gap(c, worst) for c in cells]),
        (
            f"worst pull [{unit_name(pull, system)}]",
            [_or_gap(c, lambda s: in_unit(s.pull, pull, system)) for c in cells],
        ),
        (
            f"rope needed [{unit_name(length, system)}]",
            [_or_gap(c, lambda s: in_unit(s.rope_needed, length, system)) for c in cells],
        ),
    )
    at = [cell.values[0] for cell in cells]
    for plot, (name, values) in zip(plots, shown, strict=True):
        _curve(plot, at, values, [found.letter(cell) for cell in cells])
        plot.set_ylabel(name)
        plot.set_ylim(bottom=0.0)
        for one in found.boundaries:
            plot.axvline((one.low + one.high) / 2, color="black", linewidth=0.6, dashes=(4, 3))
    plots[0].axhline(1.0, color="black", linewidth=0.8)
    plots[0].annotate(
        "limit",
        (axis.high, 1.0),
        textcoords="offset points",
        xytext=(-2, 3),
        ha="right",
        fontsize=7,
    )
    _letters(plots[0], found, cells)
    _no_setup(plots, found, cells)
    plots[-1].set_xlabel(_named(axis))
    plots[-1].set_xlim(axis.low, axis.high)
    figure.suptitle(f"{found.title}: best setup by {axis.key}", fontsize=10)
    return figure


def chart(found: Sweep) -> "Figure":
    """A map over two axes: margin as grey, lighter is more; letter and margin in every cell."""
    import numpy as np
    from matplotlib.figure import Figure

    first, second = found.axes
    nx, ny = (len(values) for values in found.grid)
    margins = np.array([_or_gap(cell, worst) for cell in found.cells]).reshape(nx, ny)
    figure = Figure(
        figsize=(max(5.0, 0.75 * nx + 2.0), max(4.0, 0.55 * ny + 1.6)), layout="constrained"
    )
    plot = figure.subplots()
    edges = [_edges(values) for values in found.grid]
    mesh = plot.pcolormesh(
        *edges, np.ma.masked_invalid(margins.T), cmap="Greys_r", vmin=0.0, vmax=_top(margins),
        edgecolors="#999999", linewidth=0.4,
    )  # fmt: skip
    figure.colorbar(mesh, ax=plot, label="margin (1 is the limit)")
    for one in found.boundaries:
        middle = (one.low + one.high) / 2
        assert one.other is not None
        x, y = (middle, one.other) if one.axis == 0 else (one.other, middle)
        bar = "|" if one.axis == 0 else "_"  # across the way along which it changes
        plot.plot(x, y, marker=bar, color="black", markersize=9, markeredgewidth=2.6)
        plot.plot(x, y, marker=bar, color="white", markersize=8, markeredgewidth=1.0)
    for number, cell in enumerate(found.cells):
        i, j = divmod(number, ny)
        x, y = found.grid[0][i], found.grid[1][j]
        if cell.setup is None:
            low, high = edges[1][j : j + 2]
            plot.fill_between(
                edges[0][i : i + 2], low, high, facecolor="none", edgecolor="#999999", hatch="////",
                linewidth=0.0, zorder=0.5,
            )  # fmt: skip
        value = np.floor(margins[i, j] * 100) / 100
        plot.text(
            x, y, NONE if cell.setup is None else f"{found.letter(cell)}\n{value:.2f}", ha="center",
            va="center", fontsize=7.5, color="black",
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "linewidth": 0.0},
        )  # fmt: skip
    plot.set_xlabel(_named(first))
    plot.set_ylabel(_named(second))
    plot.set_title(
        f"{found.title}: best setup (letter) and its margin\n"
        "short bars: where the best setup changes, to 1 %; hatched: no setup works",
        fontsize=8.5,
    )
    return figure


def _or_gap(cell: Cell, value: Any) -> float:
    return float("nan") if cell.setup is None else float(value(cell.setup))


def _curve(
    plot: "Axes", at: Sequence[float], values: Sequence[float], marks: Sequence[str]
) -> None:
    """A curve that is broken where the best setup changes."""
    begin = 0
    for number in range(1, len(at) + 1):
        if number == len(at) or marks[number] != marks[begin]:
            plot.plot(
                at[begin:number], values[begin:number], color="black", marker=".", markersize=3,
                linewidth=1.2,
            )  # fmt: skip
            begin = number


def _letters(plot: "Axes", found: Sweep, cells: Sequence[Cell]) -> None:
    """The letter of each stretch above its middle; raised by turns where stretches are narrow."""
    (axis,) = found.axes
    begin, last, level = 0, float("-inf"), 0
    for number in range(1, len(cells) + 1):
        if number == len(cells) or found.letter(cells[number]) != found.letter(cells[begin]):
            middle = (cells[begin].values[0] + cells[number - 1].values[0]) / 2
            near = middle - last < 0.04 * (axis.high - axis.low)
            level = (level + 1) % 3 if near else 0
            plot.annotate(
                found.letter(cells[begin]), (middle, 1.0), xycoords=("data", "axes fraction"),
                textcoords="offset points", xytext=(0, 2 + 9 * level), ha="center", va="bottom",
            )  # fmt: skip
            begin, last = number, middle


def _no_setup(plots: Sequence["Axes"], found: Sweep, cells: Sequence[Cell]) -> None:
    """Hatch where no setup works."""
    begin = 0
    for number in range(1, len(cells) + 1):
        none = cells[begin].setup is None
        if number == len(cells) or (cells[number].setup is None) != none:
            if none:
                for plot in plots:
                    plot.axvspan(
                        cells[begin].values[0], cells[number - 1].values[0], facecolor="none",
                        edgecolor="#999999", hatch="////", linewidth=0.0,
                    )  # fmt: skip
            begin = number


def _edges(values: Sequence[float]) -> list[float]:
    """Edges of the cells round some values."""
    if len(values) == 1:
        return [values[0] - 0.5, values[0] + 0.5]
    middles = [(a + b) / 2 for a, b in itertools.pairwise(values)]
    return [2 * values[0] - middles[0], *middles, 2 * values[-1] - middles[-1]]


def _top(margins: Any) -> float:
    import numpy as np

    known = margins[np.isfinite(margins)]
    return float(known.max()) * 1.15 if known.size else 1.0


def _named(axis: Axis) -> str:
    return f"{axis.key} [{axis.unit}]" if axis.unit else axis.key
