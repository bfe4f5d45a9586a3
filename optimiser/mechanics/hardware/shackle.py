"""Shackles: side load, and the field rule for one without a mark."""

from math import degrees, pi

from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import number, row

SHORT_TON = 2000.0 * 4.4482216152605
INCH = 0.0254


def side_load_factor(*, angle: float) -> float:
    """Share of a shackle's WLL kept at `angle` [rad] between the pull and the line of its bow.

    1 within 10°, 0.70 up to 45°, 0.50 up to 90°: between the published angles the worse one's
    share holds, for the curve is not published. ValueError beyond 90°: not permitted without the
    maker's word. Sources: trade-sheets, asme-b30 (the 10° from memory).
    """
    within("side load angle", angle, 0.0, pi / 2.0 + 1e-12, "rad")
    steps = zip(
        row("shackle", "side_load", "most_degrees"), row("shackle", "side_load"), strict=True
    )
    return next(share for most, share in steps if degrees(angle) <= most + 1e-9)


def capacity(*, wll: float, angle: float = 0.0) -> float:
    """WLL × side-load share [N]: wll [N], angle [rad] as in `side_load_factor`."""
    return positive("WLL", wll) * side_load_factor(angle=angle)


def unmarked_rule(*, bow_diameter: float) -> float:
    """Safe working load [N] of an unmarked shackle by 3 D² (short tons, inches).

    bow_diameter at the side [m]. A stamped rating always wins. Source: navedtra-14251.
    """
    inches = positive("bow diameter", bow_diameter) / INCH
    return number("shackle", "unmarked_rule").value * inches**2 * SHORT_TON


def holds_two_slings(*, included_angle: float) -> bool:
    """True where two slings in one bow keep its full WLL: symmetric, at most 120° between them.

    included_angle [rad], 0 .. 180°. Source: trade-sheets.
    """
    within("included angle", included_angle, 0.0, pi, "rad")
    return included_angle <= number("shackle", "two_slings_included").value + 1e-12
