"""Where a puller may stand that is given room instead of one spot: along a track, or anywhere in an area.

A stand is counted in the room itself (metres along a track, metres from an area's first corner), so it
stays the same stand where the room is measured anew. Nothing here knows what else stands on the site.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import cos, degrees, dist, hypot, pi, sin

from optimiser.mechanics.values import Vec

TURNS = 12
"""Headings looked at where the heading is free, evenly all round (project choice)."""
BUMP = 0.15
"""m by which the straight run of a puller may be above or below the ground of its track, and a corner of an
area off the plane of the others (project choice)."""
NEAR = 1e-6
"""m that do not count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """One way to stand in a room. `along`, `aside` [m]: along a track and to its left; in an area from its
    first corner towards the second, and to the left of that. `turn` [rad]: of the heading to the left of that
    way."""

    along: float
    aside: float = 0.0
    turn: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What a puller takes of the ground: `length` ahead of its hitch, `width`, and `run`, how far it goes at
    most in one stroke, m."""

    length: float
    width: float
    run: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """A line on the ground that a puller drives or walks along, either way. `width` [m]: of the ground that
    is free along it; `spacing` [m]: between candidate spots; `free`: it may head any way, not along it
    only."""

    points: tuple[Vec, ...]
    width: float
    spacing: float
    free: bool
    body: Body

    @property
    def word(self) -> str:
        """What it is called."""
        return "track"

    @property
    def point_word(self) -> str:
        """What its points are called."""
        return "point"

    @property
    def length(self) -> float:
        """m from end to end."""
        return sum(dist(a, b) for a, b in pairwise(self.points))

    @property
    def allowed(self) -> float:
        """m that the middle of the puller may come off the line of the track."""
        return (self.width - self.body.width) / 2.0

    @property
    def sides(self) -> tuple[tuple[Vec, ...], ...]:
        """The lines along its edges, each from its start on."""
        return tuple(self._beside(half) for half in (self.width / 2.0, -self.width / 2.0))

    def _beside(self, left: float) -> tuple[Vec, ...]:
        """A line so many m to the left of that of the track; bends are cut, not rounded."""
        out = []
        legs = list(pairwise(self.points))
        for i, at in enumerate(self.points):
            near = legs[max(i - 1, 0) : i + 1]
            ways = [(b[0] - a[0], b[1] - a[1]) for a, b in near]
            flat = [(x / hypot(x, y), y / hypot(x, y)) for x, y in ways]
            x, y = sum(w[0] for w in flat), sum(w[1] for w in flat)
            long = max(hypot(x, y), 1e-9)
            # Half of the bend widens it.
            wide = left * len(flat) / long
            out.append((at[0] - wide * y / long, at[1] + wide * x / long, at[2]))
        return tuple(out)

    def moved(self, points: tuple[Vec, ...]) -> "Track":
        """The same with its points elsewhere."""
        return replace(self, points=points)

    def stands(self) -> Iterator[Stand]:
        """Candidate stands, from its start on."""
        long = self.length
        spots = [i * self.spacing for i in range(int(long / self.spacing + 1e-9) + 1)]
        if long - spots[-1] > NEAR:
            spots.append(long)
        turns = _all_round() if self.free else (0.0, pi)
        for along in spots:
            yield from (Stand(along=along, turn=turn) for turn in turns)

    def spot(self, stand: Stand) -> tuple[Vec, Vec]:
        """Where somebody stands there, and the unit vector of the run."""
        start, end, begun = self._leg(stand)
        long = dist(start, end)
        x, y, z = ((b - a) / long for a, b in zip(start, end, strict=True))
        flat = hypot(x, y)
        left = (-y / flat, x / flat, 0.0)
        ahead, across = cos(stand.turn), sin(stand.turn)
        out = stand.along - begun
        at = tuple(
            a + out * t + stand.aside * b for a, t, b in zip(start, (x, y, z), left, strict=True)
        )
        way = tuple(ahead * t + across * b for t, b in zip((x, y, z), left, strict=True))
        return (at[0], at[1], at[2]), (way[0], way[1], way[2])

    def holds(self, at: Vec) -> bool:
        """Whether the middle of the puller may be at a point."""
        last = len(self.points) - 2
        for i, (a, b) in enumerate(pairwise(self.points)):
            along, apart, rise = _beside(at, a, b)
            # One that heads across sticks out over the end as far as over the side.
            half = self.body.width / 2.0 if self.free else 0.0
            kept = (half - NEAR) / dist(a[:2], b[:2])
            if (along < kept and i == 0) or (along > 1.0 - kept and i == last):
                continue
            if apart <= self.allowed + NEAR and abs(rise) <= BUMP:
                return True
        return False

    def near(self, stand: Stand, step: float) -> Iterator[Stand]:
        """Stands a step away from one, on the track."""
        for along in (stand.along - step, stand.along + step):
            if -NEAR <= along <= self.length + NEAR:
                yield replace(stand, along=min(max(round(along, 6), 0.0), self.length))
        if self.free:
            yield from _turned(stand, step / self.spacing)

    def _leg(self, stand: Stand) -> tuple[Vec, Vec, float]:
        """The straight piece that a stand is on, and how far along the track that begins. At a bend: the
        piece that lies ahead of its heading."""
        back, begun = cos(stand.turn) < 0.0, 0.0
        last = len(self.points) - 2
        for i, (a, b) in enumerate(pairwise(self.points)):
            end = begun + dist(a, b)
            if i == last or stand.along < end - NEAR or (back and stand.along <= end + NEAR):
                return a, b, begun
            begun = end
        raise AssertionError("a track has two points")


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A piece of ground, a plane as nearly as counts, that a puller may stand anywhere in and head any way.
    `spacing` [m]: between candidate spots, along its first side and across."""

    points: tuple[Vec, ...]
    spacing: float
    body: Body

    @property
    def word(self) -> str:
        """What it is called."""
        return "area"

    @property
    def point_word(self) -> str:
        """What its points are called."""
        return "corner"

    @property
    def sides(self) -> tuple[tuple[Vec, ...], ...]:
        """The line along its edges."""
        return ((*self.points, self.points[0]),)

    def moved(self, points: tuple[Vec, ...]) -> "Area":
        """The same with its corners elsewhere."""
        return replace(self, points=points)

    def spots(self) -> Iterator[Stand]:
        """Candidate spots, row by row along the first side, heading along it."""
        flat = [self._flat(p) for p in self.points]
        edge = self.body.width / 2.0
        rows = [
            [
                low + edge + i * self.spacing
                for i in range(max(int((high - low - 2 * edge) / self.spacing + 1e-9) + 1, 0))
            ]
            for low, high in ((min(c), max(c)) for c in zip(*flat, strict=True))
        ]
        for aside in rows[1]:
            for along in rows[0]:
                yield Stand(along=along, aside=aside)

    def stands(self) -> Iterator[Stand]:
        """Candidate stands: each spot with every heading."""
        for spot in self.spots():
            yield from (replace(spot, turn=turn) for turn in _all_round())

    def spot(self, stand: Stand) -> tuple[Vec, Vec]:
        """Where somebody stands there, and the unit vector of the run."""
        (x, y, _), (ux, uy) = self.points[0], self._way
        at = (
            x + stand.along * ux - stand.aside * uy,
            y + stand.along * uy + stand.aside * ux,
        )
        ahead, across = cos(stand.turn), sin(stand.turn)
        wx, wy = ahead * ux - across * uy, ahead * uy + across * ux
        (gx, gy), _ = plane(self.points)
        climb = gx * wx + gy * wy
        long = hypot(1.0, climb)
        return (at[0], at[1], self._ground(*at)), (wx / long, wy / long, climb / long)

    def holds(self, at: Vec) -> bool:
        """Whether the middle of the puller may be at a point."""
        inside = False
        for a, b in zip(self.points, (*self.points[1:], self.points[0]), strict=True):
            _, apart, _ = _beside(at, a, b)
            if apart < self.body.width / 2.0 - NEAR:
                return False
            if (a[1] > at[1]) != (b[1] > at[1]):
                inside ^= at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        return inside

    def near(self, stand: Stand, step: float) -> Iterator[Stand]:
        """Stands a step away from one."""
        for along, aside in ((-step, 0.0), (step, 0.0), (0.0, -step), (0.0, step)):
            yield replace(
                stand, along=round(stand.along + along, 6), aside=round(stand.aside + aside, 6)
            )
        yield from _turned(stand, step / self.spacing)

    @property
    def _way(self) -> tuple[float, float]:
        """Unit vector in plan from the first corner to the second."""
        (ax, ay, _), (bx, by, _) = self.points[:2]
        long = hypot(bx - ax, by - ay)
        return (bx - ax) / long, (by - ay) / long

    def _flat(self, at: Vec) -> tuple[float, float]:
        """A point along the first side and to the left of it."""
        (x, y, _), (ux, uy) = self.points[0], self._way
        dx, dy = at[0] - x, at[1] - y
        return dx * ux + dy * uy, dy * ux - dx * uy

    def _ground(self, x: float, y: float) -> float:
        (gx, gy), (mx, my, mz) = plane(self.points)
        return mz + gx * (x - mx) + gy * (y - my)


