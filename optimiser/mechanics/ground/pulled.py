"""What a steady pull on the load says of it: `moving.pull_needed`, solved for weight and for resistance.

One reading is one equation for two unknowns. Both of these fall as the other rises, as long as the line
pulls forward in plan (advance cos > lift sin).
"""

from math import inf


def weight_pulled(
    *,
    pull: float,
    slope_sin: float,
    slope_cos: float,
    resistance: float,
    advance: float,
    lift: float,
) -> float:
    """W = F (g.t + c g.n) / (sin + c cos) [N], with the apparent-weight and break-out factors in it: the
    weight that a pull F [N] moves. +inf where the load would run by itself."""
    needed = slope_sin + resistance * slope_cos
    return pull * (advance + resistance * lift) / needed if needed > 0.0 else inf


def resistance_pulled(
    *,
    pull: float,
    weight: float,
    slope_sin: float,
    slope_cos: float,
    advance: float,
    lift: float,
) -> float:
    """c = (F g.t - W sin) / (W cos - F g.n) [-]: the resistance that a pull F [N] overcomes. Below 0 where
    less than the slope's part of the weight was pulled, +inf where the pull carries the load."""
    rests = weight * slope_cos - pull * lift
    return (pull * advance - weight * slope_sin) / rests if rests > 0.0 else inf
