"""Bars, and how a load's weight is shared by what it stands on. Source: statics."""

from optimiser.mechanics.limits import positive, within


def bar_effort(*, load: float, load_arm: float, effort_arm: float) -> float:
    """F = W a / b [N]: load W [N], arms from the pivot to the load a and to the hands b [m]."""
    return positive("load", load) * positive("load arm", load_arm) / positive("arm", effort_arm)


def pivot_force(*, load: float, effort: float, between: bool) -> float:
    """Force on the pivot [N]: W + F with the pivot `between` load and hands, else |W − F|."""
    return load + effort if between else abs(load - effort)


def axle_shares(
    *, wheelbase: float, ahead_of_rear: float, height: float, slope_sin: float, slope_cos: float
) -> tuple[float, float]:
    """Ground reactions normal to a slope at the front (uphill) and rear axle over the weight.

    front = (x cos − h sin) / L, rear = cos − front; wheelbase L, ahead_of_rear x of the centre of
    gravity, height h of it over the ground [m]. Facing uphill. ValueError where it would tip back.
    """
    base = positive("wheelbase", wheelbase)
    within("centre of gravity ahead of the rear axle", ahead_of_rear, 0.0, base, "m")
    within("height", height, 0.0, 100.0, "m")
    front = (ahead_of_rear * slope_cos - height * slope_sin) / base
    if front < 0.0:
        raise ValueError("the load would tip over backwards on this slope")
    return front, slope_cos - front


def corner_shares(
    *, length: float, width: float, ahead: float, left: float
) -> tuple[float, float, float, float]:
    """Shares of the weight at front left, front right, rear left, rear right of a level frame.

    length, width between the corners; ahead of the rear pair, left of the right pair: of the centre
    of gravity [m]. A frame of four corners is held by three; this takes it stiff and the ground
    even, so the shares multiply. Sum 1. On rough ground two opposite corners may carry it all.
    """
    front = within("ahead", ahead, 0.0, positive("length", length), "m") / length
    side = within("left", left, 0.0, positive("width", width), "m") / width
    return (
        front * side,
        front * (1.0 - side),
        (1.0 - front) * side,
        (1.0 - front) * (1.0 - side),
    )
