"""Works out a rig again on a changed site or with a changed run of its rope."""

from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from catalogue.gear import Protector, Rope
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.holders import hand
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import BARE, Edging, edging_of
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations, laid_anew
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Anchor, Owned, Site
from shared.effort import Effort, note


@dataclass(frozen=True)
class Trial:
    """What a change makes of a rig."""

    site: Site
    walk: Walk
    stations: Stations
    laid: Owned[Protector] | None = None  # on the ground, wherever a line touches it


@dataclass(frozen=True)
class Rig:
    """A rig as it is: what changes start from."""

    site: Site
    walk: Walk
    stations: Stations
    attachment: str
    etas: tuple[float, ...]
    kept: bool = False
    edging: Edging = BARE
    rope: Owned[Rope] | None = None  # that runs over what a change lays on edges
    duty: Duty = Duty.HAUL

    @staticmethod
    def of(site: Site, row: RigRow, rope: Owned[Rope] | None = None) -> "Rig":
        """The rig of a row, over the row's stations."""
        scene = row.scene
        return Rig(
            site,
            scene.walk(row.numbers),
            scene.stations,
            scene.attachment.name,
            row.etas,
            scene.kept,
            scene.edging,
            rope,
            row.evaluation.duty,
        )

    def laid(self, site: Site) -> Stations:
        """The rig's stretch on a site whose anchors stand elsewhere."""
        lies = self.edging.protector
        return laid_anew(site, self.stations, (*site.gear, *(() if lies is None else (lies,))))

    def row(self, trial: Trial) -> RigRow:
        """The rig with a change: only its own places are tabulated, but all stands in the way."""
        note(Effort.TRIAL)
        heights: dict[str, set[float]] = {}
        for place in trial.walk:
            if place.kind is PlaceKind.ANCHOR:
                heights.setdefault(place.name, set()).add(place.height)
        anchors = tuple(
            _with_heights(a, tuple(sorted(heights.get(a.name, set())))) for a in trial.site.anchors
        )
        site = replace(trial.site, anchors=anchors)
        attachment = next(a for a in attachments(site) if a.name == self.attachment)
        last = trial.walk[-1]
        puller = hand(site)
        if last.kind is PlaceKind.PULLER:
            puller = next(p for p in site.pullers if p.name == last.name)
        edging = self.edging
        if trial.laid is not None:
            edging = edging_of(site, self.rope, trial.laid)
        scene = Scene(site, trial.stations, attachment, puller, self.kept, edging=edging)
        numbers = np.array([[scene.number[place] for place in trial.walk]])
        sheaves = len(trial.walk) - 2
        etas = (*self.etas, *[min(self.etas, default=1.0)] * sheaves)[:sheaves]
        some = np.array([etas]).reshape(1, sheaves)
        return RigRow(evaluate(scene, numbers, some, self.duty), 0)


def _with_heights(anchor: Anchor, heights: tuple[float, ...]) -> Anchor:
    """Every kind of anchor is a dataclass with that field."""
    return cast(Anchor, replace(cast(Any, anchor), heights=heights))


def at_height(walk: Walk, name: str, by: float) -> Walk:
    """The walk with its straps on one anchor higher or lower."""
    return tuple(
        Place(PlaceKind.ANCHOR, p.name, round(p.height + by, 6))
        if p.kind is PlaceKind.ANCHOR and p.name == name
        else p
        for p in walk
    )