Room = Track | Area


def within(room: Room) -> str:
    """Where somebody stands who stands in a room: "along the track", "in the area"."""
    return "along the track" if isinstance(room, Track) else "in the area"


def headed(turn: float) -> str:
    """How a heading lies to the way of its room, in words, such as "30 degrees to the left of"."""
    angle = degrees(turn) % 360.0
    side = "left" if angle <= 180.0 else "right"
    return f"{min(angle, 360.0 - angle):.0f} degrees to the {side} of"


@lru_cache(maxsize=64)
def plane(corners: tuple[Vec, ...]) -> tuple[tuple[float, float], Vec]:
    """How a plane through some corners rises along x and y, and their middle, which lies on it (least
    squares)."""
    many = len(corners)
    mx, my, mz = (sum(c[i] for c in corners) / many for i in range(3))
    rows = [(x - mx, y - my, z - mz) for x, y, z in corners]
    xx, xy, yy = (sum(r[i] * r[j] for r in rows) for i, j in ((0, 0), (0, 1), (1, 1)))
    xz, yz = (sum(r[i] * r[2] for r in rows) for i in (0, 1))
    whole = xx * yy - xy * xy
    if whole <= 1e-12 * max(xx, yy, 1.0) ** 2:  # all in line: such an area has a fault of its own
        return (0.0, 0.0), (mx, my, mz)
    return ((xz * yy - yz * xy) / whole, (yz * xx - xz * xy) / whole), (mx, my, mz)


