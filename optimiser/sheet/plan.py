"""The rig from above, to scale: the way the load goes is up the page."""

import itertools
from dataclasses import dataclass
from math import cos, floor, log10, pi, sin
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from optimiser import keepout
from optimiser.sheet.labels import Label, folded, plain, short
from optimiser.sheet.panel import Panel
from optimiser.sheet.rigged import Rigged, heading
from optimiser.sheet.style import (
    FILL,
    MOVED,
    OUTLINE,
    ROPE,
    SMALL,
    THIN,
    TRAVEL,
    USED,
    WIDTH,
)
from shared.units import Dimension, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Array = npt.NDArray[np.float64]
Point = tuple[float, float]

HATCHES = {
    keepout.Danger.BIGHT: "xxx",
    keepout.Danger.RECOIL: "///",
    keepout.Danger.BELOW: "..",
}
"""How each kind of keep-out area is filled."""

_LEAST_HEIGHT, _MOST_HEIGHT = 70.0, 150.0
_SIDE, _FOOT, _TOP = 7.0, 11.0, 9.0
"""mm kept free beside, below (scale bar) and above what is drawn."""
_ALONG = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9)
"""Where along a part its number may stand."""
_APART = 1.5
"""mm between parts of line that run side by side."""
MOST_RESETS = 6
"""Beyond so many resets only the place of each is marked."""
_ROOMY = 500.0
"""mm² from which an area is told in words too."""


@dataclass(frozen=True)
class View:
    """Metres on the ground to mm on the page, turned so that the load goes up the page."""

    turn: float  # rad
    scale: float  # mm per m
    origin: Point  # mm, of the point `centre`
    centre: Point  # m

    def __call__(self, points: Array) -> Array:
        """(..., 2 or 3) m to (..., 2) mm."""
        return np.asarray(self.turned(points) * self.scale + np.array(self.origin))

    def turned(self, points: Array) -> Array:
        """(..., 2) m, to the right and up the page, from the centre."""
        off = np.asarray(points, dtype=float)[..., :2] - np.array(self.centre)
        c, s = cos(self.turn), sin(self.turn)
        return np.stack([off[..., 0] * c - off[..., 1] * s, off[..., 0] * s + off[..., 1] * c], -1)


@dataclass(frozen=True)
class Layout:
    """The view, and how high the panel has to be for it."""

    view: View
    height: float
    low: Array
    high: Array


def layout(rigged: Rigged, width: float = WIDTH) -> Layout:
    """The largest round scale at which the whole rig fits the panel."""
    points = _extent(rigged)
    turn = pi / 2 - heading(rigged.site, rigged.setup)
    rough = View(turn, 1.0, (0.0, 0.0), (0.0, 0.0))
    turned = rough.turned(points)
    low, high = turned.min(axis=0), turned.max(axis=0)
    span = np.maximum(high - low, 2.0)
    room = np.array((width - 2 * _SIDE, _MOST_HEIGHT - _FOOT - _TOP))
    scale = _round_down(float((room / span).min()))
    height = max(_LEAST_HEIGHT, float(span[1]) * scale + _FOOT + _TOP)
    spare_x = (width - float(span[0]) * scale) / 2
    spare_y = _FOOT + (height - _FOOT - _TOP - float(span[1]) * scale) / 2
    origin = (spare_x - float(low[0]) * scale, spare_y - float(low[1]) * scale)
    view = View(turn, scale, origin, (0.0, 0.0))
    frame = np.array(((-spare_x, -spare_y), (width - spare_x, height - spare_y))) / scale + low
    return Layout(view, height, frame[0], frame[1])


def draw(figure: "Figure", corner: Point, rigged: Rigged, width: float = WIDTH) -> Panel:
    """Draw the plan view with its lower left corner at `corner`, mm."""
    laid = layout(rigged, width)
    panel = Panel(figure, corner, width, laid.height)
    _scale_bar(panel, laid.view, rigged)
    _keep_out(panel, laid.view, rigged)
    _path(panel, laid.view, rigged)
    _anchors(panel, laid, rigged)
    _load(panel, laid.view, rigged)
    _puller(panel, laid.view, rigged)
    _rope(panel, laid.view, rigged)
    _ground(panel, laid.view, rigged)
    panel.finish()
    return panel


def _extent(rigged: Rigged) -> Array:
    """(n, 2) m: what must be on the page."""
    points = [rigged.points(s, far=far)[:, :2] for s in (0, -1) for far in (False, True)]
    points += [_outline(rigged, s) for s in (0, len(rigged.at) - 1)]
    return np.concatenate(points)


