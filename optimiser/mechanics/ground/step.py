"""A wheel over a step.

Moments about the edge, with the pull acting at the axle and the wheel just off the ground
(university-physics statics; for level ground P (d_x (r - h) + d_z q) = W_a q, q = sqrt(2 r h - h^2)).
"""

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.ground.moving import Num


def climbable(*, wheel_radius: float | None, step: float) -> bool:
    """True where a wheel can climb the step at all: h < r."""
    return step <= 0.0 or (wheel_radius is not None and step < wheel_radius)


def pull_over_step(
    *,
    wheel_radius: float,
    step: float,
    slope_sin: Num,
    slope_cos: Num,
    axle_weight: Num,
    advance: Num,
    lift: Num,
) -> Array:
    """Pull at the hauling end, N, that lifts a wheel over a step standing square on the slope.

    H (g.t (r - h) + g.n q) = W_a (sin (r - h) + cos q). `axle_weight` [N] is the share of the weight on
    the axle that climbs; `advance` g.t, `lift` g.n as in `haul.pull_needed`. Returns +inf where the
    pull has no moment about the edge. ValueError for h >= r: no pull at the axle can do that.
    """
    if not 0.0 <= step < wheel_radius:
        raise ValueError(
            f"a step of {step} m cannot be climbed by a wheel of radius {wheel_radius} m"
        )
    rise = wheel_radius - step
    run = float(np.sqrt(2.0 * wheel_radius * step - step * step))
    needed = np.asarray(axle_weight * (slope_sin * rise + slope_cos * run), dtype=float)
    gained = np.asarray(advance * rise + lift * run, dtype=float)
    needed, gained = np.broadcast_arrays(needed, gained)
    return np.divide(needed, gained, out=np.full(gained.shape, np.inf), where=gained > 0.0)
