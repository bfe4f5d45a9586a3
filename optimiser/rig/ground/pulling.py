"""Computes what a puller can put into its line, from where the line comes."""

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.puller import stated_pull, vehicle_pull
from optimiser.site.model import Puller


def line_angles(*, puller: Puller, way: Array) -> tuple[Array, Array]:
    """Returns how far the hauling line leads off the puller's run [rad]: in plan, and in rise (positive where
    it rises more than the run falls back). `way` (..., 3) leads from the puller to where it comes from."""
    unit = way / np.maximum(np.linalg.norm(way, axis=-1), 1e-9)[..., None]
    back = -np.array(puller.heading)
    flat = np.maximum(np.hypot(unit[..., 0], unit[..., 1]), 1e-9)
    level = max(float(np.hypot(back[0], back[1])), 1e-9)
    cosine = (unit[..., 0] * back[0] + unit[..., 1] * back[1]) / (flat * level)
    angle = np.arccos(np.clip(cosine, -1.0, 1.0))
    return angle, np.arcsin(np.clip(unit[..., 2], -1.0, 1.0)) - np.arcsin(back[2])


def line_pull_limit(*, puller: Puller, way: Array) -> Array:
    """Greatest pull [N] in the hauling line; `way` (..., R, 3) leads from the puller to where the line
    comes from, at each of its R spots.

    0 where the line leaves the run by more than the puller's limits, in plan or in rise. The whole line
    pull is checked against the tyres' grip, not only its part along the run: tyres resist the sideways
    part too (friction circle). A line that rises takes weight off the driven wheels; one that falls is
    given no credit.
    """
    if puller.purchase is not None or puller.run <= 0.0:
        return np.full(way.shape[:-1], puller.limit)
    angle, rise = line_angles(puller=puller, way=way)
    slope_sin = float(puller.heading[2])
    rise_sin = np.sin(rise)
    out = stated_pull(
        limit=puller.limit, weight=puller.weight, slope_sin=slope_sin, rise_sin=rise_sin
    )
    if puller.traction is not None and puller.driven_weight is not None:
        grip = vehicle_pull(
            traction=puller.traction,
            driven_weight=puller.driven_weight,
            weight=puller.weight if puller.weight is not None else puller.driven_weight,
            slope_sin=slope_sin,
            slope_cos=float(np.sqrt(max(1.0 - slope_sin**2, 0.0))),
            rise_sin=rise_sin,
        )
        # A stated pull beside the grip is what the drive can do: the slope takes off the grip only.
        out = np.minimum(grip, puller.limit)
    slack = 1e-9
    within = (angle <= puller.angle_limit + slack) & (np.abs(rise) <= puller.rise_limit + slack)
    return np.where(within, out, 0.0)
