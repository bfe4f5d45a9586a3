"""Tabulates what depends on the load's place: lines from the load to every place, by station."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground import clearance, sweeping
from optimiser.rig.ground.attachments import Attachment
from optimiser.rig.ground.places import Places, as_last
from optimiser.rig.ground.stations import Stations
from optimiser.rig.ground.strings import Strings, strings
from optimiser.rig.once import Once
from optimiser.site.model import Puller, Site
from shared.effort import Effort, note


@dataclass(frozen=True, eq=False)
class Reach(Once):
    """Lines from where the load is taken hold of to every place at every station.

    `parts`: other values and which of their stations these are, one after the other; what they have
    tabulated is taken from there, not worked out again. It also remembers what others work out of where
    things stand (`once`), so that scenes with the same geometry have that too.
    """

    site: Site
    stations: Stations
    attachment: Attachment
    puller: Puller
    places: Places
    parts: "tuple[tuple[Reach, slice | Numbers], ...]" = ()
    like: "Reach | None" = None  # with the puller where it has a place (`Places.at`)
    beside: "Reach | None" = None  # the same but for where the puller stands (`Places.beside`)

    def _joined(self, table: "Callable[[Reach], npt.NDArray[Any]]", axis: int) -> npt.NDArray[Any]:
        """A table of the parts one after the other along the axis of the stations."""
        cut = (slice(None),) * axis
        return np.concatenate([table(r)[(*cut, part)] for r, part in self.parts], axis=axis)

    @cached_property
    def hitch(self) -> Array:
        """(S, 3) where the line takes hold of the load."""
        if self.like is not None:
            return self.like.hitch
        if self.beside is not None:
            return self.beside.hitch
        if self.parts:
            return self._joined(lambda r: r.hitch, 0)
        st, a = self.stations, self.attachment
        up = np.array((0.0, 0.0, a.height))
        return st.point + a.ahead * st.along + a.left * st.across + up

    def _strings(self, targets: Array, own: Sequence[str]) -> Strings:
        """(T, S) the lines from the hitch to each of some targets (T, 3), made fast to the posts `own`."""
        assert self.places.edges is not None
        count, stations = len(targets), len(self.hitch)
        found = strings(
            self.places.edges,
            np.tile(self.hitch, (count, 1)),
            np.repeat(targets, stations, axis=0),
            both_ends=False,
            own=np.repeat(np.array(own), stations)[:, None],
        )
        return found.shaped((count, stations))

    @cached_property
    def strings(self) -> Strings | None:
        """(P + 2, S) the lines from the hitch to each place, the puller at its near end; that of the load
        means nothing. None where nothing lies on the ground to run over."""
        if self.places.edges is None:
            return None
        if self.parts:
            return self._spliced(lambda r: r.strings)
        own = [place.name for place in self.places.every]
        own[-1] = self.puller.anchor or ""
        return self._strings(np.nan_to_num(self.places.position), own)

    @cached_property
    def strings_direct(self) -> Strings | None:
        """(R, S) the same to each spot of the puller's run."""
        if self.places.edges is None:
            return None
        if self.parts:
            return self._spliced(lambda r: r.strings_direct)
        own = [self.puller.anchor or ""] * len(self.places.spots)
        return self._strings(self.places.spots, own)

    def _spliced(self, table: "Callable[[Reach], Strings | None]") -> Strings:
        found = [(table(r), part) for r, part in self.parts]
        some = [s.pick((slice(None), part)) for s, part in found if s is not None]
        return Strings.join(some, axis=1)

    @cached_property
    def _lines(self) -> tuple[Array, Array]:
        """Unit vectors (P + 2, S, 3) from the hitch to each place, and the lengths (P + 2, S)."""
        if self.like is not None and self.places.at is not None:
            return as_last(self.like.unit, self.places.at), as_last(
                self.like.length, self.places.at
            )
        if self.strings is not None:
            unit, long = self.strings.begin.copy(), self.strings.length.copy()
            unit[0], long[0] = np.nan, np.nan
            return unit, long
        if self.parts:
            return self._joined(lambda r: r.unit, 1), self._joined(lambda r: r.length, 1)
        if self.beside is not None:
            way = self.places.position[-1] - self.hitch
            long = np.linalg.norm(way, axis=1)
            unit = way / np.maximum(long, 1e-9)[:, None]
            return _with_last(self.beside.unit, unit), _with_last(self.beside.length, long)
        with np.errstate(invalid="ignore"):
            way = self.places.position[:, None, :] - self.hitch[None, :, :]
            length = np.linalg.norm(way, axis=2)
            return way / np.maximum(length, 1e-9)[:, :, None], length

    @property
    def length(self) -> Array:
        """(P + 2, S) length of a part between the load and each place, m."""
        return self._lines[1]

    def _share(self, table: "Callable[[Reach], Array]", axis: Array) -> Array:
        """(P + 2, S) how far a part of line to each place leads along an axis of the load's (S, 3). `table`:
        where another reach has that."""
        if self.parts:
            return self._joined(table, 1)
        if self.beside is not None:
            return _with_last(table(self.beside), np.einsum("si,si->s", self.unit[-1], axis))
        return np.asarray(np.einsum("psi,si->ps", self._lines[0], axis))

    @cached_property
    def forward(self) -> Array:
        """(P + 2, S) u.t of a part of line to each place."""
        return self._share(lambda r: r.forward, self.stations.along)

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
        if self.strings_direct is not None:
            return self.strings_direct.begin
        way = self.places.spots[:, None, :] - self.hitch[None, :, :]
        return np.asarray(way / np.maximum(np.linalg.norm(way, axis=2), 1e-9)[:, :, None])

    @cached_property
    def lift(self) -> Array:
        """(P + 2, S) u.n of a part of line to each place."""
        return self._share(lambda r: r.lift, self.stations.normal)

    @cached_property
    def sideways(self) -> Array:
        """(P + 2, S) u.b of a part of line to each place."""
        return self._share(lambda r: r.sideways, self.stations.across)

    @cached_property
    def unit(self) -> Array:
        """(P + 2, S, 3) from the hitch to each place."""
        return self._lines[0]

    @cached_property
    def at_place(self) -> Array:
        """(P + 2, S, 3) unit vectors from each place along the line to the hitch."""
        return -self.unit if self.strings is None else self.strings.end

    @cached_property
    def clear(self) -> Mask:
        """(P + 2, S): the line from the load to the place runs free of trunks, posts and ground, and sweeps
        over none between two stations or spots of the puller; the load's nose has not reached the anchor."""
        return np.asarray(self._free & ~self._swept)

    @cached_property
    def _swept(self) -> Mask:
        """(P + 2, S): the line sweeps over a post near the station, or there along the puller's run, where it
        may come too low over the ground too."""
        if self.like is not None and self.places.at is not None:
            return as_last(self.like._swept, self.places.at)
        spots, own = self.places.spots, self.puller.anchor or ""
        last = sweeping.swept(self.site, self.hitch, spots, [own] * len(spots)).any(axis=0)
        last |= self._swept_along_run
        if self.beside is not None:
            return _with_last(self.beside._swept, last)
        out = np.zeros((len(self.places.every), len(self.hitch)), dtype=bool)
        names = [place.name for place in self.places.every[1:-1]]
        out[1:-1] = sweeping.swept(self.site, self.hitch, self.places.position[1:-1], names)
        out[-1] = last
        return out

    @cached_property
    def _swept_along_run(self) -> Mask:
        """(S,): the line straight to the puller sweeps over a post along its run, or comes too low there."""
        if self.like is not None and self.places.at is not None:
            return np.zeros(len(self.hitch), dtype=bool)  # it stands at one place
        if self.parts:
            return self._joined(lambda r: r._swept_along_run, 0)
        spots, direct = self.places.spots, self.strings_direct
        out = sweeping.swept_along_run(self.site, self.hitch, spots, self.puller.anchor)
        return out | sweeping.dips_along_run(
            self.site,
            self.places.ground,
            self.hitch,
            spots,
            both_ends=False,
            bent=None if direct is None else direct.bent.T,
        )

    @cached_property
    def _free(self) -> Mask:
        """(P + 2, S): `clear`, of the lines where they are looked at."""
        if self.like is not None and self.places.at is not None:
            return as_last(self.like._free, self.places.at)
        if self.parts:
            return self._joined(lambda r: r._free, 1)
        if self.beside is not None:
            spots = self.places.spots
            own = [self.puller.anchor or ""] * len(spots)
            free = clearance.from_load(self.site, self.stations, self.hitch, spots, own)
            return _with_last(self.beside._free, np.asarray(free.all(axis=0)))
        out = np.zeros(self.length.shape, dtype=bool)
        note(Effort.PLACE, out.size)
        if self.strings is not None and self.strings_direct is not None:
            out[1:-1] = self.strings.free[1:-1]
            out[-1] = self.strings_direct.free.all(axis=0)
            for i in range(1, len(self.places.every) - 1):
                out[i] &= self.nose_free(i)
            return out
        ends = np.concatenate([self.places.position[1:-1], self.places.spots])
        own = [place.name for place in self.places.every[1:-1]]
        own += [self.puller.anchor or ""] * len(self.places.spots)
        free = clearance.from_load(self.site, self.stations, self.hitch, ends, own)
        out[1:-1] = free[: len(self.places.every) - 2]
        out[-1] = free[len(self.places.every) - 2 :].all(axis=0)
        for i in range(1, len(self.places.every) - 1):
            out[i] &= self.nose_free(i)
        return out

    def radius(self, place: int) -> float:
        """m of the anchor of a place."""
        return self.site.anchors[self.places.anchor_of[place]].radius

    def from_nose(self, place: int) -> tuple[Array, Array]:
        """(S,) m that the middle of a place's anchor is ahead of the load's nose, and beside its middle."""
        gap = self.places.position[place] - self.stations.point
        ahead = np.einsum("si,si->s", gap, self.stations.along) - self.site.load.overhang
        return ahead, np.abs(np.einsum("si,si->s", gap, self.stations.across))

    def nose_free(self, place: int) -> Mask:
        """(S,) whether the load's nose has not come to the anchor of a place, or passes beside it."""
        load, radius = self.site.load, self.radius(place)
        ahead, aside = self.from_nose(place)
        beside = aside > load.width / 2 + radius
        passed = ahead < -load.length - radius
        return beside | passed | (ahead >= radius)


def _with_last(table: npt.NDArray[Any], last: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """The table with another last row, the puller's."""
    out = table.copy()
    out[-1] = last
    return out
