"""What is read on a bank, each kind of reading as a function of where the points are.

Lengths in metres, angles in radians. Seen from above, "left" is the way from x to y (counterclockwise); only
a compass bearing runs to the right, from north. Arrays of places have the shape (..., 3): many arrangements
of the same points at once, while a start is looked for.
"""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar

import numpy as np

from optimiser.mechanics.arrays import Array

DEFINED = 1e-4
"""Standard deviation of what holds by definition and was not read, m or rad: far below any reading, and
large enough for the sums of squares to be solved without loss."""
_TINY = 1e-9  # m: keeps quotients finite where two points coincide


class Axis(Enum):
    """One coordinate of a point."""

    X = 0
    Y = 1
    Z = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation(ABC):
    """A reading. `value` with its standard deviation `sigma` (one sigma, of this reading alone), m or rad.

    `label`: its place in the site file, for messages. `defined`: holds by definition; it is no reading, is
    never suspicious and counts in no test.
    """

    value: float
    sigma: float
    label: str
    defined: bool = False

    word: ClassVar[str]
    """What people call such a reading."""
    angular: ClassVar[bool] = False

    @property
    @abstractmethod
    def points(self) -> tuple[str, ...]:
        """The points it is between, in the order in which `calculated` takes them."""

    @abstractmethod
    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        """What would be read, shape (...,); `places`: of `points`, each (..., 3); `north`: direction to
        north, rad to the left of the x axis."""

    @abstractmethod
    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        """Change of `calculated` with the coordinates of each of `points`, each (..., 3)."""

    @property
    def by_north(self) -> float:
        """Change of `calculated` with the direction to north."""
        return 0.0

    @property
    def reach(self) -> float | None:
        """About how far apart its first and its last point are, m; None: it does not say."""
        return None

    @property
    def variant(self) -> object:
        """What else than its points `calculated` depends on: readings of one class and variant are worked
        out together."""
        return None

    def residual(
        self, places: Sequence[Array], north: float | Array, values: Array | None = None
    ) -> Array:
        """Calculated less measured, shape (...,); an angle the short way round. `values`: measured by others
        of the same class and variant, if it is them that `places` are of."""
        v = self.calculated(places, north) - (self.value if values is None else values)
        return np.arctan2(np.sin(v), np.cos(v)) if self.angular else v


