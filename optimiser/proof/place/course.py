"""Writes the points of the path at which a rig is checked as arrays, one number a point."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.values import Vec
from optimiser.proof.place.points import Point


def vec(at: Array) -> Vec:
    """Three coordinates (3,) as plain numbers."""
    x, y, z = at.tolist()
    return x, y, z


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """The load at P points of the path. `along`, `across`, `normal`, `ground`: (P, 3); `row`: of the rig's
    profile, -1 between two; everything else (P,), in SI units, as in `Point` and its leg."""

    points: tuple[Point, ...]
    at: Array
    row: Numbers
    along: Array
    across: Array
    normal: Array
    ground: Array
    weight: Array
    resting: Array
    step: Array

    @classmethod
    def of(cls, points: Sequence[Point]) -> Self:
        """The same points as arrays."""
        return cls(
            points=tuple(points),
            at=np.array([p.at for p in points]),
            row=np.array([-1 if p.row is None else p.row for p in points], dtype=np.int64),
            along=np.array([p.along for p in points]),
            across=np.array([p.across for p in points]),
            normal=np.array([p.normal for p in points]),
            ground=np.array([p.ground for p in points]),
            weight=np.array([p.weight for p in points]),
            resting=np.array([p.resting for p in points]),
            step=np.array([p.step for p in points]),
        )

    @property
    def listed(self) -> Mask:
        """Which points are rows of the profile."""
        return self.row >= 0

    def carried(self, ahead: float, left: float, height: float) -> Array:
        """Where a point of the load is: `ahead` along the path, `left` of it, `height` plumb above. (P, 3)"""
        at: Array = self.ground + ahead * self.along + left * self.across
        at[:, 2] += height
        return at
