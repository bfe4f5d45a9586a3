"""Draws what lies on edges for ropes to run over: from the side where the rope bends, and from above."""

from math import dist

import numpy as np

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.plan_view import load_at
from optimiser.sheet.drawing.labels import Label, short
from optimiser.sheet.drawing.panel import Panel, Point
from optimiser.sheet.drawing.style import FILL, OUTLINE, SMALL, THIN
from optimiser.sheet.drawing.view import View, pair
from optimiser.sheet.shown.seen import Lies, Seen
from optimiser.site.model import Site
from shared.units import Dimension, show

MOST_NAMED = 2
"""Of more things that lie on edges the names that find no room are left out."""
LEAST = 1.0
"""mm of radius, or half the width of a thing from above, that is drawn at least."""
_FLAT = 0.6
"""A thing no higher than this share of the radius over which it bends the rope is drawn flat."""


def side_sign(panel: Panel, ground: Point, top: Point, lies: Protector, scale: float) -> None:
    """Round, with its middle marked; flat; or round on a frame, where it stands clear of the ground."""
    x, y = ground
    high = top[1] - y
    if lies.clearance <= _FLAT * lies.bend_radius:
        half, thick = max(lies.covers / 2.0 * scale, 1.8 * LEAST), max(high, 0.7)
        box = [(x - half, y), (x + half, y), (x + half, y + thick), (x - half, y + thick)]
        panel.shape(box, OUTLINE, fill=FILL, order=4.0)
        return
    radius = max(lies.bend_radius * scale, LEAST)
    middle = y + high - radius
    if lies.clearance > 2.0 * lies.bend_radius:
        for aside in (-radius, radius):
            panel.line([(x, middle), (x + 1.3 * aside, y)], OUTLINE, order=3.9)
    panel.circle((x, middle), radius, OUTLINE, fill=FILL, order=4.0)
    panel.circle((x, middle), 0.25, THIN, fill="black", order=4.1, avoid=0.0)


def from_above(panel: Panel, view: View, drawn: Seen) -> None:
    """Each thing across the path, as long and as wide as it is, with what it is called."""
    for edge in drawn.edges:
        corners = view(outline(drawn.site, edge))
        plan_sign(panel, corners)
        panel.label(
            Label(text=named(drawn, edge), at=pair(corners[[0, 1]].mean(axis=0)), size=SMALL, bold=True,
                  needed=len(drawn.edges) <= MOST_NAMED, clear=0.8)
        )  # fmt: skip


def plan_sign(panel: Panel, corners: Array) -> None:
    """A log from above, below a load that stands on it: its outline with two lines along it. Corners (4, 2)
    mm: one end, then the other."""
    one, other = corners[[0, 1]], corners[[3, 2]]
    wide = max(float(np.hypot(*(one[1] - one[0]))), 1e-9)
    grown = max(2.0 * LEAST / wide, 1.0)
    one = one.mean(axis=0) + grown * (one - one.mean(axis=0))
    other = other.mean(axis=0) + grown * (other - other.mean(axis=0))
    panel.shape([*one, *other[::-1]], OUTLINE, fill=FILL, order=2.3)
    for share in (1 / 3, 2 / 3):
        ends = [end[0] + share * (end[1] - end[0]) for end in (one, other)]
        panel.line(ends, THIN, order=2.4, avoid=0.0)


def outline(site: Site, edge: Lies) -> Array:
    """(4, 2) m: the ground it covers from above, its left end first, against the way of the path."""
    ahead = direction(site, edge.middle)
    left = np.array((-ahead[1], ahead[0]))
    at, half = np.array(load_at(site, edge.middle)[:2]), edge.lies.covers / 2.0 * ahead
    right_end, left_end = (at + aside * left for aside in edge.laid)
    return np.array([left_end - half, left_end + half, right_end + half, right_end - half])


def direction(site: Site, at: float) -> Array:
    """(2,) the way of the path in plan at a place: of the leg that ends there or goes through."""
    start = 0.0
    for leg in site.legs:
        start += dist(leg.start, leg.end)
        if at <= start + 1e-6:
            break
    way = np.subtract(leg.end, leg.start)[:2]
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9))


def named(drawn: Seen, edge: Lies) -> str:
    """What it is called, and where it lies."""
    at = show(edge.middle, Dimension.LENGTH, drawn.site.preferences.units)
    return f"{short(edge.name, 16)}\nat {at}"
