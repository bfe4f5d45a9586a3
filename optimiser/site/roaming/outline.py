"""Says what is wrong with the corners of a piece of ground, seen from above."""

from itertools import pairwise
from math import dist

from optimiser.mechanics.values import Vec

NEAREST = 0.1
"""m: points of a track or corners of an area that are closer are one."""


def misshapen(corners: tuple[Vec, ...]) -> str | None:
    """Why some corners go round no piece of ground, in words; None where they do."""
    for i, (a, b) in enumerate(pairwise((*corners, corners[0]))):
        if dist(a[:2], b[:2]) < NEAREST:
            return f"corners {i + 1} and {(i + 1) % len(corners) + 1} are the same, seen from above"
    met = _crossing(corners)
    if met is None:
        return None
    one, two = met
    return (
        f"crosses itself: the side from corner {one + 1} meets that from corner {two + 1}; "
        "give the corners in their order round it"
    )


def _crossing(points: tuple[Vec, ...]) -> tuple[int, int] | None:
    """Two sides of a polygon that meet elsewhere than at a common corner, seen from above."""
    many = len(points)
    for i in range(many):
        for j in range(i + 1, many):
            if (j - i) % many in (1, many - 1):
                continue
            if _meet(points[i], points[(i + 1) % many], points[j], points[(j + 1) % many]):
                return i, j
    return None


def _meet(a: Vec, b: Vec, c: Vec, d: Vec) -> bool:
    def side(p: Vec, q: Vec, r: Vec) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0.0 and side(c, d, a) * side(c, d, b) <= 0.0
