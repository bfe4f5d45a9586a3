"""A two-leg bridle, and what an off-centre pull does to the load.

The ring of a taut bridle lies in the plane of its two hitch points and the pull, at the two legs'
lengths; the legs share the pull by equilibrium there. A leg that would have to push goes slack and
the other takes it all. Derived (statics).
"""

from dataclasses import dataclass
from math import acos, hypot, isfinite
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.limits import positive
from optimiser.site.model import Vec

Array = npt.NDArray[np.float64]


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
    both = leg_tensions(first=first[None], second=second[None], legs=legs, pull=force[None])
    ta, tb = float(both[0, 0]), float(both[1, 0])
    along = (second - first) / apart
    side = force - float(force @ along) * along
    across = float(np.linalg.norm(side))
    if min(ta, tb) > 0.0 and across > 0.0:
        x, y = _ring(apart, la, lb)
        cosine = (x * (x - apart) + y * y) / (la * lb)
        return Bridle(
            ring=_vec(first + x * along + y * side / across),
            tensions=(ta, tb),
            included_angle=acos(max(-1.0, min(1.0, cosine))),
            slack=None,
        )
    loose = 0 if tb > 0.0 else 1
    held, length = (second, lb) if loose == 0 else (first, la)
    return Bridle(
        ring=_vec(held + length * force / size),
        tensions=(ta, tb),
        included_angle=0.0,
        slack=loose,
    )


def leg_tensions(*, first: Array, second: Array, legs: tuple[float, float], pull: Array) -> Array:
    """(2, n) tensions of a bridle's two legs [N] under n pulls; both 0 where there is no pull.

    first, second: (n, 3) the two hitch points [m]; legs: lengths of their legs [m], long enough to meet;
    pull: (n, 3) force on the ring [N]. Derived.
    """
    la, lb = legs
    apart = np.sqrt(((second - first) ** 2).sum(axis=1))
    along = (second - first) / apart[:, None]
    size = np.sqrt((pull**2).sum(axis=1))
    forward = (pull * along).sum(axis=1)
    across = np.sqrt(((pull - forward[:, None] * along) ** 2).sum(axis=1))
    x, y = _ring(apart, la, lb)
    # Unit vectors from each hitch to the ring, in the plane (along the hitches, across them).
    ax, ay, bx, by = x / la, y / la, (x - apart) / lb, y / lb
    meets, aside = np.abs(x) < la, across > 1e-12 * size
    det = np.where(meets, ax * by - bx * ay, 1.0)
    both = np.array([forward * by - bx * across, ax * across - forward * ay]) / det
    taut = meets & aside & (both >= 0.0).all(axis=0)
    # One leg hangs loose: the one that would have to push; along the hitch points the one ahead; or one
    # so long that the shorter never lets it draw.
    first_loose = np.where(meets, np.where(aside, both[0] < 0.0, forward <= 0.0), lb <= la)
    alone = np.array([np.where(first_loose, 0.0, size), np.where(first_loose, size, 0.0)])
    return np.asarray(np.where(taut, both, alone))


def _ring(apart: Array | float, la: float, lb: float) -> tuple[Any, Any]:
    """Where the ring of a taut bridle is from the first hitch, along the hitches and across them, m."""
    x = (la * la - lb * lb + apart * apart) / (2.0 * apart)
    return x, np.sqrt(np.maximum(la * la - x * x, 0.0))


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
