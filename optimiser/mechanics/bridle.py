"""A two-leg bridle, and what an off-centre pull does to the load.

The ring of a taut bridle lies in the plane of its two hitch points and the pull, at the two legs'
lengths; the legs share the pull by equilibrium there. A leg that would have to push goes slack and
the other takes it all. Derived (statics).
"""

from dataclasses import dataclass
from math import acos, hypot, isfinite, sqrt

import numpy as np

from optimiser.mechanics.limits import positive
from optimiser.site.model import Vec


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridle:
    """A bridle under a pull. `ring` m; `tensions` of the two legs, N; `included_angle` between
    them, rad (0 where one is slack); `slack`: 0 or 1, the leg that hangs loose, or None."""

    ring: Vec
    tensions: tuple[float, float]
    included_angle: float
    slack: int | None


def bridle(*, hitches: tuple[Vec, Vec], legs: tuple[float, float], pull: Vec) -> Bridle:
    """Ring and leg tensions of a two-leg bridle at the pull `pull` on its ring.

    hitches: the two hitch points [m]; legs: their legs' lengths [m]; pull: force on the ring [N].
    ValueError where the legs cannot reach each other or there is no pull. Derived.
    """
    first, second = np.array(hitches[0], dtype=float), np.array(hitches[1], dtype=float)
    force = np.array(pull, dtype=float)
    size = float(np.linalg.norm(force))
    if not (isfinite(size) and size > 0.0):
        raise ValueError(f"pull {pull} N: must be a force")
    la, lb = positive("first leg", legs[0]), positive("second leg", legs[1])
    apart = float(np.linalg.norm(second - first))
    positive("distance between the hitch points", apart)
    if la + lb <= apart:
        raise ValueError(f"legs of {la} and {lb} m do not meet over {apart:.2f} m")
    along = (second - first) / apart
    forward = float(force @ along)
    side = force - forward * along
    across = float(np.linalg.norm(side))
    x = (la * la - lb * lb + apart * apart) / (2.0 * apart)
    if abs(x) < la and across > 1e-12 * size:
        y = sqrt(la * la - x * x)
        # Unit vectors from each hitch to the ring, in the plane (along the hitches, across them).
        ax, ay, bx, by = x / la, y / la, (x - apart) / lb, y / lb
        det = ax * by - bx * ay
        ta = (forward * by - bx * across) / det
        tb = (ax * across - forward * ay) / det
        if ta >= 0.0 and tb >= 0.0:
            return Bridle(
                ring=_vec(first + x * along + y * side / across),
                tensions=(ta, tb),
                included_angle=acos(max(-1.0, min(1.0, ax * bx + ay * by))),
                slack=None,
            )
        loose = 0 if ta < 0.0 else 1
    elif abs(x) >= la:
        loose = 1 if lb > la else 0  # so long that the shorter leg never lets it draw
    else:
        loose = 1 if forward > 0.0 else 0  # along the hitch points: the one behind holds
    held, length = (second, lb) if loose == 0 else (first, la)
    tensions = (0.0, size) if loose == 0 else (size, 0.0)
    return Bridle(
        ring=_vec(held + length * force / size), tensions=tensions, included_angle=0.0, slack=loose
    )


def turning_moment(*, hitch: Vec, pull: Vec, centre: Vec, normal: Vec) -> float:
    """M = ((hitch − centre) × pull) · n [N·m], positive to the left seen from above.

    hitch, centre: points of the load [m] (the centre of what resists, as a rule its middle); pull:
    force at the hitch [N]; normal: unit vector away from the ground. Source: statics.
    """
    arm = np.array(hitch, dtype=float) - np.array(centre, dtype=float)
    return float(np.cross(arm, np.array(pull, dtype=float)) @ np.array(normal, dtype=float))


def turning_arm(*, hitch: Vec, pull: Vec, centre: Vec, normal: Vec) -> float:
    """How far the pull's line passes beside the centre, seen along `normal` [m]: |M| over the part
    of the pull along the ground. Arguments as in `turning_moment`."""
    force, up = np.array(pull, dtype=float), np.array(normal, dtype=float)
    flat = force - (force @ up) * up
    size = hypot(*(float(part) for part in flat))
    moment = turning_moment(hitch=hitch, pull=pull, centre=centre, normal=normal)
    return 0.0 if size == 0.0 else abs(moment) / size


def _vec(point: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Vec:
    return float(point[0]), float(point[1]), float(point[2])
