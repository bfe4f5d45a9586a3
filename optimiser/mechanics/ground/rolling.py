"""Rolling resistance where it depends on the wheel: hard wheels, ruts, and soft ground."""

from dataclasses import dataclass
from math import sqrt

from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import number, row

INCH = 0.0254


@dataclass(frozen=True, slots=True, kw_only=True)
class Sinking:
    """How a rigid wheel sinks and drags: `depth` m; `resistance` force / weight [-]; `in_range`
    False where it sinks so far for its size that the formula is not trusted."""

    depth: float
    resistance: float
    in_range: bool


def hard_wheel(*, arm: float, wheel_radius: float) -> float:
    """c = f / r: force over weight of a hard wheel on a floor.

    arm f: the length found by test [m]; wheel_radius r [m], above f. Result: [-].
    Source: al-eisawi-1999 (f for rubber wheels 2.2 .. 4.5 mm; force goes with 1 / diameter).
    """
    positive("wheel radius", wheel_radius)
    within("arm", arm, 0.0, wheel_radius, "m")
    return arm / wheel_radius


def haul_road(*, sinking: float) -> float:
    """c = 0.02 + 0.015 per inch of sinking: force over weight of tyres on earth roads.

    sinking [m], 0 .. 0.3. Result: [-]. Source: earthmoving.
    """
    within("sinking", sinking, 0.0, 0.3, "m")
    base, per_inch = row("rolling", "haul_road")
    return base + per_inch * sinking / INCH


def rigid_wheel(
    *,
    weight: float,
    diameter: float,
    width: float,
    cohesive: float,
    frictional: float,
    power: float,
) -> Sinking:
    """z = [3 W / ((3 − n)(k_c + b k_φ) √D)]^(2/(2n+1)), R = (k_c + b k_φ) z^(n+1) / (n + 1).

    weight W on the wheel [N]; diameter D, width b [m]; soil: cohesive k_c [N/m^(n+1)], frictional
    k_φ [N/m^(n+2)], power n in (0, 2). Source: bekker-soils (form from memory, soils read). Small
    wheels sink out of the formula's range: `in_range` is false then.
    """
    positive("weight", weight)
    positive("diameter", diameter)
    positive("width", width)
    n = within("power", positive("power", power), 0.0, 2.0)
    stiff = positive("soil stiffness", cohesive + width * frictional)
    depth = (3.0 * weight / ((3.0 - n) * stiff * sqrt(diameter))) ** (2.0 / (2.0 * n + 1.0))
    drag = stiff * depth ** (n + 1.0) / (n + 1.0)
    return Sinking(
        depth=depth,
        resistance=drag / weight,
        in_range=depth / diameter <= number("rolling", "most_sinking").value,
    )
