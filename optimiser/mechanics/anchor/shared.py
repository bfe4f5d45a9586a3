"""Computes how two trees share a pull by a sling between them on which a shackle runs.

The sling is made fast to both trees; its two legs are so long together. The shackle may be anywhere on the
ellipsoid of which the two fastenings are the foci, and comes to rest where no place on it lies further in the
direction of the pull: there, without friction, the pull halves the angle between the legs and both carry
the same. The bow rubs, so that one leg may be tighter, by up to e^(μ (π - angle)), before the sling slides.
Derived (statics).
"""

from math import cos, exp, pi, sin, sqrt

from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import number


def legs_for(*, apart: float, angle: float) -> float:
    """Length of both legs together [m] with an `angle` between them [rad] in the middle, more than 0 and
    120° at most; `apart`: between the fastenings [m]."""
    within(
        "angle between the legs", angle, 1e-6, number("shared", "angle_most").value + 1e-9, "rad"
    )
    return positive("distance", apart) / sin(angle / 2.0)


def tighter_share(*, angle: float, friction: float) -> float:
    """The most that one leg can carry over the pull: with r = e^(μ (π - angle)) the tensions' ratio at which
    the sling slides, r / √(1 + r² + 2 r cos(angle)).

    angle between the legs [rad]; friction μ of the sling on the bow [-]. Grows with the angle, so that of a
    shackle that runs the widest counts. Source: mechanics (belt friction, triangle of forces).
    """
    within("friction", friction, 0.0, 2.0)
    r = exp(friction * (pi - within("angle between the legs", angle, 0.0, pi - 1e-6, "rad")))
    return r / sqrt(1.0 + r * r + 2.0 * r * cos(angle))
