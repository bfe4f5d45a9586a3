"""Defines the change of making an anchor in place of one that a rig has: a sling between it and another tree,
or pickets that are driven."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import dist
from typing import ClassVar

from optimiser.jobs.proposed import SYSTEMS, Proposed, pickets, slings
from optimiser.jobs.why.cures.trying import Rig, Trial
from optimiser.jobs.why.cures.whole_changes import Whole
from optimiser.rig.setup import Change
from optimiser.rig.walk import Place, PlaceKind

NEAR_SPOTS = 3
"""Spots that are looked at in place of an anchor, the nearest to it (choice)."""


@dataclass(frozen=True)
class NewAnchor(Whole):
    """A proposed anchor in place of one of the rig's, as one whole change."""

    rig: Rig
    proposed: Proposed
    old: str
    tier: ClassVar[int] = 3

    @property
    def kind(self) -> str:
        """What is proposed: one of each kind is enough."""
        return self.proposed.unit

    def trial(self, amount: float) -> Trial | None:
        site, anchor = self.proposed.on(self.rig.site), self.proposed.anchor
        place = Place(PlaceKind.ANCHOR, anchor.name, min(anchor.heights))
        old = [p for p in self.rig.walk if p.kind is PlaceKind.ANCHOR and p.name == self.old]
        walk = tuple(place if p in old else p for p in self.rig.walk)
        return Trial(site, walk, self.rig.laid(site))

    def change(self, amount: float) -> Change:
        text = f"in place of {self.old} {self.proposed.in_words}"
        return Change(text=text, amount=float(self.proposed.pieces), unit=self.proposed.unit)


def new_anchors(rig: Rig, names: Iterable[str]) -> Iterator[NewAnchor]:
    """A sling that shares the pull of each of some anchors with another tree; then pickets in place of each:
    the least work first, of that the spots nearest to it."""
    anchors = [rig.site.anchor(name) for name in names]
    for anchor in anchors:
        for tied in slings(rig.site):
            if anchor.name in tied.trees:
                yield NewAnchor(rig, tied, anchor.name)
    for system in SYSTEMS:
        for anchor in anchors:
            far = {
                some: dist(some.anchor.position, anchor.position)
                for some in pickets(rig.site, system)
            }
            for some in sorted(far, key=lambda some: far[some])[:NEAR_SPOTS]:
                yield NewAnchor(rig, some, anchor.name)
