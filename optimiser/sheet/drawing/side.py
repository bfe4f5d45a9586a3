"""Draws the rig from the side, to scale: the path unrolled, what stands beside it put square onto it."""

from dataclasses import dataclass, replace
from math import atan2, cos, degrees, sin
from typing import TYPE_CHECKING

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.plan_view import load_at
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.drawing.labels import Label, short
from optimiser.sheet.drawing.laid_things import MOST_NAMED as MOST_LAID
from optimiser.sheet.drawing.laid_things import named, side_sign
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.plan_ropes import grip_sign
from optimiser.sheet.drawing.plan_things import HITCH
from optimiser.sheet.drawing.style import (
    FILL,
    LEADER,
    MOVED,
    OUTLINE,
    ROPE,
    ROPE_ELSEWHERE,
    SMALL,
    STANDS,
    THIN,
    UNKNOWN,
    USED,
    WIDTH,
    Line,
)
from optimiser.sheet.drawing.view import pair
from optimiser.sheet.shown.bare import TALL
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import Rope
from optimiser.sheet.shown.seen import Seen
from shared.units import Dimension, Rounding, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure


_SIDE, _FOOT, _TOP = 5.0, 20.0, 22.0
_LEAST, _MOST = 62.0, 74.0
_STEM = 0.7
"""m of stem drawn above the strap."""
MOST_NAMED = 8
"""Of more anchors that carry nothing the names that find no room are left out."""


@dataclass(frozen=True)
class Section:
    """Metres on the site to mm on the page."""

    starts: Array  # (legs + 1,) m in plan along the path, of each vertex
    vertices: Array  # (legs + 1, 2)
    scale: float
    origin: tuple[float, float]

    def along(self, point: Array) -> float:
        """How far along the unrolled path a point lies, m: square to the nearest leg, and on beyond the
        path's ends in the direction it has there."""
        best, out = np.inf, 0.0
        legs = len(self.vertices) - 1
        for i in range(legs):
            a, b = self.vertices[i], self.vertices[i + 1]
            long = max(float(np.hypot(*(b - a))), 1e-9)
            share = float(np.dot(point[:2] - a, b - a)) / long
            kept = min(share, long) if i < legs - 1 else share
            kept = max(kept, 0.0) if i > 0 else kept
            off = float(np.hypot(*(point[:2] - a - kept * (b - a) / long)))
            if off < best - 1e-9:
                best, out = off, float(self.starts[i]) + kept
        return out

    def at(self, point: Array) -> Array:
        """(2,) mm of a point (3,)."""
        return self.place(self.along(point), float(point[2]))

    def place(self, along: float, up: float) -> Array:
        """(2,) mm."""
        return np.array((self.origin[0] + along * self.scale, self.origin[1] + up * self.scale))


ASIDE = (0.0, 9.0, -9.0, 18.0, -18.0)
"""mm to either side of a place on the ground at which its label may stand below it."""


def height(drawn: Seen, width: float = WIDTH) -> float:
    """mm the panel needs."""
    return _section(drawn, width)[1]


def draw(
    figure: "Figure", corner: tuple[float, float], drawn: Drawn, width: float = WIDTH
) -> Panel:
    """Draw the side view with its lower left corner at `corner`, mm."""
    section, high = _section(drawn, width)
    panel = Panel(figure, corner, width, high)
    _ground(panel, section, drawn)
    _rooms(panel, section, drawn)
    _stems(panel, section, drawn)
    _pulled(panel, section, drawn, drawn.end, "end", MOVED)
    if drawn.worst not in (drawn.begin, drawn.end):
        _pulled(panel, section, drawn, drawn.worst, "worst", MOVED)
    _pulled(panel, section, drawn, drawn.begin, "start", OUTLINE)
    _laid(panel, section, drawn)
    _ropes(panel, section, drawn)
    _clearance(panel, section, drawn)
    panel.finish()
    return panel


