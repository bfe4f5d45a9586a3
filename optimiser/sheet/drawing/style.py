"""Defines lines and sizes of the drawings: the conventions of engineering drawing, black on white.

Lines as in ISO 128: visible things thick and continuous; leaders, hatching and dimensions thin and
continuous; the way something travels (a centre line) long dash, dot; other positions of what moves
long dash, two dots. Part numbers in circles, as in ISO 6433. Grey only fills; no meaning hangs on it,
nor on any colour. Widths are in points, dash lengths in multiples of the width, all else in mm.
"""

from dataclasses import dataclass

POINT = 25.4 / 72.0
"""mm in a typographic point."""

WIDTH = 92.0
"""mm: two drawings side by side fill A4 and letter, and one fills a phone without being shrunk."""

FONT = "DejaVu Sans"
"""Comes with the drawing library, so boxes are as computed everywhere."""

TEXT = SMALL = 9.0
"""pt: labels, and notes beside them. A drawing fills a phone 360 px wide, and 9 pt of it are 12 px there:
nothing on a drawing is smaller."""

Dashes = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """How a line is drawn. No dashes: continuous."""

    width: float
    dashes: Dashes = ()
    shade: str = "black"


ROPE = Line(width=1.9)
ROPES = (
    ROPE,
    Line(width=1.9, dashes=(3.4, 1.1)),
    Line(width=1.9, dashes=(1.0, 0.9)),
    Line(width=1.9, dashes=(4.0, 0.9, 1.0, 0.9)),
)
"""The ropes of a rig in their order: the main one, a second one, and every line that holds."""
TAIL = Line(width=1.0)
"""The slack end of a rope behind its turns, on to the hand."""
ROPE_ELSEWHERE = Line(width=0.8, dashes=(6.0, 3.0))
OUTLINE = Line(width=1.3)
THIN = Line(width=0.6)
BLANK = Line(width=0.0, shade="none")
LEADER = Line(width=0.45)
TRAVEL = Line(width=0.8, dashes=(12.0, 3.0, 2.0, 3.0))
MOVED = Line(width=0.8, dashes=(10.0, 2.5, 1.5, 2.5, 1.5, 2.5))
UNKNOWN = Line(width=0.7, dashes=(4.0, 4.0))
STANDS = Line(width=0.7, dashes=(2.0, 2.5))
LIMIT = Line(width=1.6, dashes=(7.0, 2.0))
OTHERS = (
    Line(width=1.0, dashes=(5.0, 2.0)),
    Line(width=1.0, dashes=(1.2, 2.0)),
    Line(width=1.0, dashes=(9.0, 2.0, 1.5, 2.0)),
    Line(width=0.6),
)
"""Curves that are compared with the one in ROPE."""

FILL, USED = "#dddddd", "#bbbbbb"
HATCH_SHADE = "#5a5a5a"
