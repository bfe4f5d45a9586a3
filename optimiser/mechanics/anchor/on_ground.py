"""What stands by its weight as an anchor: a boulder or a parked vehicle on its own ground.

It slides where the pull beats friction, and tips over the edge of its foot that the pull is on. The
slope under it falls towards the pull: the worse way.
"""

from math import atan, cos, sin, tan

from optimiser.mechanics.domain import positive, within

STEEPEST = 0.7854
"""rad: no steeper pull, and no steeper ground under it, is looked at."""


def sliding_pull(*, weight: float, friction: float, slope: float, rise: float) -> float:
    """Least pull [N] that slides it, of all that rise by 0 to `rise`:
    T = W tan(φ − γ) / (cos α + sin α tan(φ − γ)), φ = arctan μ; 0 where it slides by itself.

    weight W [N]; friction μ [-]; slope γ of the ground [rad]; rise α [rad]. Where the rise may be
    φ − γ or more that is W sin(φ − γ). Source: statics.
    """
    positive("weight", weight)
    positive("friction", friction)
    within("slope", slope, 0.0, STEEPEST, "rad")
    within("rise", rise, 0.0, STEEPEST, "rad")
    left = atan(friction) - slope
    if left <= 0.0:
        return 0.0
    worst = min(rise, left)
    return weight * tan(left) / (cos(worst) + sin(worst) * tan(left))


def tipping_pull(
    *, weight: float, half_foot: float, height: float, centre: float, slope: float, rise: float
) -> float:
    """Least pull [N] that tips it, of all that rise by 0 to `rise`: T = W x / (y cos α + z sin α).

    weight W [N]; half_foot b: from the edge it tips over to its middle, along the ground [m]; height h
    of the pull, centre c of gravity, both square to the ground over its middle [m]; slope γ, rise α
    [rad]. x = b cos γ − c sin γ, y = h cos γ + b sin γ, z = b cos γ − h sin γ. On level ground and with
    a level pull W b / h. 0 where it tips by itself. Source: statics.
    """
    positive("weight", weight)
    positive("half of the foot", half_foot)
    positive("height of the pull", height)
    within("slope", slope, 0.0, STEEPEST, "rad")
    within("rise", rise, 0.0, STEEPEST, "rad")
    stands = half_foot * cos(slope) - centre * sin(slope)
    if stands <= 0.0:
        return 0.0
    up = height * cos(slope) + half_foot * sin(slope)
    back = max(half_foot * cos(slope) - height * sin(slope), 0.0)
    worst = min(atan(back / up), rise)
    return weight * stands / (up * cos(worst) + back * sin(worst))
