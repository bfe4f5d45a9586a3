"""Defines the change of driving pickets for an anchor in place of one that a rig has."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import dist

from optimiser.jobs.proposed import SYSTEMS, Pickets, pickets, with_pickets
from optimiser.jobs.why.cures.trying import Rig, Trial
from optimiser.rig.setup import Change
from optimiser.rig.walk import Place, PlaceKind

NEAR_SPOTS = 3
"""Spots that are looked at in place of an anchor, the nearest to it (choice)."""


@dataclass(frozen=True)
class PicketsDriven:
    """Pickets driven for an anchor in place of one of the rig's, as one whole change."""

    rig: Rig
    pickets: Pickets
    old: str
    tier: int = 3
    most: float = 0.0

    def settled(self, amount: float) -> float:
        return amount

    def trial(self, amount: float) -> Trial | None:
        site, anchor = with_pickets(self.rig.site, [self.pickets]), self.pickets.anchor
        place = Place(PlaceKind.ANCHOR, anchor.name, min(anchor.heights))
        old = [p for p in self.rig.walk if p.kind is PlaceKind.ANCHOR and p.name == self.old]
        walk = tuple(place if p in old else p for p in self.rig.walk)
        return Trial(site, walk, self.rig.laid(site))

    def change(self, amount: float) -> Change:
        text = f"in place of {self.old} {self.pickets.in_words}"
        return Change(text=text, amount=float(self.pickets.pieces), unit="pickets")


def driven(rig: Rig, names: Iterable[str]) -> Iterator[PicketsDriven]:
    """Pickets in place of each of some anchors: the least work first, of that the spots nearest to it."""
    anchors = [rig.site.anchor(name) for name in names]
    for system in SYSTEMS:
        for anchor in anchors:
            far = {
                some: dist(some.anchor.position, anchor.position)
                for some in pickets(rig.site, system)
            }
            for some in sorted(far, key=lambda some: far[some])[:NEAR_SPOTS]:
                yield PicketsDriven(rig, some, anchor.name)
