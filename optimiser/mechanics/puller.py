"""What a vehicle or people can pull.

A vehicle's pull is what its driven wheels hold on the ground less what keeps its own weight on the
slope. The whole line pull is checked against the tyres' grip, not only its part along the run: tyres
resist the sideways part too. A line that rises away from the vehicle takes weight off the driven
wheels; one that falls, and going downhill, are given no credit.
"""

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.domain import positive, within

Num = float | Array


def vehicle_pull(
    *,
    traction: float,
    driven_weight: float,
    weight: float,
    slope_sin: float = 0.0,
    slope_cos: float = 1.0,
    rise_sin: Num = 0.0,
) -> Array:
    """T = (μ W_d cos θ − W sin θ⁺) / (1 + μ sin φ⁺), not below 0: greatest line pull [N].

    traction μ [-], 0 .. 1.5; driven_weight W_d, weight W of the whole vehicle [N]; slope θ of its
    run, up positive; rise φ of the line over the run, as it leaves the vehicle, up positive.
    On the flat with a level line: μ W_d, the published rule. Sources: noon-1994 for μ, statics.
    """
    within("traction", traction, 0.0, 1.5)
    positive("weight", weight)
    within("weight on driven wheels", driven_weight, 0.0, weight, "N")
    grips = traction * driven_weight * slope_cos - weight * max(0.0, slope_sin)
    off = np.maximum(np.asarray(rise_sin, dtype=float), 0.0)
    return np.asarray(max(0.0, grips) / (1.0 + traction * off))


def stated_pull(
    *, limit: float, weight: float | None, slope_sin: float = 0.0, rise_sin: Num = 0.0
) -> Array:
    """(P − W sin θ⁺) / (1 + sin φ⁺), not below 0: P, stated for level ground and line,
    brought to a slope and a rising line with traction 1, which loses most [N].

    limit P [N]; weight W of the vehicle [N], None for a puller without (a fixed winch: nothing is
    taken off); slope_sin, rise_sin as in `vehicle_pull`. Source: statics.
    """
    positive("limit", limit)
    off = np.maximum(np.asarray(rise_sin, dtype=float), 0.0)
    if weight is None:
        return np.full(off.shape, limit)
    grips = limit - positive("weight", weight) * max(0.0, slope_sin)
    return np.asarray(max(0.0, grips) / (1.0 + off))
