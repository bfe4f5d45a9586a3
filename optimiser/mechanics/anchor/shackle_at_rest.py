"""Computes where a shackle that runs on a sling between two trees comes to rest, and what the legs carry.

It may be anywhere on the ellipsoid of which the two fastenings are the foci; at rest no place on that lies
further in the direction of the pull, which then halves the angle between the legs. Derived (statics).
"""

from math import sqrt

import numpy as np

from optimiser.mechanics.arrays import Array

SETTLED = 1e-11
"""m: a shackle that would still move by less is at rest."""
MOST_STEPS = 400
TURN, NEWTON = 8, 5
"""Of so many steps so many are by Newton's method; the others see to it that it begins near enough."""
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
    tensions: (k, n) of the parts, in any one unit. The parts' tensions times their lengths are least there:
    found by going where the pull draws it, by shorter ways the more the pull turns with it, and close by
    with Newton's method on the ball that the ellipsoid is drawn out of.
    """
    middle = (first + second) / 2.0
    total = np.maximum(tensions.sum(axis=0), CLOSEST)[:, None]
    to = (ends * tensions[..., None]).sum(axis=0) / total
    place = furthest(first=first, second=second, legs=legs, way=to - middle)
    apart = float(np.sqrt(((second - first) ** 2).sum()))
    bent = legs * legs / (2.0 * sqrt(max(legs * legs - apart * apart, CLOSEST)))
    left = np.arange(len(place))
    for step in range(MOST_STEPS):
        some, tense = ends[:, left], tensions[:, left]
        if 0 < step % TURN < NEWTON:
            place[left] = _newton(first, second, legs, some, tense, place[left])
        way = some - place[left]
        length = np.maximum(np.sqrt((way**2).sum(axis=2)), CLOSEST)
        pull = (way * (tense / length)[..., None]).sum(axis=0)
        size = np.maximum(np.sqrt((pull**2).sum(axis=1)), CLOSEST)
        there = furthest(first=first, second=second, legs=legs, way=pull)
        off = there - place[left]
        turns = bent * (tense / length).sum(axis=0) / size
        done = np.abs(off).max(axis=1) < SETTLED
        place[left] = np.where(
            done[:, None], there, place[left] + off * (2.0 / (2.0 + turns))[:, None]
        )
        left = left[~done]
        if not len(left):
            break
    return place


def _newton(
    first: Array, second: Array, legs: float, ends: Array, tensions: Array, place: Array
) -> Array:
    """(n, 3) m: one step of Newton's method towards the least sum of tensions times lengths. The ellipsoid is
    the unit ball drawn out by `stretch`; a step along the ball is no longer than half its radius."""
    span = second - first
    axis = span / np.sqrt((span**2).sum())
    long, wide = legs / 2.0, sqrt(max(legs * legs - float((span**2).sum()), CLOSEST)) / 2.0
    stretch = wide * np.eye(3) + (long - wide) * np.outer(axis, axis)
    middle = (first + second) / 2.0
    ball = (place - middle) @ np.linalg.inv(stretch)
    ball /= np.sqrt((ball**2).sum(axis=1))[:, None]
    way = middle + ball @ stretch - ends
    length = np.maximum(np.sqrt((way**2).sum(axis=2)), CLOSEST)
    unit = way / length[..., None]
    slope = (unit * tensions[..., None]).sum(axis=0) @ stretch
    each = tensions / length
    bend = each.sum(axis=0)[:, None, None] * np.eye(3) - np.einsum(
        "kn,kni,knj->nij", each, unit, unit
    )
    bend = stretch @ bend @ stretch
    along = np.eye(3) - ball[:, :, None] * ball[:, None, :]
    inward = -(slope * ball).sum(axis=1)
    whole = along @ bend @ along + inward[:, None, None] * np.eye(3)
    whole += (1.0 + np.abs(inward))[:, None, None] * (ball[:, :, None] * ball[:, None, :])
    level = slope - (slope * ball).sum(axis=1)[:, None] * ball
    able = np.abs(np.linalg.det(whole)) > CLOSEST
    whole[~able] = np.eye(3)
    step = -np.linalg.solve(whole, level[..., None])[..., 0]
    size = np.sqrt((step**2).sum(axis=1))
    step *= np.minimum(1.0, 0.5 / np.maximum(size, CLOSEST))[:, None]
    step[~able | (inward <= 0.0)] = 0.0
    ball = ball + step
    ball /= np.sqrt((ball**2).sum(axis=1))[:, None]
    return np.asarray(middle + ball @ stretch)


def even_share(*, angle: Array) -> Array:
    """What each leg carries over the pull where both carry the same: 1 / (2 cos(angle / 2)); `angle` between
    the legs [rad], any shape, each less than π. Source: statics."""
    return np.asarray(1.0 / (2.0 * np.cos(angle / 2.0)))