@dataclass(frozen=True, slots=True, kw_only=True)
class Between(Observation, ABC):
    """Read from `start` to `end`."""

    start: str
    end: str

    @property
    def points(self) -> tuple[str, ...]:
        return (self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopeDistance(Between):
    """The straight distance, as a tight tape lies."""

    word: ClassVar[str] = "distance"

    @property
    def reach(self) -> float | None:
        return self.value

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return _length(places[1] - places[0])

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        way = places[1] - places[0]
        unit = way / _length(way)[..., None]
        return -unit, unit


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelDistance(Between):
    """The distance in plan, as a tape kept level reads."""

    word: ClassVar[str] = "level distance"

    @property
    def reach(self) -> float | None:
        return self.value

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return _length(_plan(places[1] - places[0]))

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        way = _plan(places[1] - places[0])
        unit = way / _length(way)[..., None]
        return -unit, unit


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightDifference(Between):
    """How far `end` is above `start`."""

    word: ClassVar[str] = "height difference"

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return (places[1] - places[0])[..., 2]

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        up = np.zeros_like(places[1] - places[0])
        up[..., 2] = 1.0
        return -up, up


@dataclass(frozen=True, slots=True, kw_only=True)
class VerticalAngle(Between):
    """How much the straight line from `start` to `end` rises from level, -pi/2..pi/2."""

    word: ClassVar[str] = "angle up or down"
    angular: ClassVar[bool] = True

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        way = places[1] - places[0]
        return np.arctan2(way[..., 2], _length(_plan(way)))

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        way = places[1] - places[0]
        level = _length(_plan(way))[..., None]
        slope = _length(way)[..., None]
        out = -_plan(way) / level * way[..., 2:] / slope**2
        out[..., 2:] = level / slope**2
        return -out, out


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction(Between):
    """Direction from `start` to `end` in plan, to the left of the x axis."""

    word: ClassVar[str] = "direction"
    angular: ClassVar[bool] = True

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return _heading(places[1] - places[0])

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        turn = _turning(places[1] - places[0])
        return -turn, turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing(Between):
    """Compass bearing from `start` to `end`, to the right of north. Where north lies is one common unknown
    of all bearings unless it is given."""

    word: ClassVar[str] = "bearing"
    angular: ClassVar[bool] = True

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return north - _heading(places[1] - places[0])

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        turn = _turning(places[1] - places[0])
        return turn, -turn

    @property
    def by_north(self) -> float:
        return 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HorizontalAngle(Observation):
    """Angle in plan at `at`, turned to the left from `start` to `end`.

    The turn of a path at a bend, positive to the left, is the angle from the leg's start to the next one's
    end less half a circle: `value = turn + pi`.
    """

    word: ClassVar[str] = "angle between two points"

    at: str
    start: str
    end: str

    angular: ClassVar[bool] = True

    @property
    def points(self) -> tuple[str, ...]:
        return (self.at, self.start, self.end)

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        at, start, end = places
        return _heading(end - at) - _heading(start - at)

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        at, start, end = places
        first, second = _turning(start - at), _turning(end - at)
        return first - second, -first, second


@dataclass(frozen=True, slots=True, kw_only=True)
class Coordinate(Observation):
    """One coordinate of a point, read off a plan or known only about."""

    word: ClassVar[str] = "coordinate"

    point: str
    axis: Axis

    @property
    def variant(self) -> object:
        return self.axis

    @property
    def points(self) -> tuple[str, ...]:
        return (self.point,)

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return places[0][..., self.axis.value]

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        out = np.zeros_like(places[0])
        out[..., self.axis.value] = 1.0
        return (out,)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offset(Observation, ABC):
    """Read from the straight line `start` to `end`, which is not plumb; the place on the line beside the
    point is where a level line square to it in plan leads to the point."""

    start: str
    end: str
    point: str

    @property
    def points(self) -> tuple[str, ...]:
        return (self.start, self.end, self.point)


@dataclass(frozen=True, slots=True, kw_only=True)
class Along(_Offset):
    """How far along the line, from its start, the place beside the point is; `level`: in plan, otherwise on
    the slope of the line. It may lie before the start (negative) or beyond the end."""

    word: ClassVar[str] = "way along a line"

    level: bool = False

    @property
    def variant(self) -> object:
        return self.level

    @property
    def reach(self) -> float | None:
        return abs(self.value)

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        line = _Line(places)
        return line.ahead if self.level else line.ahead * line.secant

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        line = _Line(places)
        if self.level:
            return line.by_ahead
        by = [d * line.secant[..., None] for d in line.by_ahead]
        factor = (line.ahead * line.grade / line.secant)[..., None]
        by[0] += factor * line.by_grade[0]
        by[1] += factor * line.by_grade[1]
        return tuple(by)


@dataclass(frozen=True, slots=True, kw_only=True)
class Left(_Offset):
    """How far the point is to the left of the line, looking from its start to its end, level; to the right
    is negative. Zero: in line."""

    word: ClassVar[str] = "offset to the side"

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        return _Line(places).left

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        return _Line(places).by_left


@dataclass(frozen=True, slots=True, kw_only=True)
class Above(_Offset):
    """How far the point is above the place of the line beside it."""

    word: ClassVar[str] = "offset upwards"

    def calculated(self, places: Sequence[Array], north: float | Array) -> Array:
        line = _Line(places)
        return (places[2] - places[0])[..., 2] - line.ahead * line.grade

    def partials(self, places: Sequence[Array], north: float | Array) -> tuple[Array, ...]:
        line = _Line(places)
        ahead, grade = line.ahead[..., None], line.grade[..., None]
        by = [-grade * d for d in line.by_ahead]
        by[0] -= ahead * line.by_grade[0]
        by[1] -= ahead * line.by_grade[1]
        by[0][..., 2] -= 1.0
        by[2][..., 2] += 1.0
        return tuple(by)


class _Line:
    """A line from A to B and a point P beside it: place, offset and grade, with how they change."""

    def __init__(self, places: Sequence[Array]) -> None:
        a, b, p = places
        span, way = b - a, p - a
        level = _length(_plan(span))[..., None]
        along = _plan(span) / level
        across = _left_of(along)
        ahead = (way * along).sum(-1, keepdims=True)
        left = (way * across).sum(-1, keepdims=True)
        grade = span[..., 2:] / level
        self.ahead, self.left, self.grade = ahead[..., 0], left[..., 0], grade[..., 0]
        self.secant = np.sqrt(1 + self.grade**2)
        swing = left * across / level
        self.by_ahead = (-along - swing, swing, along + 0 * way)
        swing = -ahead * across / level
        self.by_left = (-across - swing, swing, across + 0 * way)
        by_end = -grade * along / level
        by_end[..., 2:] = 1 / level
        self.by_grade = (-by_end, by_end)


def on_line(
    point: str, start: str, end: str, *, along: float, sigma: float, label: str
) -> tuple[Observation, ...]:
    """What puts `point` on the straight line from `start` to `end`, `along` metres from its start as a tape
    lies on the line: the mark itself is good to `sigma` [m], that it is on the line holds by definition."""
    return tuple(
        kind(
            start=start,
            end=end,
            point=point,
            value=value,
            sigma=good_to,
            label=label,
            defined=kind is not Along,
        )
        for kind, value, good_to in (
            (Along, along, sigma),
            (Left, 0.0, DEFINED),
            (Above, 0.0, DEFINED),
        )
    )


def _plan(way: Array) -> Array:
    return way * np.array((1.0, 1.0, 0.0))


def _length(way: Array) -> Array:
    return np.sqrt((way * way).sum(-1) + _TINY**2)


def _heading(way: Array) -> Array:
    return np.arctan2(way[..., 1], way[..., 0])


def _left_of(way: Array) -> Array:
    return np.stack((-way[..., 1], way[..., 0], np.zeros_like(way[..., 0])), axis=-1)


def _turning(way: Array) -> Array:
    """Change of the heading with the end of `way`."""
    return _left_of(way) / _length(_plan(way))[..., None] ** 2