def draw_site(
    figure: "Figure", corner: tuple[float, float], seen: Seen, width: float = WIDTH
) -> Panel:
    """Draw the side view of a site on which nothing is rigged, with its lower left corner at `corner`, mm."""
    section, high = _section(seen, width)
    panel = Panel(figure, corner, width, high)
    _ground(panel, section, seen)
    _rooms(panel, section, seen)
    _stems(panel, section, seen)
    _posts(panel, section, seen)
    _load(panel, section, seen, seen.end, "end", MOVED)
    _load(panel, section, seen, seen.begin, "start", OUTLINE)
    _hitches(panel, section, seen)
    _pullers(panel, section, seen)
    _laid(panel, section, seen)
    _doubts(panel, section, seen)
    panel.finish()
    return panel


def _section(drawn: Seen, width: float) -> tuple[Section, float]:
    legs = drawn.site.legs
    vertices = np.array([legs[0].start, *(leg.end for leg in legs)])
    flat = np.hypot(*np.diff(vertices[:, :2], axis=0).T)
    starts = np.concatenate([[0.0], np.cumsum(flat)])
    unit = Section(starts, vertices[:, :2], 1.0, (0.0, 0.0))
    ends = (0, len(drawn.at) - 1)
    points = [unit.at(p) for r in drawn.ropes for s in ends for p in r.near[r.station(s)]]
    points += [p + np.array((0.0, _STEM)) for p in points]
    points += [unit.at(point) for point in drawn.besides]
    for station in ends:
        points += list(_corners(unit, drawn, station))
    low, high = np.min(points, axis=0), np.max(points, axis=0)
    span = np.maximum(high - low, (2.0, 1.0))
    scale = float(min((width - 2 * _SIDE) / span[0], (_MOST - _FOOT - _TOP) / span[1]))
    tall = max(_LEAST, float(span[1]) * scale + _FOOT + _TOP)
    spare = (tall - _FOOT - _TOP - float(span[1]) * scale) / 2
    origin = (
        (width - float(span[0]) * scale) / 2 - float(low[0]) * scale,
        _FOOT + spare - float(low[1]) * scale,
    )
    return Section(starts, vertices[:, :2], scale, origin), tall


def _corners(section: Section, drawn: Seen, station: int) -> Array:
    """(4, 2) mm: the load's outline on the ground, as high as its hitches are."""
    load, stations = drawn.site.load, drawn.stations
    base = section.at(stations.point[station])
    slope = float(np.arcsin(np.clip(stations.slope_sin[station], -1.0, 1.0)))
    ahead = np.array((cos(slope), sin(slope))) * section.scale
    up = np.array((-sin(slope), cos(slope))) * section.scale
    top = max(1.3 * max(h.height for h in load.hitches), 0.3) * up
    front = base + load.overhang * ahead
    back = front - load.length * ahead
    return np.array([front, front + top, back + top, back])