def _outline(rigged: Rigged, station: int) -> Array:
    """(4, 2) m: the load from above."""
    load, stations = rigged.site.load, rigged.scene.stations
    at = stations.point[station]
    flat = stations.along[station][:2]
    ahead = flat / max(float(np.hypot(*flat)), 1e-9)
    left = np.array((-ahead[1], ahead[0])) * load.width / 2
    front = at[:2] + load.overhang * ahead
    back = front - load.length * ahead
    return np.array([front + left, back + left, back - left, front - left])


def _round_down(scale: float) -> float:
    """The next lower scale of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten."""
    power = 10.0 ** floor(log10(scale))
    steps = (8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0)
    return next(step for step in steps if step * power <= scale * (1 + 1e-9)) * power


def _scale_bar(panel: Panel, view: View, rigged: Rigged) -> None:
    """A bar of round length, the axes of the site file, and which way is up the page."""
    system = rigged.site.preferences.units
    unit = 0.3048 if system == "imperial" else 1.0
    room = panel.width * 0.3 / view.scale / unit
    power = 10.0 ** floor(log10(room))
    length = next(step for step in (5.0, 2.0, 1.0) if step * power <= room) * power
    x, y, long = 4.0, 3.4, length * unit * view.scale
    for i in range(2):
        a, b = x + i * long / 2, x + (i + 1) * long / 2
        bar = [(a, y - 0.6), (b, y - 0.6), (b, y + 0.6), (a, y + 0.6)]
        panel.shape(bar, THIN, fill="black" if i == 0 else "white", order=7.0, avoid=0.0)
    panel.board.boxes.append((x, y - 1.0, x + long, y + 1.0))
    panel.fixed(f"{length:g} {'ft' if unit != 1.0 else 'm'}", (x + long + 1.2, y))
    centre = np.array((panel.width - 10.0, 6.0))
    zero = view.turned(np.zeros(2))
    for name, axis in (("x", (1.0, 0.0)), ("y", (0.0, 1.0))):
        way = view.turned(np.array(axis)) - zero
        panel.line([centre, centre + 5.0 * way], THIN, order=7.0, arrow=True)
        tip = centre + 7.2 * way
        panel.fixed(name, (float(tip[0]), float(tip[1])), side="center")
    panel.board.boxes.append((centre[0] - 3.0, 3.0, centre[0] + 3.0, 9.0))


def _keep_out(panel: Panel, view: View, rigged: Rigged) -> None:
    found = keepout.areas(rigged.site, rigged.setup)
    for danger, hatch in HATCHES.items():
        corners = [view(np.array(a.corners)) for a in found if a.danger is danger]
        panel.hatched([_counter_clockwise(c) for c in corners], hatch)
        if danger is keepout.Danger.BIGHT:
            for row in corners:
                _warned(panel, row)


def _warned(panel: Panel, corners: Array) -> None:
    """ "Nobody here", somewhere inside an area that has room for it."""
    x, y = corners[:, 0], corners[:, 1]
    if abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2 < _ROOMY:
        return
    middle = corners.mean(axis=0)
    spots = [middle + s * (c - middle) for s in (0.0, 0.25, 0.45) for c in corners]
    panel.label(
        Label(
            text="NOBODY HERE",
            at=_pair(middle),
            size=SMALL,
            bold=True,
            leader=False,
            centres=tuple(_pair(spot) for spot in spots),
        )
    )


def _counter_clockwise(corners: Array) -> Array:
    x, y = corners[:, 0], corners[:, 1]
    area = float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    return corners if area >= 0.0 else corners[::-1]


def _path(panel: Panel, view: View, rigged: Rigged) -> None:
    """The way of the reference point over the stretch, and where its legs meet."""
    stations = rigged.scene.stations
    panel.line(view(stations.point), TRAVEL, order=2.0, avoid=0.4)
    for leg in np.unique(stations.leg):
        inside = np.flatnonzero(stations.leg == leg)
        ends = view(stations.point[[inside[0], inside[-1]]])
        way = ends[1] - ends[0]
        long = max(float(np.hypot(*way)), 1e-9)
        across = np.array((-way[1], way[0])) / long * 1.6
        for end in ends:
            panel.line([end - across, end + across], THIN, order=2.0, avoid=0.5)


