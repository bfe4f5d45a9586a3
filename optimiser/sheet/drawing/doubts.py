"""Draws from above how sure places are that were measured: ellipses, enlarged where they would be specks."""

import numpy as np

from optimiser.sheet.drawing.labels import Label, folded
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.style import SMALL, THIN
from optimiser.sheet.drawing.view import View, layout, pair
from optimiser.sheet.shown.seen import Seen
from optimiser.site.survey.adjusted import IN_LENGTH, IN_PLAN, IN_SPACE

_FACTORS = (50, 20, 10, 5, 2)
"""Times as large as the ground is drawn an ellipse may be."""
_LARGEST = 5.0
"""mm: no half axis of an enlarged one is longer."""


def from_above(panel: Panel, view: View, seen: Seen) -> None:
    """An ellipse round each place that was measured; marks get a cross and their names."""
    times = enlarged(seen, view.scale)
    zero = view.turned(np.array(view.centre))
    for doubt in seen.doubts:
        at = view(doubt.at)
        ring = at + (view.turned(doubt.ring) - zero) * view.scale * times
        if doubt.farthest > 0.0:
            panel.shape(ring, THIN, order=4.6, avoid=0.3)
        if doubt.mark:
            cross(panel, pair(at))
            text = f"{folded(doubt.name, 14)}\n{seen.good_to[doubt.name]}"
            panel.label(Label(text=text, at=pair(at), size=SMALL, clear=1.0))


def words(seen: Seen) -> tuple[str, ...]:
    """What the signs of doubt mean, with the standard deviations that they are; () where nothing was
    measured."""
    if not seen.doubts:
        return ()
    times = enlarged(seen, layout(seen).view.scale)
    large = f", drawn {times} times as large" if times > 1 else ", to scale"
    return (
        f"Ellipse: the place, 95 in 100 (k = {IN_PLAN:.2f}){large}",
        f"Upright bar: its height, 95 in 100 (k = {IN_LENGTH:.2f}), to scale",
        f"Good to: in space, 95 in 100 (k = {IN_SPACE:.2f})",
    )


def cross(panel: Panel, at: tuple[float, float]) -> None:
    """A mark on the ground: a cross that lies."""
    x, y = at
    for way in (-1.0, 1.0):
        panel.line([(x - 0.8, y - 0.8 * way), (x + 0.8, y + 0.8 * way)], THIN, order=4.5)


def enlarged(seen: Seen, scale: float) -> int:
    """How many times as large as the ground the ellipses are drawn, at `scale` mm per m."""
    most = max(
        (float((doubt.ring**2).sum(axis=-1).max()) ** 0.5 for doubt in seen.doubts), default=0.0
    )
    return next((times for times in _FACTORS if most * scale * times <= _LARGEST), 1)
