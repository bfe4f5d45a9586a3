"""Works out how a taut rope lies between its two ends over ground that carries it."""

from collections.abc import Sequence
from itertools import pairwise
from math import atan, inf, sqrt
from typing import NamedTuple

from catalogue.gear import Protector
from optimiser.mechanics.values import Vec

STRAIGHT = 1e-9
"""rad: what turns by less lies straight."""


class Spot(NamedTuple):
    """A point of the path's ground: how far along the path, where, the way to the path's left in plan,
    what lies there, and the height over it at which a rope runs, m. `ours`: the rig lays it. `gradient`: of
    the leg up to it, m of rise a metre in plan."""

    at: float
    x: float
    y: float
    z: float
    left: tuple[float, float]
    protector: Protector | None
    runs: float
    ours: bool
    gradient: float = 0.0


class Touch(NamedTuple):
    """Where a string runs over the ground, by what angle it turns there, rad, and how far to the path's
    left, m."""

    spot: Spot
    at: Vec
    turn: float
    left: float


class String(NamedTuple):
    """A taut rope from one place to another. `blocked`: bare ground or a thing that it may not touch is in
    its way."""

    begin: Vec
    end: Vec
    touches: tuple[Touch, ...] = ()
    blocked: bool = False

    @property
    def corners(self) -> list[Vec]:
        """Its ends and where it turns."""
        return [self.begin, *(touch.at for touch in self.touches), self.end]

    @property
    def next(self) -> Vec:
        """Where it leads from its beginning."""
        return self.touches[0].at if self.touches else self.end

    @property
    def before(self) -> Vec:
        """Where it comes from at its end."""
        return self.touches[-1].at if self.touches else self.begin

    @property
    def length(self) -> float:
        """m."""
        return sum(apart(a, b) for a, b in pairwise(self.corners))

    @property
    def back(self) -> "String":
        """The same from its end to its beginning."""
        return String(self.end, self.begin, self.touches[::-1], self.blocked)


def apart(a: Vec, b: Vec) -> float:
    """m between two points."""
    x, y, z = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    return sqrt(x * x + y * y + z * z)


def carriers(
    flat: float, first: float, last: float, points: Sequence[tuple[float, float]]
) -> list[tuple[int, float]]:
    """Which of the points (m along a line in plan, height) carry a rope drawn tight from the height
    `first` to the height `last`, `flat` m away, and the angle it turns there by, rad; in the rope's order.

    Each is judged by itself, by its lines of sight: among all lines to what is before it the least
    steep, among all to what is after it the steepest one. A rope rests on it where these two do not
    meet in one line but bend down over it: then nothing else lifts the rope off it.
    """
    # What lies under the straight line never carries the rope.
    above = [(x, z, i) for i, (x, z) in enumerate(points) if z > first + (last - first) * x / flat]
    everything = [(0.0, first, -1), *above, (flat, last, -1)]
    out: list[tuple[float, int, float]] = []
    for x, z, i in above:
        behind, ahead, hidden = inf, -inf, False
        for u, w, j in everything:
            if u < x:
                behind = min(behind, (z - w) / (x - u))
            elif u > x:
                ahead = max(ahead, (w - z) / (u - x))
            elif w > z or (w == z and 0 <= j < i):
                hidden = True
        turn = atan(behind) - atan(ahead)
        if not hidden and turn > STRAIGHT:
            out.append((x, i, turn))
    return [(i, turn) for _, i, turn in sorted(out)]
