"""Checks the whole of a way down: what the load does where, and whether something holds it wherever it
may run.

"No rope has to hold it" is the answer that hurts most where it is wrong, so it is worked out again too.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Protocol

from optimiser.proof.duties import LEVEL, rests, runs
from optimiser.proof.notes import Notes, refusing
from optimiser.proof.place.points import Point, each_leg
from optimiser.rig.setup import LoweringSetup
from optimiser.site.model import Site

NEAR = 1e-6
CLIMBS = "climbs"


class Stretch(Protocol):
    """A stretch of the path on which the load does one thing on its way down: `kind` in a word, `force`
    N that holds it, from its upper end down to its lower one, m along the path."""

    @property
    def kind(self) -> str: ...
    @property
    def from_m(self) -> float: ...
    @property
    def to_m(self) -> float: ...
    @property
    def force(self) -> float: ...


class WayDown(Protocol):
    """An answer on letting down: the stretches from the top, and holds for all of it or in stages."""

    @property
    def zones(self) -> Sequence[Stretch]: ...
    @property
    def setups(self) -> Sequence[LoweringSetup]: ...
    @property
    def stages(self) -> Sequence[LoweringSetup]: ...
    @property
    def stuck_at(self) -> float | None: ...


def verify_course(site: Site, answer: WayDown) -> None:
    """Raise `VerificationError` unless every stretch does what the answer states, and every hold, or the
    stages together, are there wherever the load may run. `site`: with the path from its lower end up."""
    with refusing("way down") as notes:
        legs = list(each_leg(site))
        _stretches(answer.zones, legs, notes)
        for setup in answer.setups:
            _kept(legs, setup.from_m, setup.to_m, f"setup {setup.rank}", notes)
        if answer.stages:
            for one, other in pairwise(answer.stages):
                joins = abs(other.from_m - one.to_m) <= NEAR
                notes.need(joins, f"stage {other.rank} does not begin where the one before ends")
            end = answer.stages[-1].to_m
            if answer.stuck_at is not None:
                legs = [leg for leg in legs if leg[0] >= answer.stuck_at - NEAR]
                notes.need(end <= answer.stuck_at + NEAR, "the stages end above where it is stuck")
            _kept(legs, answer.stages[0].from_m, end, "the stages", notes)


def _stretches(
    zones: Sequence[Stretch], legs: list[tuple[float, float, Point]], notes: Notes
) -> None:
    whole = zones and abs(zones[0].from_m - legs[-1][1]) + abs(zones[-1].to_m - legs[0][0]) <= NEAR
    if not notes.need(bool(whole), "the stretches do not cover the path"):
        return
    joins = all(abs(one.to_m - other.from_m) <= NEAR for one, other in pairwise(zones))
    notes.need(joins, "the stretches do not follow each other")
    for start, end, point in legs:  # a leg is straight and of one surface: it does one thing
        kind, force = _kind(point), runs(point, 1.0) + runs(point, -1.0)
        for zone in zones:
            if min(zone.from_m, end) - max(zone.to_m, start) <= NEAR:
                continue
            here = f"from {zone.from_m:.2f} down to {zone.to_m:.2f} m"
            notes.need(zone.kind == kind, f"{here} it is said that it {zone.kind}, it {kind}")
            notes.need(zone.force >= force * (1 - NEAR), f"{here} more is needed to hold it")
    for zone in zones:
        forces = [
            runs(point, 1.0) + runs(point, -1.0)
            for start, end, point in legs
            if min(zone.from_m, end) - max(zone.to_m, start) > NEAR
        ]
        notes.same("force of a stretch", zone.force, max(forces, default=zone.force))


def _kind(point: Point) -> str:
    return CLIMBS if point.along[2] < -LEVEL else rests(point).word


def _kept(
    legs: list[tuple[float, float, Point]], from_m: float, to_m: float, what: str, notes: Notes
) -> None:
    for start, end, point in legs:
        kept = runs(point, 1.0) <= 0.0 or (to_m <= start + NEAR and end - NEAR <= from_m)
        notes.need(kept, f"{what}: from {end:.2f} down to {start:.2f} m nothing holds it")
