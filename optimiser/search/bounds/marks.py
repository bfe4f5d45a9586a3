"""Marks down walks for where the puller stands (`optimiser.rig.ground.standing`), part by part.

A walk is marked down if any of its parts, or any angle between two of them, reaches the puller; so a
partial walk that is, stays so. Each part and angle is looked at once, when a walk first has it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground import keepout
from optimiser.rig.ground.plan_view import spots
from optimiser.rig.ground.scene import Scene

Seen = npt.NDArray[np.int8]
TOGETHER = 500
"""Parts that are looked at together: keeps the arrays inside the processor's cache."""
UNKNOWN = -1


@dataclass(frozen=True)
class Marks:
    """Of one scene. Paths lead from the puller backwards, without the puller."""

    scene: Scene

    @cached_property
    def always(self) -> bool:
        """Whether every walk is marked down."""
        return self.scene.stands_badly((self.scene.puller_number,))

    def of(self, paths: Numbers) -> Mask:
        """(n,) which complete paths (n, m + 1) are marked down."""
        out = np.full(len(paths), self.always)
        for depth in range(2, paths.shape[1] + 1):
            left = np.flatnonzero(~out)
            out[left] = self.met(paths[left, :depth])
        return out

    def met(self, paths: Numbers) -> Mask:
        """(n,) on which paths (n, depth), of two places or more, the part to the last place reaches the
        puller, or the angle that it makes with the part before."""
        new, last = paths[:, -1], paths[:, -2]
        out = self._look(self._lines, new, last, self._in_line)
        if paths.shape[1] < 3:
            return out
        before = paths[:, -3]
        # An angle with the load in it is known by its two other places. One between three anchors is not
        # looked at, nor one between two visits to the load, which has no width.
        one = np.where(before == 0, last, before)
        two = np.where(new == 0, last, new)
        loads = (before == 0).astype(int) + (last == 0) + (new == 0)
        wanted = np.flatnonzero(~out & (loads == 1) & (one != two))
        one, two = np.minimum(one[wanted], two[wanted]), np.maximum(one[wanted], two[wanted])
        out[wanted] = self._look(self._angles, one, two, self._in_bight)
        return out

    # ---- tables that fill as they are read -------------------------------------------------------

    @cached_property
    def _lines(self) -> Seen:
        return self.scene.reach.once(("lanes with the puller",), self._unknown)

    @cached_property
    def _angles(self) -> Seen:
        return self.scene.reach.once(("angles with the puller",), self._unknown)

    def _unknown(self) -> Seen:
        return np.full((len(self.scene.places),) * 2, UNKNOWN, dtype=np.int8)

    def _look(
        self, table: Seen, one: Numbers, two: Numbers, work: Callable[[Numbers, Numbers], Mask]
    ) -> Mask:
        new = np.flatnonzero(table[one, two] == UNKNOWN)
        if len(new):
            pairs = np.unique(np.stack([one[new], two[new]]), axis=1)
            for begin in range(0, pairs.shape[1], TOGETHER):
                a, b = pairs[:, begin : begin + TOGETHER]
                table[a, b] = work(a, b)
        return np.asarray(table[one, two] == 1)

    @cached_property
    def _spots(self) -> Array:
        return np.array(spots(self.scene.puller))

    def _seen(self, numbers: Numbers) -> Array:
        """(n, S, 2) places from above, with the load at every station."""
        load = self.scene.stations.point[:, :2]
        fixed = np.repeat(self.scene.position[numbers, None, :2], len(load), axis=1)
        return np.where((numbers == 0)[:, None, None], load[None], fixed)

    def _in_line(self, one: Numbers, two: Numbers) -> Mask:
        ends = self._seen(one), self._seen(two)
        met = np.array([keepout.inside_lane(ends, spot) for spot in self._spots])
        return np.asarray(met.any(axis=(0, 2)))

    def _in_bight(self, one: Numbers, two: Numbers) -> Mask:
        load = self.scene.stations.point[None, :, :2]
        corners = self.scene.position[one, None, :2], load, self.scene.position[two, None, :2]
        met = np.array([keepout.inside_angle(corners, spot) for spot in self._spots])
        return np.asarray(met.any(axis=(0, 2)))
