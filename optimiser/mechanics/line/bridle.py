"""Computes where the ring of a two-leg bridle comes to rest, and what each leg carries.

The ring of a taut bridle lies in the plane of its two hitch points and the pull, at the two legs'
lengths; the legs share the pull by equilibrium there. A leg that would have to push goes slack and
the other takes it all. Derived (statics).
"""

from typing import Any

import numpy as np

from optimiser.mechanics.arrays import Array

SETTLED = 1e-11
"""m: a ring that would still move by less is at rest."""
MOST_STEPS = 400
CLOSEST = 1e-9
"""m (or of a pull): nothing is divided by less."""


def leg_tensions(*, first: Array, second: Array, legs: tuple[float, float], pull: Array) -> Array:
    """(2, n) tensions of a bridle's two legs [N] under n pulls; both 0 where there is no pull.

    first, second: (n, 3) the two hitch points [m]; legs: lengths of their legs [m], long enough to meet;
    pull: (n, 3) force on the ring [N]. Derived.
    """
    la, lb = legs
    apart = np.sqrt(((second - first) ** 2).sum(axis=1))
    along = (second - first) / apart[:, None]
    size = np.sqrt((pull**2).sum(axis=1))
    forward = (pull * along).sum(axis=1)
    across = np.sqrt(((pull - forward[:, None] * along) ** 2).sum(axis=1))
    x, y = _ring(apart, la, lb)
    # Unit vectors from each hitch to the ring, in the plane (along the hitches, across them).
    ax, ay, bx, by = x / la, y / la, (x - apart) / lb, y / lb
    meets, aside = np.abs(x) < la, across > 1e-12 * size
    det = np.where(meets, ax * by - bx * ay, 1.0)
    both = np.array([forward * by - bx * across, ax * across - forward * ay]) / det
    taut = meets & aside & (both >= 0.0).all(axis=0)
    # One leg hangs loose: the one that would have to push; along the hitch points the one ahead; or one
    # so long that the shorter never lets it draw.
    first_loose = np.where(meets, np.where(aside, both[0] < 0.0, forward <= 0.0), lb <= la)
    alone = np.array([np.where(first_loose, 0.0, size), np.where(first_loose, size, 0.0)])
    return np.asarray(np.where(taut, both, alone))


def nearest_ring(*, first: Array, second: Array, legs: tuple[float, float], to: Array) -> Array:
    """(..., 3) m: where the ring of a bridle lies that is pulled towards one point, leg by leg taut or slack.

    first, second: (..., 3) the two hitch points [m]; legs: their legs' lengths [m], long enough to meet;
    to: (..., 3) the point [m]. The point that the legs let come nearest to it. Derived.
    """
    shape = np.broadcast_shapes(first.shape, second.shape, to.shape)
    a, b, p = (np.broadcast_to(x, shape) for x in (first, second, to))
    return _furthest(a, b, legs, p - a, p - b, p)


def settled_ring(
    *, first: Array, second: Array, legs: tuple[float, float], ends: Array, tensions: Array
) -> Array:
    """(n, 3) m: where the ring of a bridle comes to rest under parts of line that run from it to fixed
    points, each with a tension that does not depend on where it is.

    first, second: (n, 3) the hitch points [m]; legs: their legs' lengths [m]; ends: (k, n, 3) the points
    [m]; tensions: (k, n) of the parts, in any one unit. The parts' tensions times their lengths are
    least there (a convex sum over what the legs allow), so the place is unique. Derived: at rest the ring
    is as far in the direction of the parts' joint pull as the legs let it come; found by going there
    again and again, by shorter ways the more the pull turns with the ring.
    """
    ring = nearest_ring(first=first, second=second, legs=legs, to=_middle(ends, tensions))
    for _ in range(MOST_STEPS):
        way = ends - ring
        length = np.maximum(np.sqrt((way**2).sum(axis=2)), CLOSEST)
        pull = (way * (tensions / length)[..., None]).sum(axis=0)
        size = np.maximum(np.sqrt((pull**2).sum(axis=1)), CLOSEST)
        there = _furthest(first, second, legs, pull, pull, None)
        turns = max(legs) * (tensions / length).sum(axis=0) / size
        off = there - ring
        if float(np.abs(off).max(initial=0.0)) < SETTLED:
            return there
        ring = ring + off * (2.0 / (2.0 + turns))[:, None]
    return there


def _middle(ends: Array, tensions: Array) -> Array:
    """(n, 3) the points' middle by tension."""
    return np.asarray((ends * tensions[..., None]).sum(axis=0) / tensions.sum(axis=0)[:, None])


def _furthest(
    first: Array, second: Array, legs: tuple[float, float], by_first: Array, by_second: Array,
    point: Array | None,
) -> Array:  # fmt: skip
    """(..., 3) the ring drawn in the directions `by_first` by the first leg alone, `by_second` by the second
    alone, or where that stretches the other leg too far, by both, towards `point` or in that direction."""
    la, lb = legs
    alone_a = first + la * _unit(by_first)
    alone_b = second + lb * _unit(by_second)
    apart = np.sqrt(((second - first) ** 2).sum(axis=-1))
    along = (second - first) / apart[..., None]
    x, y = _ring(apart, la, lb)
    root = first + x[..., None] * along
    way = by_first if point is None else point - root
    across = way - (way * along).sum(axis=-1)[..., None] * along
    both = root + y[..., None] * _unit(across)
    loose_b = ((alone_a - second) ** 2).sum(axis=-1) <= lb * lb
    loose_a = ((alone_b - first) ** 2).sum(axis=-1) <= la * la
    out = np.where(loose_a[..., None], alone_b, both)
    return np.asarray(np.where(loose_b[..., None], alone_a, out))


def _unit(way: Array) -> Array:
    size = np.sqrt((way**2).sum(axis=-1))
    return np.asarray(way / np.maximum(size, CLOSEST)[..., None])


def _ring(apart: Array | float, la: float, lb: float) -> tuple[Any, Any]:
    """Where the ring of a taut bridle is from the first hitch, along the hitches and across them, m."""
    x = (la * la - lb * lb + apart * apart) / (2.0 * apart)
    return x, np.sqrt(np.maximum(la * la - x * x, 0.0))
