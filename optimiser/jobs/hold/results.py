"""Defines what keeps a load in hand, or why nothing does, as frozen values."""

from dataclasses import dataclass

from optimiser.rig.ground.stretches import Stretch
from optimiser.rig.setup import HoldingLine, Setup, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The holding lines found, and the stretches for which the rest of the gear gives none."""

    lines: tuple[HoldingLine, ...]
    missing: tuple[Stretch, ...]

    @property
    def complete(self) -> bool:
        return not self.missing


def of_setup(setup: Setup) -> Held:
    """The holding lines that a setup has."""
    return Held(lines=setup.holding, missing=())


@dataclass(frozen=True, slots=True, kw_only=True)
class NotHeld:
    """A stretch over which nothing that the haul leaves keeps the load in hand: why, and what would do, each
    by itself, the least first. `stretch` None: it slews, and no line steers it. `late`: not all was looked
    at."""

    stretch: Stretch | None
    reasons: tuple[str, ...]
    cures: tuple[str, ...]
    late: bool = False

    @property
    def way(self) -> Way:
        """Which way the load would go there."""
        return Way.ASIDE if self.stretch is None else self.stretch.way