def off_plane(corners: tuple[Vec, ...]) -> float:
    """m by which the corner furthest off the plane of all corners is off it, plumb."""
    (gx, gy), (mx, my, mz) = plane(corners)
    return max(abs(z - mz - gx * (x - mx) - gy * (y - my)) for x, y, z in corners)


def _all_round() -> tuple[float, ...]:
    return tuple(2.0 * pi * i / TURNS for i in range(TURNS))


def _turned(stand: Stand, share: float) -> Iterator[Stand]:
    """Stands whose heading is off by a share of the angle between two candidates."""
    for sign in (-1.0, 1.0):
        turn = (stand.turn + sign * share * 2.0 * pi / TURNS) % (2.0 * pi)
        yield replace(stand, turn=turn)


def _beside(at: Vec, a: Vec, b: Vec) -> tuple[float, float, float]:
    """Where a point lies by a straight piece of ground: as a share along it in plan, m in plan from the
    nearest point of it, and m above that."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    px, py = at[0] - a[0], at[1] - a[1]
    along = (px * dx + py * dy) / square
    near = min(max(along, 0.0), 1.0)
    apart = abs(py * dx - px * dy) / square**0.5
    if near != along:
        apart = hypot(px - near * dx, py - near * dy)
    return along, apart, at[2] - a[2] - near * (b[2] - a[2])
