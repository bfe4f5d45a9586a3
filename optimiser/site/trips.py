"""Names the trips that a load makes along its path."""

from enum import StrEnum


class Trip(StrEnum):
    """One trip: hauled along the path from its start to its end, or let down from the higher end to the
    lower."""

    UP = "up"
    DOWN = "down"
