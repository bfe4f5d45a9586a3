"""Draws a sweep: curves over one axis, a map over two. Black, white and grey: no meaning hangs on a
colour, and it prints anywhere."""

import io
import itertools
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimiser.jobs.sweep.axes import Axis
from optimiser.jobs.sweep.results import Cell, Rig, Sweep
from optimiser.rig.setup import LoweringSetup
from optimiser.telling.sweep import LEFT_WHOLE, legend, sought, ties, worst
from shared.files import write_atomically
from shared.listing import wrapped
from shared.units import Dimension, in_unit, unit_name

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KINDS = (".svg", ".png", ".pdf")
"""Endings of the files that can be written."""
_DOTS = 200
_SMALL = 7.5
"""Points: the letters of the key."""
_LINE = 1.3 * _SMALL / 72
"""Inches that a line of the key is high."""
_CHARACTERS = 15.0
"""Characters of the key in an inch."""
CHANGES: dict[str, Any] = {"color": "black", "linewidth": 0.9, "dashes": (5, 3)}
EITHER: dict[str, Any] = {"color": "#666666", "linewidth": 0.8, "dashes": (1, 2.5)}
"""How it is drawn where the best setup changes, and where it does but either will do."""
DOUBT = "?"
"""Beside the letter of a cell whose setup may fail within what the readings leave open."""
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
        figure = lines(found, system) if len(found.axes) == 1 else chart(found, system)
        figure.savefig(stream, format=kind[1:], dpi=_DOTS, metadata=_FACTS[kind])
    write_atomically(path, stream.getvalue())


def lines(found: Sweep, system: str) -> "Figure":
    """Margin, pull and rope over one axis; the letters of the best setups above, boundaries dashed; the key
    below."""
    (axis,) = found.axes
    width = 6.8
    words = _key(found, system, width)
    figure, (strip, *plots) = _above_key((width, 6.4), (0.4, 2.0, 2.0, 2.0), words)
    cells = sorted((*found.cells, *found.between), key=lambda cell: cell.values)
    pull, length = Dimension.FORCE, Dimension.LENGTH
    shown = (
        ("margin", [_or_gap(c, worst) for c in cells]),
        (
            f"{'worst line' if found.down else 'worst pull'} [{unit_name(pull, system)}]",
            [_or_gap(c, lambda s: in_unit(_force(s), pull, system)) for c in cells],
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
        top = max((value for value in values if value == value), default=1.0)
        plot.set_ylim(0.0, 1.1 * top)
        plot.set_xlim(axis.low, axis.high)
    for plot in (strip, *plots):
        for one in found.boundaries:
            plot.axvline((one.low + one.high) / 2, **(EITHER if one.either else CHANGES))
    plots[0].axhline(1.0, color="black", linewidth=0.8)
    plots[0].annotate(
        "1: just enough",
        (axis.low, 1.0),
        textcoords="offset points",
        xytext=(4, -9),
        fontsize=7,
        bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "linewidth": 0.0},
    )
    _not_certain(plots[0], found)
    _letters(strip, found, cells)
    _no_setup(plots, found, cells)
    for plot in plots[:-1]:
        plot.tick_params(labelbottom=False)
    plots[-1].set_xlabel(_named(axis))
    strip.set_title(f"{found.title}: best {sought(found)} by {axis.name}", fontsize=10)
    return figure


def chart(found: Sweep, system: str) -> "Figure":
    """A map over two axes: margin as grey, lighter is more; letter and margin in every cell; the key
    below."""
    import numpy as np

    first, second = found.axes
    nx, ny = (len(values) for values in found.grid)
    margins = np.array([_or_gap(cell, worst) for cell in found.cells]).reshape(nx, ny)
    width, high = max(6.4, 0.75 * nx + 2.0), max(4.0, 0.55 * ny + 1.6)
    words = _key(found, system, width)
    figure, (plot,) = _above_key((width, high), (high,), words)
    edges = [_edges(values) for values in found.grid]
    mesh = plot.pcolormesh(
        *edges, np.ma.masked_invalid(margins.T), cmap="Greys_r", vmin=0.0, vmax=_top(margins),
        edgecolors="#999999", linewidth=0.4,
    )  # fmt: skip
    figure.colorbar(mesh, ax=plot, pad=0.03, label="margin (1: just enough)")
    for one in found.boundaries:
        middle = (one.low + one.high) / 2
        assert one.other is not None
        x, y = (middle, one.other) if one.axis == 0 else (one.other, middle)
        bar = "|" if one.axis == 0 else "_"  # across the way along which it changes
        plot.plot(x, y, marker=bar, color="black", markersize=9, markeredgewidth=2.6)
        if one.either:
            plot.plot(x, y, marker=bar, color="white", markersize=8, markeredgewidth=1.4)
    for number, cell in enumerate(found.cells):
        i, j = divmod(number, ny)
        x, y = found.grid[0][i], found.grid[1][j]
        if not cell.works:
            low, high = edges[1][j : j + 2]
            plot.fill_between(
                edges[0][i : i + 2], low, high, facecolor="none", edgecolor="#999999", hatch="////",
                linewidth=0.0, zorder=0.5,
            )  # fmt: skip
        value = np.floor(margins[i, j] * 100) / 100
        letters = "=".join((found.letter(cell), *found.as_good(cell)))
        letters += DOUBT if cell.certain is False else ""
        plot.text(
            x, y, found.letter(cell) if cell.setup is None else f"{letters}\n{value:.2f}", ha="center",
            va="center", fontsize=7.5, color="black",
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "linewidth": 0.0},
        )  # fmt: skip
    plot.set_xlabel(_named(first))
    plot.set_ylabel(_named(second))
    plot.set_title(f"{found.title}: best {sought(found)} (letter) and its margin", fontsize=10)
    return figure


