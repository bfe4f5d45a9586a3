"""Makes the drawings of a page, one by one or together on one figure: the same lines either way."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from optimiser.sheet.drawing import chart, from_above, legend, plan_things, reeving, side
from optimiser.sheet.drawing.labels import fitted, plain
from optimiser.sheet.drawing.panel import Panel, blank, drawing
from optimiser.sheet.drawing.style import THIN, WIDTH
from optimiser.sheet.drawing.view import layout
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.seen import Seen
from optimiser.sheet.wording.dangers import badly_placed

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COLUMN_GAP, TITLE = 4.0, 7.0
"""mm between two columns of drawings, and kept for the title above each."""

SIGNS, SIDE = "Signs", "From the side, to scale"
ABOVE = {
    False: "From above, to scale. The load goes up the page.",
    True: "From above, to scale. The load goes down the page.",
}
FROM_ABOVE = "From above, to scale. The path goes up the page."
RUNS = {
    False: "How the rope runs, with each part's share of the pull",
    True: "How the rope runs, with each part's share of the hold",
}
CHART = {False: "Pull along the path", True: "Force that holds, along the path"}
"""Titles of the drawings; where the load goes down the path they state it."""

_EDGE, _HEAD = 8.0, 12.0
"""mm kept free above the heading of a figure, and taken by the heading."""

WIDE, HEADING = 2 * WIDTH + COLUMN_GAP, 11.0
"""mm that two columns take; pt of the heading above them."""

Draw = Callable[["Figure", tuple[float, float]], Panel]


@dataclass(frozen=True)
class Picture:
    """One drawing: how high it is, and how to draw it with its lower left corner somewhere."""

    title: str
    height: float
    draw: Draw


def pictures(compared: Sequence[Drawn]) -> tuple[Picture, ...]:
    """All drawings of a page; the first of the setups is the page's own."""
    drawn = compared[0]
    hauling = [rope for rope in drawn.ropes if not rope.holds]
    holding = [rope for rope in drawn.ropes if rope.holds]
    out = [
        Picture(
            ABOVE[drawn.downward],
            layout(drawn).height,
            lambda figure, corner: from_above.draw(figure, corner, drawn),
        ),
        Picture(
            SIGNS,
            legend.height(drawn),
            lambda figure, corner: legend.draw(figure, corner, drawn),
        ),
        Picture(SIDE, side.height(drawn), lambda figure, corner: side.draw(figure, corner, drawn)),
        Picture(
            RUNS[drawn.downward],
            reeving.height(hauling),
            lambda figure, corner: reeving.draw(figure, corner, drawn, hauling),
        ),
    ]
    if holding:
        out.append(
            Picture(
                f"How the {holding[0].called} runs"
                if len(holding) == 1
                else "How the lines that hold run",
                reeving.height(holding),
                lambda figure, corner: reeving.draw(figure, corner, drawn, holding),
            )
        )
    out.append(
        Picture(
            CHART[drawn.downward],
            chart.HEIGHT,
            lambda figure, corner: chart.draw(figure, corner, compared),
        )
    )
    return tuple(out)


def of_site(seen: Seen) -> tuple[Picture, ...]:
    """The drawings of a site on which nothing is rigged."""
    return (
        Picture(
            FROM_ABOVE,
            layout(seen).height,
            lambda figure, corner: from_above.draw(figure, corner, seen),
        ),
        Picture(
            SIGNS, legend.height(seen), lambda figure, corner: legend.draw(figure, corner, seen)
        ),
        Picture(
            SIDE, side.height(seen), lambda figure, corner: side.draw_site(figure, corner, seen)
        ),
    )


def alone(picture: Picture) -> tuple["Figure", Panel]:
    """A figure with one drawing."""
    with drawing():
        figure = blank(WIDTH, picture.height)
        return figure, picture.draw(figure, (0.0, 0.0))


