"""Defines what letting down is answered with, as frozen values in SI at full precision."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from optimiser.mechanics.resting import Rest
from optimiser.rig.setup import HoldRow, LoweringSetup, Miss
from optimiser.rig.status import Status, Unsearched
from optimiser.site.counts import Count
from optimiser.site.model import Site


class ZoneKind(StrEnum):
    """What a stretch of the way down is: what the load does on it by itself, or that the way rises."""

    RUNS = "runs"  # it runs away unless it is held
    TOO_CLOSE = "too close to call"  # it may rest and may run: it is held all the same
    RESTS = "rests"  # it stays until it is pushed
    CLIMBS = "climbs"  # the way down rises here: it has to be hauled


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of the path on which the load does one thing on its way down.

    `status`: what it does when let go of, whichever way is down there. `from_m` is
    the upper end of the stretch, both ends as metres along the path from its lower end. `force`: what
    holds it without a rig, N, at worst, on the cautious side; `push`: what starts it, N, at worst; on
    a stretch where it may run it may need that push where the ground drags more than surely.
    """

    kind: ZoneKind
    status: Rest
    from_m: float
    to_m: float
    force: float
    push: float

    @property
    def needs_hold(self) -> bool:
        """Whether a rope has to hold the load here on its way down."""
        return self.kind is not ZoneKind.CLIMBS and self.status is not Rest.RESTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Lowering:
    """How a load is let down its path.

    `setups`: ways that do the whole of it with one reeving, best first; where there is none,
    `stages` is the plan with the fewest stages, each from where the one before ends. `zones`: from
    the top down. `proven`: the search finished, so nothing better exists in the stated space.
    `stuck_at`: how far down any plan gets, m along the path, where nothing gets all the way; `misses`: what
    nearly gets further, the nearest first.

    Metres along the path count from its lower end. `site` is the site with the path from there up:
    the site in question, or (`turned`) the same with its path the other way round. `notes`: what has
    to be known of the path itself, in words.
    """

    site: Site
    turned: bool
    notes: tuple[str, ...]
    setups: tuple[LoweringSetup, ...]
    stages: tuple[LoweringSetup, ...]
    zones: tuple[Zone, ...]
    from_m: float
    to_m: float
    hand_limit: float
    hand_source: str
    hand_comfort: float
    order: tuple[Count, ...]
    rules: tuple[str, ...]
    most_sheaves: int
    proven: bool
    space: int
    looked_at: int
    confirmed: int
    stuck_at: float | None = None
    unsearched: Unsearched | None = (
        None  # what no hold of the whole way betters, where it is not proven
    )
    reasons: tuple[str, ...] = ()
    misses: tuple[Miss, ...] = ()

    @property
    def needs_hold(self) -> bool:
        """Whether the load may run down by itself anywhere."""
        return any(zone.needs_hold for zone in self.zones)

    @property
    def feasible(self) -> bool:
        """Whether the way down is answered: held all along, or nothing needs holding."""
        return (
            not self.needs_hold or bool(self.setups) or bool(self.stages and self.stuck_at is None)
        )

    @property
    def status(self) -> Status:
        """How far it is settled that, and how best, the load gets all the way down."""
        return Status.of(found=self.feasible, settled=self.proven)

    def __iter__(self) -> Iterator[LoweringSetup]:
        return iter(self.setups)

    def __len__(self) -> int:
        return len(self.setups)

    def __getitem__(self, index: int) -> LoweringSetup:
        return self.setups[index]


__all__ = ["HoldRow", "Lowering", "LoweringSetup", "Zone"]