def _force(setup: Rig) -> float:
    """Worst pull of a haul, worst tension of the line of a way down, N."""
    return setup.line if isinstance(setup, LoweringSetup) else setup.pull


def _or_gap(cell: Cell, value: Any) -> float:
    return float("nan") if cell.setup is None else float(value(cell.setup))


def _not_certain(plot: "Axes", found: Sweep) -> None:
    """Circles on a curve of margins where the readings leave open whether the setup works."""
    some = [cell for cell in found.cells if cell.certain is False]
    plot.plot(
        [cell.values[0] for cell in some], [_or_gap(cell, worst) for cell in some],
        linestyle="none", marker="o", markersize=8, markerfacecolor="none", markeredgecolor="black",
        clip_on=False,
    )  # fmt: skip


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
    """The letter of each stretch at its middle, on a strip; raised by turns where stretches are narrow."""
    (axis,) = found.axes
    plot.set_xlim(axis.low, axis.high)
    plot.set_axis_off()
    begin, last, level = 0, float("-inf"), 0
    for number in range(1, len(cells) + 1):
        if number == len(cells) or found.letter(cells[number]) != found.letter(cells[begin]):
            middle = (cells[begin].values[0] + cells[number - 1].values[0]) / 2
            near = middle - last < 0.04 * (axis.high - axis.low)
            level = (level + 1) % 3 if near else 0
            plot.text(
                middle, 0.02 + level / 3, found.letter(cells[begin]), fontsize=8.5, fontweight="bold",
                transform=plot.get_xaxis_transform(), ha="center", va="bottom",
            )  # fmt: skip
            begin, last = number, middle


def _no_setup(plots: Sequence["Axes"], found: Sweep, cells: Sequence[Cell]) -> None:
    """Hatch where no setup works."""
    begin = 0
    for number in range(1, len(cells) + 1):
        none = not cells[begin].works
        if number == len(cells) or cells[number].works == none:
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
    return f"{axis.name} [{axis.unit}]" if axis.unit else axis.name


def _above_key(
    size: tuple[float, float], heights: Sequence[float], words: str
) -> tuple["Figure", tuple["Axes", ...]]:
    """A figure with plots below each other, and the key below them all. `size` without the key, in."""
    from matplotlib.figure import Figure

    tall = _LINE * (words.count("\n") + 2)
    width, high = size[0], size[1] + tall
    figure = Figure(
        figsize=(width, high)
    )  # laid out by hand: what solves layouts differs in last digits
    plots = figure.subplots(
        len(heights), 1, squeeze=False, height_ratios=heights,
        gridspec_kw={
            "left": 0.65 / width, "right": 1.0 - 0.25 / width, "top": 1.0 - 0.35 / high,
            "bottom": (tall + 0.6) / high, "hspace": 0.12,
        },
    )  # fmt: skip
    figure.text(0.2 / width, tall / high, words, va="top", fontsize=_SMALL, linespacing=1.3)
    return figure, tuple(plots[:, 0])


def _key(found: Sweep, system: str, width: float) -> str:
    """What letters, lines, bars and hatching mean, in lines for a figure of this width (in)."""
    texts = [legend(found, system).replace("\n- ", "\n").removeprefix("- "), *ties(found)]
    changes = any(not one.either for one in found.boundaries)
    either = any(one.either for one in found.boundaries)
    on_map = len(found.axes) > 1
    if changes:
        what = "Short black bars" if on_map else "Broken lines"
        texts.append(f"{what}: where the best setup changes (to 1 %).")
    if either:
        what = "Short white bars" if on_map else "Dotted lines"
        texts.append(f"{what}: the best setup changes, but either will do there.")
    if on_map and any(found.as_good(cell) for cell in found.cells):
        texts.append("A=B: A is the best, B is as good.")
    if any(cell.certain is False for cell in found.cells):
        sign = f"A{DOUBT}" if on_map else "Circles"
        texts.append(f"{sign}: NOT CERTAIN, the readings leave open whether it works there (95 %).")
    if any(not cell.works for cell in found.cells):
        texts.append(
            f"Hatched: {'no one hold does all of it' if found.down else 'no setup works'}."
        )
    if found.of_one_piece:
        texts.append(LEFT_WHOLE)
    if not found.proven:
        texts.append("NOT proven: better setups may exist in some cells.")
    many = int(width * _CHARACTERS)
    return "\n".join(
        line
        for text in texts
        for paragraph in text.split("\n")
        for line in wrapped(paragraph, many, "   ")
    )