def _ground(panel: Panel, view: View, rigged: Rigged) -> None:
    """What the load goes over on each leg, where there is room to say so."""
    stations = rigged.scene.stations
    for leg in np.unique(stations.leg):
        inside = np.flatnonzero(stations.leg == leg)
        middle = view(stations.point[[inside[0], inside[-1]]]).mean(axis=0)
        surface = folded(rigged.site.legs[int(leg)].surface, 16)
        panel.label(
            Label(text=surface, at=_pair(middle), size=SMALL, italic=True, clear=1.5, reach=5.0)
        )


def _anchors(panel: Panel, laid: Layout, rigged: Rigged) -> None:
    """Trees and other anchors to scale, those in use marked; posts no line may run through."""
    site, view = rigged.site, laid.view
    system = site.preferences.units
    used = _used(rigged)
    for anchor in site.anchors:
        at = np.array(anchor.position[:2])
        mine = anchor.name in used
        if not mine and not _near(laid, at):
            continue
        x, y = (float(v) for v in view(at))
        radius = max(anchor.radius * view.scale, 0.9)
        panel.keep_free((x, y), radius)
        panel.circle((x, y), radius, OUTLINE if mine else THIN, fill=USED if mine else "white")
        if anchor.kind == "tree":
            panel.line([(x - radius, y), (x + radius, y)], THIN, order=4.1, avoid=0.0)
            panel.line([(x, y - radius), (x, y + radius)], THIN, order=4.1, avoid=0.0)
        if mine:
            panel.circle((x, y), radius + 0.7, ROPE if anchor.girth else THIN, fill="none")
        size = show(2 * anchor.radius, Dimension.SIZE, system)
        told = f"⌀ {size}" if anchor.kind == "tree" else plain(anchor.kind)
        if mine:
            _named(panel, rigged, anchor.name, told, (x, y), radius + 0.7)
            continue
        text = folded(anchor.name, 14)
        text = text if anchor.kind in anchor.name else f"{text}\n{told}"
        panel.label(Label(text=text, at=(x, y), size=SMALL, clear=radius))
    for post in site.obstacles:
        at = np.array(post.position[:2])
        if not _near(laid, at):
            continue
        x, y = (float(v) for v in view(at))
        radius = max(post.radius * view.scale, 0.9)
        panel.keep_free((x, y), radius)
        panel.circle((x, y), radius, OUTLINE, fill="black")
        panel.label(Label(text=folded(post.name, 14), at=(x, y), size=SMALL, clear=radius))


def _named(panel: Panel, rigged: Rigged, name: str, told: str, at: Point, clear: float) -> None:
    """The letter and the name of a place the rope goes to, and a line about it, in a frame."""
    letter = rigged.letters.get(name)
    text = " ".join(filter(None, (letter, folded(name or rigged.site.load.name, 16))))
    text = f"{text}\n{told}" if told else text
    panel.label(Label(text=text, at=at, bold=True, frame=0.6, needed=True, clear=clear))


def _used(rigged: Rigged) -> set[str]:
    names = {p.name for p in rigged.setup.walk if p.kind == "anchor"}
    return names | ({rigged.setup.puller.anchor} if rigged.setup.puller.anchor else set())


def _near(laid: Layout, at: Array) -> bool:
    turned = laid.view.turned(at)
    inner = 1.5 / laid.view.scale
    return bool((turned > laid.low + inner).all() and (turned < laid.high - inner).all())


def _load(panel: Panel, view: View, rigged: Rigged) -> None:
    """The load where it starts, where it stands at each reset, and where it ends."""
    last = len(rigged.at) - 1
    stages = [("end", last)] + [
        (f"reset {i}", rigged.station(at)) for i, at in enumerate(rigged.stops, start=1)
    ]
    shown = stages if len(stages) <= MOST_RESETS + 1 else stages[:1]
    for _, station in stages[1:] if shown is not stages else []:
        x, y = view(rigged.scene.stations.point[station])
        panel.circle((float(x), float(y)), 0.7, THIN, order=2.3, avoid=0.6)
    for name, station in [*shown, ("start", 0)]:
        corners = view(_outline(rigged, station))
        start = name == "start"
        panel.shape(
            corners,
            OUTLINE if start else MOVED,
            fill=FILL if start else "none",
            order=2.5 if start else 2.2,
            avoid=0.8,
        )
        side = corners[[2, 3]].mean(axis=0)
        panel.label(
            Label(
                text=name,
                at=(float(side[0]), float(side[1])),
                size=SMALL,
                needed=start or name == "end",
            )
        )
    x, y = view(_outline(rigged, 0)).mean(axis=0)
    panel.keep_free(
        (float(x), float(y)), min(rigged.site.load.width, rigged.site.load.length) / 2 * view.scale
    )
    _named(panel, rigged, "", "", (float(x), float(y)), 1.5)