def _ground(panel: Panel, section: Section, drawn: Seen) -> None:
    """The profile of the path, hatched below, each leg's slope, lips; beyond it only guessed."""
    points = np.array([section.at(p) for p in lay_stations(drawn.site).point])
    lips = [leg.step for leg in drawn.site.legs]
    panel.line(points, ROPE, order=3.0, avoid=1.5)
    marks = np.arange(points[0, 0] + 1.0, points[-1, 0], 2.2)
    heights = np.interp(marks, points[:, 0], points[:, 1])
    panel.strokes(
        [[(x, y - 0.3), (x - 1.3, y - 1.6)] for x, y in zip(marks, heights, strict=True)], LEADER
    )
    panel.board.avoid(points - (0.0, 1.0), 0.8)
    for spot in (np.array(drawn.site.anchor(name).position) for name in drawn.straps):
        at = section.at(spot)
        if at[0] > points[-1, 0]:
            panel.line([points[-1], at], UNKNOWN, order=1.5, avoid=0.4)
        if at[0] < points[0, 0]:
            panel.line([points[0], at], UNKNOWN, order=1.5, avoid=0.4)
    for i, leg in enumerate(drawn.site.legs):
        a, b = section.at(np.array(leg.start)), section.at(np.array(leg.end))
        text = drawn.leg_words(i)
        shown = np.clip((a[0], b[0]), 0.0, panel.width)
        if shown[1] - shown[0] < 2.0 and (a[0] < 0.0 or b[0] > panel.width):
            continue  # of another stage, off the page
        x = float(shown.mean())
        y = float(np.interp(x, (a[0], b[0]), (a[1], b[1])))
        panel.label(
            Label(text=text, at=(float(x), float(y) - 1.8), needed=True, clear=0.4,
                  centres=tuple((float(x), float(y) - d) for d in (4.6, 6.5, 8.5, 10.5)))
        )  # fmt: skip
        if i:
            panel.line([a, a - (0.0, 3.0)], THIN, order=2.5, avoid=0.5)
        if lips[i] > 0.0:
            lip = show(lips[i], Dimension.LENGTH, drawn.site.preferences.units)
            panel.line([a, _moved(a, 0.0, lips[i] * section.scale)], ROPE, order=3.2)
            panel.label(
                Label(
                    text=f"lip {lip} high", at=(float(a[0]), float(a[1])), size=SMALL, needed=True
                )
            )


def _moved(point: Array, right: float, up: float) -> Array:
    """A point (2,) mm moved over the page."""
    return np.asarray(point + np.array((right, up)))


def _stems(panel: Panel, section: Section, drawn: Seen) -> None:
    """The trees and anchors that stand in this view, each with the heights of its straps."""
    for name, straps in drawn.straps.items():
        anchor = drawn.site.anchor(name)
        foot = section.at(np.array(anchor.position))
        half = max(anchor.radius * section.scale, 0.5)
        top = _moved(foot, 0.0, min(anchor.top, max(straps) + _STEM) * section.scale)
        stem = [
            _moved(p, side * half, 0.0) for p, side in ((foot, -1), (foot, 1), (top, 1), (top, -1))
        ]
        panel.shape(stem, THIN, fill=USED, order=2.0, avoid=0.6)
        for strap in straps:
            level = _moved(foot, 0.0, strap * section.scale)
            ends = [_moved(level, side * (half + 0.6), 0.0) for side in (-1, 1)]
            panel.line(ends, ROPE, order=4.0)
        if not drawn.ropes:
            panel.board.boxes.append((*pair(stem[0]), *pair(stem[2])))
        letter = drawn.letters.get(("anchor", name))
        text = f"{letter} {short(name, 14)}" if letter else short(name, 14)
        wording = drawn.strap_words(name)
        panel.label(
            Label(text=f"{text}\n{wording}" if wording else text, at=pair(top), size=SMALL,
                  needed=bool(letter) or len(drawn.straps) <= MOST_NAMED, bold=bool(letter),
                  frame=0.4 if letter else 0.0, clear=0.3)
        )  # fmt: skip


def _posts(panel: Panel, section: Section, seen: Seen) -> None:
    """What is in a line's way and no anchor."""
    for post in seen.site.obstacles:
        foot = section.at(np.array(post.position))
        half = max(post.radius * section.scale, 0.4)
        top = _moved(foot, 0.0, min(post.top, TALL) * section.scale)
        stem = [
            _moved(p, side * half, 0.0) for p, side in ((foot, -1), (foot, 1), (top, 1), (top, -1))
        ]
        panel.shape(stem, THIN, fill="black", order=2.0, avoid=0.6)
        panel.label(Label(text=short(post.name, 14), at=pair(top), size=SMALL, clear=0.3))


