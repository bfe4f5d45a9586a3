"""Draws the rig from above, to scale: the path rises up the page."""

from typing import TYPE_CHECKING

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.ground import keepout
from optimiser.sheet.drawing import doubts, laid_things, plan_ropes, plan_things
from optimiser.sheet.drawing.labels import Label
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.style import OUTLINE, SMALL, THIN, TRAVEL, WIDTH
from optimiser.sheet.drawing.view import Point, View, layout, outline, pair, round_length
from optimiser.sheet.shown.seen import Seen

if TYPE_CHECKING:
    from matplotlib.figure import Figure


HATCHES = {
    keepout.Danger.BIGHT: "xxx",
    keepout.Danger.RECOIL: "///",
    keepout.Danger.BELOW: "..",
}
"""How each kind of keep-out area is filled."""

_ROOMY = 500.0
"""mm² from which an area is named in words too."""
_ROOM = 10.0
"""mm from the middle of the axes within which nothing is to lie."""


def draw(figure: "Figure", corner: Point, drawn: Seen, width: float = WIDTH) -> Panel:
    """Draw the plan view with its lower left corner at `corner`, mm."""
    laid = layout(drawn, width)
    panel = Panel(figure, corner, width, laid.height)
    _scale_bar(panel, laid.view, drawn)
    _keep_out(panel, laid.view, drawn)
    _path(panel, laid.view, drawn)
    plan_things.anchors(panel, laid, drawn)
    plan_things.load(panel, laid.view, drawn)
    for who in drawn.pullers:
        plan_things.room(panel, laid.view, drawn, who)
        plan_things.puller(panel, laid.view, drawn, who)
    laid_things.from_above(panel, laid.view, drawn)
    doubts.from_above(panel, laid.view, drawn)
    plan_ropes.draw(panel, laid.view, drawn)
    _ground(panel, laid.view, drawn)
    panel.finish()
    return panel


def _scale_bar(panel: Panel, view: View, drawn: Seen) -> None:
    """A bar of round length, and the axes."""
    length, number, unit = round_length(drawn, panel.width * 0.3 / view.scale)
    x, y, long = 4.0, 3.4, length * view.scale
    for i in range(2):
        a, b = x + i * long / 2, x + (i + 1) * long / 2
        bar = [(a, y - 0.6), (b, y - 0.6), (b, y + 0.6), (a, y + 0.6)]
        panel.shape(bar, THIN, fill="black" if i == 0 else "white", order=7.0, avoid=0.0)
    panel.board.boxes.append((x, y - 1.0, x + long, y + 1.0))
    panel.fixed(f"{number:g} {unit}", (x + long + 1.2, y))
    _axes(panel, view, drawn)


def _axes(panel: Panel, view: View, drawn: Seen) -> None:
    """The axes of the site file, in a corner where nothing else is."""
    centre = _free_corner(panel, view, drawn)
    zero = view.turned(np.zeros(2))
    frame = drawn.site.frame
    for name, axis in (("x", (1.0, 0.0, 0.0)), ("y", (0.0, 1.0, 0.0))):
        there = axis if frame is None else frame.way(axis)
        way = view.turned(np.array(there[:2])) - zero
        panel.line([centre, centre + 5.0 * way], THIN, order=7.0, arrow=True)
        tip = centre + 7.2 * way
        panel.fixed(name, (float(tip[0]), float(tip[1])), side="center")
    if drawn.north is not None:
        _north(panel, view, drawn.north, centre)
    panel.board.boxes.append((centre[0] - 3.0, centre[1] - 3.0, centre[0] + 3.0, centre[1] + 3.0))


def _north(panel: Panel, view: View, north: float, axes: Array) -> None:
    """An arrow to north beside the axes, on the side where there is more of the page."""
    ends = np.array([(0.0, 0.0), (np.cos(north), np.sin(north))])
    way = np.subtract(*view.turned(ends)[::-1])
    beside = -1.0 if axes[0] > panel.width / 2 else 1.0
    middle = axes + np.array((17.0 * beside, 0.0))
    panel.line([middle - 5.0 * way, middle + 5.0 * way], OUTLINE, order=7.0, arrow=True)
    tip = middle + 7.4 * way
    panel.fixed("N", (float(tip[0]), float(tip[1])), side="center", bold=True)
    panel.keep_free(pair(middle), 4.0)


