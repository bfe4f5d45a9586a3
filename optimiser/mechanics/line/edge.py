"""A rope over edges: the taut string over points, the tension it passes on, what it presses with."""

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers

FLAT = 1e-9
"""rad: a string that turns by less than this runs straight."""


def passed_on(*, friction: float | Array, angle: float | Array) -> Array:
    """e^(-μ β): tension on the side the rope comes from / on the side it runs to. [-]

    friction μ [-]; angle β by which the rope turns [rad]; numbers or arrays that broadcast. Radius does not
    enter as long as it is some four rope diameters or more. Source: beer-johnston 8.10; roping-physics.
    """
    return np.asarray(np.exp(-np.multiply(friction, angle)))


def pressed(*, tension: float | Array, angle: float | Array) -> Array:
    """2 T sin(β/2): what a rope presses with on an edge over which it turns, same unit as the tension.

    tension T on its tighter side; angle β by which it turns [rad]. Source: statics (block-angle-tables).
    """
    return np.asarray(2.0 * np.multiply(tension, np.sin(np.divide(angle, 2.0))))


def shifting(
    *, tension: float | Array, left: float | Array, rise: tuple[float | Array, float | Array]
) -> Array:
    """|T cos a - T' cos b|: what a rope pulls level on what it runs over, same unit as the tension.

    tension T on its tighter side; left: T' / T; rise a, b: of the rope on the tighter and the other side
    above the level, led one way [rad]. Source: statics.
    """
    tight, other = rise
    return np.asarray(
        np.abs(np.multiply(tension, np.cos(tight) - np.multiply(left, np.cos(other))))
    )


def taut_string(
    *, begin: Array, end: Array, long: Array, at: Array, high: Array, under: Mask
) -> Numbers:
    """Which points a string from one end to the other touches that is pulled taut over them.

    In each line's upright plane: begin, end (n,) heights of its ends and long (n,) their distance in plan;
    at (n, G) of each point along it; high (G,) heights of the points; under (n, G) which lie under the
    line. All m. Result (n, C): indices of the points touched, from the beginning on; -1 where there is
    none. Points that lie on a straight piece of the string are not touched: it does not turn there.
    """
    n = len(long)
    here, up = np.zeros(n), begin.astype(float).copy()
    left = under.copy()
    out: list[Numbers] = []
    with np.errstate(divide="ignore", invalid="ignore"):
        while True:
            left &= at > here[:, None] + 1e-12
            slope = np.where(left, (high[None, :] - up[:, None]) / (at - here[:, None]), -np.inf)
            straight = (end - up) / np.maximum(long - here, 1e-12)
            best = slope.max(axis=1, initial=-np.inf)
            more = np.arctan(best) - np.arctan(straight) > FLAT
            if not more.any():
                break
            # Of points in one straight piece the last.
            level = np.arctan(slope) >= np.arctan(best)[:, None] - FLAT
            picked = np.where(level & left, at, -np.inf).argmax(axis=1)
            out.append(np.where(more, picked, -1))
            here = np.where(more, at[np.arange(n), picked], long)
            up = np.where(more, high[picked], end)
    return np.stack(out, axis=1) if out else np.full((n, 0), -1)