def _hitches(panel: Panel, section: Section, seen: Seen) -> None:
    """The hitches on the load where it starts."""
    base = seen.stations.point[seen.begin]
    slope = float(np.arcsin(np.clip(seen.stations.slope_sin[seen.begin], -1.0, 1.0)))
    for hitch in seen.hitches:
        along = np.array((cos(slope), sin(slope))) * hitch.ahead * section.scale
        at = section.at(base) + along + np.array((0.0, hitch.height * section.scale))
        panel.circle(pair(at), HITCH, OUTLINE, fill="white", order=4.2)
        text = f"{short(hitch.name, 16)}\n{seen.length(hitch.height)} up"
        panel.label(Label(text=text, at=pair(at), size=SMALL, clear=HITCH))


def _rooms(panel: Panel, section: Section, seen: Seen) -> None:
    """The ground that pullers may stand on, where they have more than one spot."""
    for who in seen.pullers:
        for side in () if who.room is None else who.room.sides:
            panel.line([section.at(np.array(at)) for at in side], STANDS, order=1.8, avoid=0.2)


def _pullers(panel: Panel, section: Section, seen: Seen) -> None:
    """What pulls, where its run begins, with the way it goes as this view shows it."""
    for who in seen.pullers:
        near, far = (section.at(point) for point in seen.run(who))
        foot = section.at(np.array(who.position))
        panel.line([foot, near], THIN, order=3.0)
        if who.anchor:
            panel.square(pair(near), 0.8, order=4.2)
        else:
            panel.line([near, far], THIN, order=3.4, arrow=bool(np.hypot(*(far - near)) > 3.0))
            panel.circle(pair(near), 0.8, OUTLINE, fill="black", order=4.2)
        panel.label(Label(text=short(who.name, 18), at=pair(near), size=SMALL, bold=True, needed=True,
                          clear=0.8))  # fmt: skip


def _doubts(panel: Panel, section: Section, seen: Seen) -> None:
    """Within which heights each place that was measured lies."""
    for doubt in (doubt for doubt in seen.doubts if not doubt.mark):
        at = section.at(doubt.at)
        most = doubt.height * section.scale
        if most > 0.15:
            for up in (-most, most):
                ends = [_moved(at, side, up) for side in (-0.7, 0.7)]
                panel.line(ends, THIN, order=6.0, avoid=0.3)
            panel.line([_moved(at, 0.0, -most), _moved(at, 0.0, most)], THIN, order=6.0, avoid=0.3)


def _load(
    panel: Panel, section: Section, drawn: Seen, station: int, name: str, style: Line,
    *, needed: bool = True,
) -> None:  # fmt: skip
    """The load at a station."""
    corners = _corners(section, drawn, station)
    panel.shape(corners, style, fill=FILL if style is OUTLINE else "none", order=2.6, avoid=0.8)
    top = corners[[1, 2]].mean(axis=0)
    panel.label(Label(text=name, at=pair(top), size=SMALL, needed=needed, clear=0.3))


def _pulled(
    panel: Panel, section: Section, drawn: Drawn, station: int, name: str, style: Line
) -> None:
    """The load at a station, and which way the line pulls on it there."""
    wording = "line slack"
    if drawn.forces[station] > 0.0:
        hitch = section.at(drawn.scene.hitch[station])
        tip, angle = _pull(drawn, station)
        panel.line([hitch, hitch + tip], OUTLINE, order=5.5, arrow=True, avoid=1.2)
        rounded = round(degrees(angle))
        wording = f"{abs(rounded)}° {'up' if rounded > 0 else 'down'}" if rounded else "0°"
        wording = f"{'held' if drawn.downward else 'pull'} {wording}"
    needed = station in (drawn.begin, drawn.worst)
    _load(panel, section, drawn, station, f"{name}: {wording}", style, needed=needed)


def _pull(drawn: Drawn, station: int) -> tuple[Array, float]:
    """An arrow (2,) mm along the rig's pull on the load as seen in this view, and its angle to the
    slope, rad, positive away from the ground."""
    ev = drawn.evaluation
    state = station * len(drawn.scene.spots)
    force = ev.on_load[:, 0, state]
    stations = drawn.stations
    forward = float(force @ stations.along[station])
    lift = float(force @ stations.normal[station])
    angle = atan2(lift, forward)
    slope = float(np.arcsin(np.clip(stations.slope_sin[station], -1.0, 1.0)))
    return 9.0 * np.array((cos(slope + angle), sin(slope + angle))), angle


