"""What a rope does to the load."""

from enum import Enum


class Duty(Enum):
    """What a rope does to the load.

    Hauling, a sheave passes on less than it gets and the ground drags with the most that it may; letting
    down, a sheave passes on more and the ground helps with the least. Of a rope that lets down bounds know
    its sheaves running free: whatever friction they have takes load off the end that is held, and puts it on
    the standing end.
    """

    HAUL = "haul"
    LOWER = "let down"
