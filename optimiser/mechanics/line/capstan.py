"""Computes what a line wrapped round a post holds, for letting down, from friction and turns."""

from math import exp, pi

from optimiser.mechanics.domain import within


def hold_ratio(*, friction: float, turns: float) -> float:
    """T_load / T_hold = e^(μ β), β = 2π turns.

    friction μ [-], 0 .. 1.5; turns [-], 0 .. 20 and a fraction of one counts. Radius does not enter. A
    limit of grip, not a promise: wet, iced, glazed or synthetic rope drops it.
    Source: beer-johnston 8.10; engineering-statics ch. 9.
    """
    within("friction", friction, 0.0, 1.5)
    within("turns", turns, 0.0, 20.0)
    return exp(friction * 2.0 * pi * turns)
