"""A tree's stem and root plate: section modulus, bending, stem mass, overturning."""

from math import isfinite, pi

from optimiser.mechanics.domain import positive
from optimiser.mechanics.published import row


def inside_bark(*, diameter: float, bark: float) -> float:
    """d_ib = d (1 − 2 b).

    diameter: over bark [m]; bark: single bark thickness / diameter [-], 0 .. 0.25.
    Result: [m]. Source: bark-fvs.
    """
    positive("diameter", diameter)
    if not 0.0 <= bark <= 0.25:
        raise ValueError(f"bark {bark}: a single bark thickness / diameter is within 0 .. 0.25")
    return diameter * (1.0 - 2.0 * bark)


def section_modulus(*, diameter: float, hollow: float = 0.0) -> float:
    """S = π (d⁴ − d_i⁴) / (32 d).

    diameter: sound wood, inside bark [m]; hollow: diameter of a cavity in the middle [m].
    Result: [m³]. Derived (circular section); Gilman's footnote gives the solid form (gilman).
    """
    positive("diameter", diameter)
    if not 0.0 <= hollow < diameter:
        raise ValueError(f"hollow {hollow} m: must be at least 0 and less than {diameter} m")
    return pi * (diameter**4 - hollow**4) / (32.0 * diameter)


def stem_volume(*, diameter: float, height: float, form: tuple[float, float, float]) -> float:
    """V = p0 d^p1 h^p2 with d in cm and h in m, as published.

    diameter: at breast height over bark [m]; height: of the tree [m], above breast height;
    form: (p0, p1, p2). Result: [m³]. Source: fonweban-2012 (eq. 4).
    """
    positive("diameter", diameter)
    if not (isfinite(height) and height > 1.3):
        raise ValueError(f"tree height {height} m: must be above breast height, 1.3 m")
    p0, p1, p2 = form
    return float(p0 * (100.0 * diameter) ** p1 * height**p2)


def least_volume(*, diameter: float, height: float) -> float:
    """The lesser of the two published volume functions, for species that have none of their own."""
    forms = (row("tree", "volume_spruce"), row("tree", "volume_others"))
    return min(
        stem_volume(diameter=diameter, height=height, form=(p0, p1, p2)) for p0, p1, p2 in forms
    )


def overturning_moment(*, coefficient: float, stem_mass: float) -> float:
    """M = C_reg m.

    coefficient: C_reg [N·m/kg]; stem_mass: green [kg]. Result: moment about the ground line at
    which the tree goes over [N·m]. Source: wind-risk-trees (after Nicoll 2006 and others).
    """
    positive("coefficient", coefficient)
    positive("stem mass", stem_mass)
    return coefficient * stem_mass
