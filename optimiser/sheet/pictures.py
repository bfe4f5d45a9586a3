"""The drawings of a page, one by one or together on one figure: the same lines either way."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from optimiser.sheet import chart, legend, plan, reeving, side
from optimiser.sheet.labels import plain
from optimiser.sheet.panel import Panel, blank, drawing
from optimiser.sheet.rigged import Rigged
from optimiser.sheet.style import WIDTH

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COLUMN_GAP, TITLE = 4.0, 7.0
"""mm between two columns of drawings, and kept for the title above each."""

Draw = Callable[["Figure", tuple[float, float]], Panel]


@dataclass(frozen=True)
class Picture:
    """One drawing: how high it is, and how to draw it with its lower left corner somewhere."""

    title: str
    height: float
    draw: Draw


def pictures(compared: Sequence[Rigged]) -> tuple[Picture, ...]:
    """All drawings of a page; the first of the setups is the page's own."""
    rigged = compared[0]
    return (
        Picture(
            "From above, to scale. The load goes up the page.",
            plan.layout(rigged).height,
            lambda figure, corner: plan.draw(figure, corner, rigged),
        ),
        Picture("Signs", legend.HEIGHT, lambda figure, corner: legend.draw(figure, corner)),
        Picture(
            "From the side, to scale",
            side.height(rigged),
            lambda figure, corner: side.draw(figure, corner, rigged),
        ),
        Picture(
            "How the rope runs, with each part's share of the pull",
            reeving.HEIGHT,
            lambda figure, corner: reeving.draw(figure, corner, rigged),
        ),
        Picture(
            "Pull along the path",
            chart.HEIGHT,
            lambda figure, corner: chart.draw(figure, corner, compared),
        ),
    )


def alone(picture: Picture) -> tuple["Figure", Panel]:
    """A figure with one drawing."""
    with drawing():
        figure = blank(WIDTH, picture.height)
        return figure, picture.draw(figure, (0.0, 0.0))


def together(
    compared: Sequence[Rigged], heading: str, *, size: tuple[float, float] | None = None
) -> tuple["Figure", list[Panel]]:
    """A figure with every drawing of a page in two columns under its heading; `size` (mm) of the paper,
    or as large as need be."""
    columns = _columns(pictures(compared))
    tall = max(sum(p.height + TITLE for p in column) for column in columns) + 12.0
    wide = 2 * WIDTH + COLUMN_GAP
    page = size or (wide + 12.0, tall + 12.0)
    left, top = (page[0] - wide) / 2, page[1] - 8.0
    with drawing():
        figure = blank(*page)
        panels = [_titled(figure, heading, (left, top - 5.0), wide, size=11.0)]
        for i, column in enumerate(columns):
            x, y = left + i * (WIDTH + COLUMN_GAP), top - 10.0
            for picture in column:
                y -= TITLE
                panels.append(_titled(figure, picture.title, (x, y), WIDTH, size=8.0))
                y -= picture.height
                panels.append(picture.draw(figure, (x, y)))
    return figure, panels


def notes(compared: Sequence[Rigged]) -> dict[str, str]:
    """What is to be said below a drawing, by its title."""
    rigged = compared[0]
    found = pictures(compared)
    beyond = plan.beyond(rigged)
    resets = len(rigged.stops) > plan.MOST_RESETS
    below = []
    if resets:
        below.append("Each small circle on the path: a reset.")
    if beyond:
        lie = "tree, anchor or post lies" if beyond == 1 else "trees, anchors or posts lie"
        below.append(f"{beyond} more {lie} off the page.")
    return {
        found[0].title: " ".join(below),
        found[2].title: "Arrows: which way the line pulls the load, with its angle to the slope. "
        "Trees beside the path are put square onto it. Broken line: ground not known.",
        found[4].title: "Broken upright lines: resets." if rigged.stops else "",
    }


def left_out(panel: Panel) -> str:
    """What found no room on a drawing, in words; "" if nothing."""
    names = [
        plain(label.text)
        for label in panel.left_out
        if not label.italic and label.text != "NOBODY HERE"
    ]
    return f"No room on the drawing for: {'; '.join(names)}." if names else ""


def _columns(found: Sequence[Picture]) -> tuple[list[Picture], list[Picture]]:
    """Two columns in reading order, split where the taller one is shortest."""

    def tallest(split: int) -> float:
        halves = (found[:split], found[split:])
        return max(sum(p.height + TITLE for p in half) for half in halves)

    split = min(range(1, len(found)), key=tallest)
    return list(found[:split]), list(found[split:])


def _titled(
    figure: "Figure", text: str, corner: tuple[float, float], width: float, *, size: float
) -> Panel:
    from optimiser.sheet.labels import fitted
    from optimiser.sheet.style import THIN

    panel = Panel(figure, corner, width, TITLE)
    panel.fixed(fitted(text, width - 1.0, size, True), (0.3, 3.6), size=size, bold=True)
    panel.line([(0.0, 0.6), (width, 0.6)], THIN, avoid=0.0)
    return panel
