"""The pull that moves the load, and what the ground does meanwhile.

Quasi-static, impending motion along the path; derived from equilibrium along and normal to the path
(statics; re-derived symbolically in the tests). Arguments may be floats or arrays that broadcast.
"""

import numpy as np

from optimiser.mechanics.arrays import Array

Num = float | Array


def pull_needed(
    *,
    weight: Num,
    slope_sin: Num,
    slope_cos: Num,
    resistance: Num,
    advance: Num,
    lift: Num,
    saved: Num | None = None,
) -> Array:
    """H = W (sin + c cos) / (g.t + c g.n): pull at the hauling end, N.

    `weight` [N] with its apparent-weight and break-out factors, `resistance` c [-], `advance` g.t and
    `lift` g.n [-] the rig's pull on the load per unit of hauling force, along and away from the ground.
    `saved`: see `gained`.
    Returns +inf where the rig cannot move the load (denominator <= 0); a result <= 0 means that the
    load runs downhill by itself.
    """
    needed = np.asarray(weight * (slope_sin + resistance * slope_cos), dtype=float)
    gain = gained(advance=advance, lift=lift, resistance=resistance, saved=saved)
    needed, gain = np.broadcast_arrays(needed, gain)
    return np.divide(needed, gain, out=np.full(gain.shape, np.inf), where=gain > 0.0)


def gained(*, advance: Num, lift: Num, resistance: Num, saved: Num | None = None) -> Array:
    """g.t + c g.n [-]: forward pull on the load and friction saved, per unit of hauling force.

    `saved` [-], where the resistance is known no closer than from there to `resistance`: a line that lifts
    saves at least so much, one that presses the load down costs the whole of c.
    """
    eases = resistance if saved is None else np.where(np.greater(lift, 0.0), saved, resistance)
    return np.asarray(advance + eases * lift, dtype=float)


def ground_reaction(*, weight: Num, slope_cos: Num, pull: Num, lift: Num) -> Num:
    """N = W cos - H g.n [N]: negative where the rig would lift the load off the ground."""
    return weight * slope_cos - pull * lift


def runs_back(*, weight: Num, slope_sin: Num, slope_cos: Num, resistance: Num) -> Num:
    """W (sin - c cos) [N], not below 0: the force along the path with which a load runs back against a
    resistance c. What a hold is made for is worked out by `rest.hold_along`, on the cautious side."""
    return np.maximum(weight * (slope_sin - resistance * slope_cos), 0.0)


def side_pull(*, sideways: Num, advance: Num) -> Array:
    """|g.b| / (g.t) [-]: how far the pull points off the line of travel; +inf where it does not pull
    forward at all."""
    sideways, advance = np.broadcast_arrays(np.abs(sideways), np.asarray(advance, dtype=float))
    return np.divide(sideways, advance, out=np.full(advance.shape, np.inf), where=advance > 0.0)


def steering_needed(
    *, sideways: Num, advance: Num, limit: Num, line_along: Num, line_across: Num
) -> Array:
    """(|g.b| - L g.t) / (L h.t -/+ h.b): tension of a second line on the load, per unit of the hauling
    pull, that brings sideways over forward pull back to the limit L.

    `sideways` g.b, `advance` g.t [-] of the hauling rope; `line_along` h.t, `line_across` h.b [-] of the
    direction of the second line. 0 where the side pull is within its limit by itself, +inf where the
    line cannot bring it back.
    """
    over = np.asarray(np.abs(sideways) - limit * np.asarray(advance), dtype=float)
    gains = np.asarray(
        limit * np.asarray(line_along) - np.sign(sideways) * line_across, dtype=float
    )
    over, gains = np.broadcast_arrays(over, gains)
    out = np.divide(over, gains, out=np.full(gains.shape, np.inf), where=gains > 1e-6)
    return np.where(over > 0.0, out, 0.0)


def hold_needed(*, along: Num, resistance: Num, advance: Num, lift: Num) -> Array:
    """H = F / (g.t - c g.n): tension at the held end that lets the load down, N.

    `along` F [N]: the force along the ground that keeps the load without a rig (`rest.hold_along`;
    W (sin - c cos) at balance). The load goes back along the path, so the ground's resistance c
    helps: take no more than is counted on. `advance` g.t, `lift` g.n [-]: the rig's pull on the
    load per unit of tension at the held end, with the tensions of letting down. Returns 0 where F is
    0, +inf where the load runs and the rig cannot hold it (denominator <= 0).
    """
    held = np.asarray(advance - resistance * lift, dtype=float)
    force, held = np.broadcast_arrays(np.asarray(along, dtype=float), held)
    out = np.divide(force, held, out=np.full(held.shape, np.inf), where=held > 0.0)
    return np.where(force > 0.0, out, 0.0)


def push_needed(*, weight: Num, slope_sin: Num, slope_cos: Num, resistance: Num) -> Array:
    """W (c cos - sin) [N], not below 0: the push along the ground that starts the load back down the
    path; `resistance` is the one to plan a haul with, not the lowest."""
    return np.maximum(np.asarray(weight * (resistance * slope_cos - slope_sin), dtype=float), 0.0)
