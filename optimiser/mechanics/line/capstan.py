"""A line wrapped round a post, and a cable in a notch."""

from math import ceil, exp, isfinite, log, pi, sin

from optimiser.mechanics.domain import positive, within


def hold_ratio(*, friction: float, turns: float, notch: float | None = None) -> float:
    """T_load / T_hold = e^(μ β), β = 2π turns; in a V-notch of angle α, e^(μ β / sin(α/2)).

    friction μ [-], 0 .. 1.5; turns [-], 0 .. 20 and a fraction of one counts; notch α [rad] in
    (0, π] or None for a round post. Radius does not enter. A limit of grip, not a promise: wet,
    iced, glazed or synthetic rope drops it. Source: beer-johnston 8.10; engineering-statics ch. 9.
    """
    within("friction", friction, 0.0, 1.5)
    within("turns", turns, 0.0, 20.0)
    wedge = 1.0
    if notch is not None:
        wedge = sin(within("notch", positive("notch", notch), 0.0, pi, "rad") / 2.0)
    return exp(friction * 2.0 * pi * turns / wedge)


def turns_needed(*, load: float, hold: float, friction: float) -> float:
    """ln(T_load / T_hold) / (2 π μ): turns [-], not rounded; 0 where the hand holds it all.

    load, hold [N]; friction μ [-] above 0.
    """
    positive("load", load)
    positive("hold", hold)
    positive("friction", friction)
    return max(0.0, log(load / hold) / (2.0 * pi * friction))


def whole_turns(*, load: float, hold: float, friction: float) -> int:
    """`turns_needed`, rounded up: what is tied."""
    return ceil(turns_needed(load=load, hold=hold, friction=friction) - 1e-9)


def friction_from(*, ratio: float, turns: float) -> float:
    """μ = ln(ratio) / (2 π turns): friction from a measured ratio [-], at least 1."""
    if not (isfinite(ratio) and ratio >= 1.0):
        raise ValueError(f"ratio {ratio}: must be at least 1")
    return log(ratio) / (2.0 * pi * positive("turns", turns))
