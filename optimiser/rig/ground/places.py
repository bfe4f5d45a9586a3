"""Tabulates what depends only on where things stand: places, their numbers, and lines between two of them.

Place 0 is the load, then comes every anchor at every strap height, last the puller. Nothing here knows
where the load is, how heavy it is, or what the puller pulls.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.ground import clearance
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Puller, Site
from shared.effort import Effort, note

PULLER_SPOTS = 3
"""Near end, middle and far end of the puller's run at which the hauling line's direction is taken."""


@dataclass(frozen=True, eq=False)
class Places:
    """The places of a site with one puller. P anchor places, R spots of the puller."""

    site: Site
    puller: Puller

    @cached_property
    def every(self) -> tuple[Place, ...]:
        """All places in the order of their numbers."""
        strapped = [
            Place(PlaceKind.ANCHOR, anchor.name, height)
            for anchor in self.site.anchors
            for height in anchor.heights
        ]
        return (LOAD, *strapped, Place(PlaceKind.PULLER, self.puller.name))

    @cached_property
    def number(self) -> dict[Place, int]:
        """The number of each place."""
        return {place: index for index, place in enumerate(self.every)}

    @cached_property
    def anchor_of(self) -> Numbers:
        """(P + 2,) index into the site's anchors; -1 for the load and a puller that stands free."""
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
        fixed = clearance.Fixed(
            [place.name for place in self.every], self.position, self.spots, self.puller.anchor
        )
        note(Effort.PLACE, len(self.every) ** 2)
        return clearance.between_places(self.site, fixed)

    @cached_property
    def distance(self) -> Array:
        """(P + 2, P + 2) between fixed places, m, with the puller at its near end; NaN for the load."""
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
        if self.puller.purchase is not None:
            gain = np.full(len(self.every), self.puller.purchase)
        return np.nan_to_num(gain)
