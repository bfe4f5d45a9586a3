"""Defines what a load that is let go of does on a slope, as answers print it (`mechanics.ground.rest`
works it out)."""

from enum import IntEnum
from typing import assert_never

LEVEL = 1e-9
"""Of a slope's sine: what sums may lose. A level leg does not run because of it."""


class Rest(IntEnum):
    """What a load that is let go of does."""

    RESTS = 0
    TOO_CLOSE = 1
    RUNS = 2

    @property
    def word(self) -> str:
        """The status as answers print it."""
        match self:
            case Rest.RESTS:
                return "rests"
            case Rest.TOO_CLOSE:
                return "too close to call"
            case Rest.RUNS:
                return "runs"
            case _:
                assert_never(self)
