"""What letting down is answered with, as frozen values in SI at full precision."""

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.results import HoldRow, LoweringSetup


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of the path on which the load does one thing on its way down.

    `kind`: "runs" (it runs away unless it is held), "rests" (it stays until it is pushed) or
    "climbs" (the way down rises here: it has to be hauled). `from_m` is its upper end, both as
    metres along the path from its lower start. `force`: what holds it without a rig, N, at worst;
    `push`: what starts it, N, at worst; on a stretch that runs it may need that push where the
    ground drags more than surely.
    """

    kind: str
    from_m: float
    to_m: float
    force: float
    push: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lowering:
    """How a load is let down its path.

    `setups`: ways that do the whole of it with one reeving, best first; where there is none,
    `stages` is the plan with the fewest stages, each from where the one before ends. `zones`: from
    the top down. `proven`: the search finished, so nothing better exists in the stated space.
    `stuck_at`: how far down any plan gets, m along the path, where nothing gets all the way.
    """

    setups: tuple[LoweringSetup, ...]
    stages: tuple[LoweringSetup, ...]
    zones: tuple[Zone, ...]
    from_m: float
    to_m: float
    hand_limit: float
    hand_source: str
    hand_comfort: float
    order: tuple[str, ...]
    rules: tuple[str, ...]
    most_sheaves: int
    proven: bool
    space: int
    looked_at: int
    confirmed: int
    stuck_at: float | None = None
    reasons: tuple[str, ...] = ()

    @property
    def needs_hold(self) -> bool:
        """Whether the load runs by itself anywhere."""
        return any(zone.kind == "runs" for zone in self.zones)

    @property
    def feasible(self) -> bool:
        """Whether the way down is answered: held all along, or nothing needs holding."""
        return (
            not self.needs_hold or bool(self.setups) or bool(self.stages and self.stuck_at is None)
        )

    def __iter__(self) -> Iterator[LoweringSetup]:
        return iter(self.setups)

    def __len__(self) -> int:
        return len(self.setups)

    def __getitem__(self, index: int) -> LoweringSetup:
        return self.setups[index]


__all__ = ["HoldRow", "Lowering", "LoweringSetup", "Zone"]
