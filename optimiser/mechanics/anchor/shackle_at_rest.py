"""Computes where a shackle that runs on a sling between two trees comes to rest.

It may be anywhere on the ellipsoid of which the two fastenings are the foci; at rest no place on that lies
further in the direction of the pull, which then halves the angle between the legs. Derived (statics).
"""

from math import sqrt

import numpy as np

from optimiser.mechanics.arrays import Array

SETTLED = 1e-11
"""m: a shackle that would still move by less is at rest."""
MOST_STEPS = 400
CLOSEST = 1e-9
"""m (or of a pull): nothing is divided by less."""


def furthest(*, first: Array, second: Array, legs: float, way: Array) -> Array:
    """(..., 3) m: the place of the shackle that lies furthest in a direction.

    first, second: (3,) the fastenings [m]; legs: both legs together [m]; way: (..., 3), of any length.
    """
    span = second - first
    apart = float(np.sqrt((span**2).sum()))
    along = span / apart
    long, wide = legs / 2.0, sqrt(max(legs * legs - apart * apart, 0.0)) / 2.0
    ahead = (way * along).sum(axis=-1, keepdims=True)
    aside = way - ahead * along
    size = np.sqrt((long * ahead) ** 2 + wide * wide * (aside**2).sum(axis=-1, keepdims=True))
    reach = long * long * ahead * along + wide * wide * aside
    return np.asarray((first + second) / 2.0 + reach / np.maximum(size, CLOSEST))


def settled(*, first: Array, second: Array, legs: float, ends: Array, tensions: Array) -> Array:
    """(n, 3) m: where the shackle comes to rest under parts of line that run from it to fixed points.

    first, second: (3,) the fastenings [m]; legs: both legs together [m]; ends: (k, n, 3) the points [m];
    tensions: (k, n) of the parts, in any one unit. The parts' tensions times their lengths are least there.
    """
    middle = (first + second) / 2.0
    total = np.maximum(tensions.sum(axis=0), CLOSEST)[:, None]
    to = (ends * tensions[..., None]).sum(axis=0) / total
    place = furthest(first=first, second=second, legs=legs, way=to - middle)
    apart = float(np.sqrt(((second - first) ** 2).sum()))
    bent = legs * legs / (2.0 * sqrt(max(legs * legs - apart * apart, CLOSEST)))
    for _ in range(MOST_STEPS):
        way = ends - place
        length = np.maximum(np.sqrt((way**2).sum(axis=2)), CLOSEST)
        pull = (way * (tensions / length)[..., None]).sum(axis=0)
        size = np.maximum(np.sqrt((pull**2).sum(axis=1)), CLOSEST)
        there = furthest(first=first, second=second, legs=legs, way=pull)
        off = there - place
        if float(np.abs(off).max(initial=0.0)) < SETTLED:
            return there
        turns = bent * (tensions / length).sum(axis=0) / size
        place = place + off * (2.0 / (2.0 + turns))[:, None]
    return place