def _free_corner(panel: Panel, view: View, drawn: Seen) -> Array:
    """The first corner that the rig keeps away from, else the one it keeps furthest from."""
    x, y = panel.width - 10.0, panel.height - 10.0
    corners = np.array(((x, 10.0), (10.0, y), (x, y), (10.0, 14.0)))
    marks = view(_marks(drawn))
    gaps = np.hypot(*(corners[:, None, :] - marks[None, :, :]).transpose(2, 0, 1)).min(axis=1)
    able = np.flatnonzero(gaps > _ROOM)
    return np.asarray(corners[int(able[0]) if len(able) else int(np.argmax(gaps))])


def _marks(drawn: Seen) -> Array:
    """(n, 2) m: points along everything that is drawn of the rig."""
    shares = np.linspace(0.0, 1.0, 12)[:, None, None]
    rows = [outline(drawn, s) for s in (drawn.begin, drawn.end)]
    for who in drawn.pullers:
        near, far = drawn.run(who)[:, :2]
        rows.append(near + shares[:, 0] * (far - near))
    for rope in drawn.ropes:
        nodes = rope.near[rope.station(drawn.begin), :, :2]
        rows.append((nodes[:-1] + shares * np.diff(nodes, axis=0)).reshape(-1, 2))
    anchors = [a.position[:2] for a in drawn.site.anchors]
    return np.concatenate([*rows, drawn.stations.point[:, :2], np.array(anchors).reshape(-1, 2)])


def _keep_out(panel: Panel, view: View, drawn: Seen) -> None:
    for danger, hatch in HATCHES.items():
        corners = [view(np.array(a.corners)) for a in drawn.areas if a.danger is danger]
        panel.hatched([_counter_clockwise(c) for c in corners], hatch)
        if danger is keepout.Danger.BIGHT:
            for row in corners:
                _warned(panel, row)


def _warned(panel: Panel, corners: Array) -> None:
    """ "Nobody here", somewhere inside an area that has room for it."""
    if abs(_doubled(corners)) / 2 < _ROOMY:
        return
    middle = corners.mean(axis=0)
    spots = [middle + s * (c - middle) for s in (0.0, 0.25, 0.45) for c in corners]
    panel.label(
        Label(
            text="NOBODY HERE",
            at=pair(middle),
            size=SMALL,
            bold=True,
            leader=False,
            centres=tuple(pair(spot) for spot in spots),
        )
    )


def _counter_clockwise(corners: Array) -> Array:
    return corners if _doubled(corners) >= 0.0 else corners[::-1]


def _doubled(corners: Array) -> float:
    """Twice the area, positive where the corners run counter-clockwise."""
    x, y = corners[:, 0], corners[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def _path(panel: Panel, view: View, drawn: Seen) -> None:
    """The way of the reference point over the stretch, and where its legs meet."""
    stations = drawn.stations
    panel.line(view(stations.point), TRAVEL, order=2.0, avoid=0.4)
    for leg in np.unique(stations.leg):
        inside = np.flatnonzero(stations.leg == leg)
        ends = view(stations.point[[inside[0], inside[-1]]])
        way = ends[1] - ends[0]
        long = max(float(np.hypot(*way)), 1e-9)
        across = np.array((-way[1], way[0])) / long * 1.6
        for end in ends:
            panel.line([end - across, end + across], THIN, order=2.0, avoid=0.5)


def _ground(panel: Panel, view: View, drawn: Seen) -> None:
    """What the load goes over on each leg, where there is room for it."""
    stations = drawn.stations
    for leg in np.unique(stations.leg):
        inside = np.flatnonzero(stations.leg == leg)
        middle = view(stations.point[[inside[0], inside[-1]]]).mean(axis=0)
        words = drawn.ground_words(int(leg))
        panel.label(
            Label(text=words, at=pair(middle), size=SMALL, italic=True, clear=1.5, reach=5.0)
        )


def beyond(drawn: Seen, width: float = WIDTH) -> int:
    """How many trees, anchors and posts lie off the page."""
    laid = layout(drawn, width)
    off = [a for a in drawn.shown_anchors if a.name not in drawn.used_anchors]
    things = [*(a.position for a in off), *(o.position for o in drawn.site.obstacles)]
    return sum(not laid.shows(np.array(at[:2])) for at in things)
