"""Defines changes of a rig that are made or not: other places, things laid, a stage's end."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from catalogue.gear import Protector
from optimiser.jobs.why.cures.trying import Rig, Trial
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.laying import lay, many
from optimiser.rig.gear.over_edges import Place as Lying
from optimiser.rig.gear.over_edges import places
from optimiser.rig.ground.stations import laid_anew
from optimiser.rig.setup import Change
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Owned
from shared.units import Dimension, Rounding, show


class Whole:
    """A change of which there is no more or less."""

    most: ClassVar[float] = 0.0

    def settled(self, amount: float) -> float:
        """The amount as it is: there is one."""
        return amount


@dataclass(frozen=True)
class OtherPlaces(Whole):
    """The same rig through other places that are there already, as one whole change. `words` describe it,
    `far` is how far the new place lies from the old one, m."""

    rig: Rig
    walk: tuple[Place, ...]
    words: str
    far: float
    tier: ClassVar[int] = 1

    def trial(self, amount: float) -> Trial | None:
        return Trial(self.rig.site, self.walk, self.rig.stations)

    def change(self, amount: float) -> Change:
        return Change(text=self.words, amount=self.far, unit="m")


@dataclass(frozen=True)
class Laid(Whole):
    """Something laid on the ground wherever a line of the rig touches it, for it to run over."""

    rig: Rig
    job: Job
    piece: Owned[Protector]

    @property
    def tier(self) -> int:
        return 1 if self.piece.price is None else 3

    @cached_property
    def _laid(self) -> tuple[Trial, tuple[Lying, ...]]:
        """The rig with it, and where it has to lie."""
        site = self.rig.site
        stations = laid_anew(site, self.rig.stations, (*site.gear, self.piece))
        trial = Trial(site, self.rig.walk, stations, self.piece)
        return trial, places(self.rig.row(trial).touches, self.piece.gear)

    def trial(self, amount: float) -> Trial | None:
        trial, laid = self._laid
        return trial if many(laid) <= self.piece.count else None

    def change(self, amount: float) -> Change:
        return lay(self.job, self.piece, self._laid[1])


@dataclass(frozen=True)
class StageEnd(Whole):
    """The rig hauls as far as it can, and another one the rest: `last` is the last station it comes to."""

    rig: Rig
    last: int
    tier: ClassVar[int] = 2

    def trial(self, amount: float) -> Trial | None:
        stations = self.rig.stations.pick(slice(0, self.last + 1))
        return Trial(self.rig.site, self.rig.walk, stations)

    def change(self, amount: float) -> Change:
        at, units = self.rig.stations.at, self.rig.site.preferences.units
        rest = float(at[-1] - at[self.last])
        to = show(float(at[self.last]), Dimension.LENGTH, units, Rounding.DOWN)
        left = show(rest, Dimension.LENGTH, units, Rounding.UP)
        text = f"haul with this reeving to {to} only, and the last {left} with another, in stages"
        return Change(text=text, amount=rest, unit="m")


def other_places(rig: Rig, places: tuple[Place, ...], positions: Any) -> Iterator[OtherPlaces]:
    """The rig with one of its anchors changed for another place, or with a lead block at one: the nearest
    first. `positions`: (P, 3) of the places."""
    units = rig.site.preferences.units
    at = {place: positions[i] for i, place in enumerate(places)}
    mine = [p for p in dict.fromkeys(rig.walk) if p.kind is PlaceKind.ANCHOR]
    names = {p.name for p in mine}
    found: list[OtherPlaces] = []
    for place in places:
        if place.kind is not PlaceKind.ANCHOR or place.name in names:
            continue
        for old in mine:
            walk = tuple(place if p == old else p for p in rig.walk)
            far = float(np.linalg.norm(at[place] - at[old]))
            text = show(far, Dimension.LENGTH, units)
            found.append(OtherPlaces(rig, walk, f"{place} in place of {old} ({text} from it)", far))
        if rig.walk[-1].kind is not PlaceKind.PULLER:
            continue  # turns hold the rope's end
        before = rig.walk[-2]
        walk = (*rig.walk[:-1], place, rig.walk[-1])
        far = float(np.linalg.norm(at[place] - at[rig.walk[-1]]))
        where = "the load" if before.kind is PlaceKind.LOAD else str(before)
        text = f"a lead block on {place} between {where} and {rig.walk[-1]}"
        found.append(OtherPlaces(rig, walk, text, far))
    return iter(sorted(found, key=lambda move: (move.far, move.words)))
