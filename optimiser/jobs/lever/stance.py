"""Computes how a stiff load stands on three or four uneven corners, and how near it is to tipping.

Of four supports three carry unless all four lie in one plane: the higher diagonal carries, and of
its two neighbours the one on whose side the centre of gravity is; the fourth corner hovers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import atan, atan2, hypot, sin

from optimiser.mechanics.ground.bars import plumb_foot, triangle_shares
from optimiser.site.lever import LeverJob

EVEN = 1e-9
"""m: heights closer than this are one plane."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """One way of standing. `on`: numbers of the corners that carry; `shares` of the weight, `gaps`
    [m] under those that hover, both by corner; `spare`: rad of further tilt to the nearest tipping
    line, which runs `over` two corners."""

    on: tuple[int, ...]
    shares: tuple[float, ...]
    gaps: tuple[float, ...]
    foot: tuple[float, float]
    spare: float
    over: tuple[int, int]


def stances(
    job: LeverJob, centre: tuple[float, float], stacks: Sequence[float]
) -> tuple[Stance, ...]:
    """Every way the load can stand on stacks of these heights [m]; empty: it tips over.

    More than one: all four carry (any of these is the limit of how), or it rocks from one to the
    other.
    """
    points = [(c.ahead, c.left) for c in job.corners]
    heights = [
        x * sin(job.rise_ahead) + y * sin(job.rise_left) + stack
        for (x, y), stack in zip(points, stacks, strict=True)
    ]
    out = []
    for three in combinations(range(len(points)), 3):
        p, q = _rises([points[i] for i in three], [heights[i] for i in three])
        i = three[0]
        gaps = tuple(
            heights[i] + p * (x - points[i][0]) + q * (y - points[i][1]) - height
            for (x, y), height in zip(points, heights, strict=True)
        )
        if min(gaps) < -EVEN:
            continue
        foot = plumb_foot(at=centre, height=job.height, rise_ahead=p, rise_left=q)
        shares = triangle_shares(corners=[points[i] for i in three], at=foot)
        if min(shares) < -1e-12:
            continue
        by_corner = [0.0] * len(points)
        for corner, share in zip(three, shares, strict=True):
            by_corner[corner] = max(share, 0.0)
        spare, over = _spare(job, centre, points, gaps, (p, q))
        out.append(
            Stance(on=three, shares=tuple(by_corner), gaps=gaps, foot=foot, spare=spare, over=over)
        )
    return tuple(out)


def _rises(points: Sequence[tuple[float, float]], heights: Sequence[float]) -> tuple[float, float]:
    """Rise per metre ahead and to the left of the plane through three points."""
    (ax, ay), (bx, by), (cx, cy) = points
    a, b, c = heights
    twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    p = ((b - a) * (cy - ay) - (c - a) * (by - ay)) / twice
    q = ((c - a) * (bx - ax) - (b - a) * (cx - ax)) / twice
    return p, q


def _spare(
    job: LeverJob,
    centre: tuple[float, float],
    points: Sequence[tuple[float, float]],
    gaps: Sequence[float],
    rises: tuple[float, float],
) -> tuple[float, tuple[int, int]]:
    """Least further tilt until the centre of gravity is plumb over a side, and which side.

    Towards a corner that hovers the load first drops by the gap: that tilt is taken off."""
    up = (1.0 - rises[0] ** 2 - rises[1] ** 2) ** 0.5
    middle = (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
    found = []
    for i in range(len(points)):
        j = (i + 1) % len(points)
        nx, ny = _outward(points[i], points[j], middle)
        inside = nx * (points[i][0] - centre[0]) + ny * (points[i][1] - centre[1])
        # The ground falling outwards tilts the load towards this side.
        tilt = atan(-(nx * rises[0] + ny * rises[1]) / up)
        spare = atan2(inside, job.height) - tilt
        for corner in (i, j):
            if gaps[corner] > EVEN:
                before, after = points[corner - 1], points[(corner + 1) % len(points)]
                spare -= gaps[corner] / _distance(points[corner], before, after)
        found.append((spare, (i, j)))
    return min(found)


def _outward(
    a: tuple[float, float], b: tuple[float, float], middle: tuple[float, float]
) -> tuple[float, float]:
    """Unit vector across the side a-b, away from the middle."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = hypot(dx, dy)
    nx, ny = dy / long, -dx / long
    if nx * (middle[0] - a[0]) + ny * (middle[1] - a[1]) > 0.0:
        nx, ny = -nx, -ny
    return nx, ny


def _distance(point: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Distance of the point from the line through a and b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    return abs((point[0] - a[0]) * dy - (point[1] - a[1]) * dx) / hypot(dx, dy)
