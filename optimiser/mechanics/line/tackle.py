"""Tension along a rope over sheaves, and the published conventions it is compared with.

The program's own model is `along_rope`: every sheave passes on a share of the pull. The other
functions are the trade's rules, kept to check against and to say what a rule of thumb would give.
"""

from collections.abc import Sequence
from math import cos, isfinite, pi, sqrt

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import number


def along_rope(*, passed: Array, hauled: float | Array = 1.0) -> Array:
    """Tension of every segment of a rope: what each sheave passes on, multiplied up from the hauling end.

    passed: shape (S, ...), what each sheave passes on towards the standing end (hauling: its η, letting
    down: 1/η), in order from there to the hauling end; not checked. hauled: tension of the last segment,
    shape (...) or one number, any unit. Result: shape (S + 1, ...), same unit and order.
    Source: wire-rope-manual (geometric model).
    """
    out = np.empty((len(passed) + 1, *passed.shape[1:]))
    out[-1] = hauled
    for k in range(len(passed) - 1, -1, -1):
        out[k] = out[k + 1] * passed[k]
    return out


def tension_left(*, passed: Array) -> Array:
    """Tension behind the first, second, ... of some sheaves, per unit of tension at the hauling end.

    passed: shape (S, ...), what each sheave passes on, in order from the hauling end. Result: shape
    (S + 1, ...), in the same order; the first is 1. Source: wire-rope-manual (geometric model).
    """
    return along_rope(passed=passed[::-1])[::-1]


def tensions(*, passed: Sequence[float] | Array, lowering: bool = False) -> Array:
    """τ of every segment per unit of tension at the hauling end: τ_k = Π η (lowering: Π 1/η).

    passed: shape (..., S), η of each sheave in (0, 1], in order from the standing end to the
    hauling end. Result: shape (..., S + 1), segments in the same order; the last is 1.
    Source: wire-rope-manual (geometric model).
    """
    eta = np.asarray(passed, dtype=float)
    if eta.size and not bool(np.all((eta > 0.0) & (eta <= 1.0))):
        raise ValueError("a sheave passes on more than 0 and at most 1 of the pull")
    step = 1.0 / eta if lowering else eta
    return np.moveaxis(along_rope(passed=np.moveaxis(step, -1, 0)), 0, -1)


def parallel_advantage(
    *, eta: float, parts: int, sheaves: int | None = None, lowering: bool = False
) -> float:
    """Load / pull of a tackle with parallel parts: the sum of the `parts` tensions farthest from
    the hauling end, of `sheaves` + 1 segments.

    eta: of every sheave; parts at the load; sheaves: all of them, lead blocks included; default as
    many as parts (hauling part leaves a fixed block); parts − 1 where it leaves the load.
    """
    count = parts if sheaves is None else sheaves
    if parts < 1 or count < parts - 1:
        raise ValueError(f"{parts} parts over {count} sheaves: not a tackle")
    return float(np.sum(tensions(passed=[eta] * count, lowering=lowering)[:parts]))


def fast_line_factor(*, k: float, parts: int, sheaves: int | None = None) -> float:
    """Pull / load = K^S (K − 1) / (K^N − 1): the published closed form for N parts, S sheaves.

    k: K >= 1, tension gained per sheave. Source: wire-rope-manual.
    """
    count = parts if sheaves is None else sheaves
    if parts < 1 or count < 0:
        raise ValueError(f"{parts} parts over {count} sheaves: not a tackle")
    within("K", k, 1.0, 2.0)
    return k**count / parts if k == 1.0 else float(k**count * (k - 1.0) / (k**parts - 1.0))


def linear_total(*, load: float, sheaves: int) -> float:
    """W + n W / 10: load and friction by the seaman's rule, any unit of force. Source: nicholls."""
    if sheaves < 0:
        raise ValueError(f"{sheaves} sheaves: at least 0")
    return positive("load", load) * (1.0 + sheaves * number("tackle", "linear_loss").value)


def linear_pull(*, load: float, sheaves: int, parts: int) -> float:
    """S = (W + n W / 10) / P [unit of load]: the seaman's rule, every sheave counted.

    Source: nicholls p. 42. The army's form, (load + tackle resistance) / advantage, is the same.
    """
    if parts < 1:
        raise ValueError(f"{parts} parts: at least 1")
    return linear_total(load=load, sheaves=sheaves) / parts


def parts_for_linear(*, load: float, available: float, most: int = 24) -> int:
    """Least advantage at which the army's rule lets `available` move `load`, sheaves = parts − 1.

    Any one unit of force. ValueError where no number of parts up to `most` is enough.
    Source: tb-9-2350-292-10, army-rigging-sheet.
    """
    positive("available pull", available)
    for parts in range(1, most + 1):
        if linear_pull(load=load, sheaves=parts - 1, parts=parts) <= available:
            return parts
    raise ValueError(f"{available} does not move {load} over any tackle of up to {most} parts")


def block_load(*, first: float, second: float, included_angle: float) -> float:
    """√(T1² + T2² + 2 T1 T2 cos a): load on a block by its two parts and the angle between them.

    first, second: tensions [N], at least 0; included_angle a [rad]: 0 parallel, π straight through.
    Result: [N]. Source: statics; block-angle-tables for equal tensions (2 cos(a/2)).
    """
    within("angle between the parts", included_angle, 0.0, pi + 1e-12, "rad")
    if not (isfinite(first) and isfinite(second) and first >= 0.0 and second >= 0.0):
        raise ValueError(f"tensions {first}, {second} N: must be at least 0")
    return sqrt(max(0.0, first**2 + second**2 + 2.0 * first * second * cos(included_angle)))


def sheave_eta(
    *, sheave_radius: float, pin_radius: float, friction: float, included_angle: float = 0.0
) -> float:
    """η of a sheave from the friction of its pin: T_in r = T_out r − R r_f with R the pin's load.

    sheave_radius r to the rope's centre line, pin_radius [m]; friction μ of the pin [-]; the circle
    of friction is r_f = μ r_pin (small angles, as published); included_angle between the parts
    [rad]. Result: T_in / T_out [-]. ValueError where the pin would jam (r_f >= r).
    Source: beer-johnston 8.6.
    """
    positive("sheave radius", sheave_radius)
    circle = within("friction", friction, 0.0, 1.0) * positive("pin radius", pin_radius)
    within("angle between the parts", included_angle, 0.0, pi, "rad")
    lost = (circle / sheave_radius) ** 2
    if lost >= 1.0:
        raise ValueError("pin friction as large as the sheave: it would not turn")
    # (1 − η)² = lost (1 + η² + 2 η cos a), the smaller root.
    b = 1.0 + lost * cos(included_angle)
    return (b - sqrt(max(0.0, b * b - (1.0 - lost) ** 2))) / (1.0 - lost)


def useful_work(*, advantage: float, parts: int) -> float:
    """Actual / ideal advantage [-]: the share of the work that reaches the load."""
    return positive("advantage", advantage) / positive("parts", float(parts))