def _puller(panel: Panel, view: View, rigged: Rigged) -> None:
    """Where the puller stands, and its run."""
    puller = rigged.setup.puller
    near, far = view(rigged.scene.spots[[0, -1]])
    way = view.turned(np.array(puller.heading)) - view.turned(np.zeros(3))
    flat = float(np.hypot(*way))
    unit = way / flat if flat > 1e-6 else np.array((0.0, 1.0))
    across = np.array((-unit[1], unit[0]))

    def body(at: Array) -> Array:
        return np.array(
            [at - 1.6 * across, at + 3.2 * unit - 1.6 * across, at + 5.0 * unit,
             at + 3.2 * unit + 1.6 * across, at + 1.6 * across]
        )  # fmt: skip

    system = rigged.site.preferences.units
    told = ""
    if puller.run > 0.0:
        panel.shape(body(far), MOVED, order=3.5)
        panel.line([near + 5.5 * unit, far], THIN, order=3.4, arrow=True)
        told = f"run {show(puller.run, Dimension.LENGTH, system)}"
    if puller.anchor:
        box = [
            near + dx * unit * 1.5 + dy * across * 1.5
            for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        panel.shape(box, OUTLINE, fill="white", order=4.2)
        told = f"made fast to {short(puller.anchor)}"
    else:
        panel.shape(body(near), OUTLINE, fill="white", order=4.2)
    middle = near + 2.5 * unit if not puller.anchor else near
    panel.keep_free(_pair(middle), 2.0)
    _named(panel, rigged, puller.name, told, (float(middle[0]), float(middle[1])), 2.0)


def _rope(panel: Panel, view: View, rigged: Rigged) -> None:
    """Every part of line with its number; parts that run side by side are drawn apart."""
    walk = rigged.setup.walk
    nodes = _nodes(view, rigged)
    pairs = [frozenset((a.name, b.name)) for a, b in itertools.pairwise(walk)]
    for k, pair in enumerate(pairs):
        aside = _aside(nodes, [i for i, other in enumerate(pairs) if other == pair], k)
        a, b = nodes[k] + aside, nodes[k + 1] + aside
        panel.line([a, b], ROPE, order=5.0, avoid=1.6)
        if k == len(pairs) - 1:
            panel.head(b, b - a, order=5.1, size=3.0)
        spots = tuple(_pair(a + share * (b - a)) for share in _ALONG)
        panel.label(
            Label(text=str(k + 1), at=spots[0], centres=spots, ring=0.3, bold=True, needed=True)
        )
    for k in range(1, len(walk) - 1):
        panel.circle(_pair(nodes[k]), 1.25, OUTLINE, order=5.5)
    panel.square(_pair(nodes[0]), 1.0)


def _nodes(view: View, rigged: Rigged) -> Array:
    """(nodes, 2) mm where the rope turns. A block hangs off its tree, on the side it is pulled to."""
    nodes = view(rigged.points(0))
    out = nodes.copy()
    for k, place in enumerate(rigged.setup.walk[:-1]):
        if place.kind != "anchor":
            continue
        ways = [nodes[i] - nodes[k] for i in (k - 1, k + 1) if i >= 0]
        pull = np.sum([way / max(float(np.hypot(*way)), 1e-9) for way in ways], axis=0)
        size = float(np.hypot(*pull))
        if size > 0.05:
            radius = max(rigged.site.anchor(place.name).radius * view.scale, 0.9)
            out[k] += pull / size * (radius + 2.2)
    return np.asarray(out)


def _aside(nodes: Array, same: list[int], k: int) -> Array:
    """How far part k is moved aside, mm, among the parts between the same two places."""
    way = nodes[same[0] + 1] - nodes[same[0]]
    across = np.array((-way[1], way[0])) / max(float(np.hypot(*way)), 1e-9)
    return np.asarray(across * _APART * (same.index(k) - (len(same) - 1) / 2))


def _pair(point: Array) -> Point:
    return float(point[0]), float(point[1])


def beyond(rigged: Rigged, width: float = WIDTH) -> int:
    """How many trees, anchors and posts lie off the page."""
    laid, used = layout(rigged, width), _used(rigged)
    off = [a for a in rigged.site.anchors if a.name not in used]
    things = [*(a.position for a in off), *(o.position for o in rigged.site.obstacles)]
    return sum(not _near(laid, np.array(at[:2])) for at in things)