def together(found: Sequence[Picture], heading: str) -> tuple["Figure", list[Panel]]:
    """A figure with every drawing of a page in two columns under its heading, as large as need be."""
    columns = _columns(found)
    tall = max(_high(column) for column in columns) + _HEAD
    return _set(columns, heading, (WIDE + 12.0, tall + 12.0))


def on_paper(
    found: Sequence[Picture], heading: str, size: tuple[float, float]
) -> list[tuple["Figure", list[Panel]]]:
    """The same on sheets of paper of a size (mm): one, if the drawings fit, else as many as it takes."""
    room = size[1] - 2 * _EDGE - _HEAD
    columns = _columns(found)
    if max(_high(column) for column in columns) <= room:
        return [_set(columns, heading, size)]
    filled: list[list[Picture]] = [[]]
    for picture in found:
        if filled[-1] and _high([*filled[-1], picture]) > room:
            filled.append([])
        filled[-1].append(picture)
    if len(filled) % 2:
        filled.append([])
    pairs = zip(filled[::2], filled[1::2], strict=True)
    return [_set(pair, heading, size) for pair in pairs]


def _set(
    columns: tuple[list[Picture], list[Picture]], heading: str, size: tuple[float, float]
) -> tuple["Figure", list[Panel]]:
    """Two columns of drawings on one figure of a size (mm)."""
    left, top = (size[0] - WIDE) / 2, size[1] - _EDGE
    with drawing():
        figure = blank(*size)
        panels = [_titled(figure, heading, (left, top - 5.0), WIDE, size=HEADING)]
        for i, column in enumerate(columns):
            x, y = left + i * (WIDTH + COLUMN_GAP), top - 10.0
            for picture in column:
                y -= TITLE
                panels.append(_titled(figure, picture.title, (x, y), WIDTH, size=8.0))
                y -= picture.height
                panels.append(picture.draw(figure, (x, y)))
    return figure, panels


def _high(column: Sequence[Picture]) -> float:
    return sum(picture.height + TITLE for picture in column)


def notes(compared: Sequence[Drawn]) -> dict[str, str]:
    """What is to be printed below a drawing, by its title."""
    drawn = compared[0]
    beyond = from_above.beyond(drawn)
    below = []
    if len(drawn.stops) > plan_things.MOST_RESETS:
        below.append(f"Each small circle on the path: a {drawn.stop_word}.")
    if any(rope.turns for rope in drawn.ropes) and not badly_placed(drawn):
        below.append("The hand stands where it is drawn, out of line, clear of the hatched areas.")
    if beyond:
        lie = "tree, anchor or post lies" if beyond == 1 else "trees, anchors or posts lie"
        below.append(f"{beyond} more {lie} off the page.")
    return {
        ABOVE[drawn.downward]: " ".join(below),
        SIDE: "Arrows: which way the line pulls the load, with its angle to the slope. "
        "Trees beside the path are put square onto it. Broken line: ground not known.",
        CHART[drawn.downward]: f"Broken upright lines: {drawn.stop_word}s." if drawn.stops else "",
    }


def site_notes(seen: Seen) -> dict[str, str]:
    """What is to be printed below a drawing of a site, by its title."""
    return {
        FROM_ABOVE: "⌀: across the trunk or the post.",
        SIDE: "The path unrolled; what stands beside it is put square onto it. "
        "Broken line: ground not known.",
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
        return max(_high(found[:split]), _high(found[split:]))

    split = min(range(1, len(found)), key=tallest)
    return list(found[:split]), list(found[split:])


def _titled(
    figure: "Figure", text: str, corner: tuple[float, float], width: float, *, size: float
) -> Panel:

    panel = Panel(figure, corner, width, TITLE)
    panel.fixed(fitted(text, width - 1.0, size, True), (0.3, 3.6), size=size, bold=True)
    panel.line([(0.0, 0.6), (width, 0.6)], THIN, avoid=0.0)
    return panel
