"""Chain: several legs at an angle, and the field rules for chain and hooks without a mark."""

from math import sin

from optimiser.mechanics.domain import positive
from optimiser.mechanics.hardware.strap import leg_tension_factor
from optimiser.mechanics.published import number

SHORT_TON = 2000.0 * 4.4482216152605
INCH = 0.0254


def legs_capacity(*, wll: float, legs: int, angle: float) -> float:
    """n · WLL · sin α: what `legs` equal legs hold, each at `angle` from the horizontal [rad].

    wll: of one leg [N]; legs: 1 or 2 (with more, two may carry all); angle: 30° .. 90°.
    Result: [N]. Source: osha-slings tables 1 and 2.
    """
    if legs not in (1, 2):
        raise ValueError(
            f"legs {legs}: one or two; of more legs no more than two are sure to carry"
        )
    leg_tension_factor(angle=angle)  # refuses angles below 30°
    return legs * positive("WLL", wll) * sin(angle)


def unmarked_rule(*, size: float) -> float:
    """Safe working load [N] of chain by 6 D² (short tons, inches), from memory; size [m].

    A stamped grade always wins; unmarked chain is otherwise taken as grade 30 (cfr-393-108).
    """
    return number("chain", "chain_rule").value * (positive("size", size) / INCH) ** 2 * SHORT_TON


def hook_rule(*, size: float) -> float:
    """Safe working load [N] of a hook by 2/3 D² (short tons, inches), from memory; size [m]."""
    return number("chain", "hook_rule").value * (positive("size", size) / INCH) ** 2 * SHORT_TON
