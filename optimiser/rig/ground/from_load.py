"""Tabulates what depends on the load's place: straight lines from the load to every place, by station."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground import clearance
from optimiser.rig.ground.attachments import Attachment
from optimiser.rig.ground.places import Places
from optimiser.rig.ground.stations import Stations
from optimiser.site.model import Puller, Site
from shared.effort import Effort, note


@dataclass(frozen=True, eq=False)
class Reach:
    """Lines from where the load is taken hold of to every place at every station.

    `parts`: other values and which of their stations these are, one after the other; what they have
    tabulated is taken from there, not worked out again.
    """

    site: Site
    stations: Stations
    attachment: Attachment
    puller: Puller
    places: Places
    parts: "tuple[tuple[Reach, slice | Numbers], ...]" = ()

    def _joined(self, table: "Callable[[Reach], npt.NDArray[Any]]", axis: int) -> npt.NDArray[Any]:
        """A table of the parts one after the other along the axis of the stations."""
        cut = (slice(None),) * axis
        return np.concatenate([table(r)[(*cut, part)] for r, part in self.parts], axis=axis)

    @cached_property
    def hitch(self) -> Array:
        """(S, 3) where the line takes hold of the load."""
        if self.parts:
            return self._joined(lambda r: r.hitch, 0)
        st, a = self.stations, self.attachment
        up = np.array((0.0, 0.0, a.height))
        return st.point + a.ahead * st.along + a.left * st.across + up

    @cached_property
    def _lines(self) -> tuple[Array, Array]:
        """Unit vectors (P + 2, S, 3) from the hitch to each place, and the lengths (P + 2, S)."""
        if self.parts:
            return self._joined(lambda r: r.unit, 1), self._joined(lambda r: r.length, 1)
        with np.errstate(invalid="ignore"):
            way = self.places.position[:, None, :] - self.hitch[None, :, :]
            length = np.linalg.norm(way, axis=2)
            return way / np.maximum(length, 1e-9)[:, :, None], length

    @property
    def length(self) -> Array:
        """(P + 2, S) length of a part between the load and each place, m."""
        return self._lines[1]

    @cached_property
    def forward(self) -> Array:
        """(P + 2, S) u.t of a part of line to each place."""
        if self.parts:
            return self._joined(lambda r: r.forward, 1)
        return np.einsum("psi,si->ps", self._lines[0], self.stations.along)

    @cached_property
    def forward_direct(self) -> Array:
        """(R, S) u.t of a hauling line straight from the load to each spot of the puller."""
        return np.asarray(np.einsum("rsi,si->rs", self._straight, self.stations.along))

    @cached_property
    def lift_direct(self) -> Array:
        """(R, S) u.n of the same."""
        return np.asarray(np.einsum("rsi,si->rs", self._straight, self.stations.normal))

    @cached_property
    def _straight(self) -> Array:
        """(R, S, 3) from the hitch to each spot of the puller."""
        way = self.places.spots[:, None, :] - self.hitch[None, :, :]
        return np.asarray(way / np.maximum(np.linalg.norm(way, axis=2), 1e-9)[:, :, None])

    @cached_property
    def lift(self) -> Array:
        """(P + 2, S) u.n of a part of line to each place."""
        if self.parts:
            return self._joined(lambda r: r.lift, 1)
        return np.einsum("psi,si->ps", self._lines[0], self.stations.normal)

    @cached_property
    def sideways(self) -> Array:
        """(P + 2, S) u.b of a part of line to each place."""
        if self.parts:
            return self._joined(lambda r: r.sideways, 1)
        return np.einsum("psi,si->ps", self._lines[0], self.stations.across)

    @cached_property
    def unit(self) -> Array:
        """(P + 2, S, 3) from the hitch to each place."""
        return self._lines[0]

    @cached_property
    def clear(self) -> Mask:
        """(P + 2, S): the line from the load to the place runs free of trunks, posts and ground, and
        the load's nose has not reached the anchor."""
        if self.parts:
            return self._joined(lambda r: r.clear, 1)
        out = np.zeros(self.length.shape, dtype=bool)
        note(Effort.PLACE, out.size)
        ends = np.concatenate([self.places.position[1:-1], self.places.spots])
        own = [place.name for place in self.places.every[1:-1]]
        own += [self.puller.anchor or ""] * len(self.places.spots)
        free = clearance.from_load(self.site, self.stations, self.hitch, ends, own)
        out[1:-1] = free[: len(self.places.every) - 2]
        out[-1] = free[len(self.places.every) - 2 :].all(axis=0)
        for i in range(1, len(self.places.every) - 1):
            out[i] &= self.nose_free(i)
        return out

    def nose_free(self, place: int) -> Mask:
        """(S,) whether the load's nose has not come to the anchor of a place, or passes beside it."""
        load = self.site.load
        radius = self.site.anchors[self.places.anchor_of[place]].radius
        gap = self.places.position[place] - self.stations.point
        ahead = np.einsum("si,si->s", gap, self.stations.along) - load.overhang
        aside = np.abs(np.einsum("si,si->s", gap, self.stations.across))
        beside = aside > load.width / 2 + radius
        passed = ahead < -load.length - radius
        return beside | passed | (ahead >= radius)
