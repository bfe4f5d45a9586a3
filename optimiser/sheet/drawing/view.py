"""Lays the rig from above on the page: scale, turn, and what must be on it."""

from dataclasses import dataclass
from math import cos, floor, log10, pi, sin

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.sheet.drawing.style import WIDTH
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.shown.seen import Seen

Point = tuple[float, float]

_LEAST_HEIGHT, _MOST_HEIGHT = 74.0, 155.0
_SIDE, _FOOT, _TOP = 7.0, 11.0, 14.0
"""mm kept free beside, below (scale bar) and above what is drawn: above, a label of two lines finds room."""


@dataclass(frozen=True)
class View:
    """Metres on the ground to mm on the page, turned so that the path rises up the page."""

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

    def shows(self, at: Array) -> bool:
        """Whether a point (2,) m lies on the page."""
        turned = self.view.turned(at)
        inner = 1.5 / self.view.scale
        return bool((turned > self.low + inner).all() and (turned < self.high - inner).all())


def layout(drawn: Seen, width: float = WIDTH) -> Layout:
    """The largest round scale at which the whole rig fits the panel."""
    points = _extent(drawn)
    turn = pi / 2 - drawn.heading
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


def _extent(drawn: Seen) -> Array:
    """(n, 2) m: what must be on the page."""
    points = [outline(drawn, s) for s in (0, len(drawn.at) - 1)]
    for rope in drawn.ropes:
        ends = rope.station(0), rope.station(len(drawn.at) - 1)
        points += [where[s, :, :2] for s in ends for where in (rope.near, rope.far)]
        if rope.turns:
            points.append(np.array([hand_of(drawn, rope).at]))
    points.append(drawn.besides[:, :2])
    return np.concatenate(points)


def outline(drawn: Seen, station: int) -> Array:
    """(4, 2) m: the load from above."""
    load, stations = drawn.site.load, drawn.stations
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


def pair(point: Array) -> Point:
    return float(point[0]), float(point[1])


def round_length(drawn: Seen, room: float) -> tuple[float, float, str]:
    """A round length of at most `room` m: m, and its number and unit as they are printed."""
    imperial = drawn.site.preferences.units == "imperial"
    unit = 0.3048 if imperial else 1.0
    power = 10.0 ** floor(log10(room / unit))
    length = next(step for step in (5.0, 2.0, 1.0) if step * power <= room / unit) * power
    return length * unit, length, "ft" if imperial else "m"
