"""What the lines and hatchings of the drawings mean."""

from typing import TYPE_CHECKING

from optimiser.keepout import Danger
from optimiser.sheet.panel import Panel
from optimiser.sheet.plan import HATCHES
from optimiser.sheet.style import MOVED, OUTLINE, ROPE, SMALL, THIN, TRAVEL, USED, WIDTH, Line

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEIGHT = 27.0
_ROW = 4.4
_SWATCH = 9.0

_HATCHED = (
    (Danger.BIGHT, "NOBODY: inside the rope's angle"),
    (Danger.RECOIL, "NOBODY: in line with the rope"),
    (Danger.BELOW, "NOBODY: below the load"),
)
_LINES: tuple[tuple[Line, str], ...] = (
    (ROPE, "rope, numbered part by part"),
    (TRAVEL, "way of the load"),
    (MOVED, "where it stands later"),
)


def draw(figure: "Figure", corner: tuple[float, float], width: float = WIDTH) -> Panel:
    """Draw the legend."""
    panel = Panel(figure, corner, width, HEIGHT)
    y = HEIGHT - 2.6
    for danger, text in _HATCHED:
        box = [(1.0, y - 1.7), (1.0 + _SWATCH, y - 1.7), (1.0 + _SWATCH, y + 1.7), (1.0, y + 1.7)]
        panel.hatched([box], HATCHES[danger])
        panel.shape(box, THIN, avoid=0.0)
        panel.fixed(text, (_SWATCH + 3.0, y), size=SMALL, bold=True)
        y -= _ROW
    for style, text in _LINES:
        panel.line([(1.0, y), (1.0 + _SWATCH, y)], style, avoid=0.0)
        panel.fixed(text, (_SWATCH + 3.0, y), size=SMALL)
        y -= _ROW
    x, y = width - 32.0, HEIGHT - 2.6 - 2 * _ROW
    panel.square((x, y), 1.0)
    panel.fixed("standing end", (x + 3.4, y), size=SMALL)
    y -= _ROW
    panel.circle((x, y), 1.1, OUTLINE, fill=USED, avoid=0.0)
    panel.circle((x, y), 1.7, ROPE, fill="none", avoid=0.0)
    panel.fixed("tree in use", (x + 3.4, y), size=SMALL)
    panel.circle((x, y - _ROW), 1.0, OUTLINE, fill="black", avoid=0.0)
    panel.fixed("in the way", (x + 3.4, y - _ROW), size=SMALL)
    panel.circle((x, y - 2 * _ROW), 1.25, OUTLINE, avoid=0.0)
    panel.fixed("block", (x + 3.4, y - 2 * _ROW), size=SMALL)
    panel.finish()
    return panel
