"""Kinds of puller: what hauls on the line, and what that allows."""

from dataclasses import dataclass
from enum import StrEnum

from catalogue.gear import Gear


class PulledBy(StrEnum):
    """What pulls."""

    PEOPLE = "people"
    HAND_WINCH = "hand winch"
    VEHICLE = "vehicle"


@dataclass(frozen=True, slots=True, kw_only=True)
class PullerKind(Gear):
    """A kind of puller.

    `dynamic`: what the steady pull is multiplied by for everything but the puller itself.
    `angle_limit`, `rise_limit`: rad, the line against the run in plan and up or down.
    `wll` and `purchase` are for hand winches: N in the line, and m hauled before a new grip.
    """

    kind: PulledBy
    dynamic: float
    angle_limit: float
    rise_limit: float
    wll: float | None = None
    purchase: float | None = None
    needs_termination: bool = True  # False: hands hold the bare rope
