"""What the load and the puller stand on."""

from dataclasses import dataclass
from enum import Enum


class Motion(Enum):
    """How the load goes over the ground."""

    ROLLING = "rolling"
    SLIDING = "sliding"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """Resistance of a surface, force along the ground / force on the ground.

    `likely` is used where the site states nothing else; `low` for roll-back and holding, `high` is
    the published upper end. For rolling the value is for a wheel of `wheel_radius`; None: any.
    """

    id: str
    name: str
    motion: Motion
    low: float
    likely: float
    high: float
    wheel_radius: float | None
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """What a vehicle's driven wheels, and a person's boots, hold on."""

    id: str
    name: str
    traction: float  # pull / weight on driven wheels
    per_person: float  # N, sustained haul of one person
    source: str
    person_source: str
    note: str = ""
