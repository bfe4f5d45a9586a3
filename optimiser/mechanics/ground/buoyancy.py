"""How much of its weight a thing partly under water still presses on the ground with."""

from optimiser.mechanics.domain import positive, within

GRAVITY = 9.80665


def apparent_factor(*, density: float, water: float, immersed: float = 1.0) -> float:
    """1 − s ρ_w / ρ, not below 0: apparent weight over weight.

    density ρ of the thing, water ρ_w [kg/m³]; immersed s: share of its volume under water, 0 .. 1.
    0 means that it floats. Source: college-physics 11 (Archimedes).
    """
    within("immersed share", immersed, 0.0, 1.0)
    return max(0.0, 1.0 - immersed * positive("water", water) / positive("density", density))


def apparent_weight(
    *, mass: float, displaced: float, water: float, trapped: float = 0.0, g: float = GRAVITY
) -> float:
    """g (m + m_trapped − ρ_w V), not below 0 [N].

    mass [kg]; displaced: volume under water V [m³]; water ρ_w [kg/m³]; trapped: mass of water
    carried above the waterline [kg]; g [m/s²]. Suction of mud is not in it: no value is published.
    """
    within("displaced volume", displaced, 0.0, 1e6, "m³")
    within("trapped water", trapped, 0.0, 1e6, "kg")
    return max(0.0, g * (positive("mass", mass) + trapped - positive("water", water) * displaced))


def immersed_fraction(*, density: float, water: float) -> float:
    """ρ / ρ_w: share of a floating body's volume under water; ValueError where it sinks."""
    share = positive("density", density) / positive("water", water)
    if share > 1.0:
        raise ValueError(f"a body of {density} kg/m³ sinks in water of {water} kg/m³")
    return share