def _ropes(panel: Panel, section: Section, drawn: Drawn) -> None:
    """The parts at the load and at a grip: at the start drawn full, at the worst and the end dashed."""
    later = [s for s in dict.fromkeys((drawn.worst, drawn.end)) if s != drawn.begin]
    for rope in drawn.ropes:
        first = rope.station(drawn.begin)
        stations = dict.fromkeys((first, *(s for s in later if s == rope.station(s))))
        for station in stations:
            thin = replace(rope.style, width=1.3) if station == first else ROPE_ELSEWHERE
            for k in range(len(rope.walk) - 1):
                if {PlaceKind.LOAD, PlaceKind.GRIP} & {place.kind for place in rope.ends(k)}:
                    points = [section.at(point) for point in rope.course(station, k)]
                    panel.line(points, thin, order=4.5, avoid=1.0)
        if rope.walk[-1].kind is PlaceKind.GRIP:
            _grip(panel, section, drawn, rope)
        elif rope is not drawn.ropes[0] and rope.pulled is PlaceKind.LOAD:
            _second_line(panel, section, drawn, rope)


def _laid(panel: Panel, section: Section, drawn: Seen) -> None:
    """What lies on edges, where the ropes bend."""
    for edge in drawn.edges:
        ground = section.at(np.array(load_at(drawn.site, edge.middle)))
        top = pair(_moved(ground, 0.0, edge.lies.clearance * section.scale))
        side_sign(panel, pair(ground), top, edge.lies, section.scale)
        panel.label(
            Label(text=named(drawn, edge), at=top, size=SMALL, bold=True,
                  needed=len(drawn.edges) <= MOST_LAID, clear=1.6)
        )  # fmt: skip


def _grip(panel: Panel, section: Section, drawn: Drawn, rope: Rope) -> None:
    """The grip at the start."""
    before, grip = (section.at(point) for point in rope.near[drawn.begin, -2:])
    grip_sign(panel, pair(grip), grip - before)
    text = f"{drawn.letter(rope.walk[-1])} grip"
    panel.label(Label(text=text, at=pair(grip), size=SMALL, bold=True, needed=True, clear=1.6))


def _second_line(panel: Panel, section: Section, drawn: Drawn, rope: Rope) -> None:
    """What a holding line is called."""
    k = next(k for k in range(len(rope.walk) - 1) if rope.pulls(k))
    points = [section.at(point) for point in rope.course(rope.station(drawn.begin), k)]
    at = pair(points[0] + 0.45 * (points[1] - points[0]))
    panel.label(Label(text=rope.called, at=at, size=SMALL, bold=True, needed=True, clear=0.6))


def _clearance(panel: Panel, section: Section, drawn: Drawn) -> None:
    """Where a part of line comes closest to the ground."""
    least = drawn.clearance
    if least is None:
        return
    system = drawn.site.preferences.units
    ground = section.at(np.array(least.ground))
    above = _moved(ground, 0.0, max(least.height, 0.0) * section.scale)
    panel.line([ground, above], OUTLINE, order=5.0, avoid=1.0)
    shown = show(max(least.height, 0.0), Dimension.LENGTH, system, Rounding.DOWN)
    text = (
        f"part {least.part} clears by {shown}"
        if least.height > 0.0
        else f"part {least.part} touches"
    )
    panel.circle((float(ground[0]), float(ground[1])), 1.3, THIN, fill="none", order=5.1)
    # Below the ground there is room where the labels of loads and trees crowd above it.
    below = [(float(ground[0]) + x, float(ground[1]) - y) for y in (6.0, 9.0, 13.0) for x in ASIDE]
    panel.label(
        Label(text=text, at=(float(above[0]), float(above[1])), size=SMALL, bold=True, needed=True,
              clear=1.3, centres=tuple(below))
    )  # fmt: skip
