"""Tabulates what depends only on where things stand: places, their numbers, and lines between two of them.

Place 0 is the load, then comes every anchor at every strap height, last the puller. Nothing here knows
where the load is, how heavy it is, or what the puller pulls.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground import clearance, sweeping
from optimiser.rig.ground.strings import Edges, Names, Strings, strings
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Puller, Site
from shared.effort import Effort, note

PULLER_SPOTS = 3
"""Near end, middle and far end of the puller's run at which the hauling line's direction is taken."""


def as_last(table: npt.NDArray[Any], place: int) -> npt.NDArray[Any]:
    """The table with the last row, the puller's, the same as that of a place."""
    out = table.copy()
    out[-1] = out[place]
    return out


@dataclass(frozen=True, eq=False)
class Places:
    """The places of a site with one puller. P anchor places, R spots of the puller."""

    site: Site
    puller: Puller
    edges: Edges | None = None  # what lies on the ground for lines to run over
    like: "Places | None" = None  # others whose strings are the same
    at: int | None = None  # the puller is at this place of `like`, where all else stands as there
    beside: "Places | None" = None  # others of the same, but for where the puller stands; no edges

    @cached_property
    def every(self) -> tuple[Place, ...]:
        """All places in the order of their numbers."""
        if self.beside is not None:
            return self.beside.every
        strapped = [
            Place(PlaceKind.ANCHOR, anchor.name, height)
            for anchor in self.site.anchors
            for height in anchor.heights
        ]
        return (LOAD, *strapped, Place(PlaceKind.PULLER, self.puller.name))

    @cached_property
    def number(self) -> dict[Place, int]:
        """The number of each place."""
        if self.beside is not None:
            return self.beside.number
        return {place: index for index, place in enumerate(self.every)}

    @cached_property
    def anchor_of(self) -> Numbers:
        """(P + 2,) index into the site's anchors; -1 for the load and a puller that stands free."""
        if self.beside is not None:
            return self.beside.anchor_of
        index = {anchor.name: i for i, anchor in enumerate(self.site.anchors)}
        out = [
            index.get(place.name, -1) if place.kind is PlaceKind.ANCHOR else -1
            for place in self.every
        ]
        out[-1] = index.get(self.puller.anchor or "", -1)
        return np.array(out)

    @cached_property
    def lever(self) -> Array:
        """(P + 2,) what a force at the place is multiplied with to compare with its anchor."""
        if self.beside is not None:
            return self.beside.lever
        out = np.zeros(len(self.every))
        for i, place in enumerate(self.every):
            anchor = self.anchor_of[i]
            if anchor >= 0:
                height = self.puller.height if place.kind is PlaceKind.PULLER else place.height
                out[i] = self.site.anchors[anchor].lever(height)
        return out

    @cached_property
    def spots(self) -> Array:
        """(R, 3) where the hauling line ends, from the near to the far end of the puller's run."""
        p = self.puller
        base = np.array(p.position) + np.array((0.0, 0.0, p.height))
        if p.run <= 0.0:
            return base[None, :]
        return base + np.linspace(0.0, p.run, PULLER_SPOTS)[:, None] * np.array(p.heading)

    @cached_property
    def position(self) -> Array:
        """(P + 2, 3) of the places; the load's is NaN, the puller's its near end."""
        if self.like is not None and self.at is not None:
            return as_last(self.like.position, self.at)
        if self.beside is not None:
            out = self.beside.position.copy()
            out[-1] = self.spots[0]
            return out
        out = np.full((len(self.every), 3), np.nan)
        for i, place in enumerate(self.every):
            if place.kind is PlaceKind.ANCHOR:
                x, y, z = self.site.anchors[self.anchor_of[i]].position
                out[i] = (x, y, z + place.height)
        out[-1] = self.spots[0]
        return out

    @cached_property
    def clear(self) -> Mask:
        """(P + 2, P + 2) the line between two fixed places runs free; False for the load's row."""
        if self.like is not None and self.at is not None:
            out = as_last(self.like.clear, self.at)
            out[:, -1] = out[:, self.at]
            return out
        if self.beside is not None:
            out = self.beside.clear.copy()
            out[:-1, -1] = out[-1, :-1] = self._clear_to_puller[:-1]
            return out
        note(Effort.PLACE, len(self.every) ** 2)
        if self.between is not None and self.to_puller is not None:
            out = self.between.free.copy()
            free = self.to_puller.free.all(axis=1) & ~self._swept
            out[:-1, -1] = out[-1, :-1] = free[:-1]
            out[0, :] = out[:, 0] = False
            np.fill_diagonal(out, False)
            return out & ~self._on_one_spot
        out = clearance.between_places(self.site, self._fixed) & ~self._on_one_spot
        out[:, -1] &= ~self._swept
        out[-1, :] &= ~self._swept
        return out

    @property
    def _fixed(self) -> clearance.Fixed:
        """The places, for looking at what lines between them meet."""
        names = [place.name for place in self.every]
        return clearance.Fixed(names, self.position, self.spots, self.puller.anchor)

    @cached_property
    def _clear_to_puller(self) -> Mask:
        """(P + 2,) the line from each place to the puller runs free, all along its run; False for the
        load."""
        out = clearance.to_puller(self.site, self._fixed) & ~self._swept
        out[0] = out[-1] = False
        return out

    @cached_property
    def _swept(self) -> Mask:
        """(P + 2,) the line from each place to the puller sweeps over a post, or too low over the ground, as
        that goes along its run; False for the load."""
        own = [place.name for place in self.every]
        begin = np.nan_to_num(self.position)
        out = sweeping.swept_along_run(self.site, begin, self.spots, self.puller.anchor, own)
        bent = None if self.to_puller is None else self.to_puller.bent
        out |= sweeping.dips_along_run(
            self.site, self.ground, begin, self.spots, both_ends=True, bent=bent
        )
        out[0] = out[-1] = False
        return out

    @cached_property
    def ground(self) -> Array:
        """(G, 3) points of the ground at which nothing lies yet for lines to run over."""
        edges = self.edges
        return clearance.ground_points(self.site) if edges is None else edges.not_covered

    @cached_property
    def _on_one_spot(self) -> Mask:
        """(P + 2, P + 2) two anchors of which only one can be made, on one spot: no line leads between."""
        number = np.arange(len(self.every))
        spots = {name: i for i, (name, _) in enumerate(self.site.stock)}
        for i, anchor in enumerate(self.anchor_of[1:-1], start=1):
            uses = self.site.anchors[anchor].uses
            if uses:
                number[i] = -1 - spots[uses[-1][0]]
        mine = self.anchor_of[:, None] == self.anchor_of[None, :]
        return np.asarray((number[:, None] == number[None, :]) & ~mine)

    # ---- lines that may run over edges ------------------------------------------------------------

    @cached_property
    def between(self) -> Strings | None:
        """(P + 2, P + 2) the lines between fixed places, the puller at its near end; those of the load mean
        nothing. None where nothing lies on the ground to run over."""
        if self.edges is None:
            return None
        if self.like is not None:
            return self.like.between
        position, count = np.nan_to_num(self.position), len(self.every)
        one, two = np.triu_indices(count)
        own = np.concatenate([self._own[one], self._own[two]], axis=1)
        there = strings(self.edges, position[one], position[two], both_ends=True, own=own)
        back = there.back()
        forth = np.empty((count, count), dtype=np.int64)
        forth[one, two] = np.arange(len(one))
        forth[two, one] = np.arange(len(one)) + len(one) * (one != two)
        both = Strings.join((there, back))
        return both.pick(forth)

    @cached_property
    def to_puller(self) -> Strings | None:
        """(P + 2, R) the lines from each fixed place to the spots of the puller's run; see `between`."""
        if self.edges is None:
            return None
        if self.like is not None:
            return self.like.to_puller
        position, count, spots = np.nan_to_num(self.position), len(self.every), len(self.spots)
        begin = np.repeat(position, spots, axis=0)
        own = np.repeat(self._own, spots, axis=0)
        own = np.concatenate([own, np.tile(self._own[-1:], (len(own), 1))], axis=1)
        end = np.tile(self.spots, (count, 1))
        found = strings(self.edges, begin, end, both_ends=True, own=own)
        return found.shaped((count, spots))

    @cached_property
    def _own(self) -> Names:
        """(P + 2, 1) name of the post that each place is made fast to; "" for none."""
        names = [p.name if p.kind is PlaceKind.ANCHOR else "" for p in self.every]
        names[-1] = self.puller.anchor or ""
        return np.array(names)[:, None]

    @cached_property
    def distance(self) -> Array:
        """(P + 2, P + 2) m of line between fixed places, with the puller at its near end; NaN for the
        load."""
        if self.between is not None:
            out = self.between.length.copy()
            out[0, :] = out[:, 0] = np.nan
            return out
        if self.beside is not None:
            out = self.beside.distance.copy()
            out[-1] = out[:, -1] = np.linalg.norm(self.position - self.position[-1], axis=1)
            return out
        gap = self.position[:, None, :] - self.position[None, :, :]
        return np.linalg.norm(gap, axis=2)

    @cached_property
    def stroke_last(self) -> Array:
        """(P + 2,) rope one run of the puller takes in, m, with the line coming from each place."""
        far, near = self.spots[-1], self.spots[0]
        with np.errstate(invalid="ignore"):
            gain = np.linalg.norm(self.position - far, axis=1) - np.linalg.norm(
                self.position - near, axis=1
            )
        if self.to_puller is not None:
            gain = self.to_puller.length[:, -1] - self.to_puller.length[:, 0]
            gain[0] = np.nan
        if self.puller.purchase is not None:
            gain = np.full(len(self.every), self.puller.purchase)
        return np.nan_to_num(gain)
