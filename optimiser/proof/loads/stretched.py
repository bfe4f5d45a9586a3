"""Draws the line of a rig tight over what is laid, with the load at every point of the path and the puller at
every spot of its run."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.proof.place.course import Course
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold
from optimiser.proof.place.string import String
from optimiser.rig.walk import PlaceKind, Walk

BARE = String((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
"""Stands for a part of a line that rubs on nothing, wherever it is."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line drawn tight with the load at each of P points and the puller at each of S spots. Of each of
    its K parts: where it begins and leads from there, where it comes from at its end, and ends, (P, S, K, 3);
    its length, (P, S, K), m. `strings`: the parts that run over something, by point, spot and part."""

    begin: Array
    after: Array
    before: Array
    end: Array
    length: Array
    strings: Mapping[tuple[int, int, int], String]

    def along(self) -> tuple[Array, Array]:
        """Which ways its parts pull on the nodes at their beginnings and their ends."""
        return units(self.after - self.begin), units(self.before - self.end)

    def bent(self) -> dict[tuple[int, int], list[String]]:
        """All parts by point and spot, where any of them runs over something."""
        out: dict[tuple[int, int], list[String]] = {}
        for (p, s, k), string in self.strings.items():
            out.setdefault((p, s), [BARE] * self.length.shape[2])[k] = string
        return out


def units(ways: Array) -> Array:
    """The ways as unit vectors; 0 for what has no length."""
    long = np.sqrt((ways * ways).sum(axis=-1, keepdims=True))
    return np.where(long < 1e-9, 0.0, ways / np.where(long < 1e-9, 1.0, long))


def drawn(
    ground: Ground, course: Course, hold: Hold, walk: Walk, fixed: Sequence[Vec | None],
    spots: Sequence[Vec],
) -> Line:  # fmt: skip
    """The line of a walk, tight over what is laid. `fixed`: places of the nodes that keep still."""
    many, last = len(course.points), len(walk) - 2
    hitch = course.carried(hold.ahead, hold.left, hold.height)
    loads = [place.kind is PlaceKind.LOAD for place in walk]
    at = np.empty((many, len(spots), last + 2, 3))
    for node, place in enumerate(fixed):
        at[:, :, node] = hitch[:, None] if place is None else place
    at[:, :, last + 1] = spots
    begin, end = at[:, :, :-1], at[:, :, 1:]
    after, before = end.copy(), begin.copy()
    length = np.sqrt(((end - begin) ** 2).sum(axis=-1))
    strings: dict[tuple[int, int, int], String] = {}
    for k in range(last + 1):
        # But for the last part a line is the same wherever the puller is.
        looked_at = len(spots) if k == last else 1
        bends = ground.may_bend(
            begin[:, :looked_at, k], end[:, :looked_at, k], from_load=loads[k], to_load=loads[k + 1]
        )
        begins, ends = begin[:, :looked_at, k].tolist(), end[:, :looked_at, k].tolist()
        for p, s in np.argwhere(bends).tolist():
            (x, y, z), (far_x, far_y, far_z) = begins[p][s], ends[p][s]
            string = ground.string(
                (x, y, z), (far_x, far_y, far_z), from_load=loads[k], to_load=loads[k + 1]
            )
            if string.touches:
                alike = slice(s, s + 1) if k == last else slice(None)
                for r in range(len(spots))[alike]:
                    strings[p, r, k] = string
                after[p, alike, k], before[p, alike, k] = string.next, string.before
                length[p, alike, k] = string.length
    return Line(begin, after, before, end, length, strings)
