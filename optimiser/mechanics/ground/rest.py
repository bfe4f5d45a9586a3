"""What a load does on a slope when it is let go of: rests, runs, or too close to call.

The ground's least resistance is a guess, and so is the slope. Near balance the difference of the two
says nothing. So a load counts as resting only where a stated share of that resistance is enough to keep
it, and whatever holds it elsewhere is worked out with that share alone. The share and the other
limits stand in `data/hold.toml`, marked as choices.
"""

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.ground import moving
from optimiser.mechanics.ground.moving import Num
from optimiser.mechanics.published import number
from optimiser.mechanics.resting import LEVEL, Rest


def status(*, slope_sin: Num, slope_cos: Num, resistance_low: Num, resistance_sure: Num) -> Numbers:
    """The `Rest` of a load on slopes that fall the way it would run (sin >= 0), as an array of ints.

    `resistance_low` c [-]: the least resistance of the ground; `resistance_sure` [-]: the part of it
    that is counted on. It rests where sin <= c_sure cos. From the balance sin = c cos on it runs;
    where the two limits lie nearer to each other than a slope can be measured, from that much above the
    lower one.
    """
    keeps = resistance_sure * np.asarray(slope_cos)
    balance = np.maximum(resistance_low * slope_cos, keeps + number("hold", "told_apart").value)
    moves = np.where(slope_sin < balance - LEVEL, Rest.TOO_CLOSE, Rest.RUNS)
    return np.where(_rests(slope_sin, slope_cos, resistance_sure), Rest.RESTS, moves)


def hold_along(*, weight: Num, slope_sin: Num, slope_cos: Num, resistance_sure: Num) -> Array:
    """max(W (sin - c_sure cos), m W sin) [N], 0 where the load rests: the force along the ground that
    keeps the load from running. `weight` [N] as it rests on the ground; m: the least share of the
    slope's pull that a hold is made for, however near to balance.
    """
    net = moving.runs_back(
        weight=weight, slope_sin=slope_sin, slope_cos=slope_cos, resistance=resistance_sure
    )
    least = number("hold", "least_share").value * weight * slope_sin
    rests = _rests(slope_sin, slope_cos, resistance_sure)
    return np.where(rests, 0.0, np.maximum(net, least))


def start_along(*, weight: Num, slope_sin: Num, slope_cos: Num, resistance_sure: Num) -> Array:
    """W (c_sure cos - sin) [N], not below 0: what surely is to spare before the load runs."""
    spare = weight * (resistance_sure * np.asarray(slope_cos) - np.asarray(slope_sin))
    return np.maximum(np.asarray(spare, dtype=float), 0.0)


def _rests(slope_sin: Num, slope_cos: Num, resistance_sure: Num) -> Mask:
    return np.asarray(slope_sin <= resistance_sure * slope_cos + LEVEL)
