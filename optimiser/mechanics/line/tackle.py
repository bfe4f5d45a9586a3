"""Computes the tension of every part of a rope over sheaves from what each sheave passes on of the pull."""

import numpy as np

from optimiser.mechanics.arrays import Array


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
