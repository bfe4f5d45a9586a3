"""Bars, and how a load's weight is shared by what it stands on. Source: statics."""

from collections.abc import Sequence
from itertools import combinations
from math import sqrt

from optimiser.mechanics.domain import positive, within


def bar_effort(*, load: float, load_arm: float, effort_arm: float) -> float:
    """F = W a / b [N]: load W [N], arms from the pivot to the load a and to the hands b [m]."""
    return positive("load", load) * positive("load arm", load_arm) / positive("arm", effort_arm)


def pivot_force(*, load: float, effort: float, between: bool) -> float:
    """Force on the pivot [N]: W + F with the pivot `between` load and hands, else |W − F|."""
    return load + effort if between else abs(load - effort)


def triangle_shares(
    *, corners: Sequence[tuple[float, float]], at: tuple[float, float]
) -> tuple[float, float, float]:
    """Shares of the weight on three supports: moments about their sides. Sum 1.

    corners: plan positions of the three supports [m]; at: foot of the plumb line from the centre of
    gravity [m]. A share below 0 means that the load tips over the opposite side. ValueError where
    the three stand in a line. Source: statics.
    """
    (ax, ay), (bx, by), (cx, cy) = corners
    twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    if abs(twice) < 1e-9:
        raise ValueError("three supports in a line hold nothing up")
    x, y = at
    a = ((bx - x) * (cy - y) - (cx - x) * (by - y)) / twice
    b = ((cx - x) * (ay - y) - (ax - x) * (cy - y)) / twice
    return a, b, 1.0 - a - b


def spring_shares(
    *, corners: Sequence[tuple[float, float]], at: tuple[float, float]
) -> tuple[float, ...]:
    """Shares of the weight on any number of supports: a stiff load on equal springs.

    R_i / W = 1/n + β (x_i − x̄) + γ (y_i − ȳ), β and γ from the moments. For four corners of a
    rectangle: 1/4 ± e_x / 2L ± e_y / 2B. A share below 0 means that the corner would lift off.
    corners, at: plan positions [m]. ValueError where the supports stand in a line. Source: statics.
    """
    n = len(corners)
    mx, my = sum(x for x, _ in corners) / n, sum(y for _, y in corners) / n
    xx = sum((x - mx) ** 2 for x, _ in corners)
    yy = sum((y - my) ** 2 for _, y in corners)
    xy = sum((x - mx) * (y - my) for x, y in corners)
    det = xx * yy - xy * xy
    if det < 1e-12:
        raise ValueError("supports in a line hold nothing up")
    ex, ey = at[0] - mx, at[1] - my
    beta, gamma = (ex * yy - ey * xy) / det, (ey * xx - ex * xy) / det
    return tuple(1.0 / n + beta * (x - mx) + gamma * (y - my) for x, y in corners)


def share_bounds(
    *, corners: Sequence[tuple[float, float]], at: tuple[float, float]
) -> tuple[tuple[float, float], ...]:
    """Least and most share of the weight that each of three or four supports can carry.

    Four supports of a stiff load are indeterminate: which of them really carry depends on fractions
    of a millimetre. The ends of what is possible are the stances on three of them that hold.
    ValueError where none holds (the load tips over). Source: statics.
    """
    found: list[list[float]] = []
    for three in combinations(range(len(corners)), 3):
        shares = triangle_shares(corners=[corners[i] for i in three], at=at)
        if min(shares) >= -1e-12:
            row = [0.0] * len(corners)
            for i, share in zip(three, shares, strict=True):
                row[i] = max(share, 0.0)
            found.append(row)
    if not found:
        raise ValueError("the centre of gravity is outside of the supports: the load tips over")
    return tuple((min(column), max(column)) for column in zip(*found, strict=True))


def plumb_foot(
    *, at: tuple[float, float], height: float, rise_ahead: float, rise_left: float
) -> tuple[float, float]:
    """Where the plumb line from the centre of gravity meets the plane of the supports [m].

    x − h u_x / u_z, y − h u_y / u_z, u the upward direction seen from the tilted load: u_x, u_y
    are the rises of its plane per metre ahead and to the left [-], u_z² = 1 − u_x² − u_y². height h
    over the plane of the supports [m]. ValueError where the rises make no tilt. Source: statics.
    """
    flat = rise_ahead**2 + rise_left**2
    if flat >= 1.0:
        raise ValueError(f"rises {rise_ahead:.2f} and {rise_left:.2f}: steeper than upright")
    within("height", height, 0.0, 100.0, "m")
    up = sqrt(1.0 - flat)
    return at[0] - height * rise_ahead / up, at[1] - height * rise_left / up


def centre_from_weighed(
    *, corners: Sequence[tuple[float, float]], weighed: Sequence[float]
) -> tuple[float, float]:
    """Foot of the centre of gravity from weighed corners: Σ R_i x_i / Σ R_i, likewise y [m].

    weighed: what each support carries [N], measured with the load level. Source: statics.
    """
    total = sum(positive("weighed corner", force) for force in weighed)
    pairs = list(zip(corners, weighed, strict=True))
    return sum(c[0] * w for c, w in pairs) / total, sum(c[1] * w for c, w in pairs) / total
