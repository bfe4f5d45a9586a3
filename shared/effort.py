"""How much has been worked out so far: what searches go by where nobody set a time limit.

A budget of seconds would give another answer on another machine, or on this one when it is busy. So
whatever takes long counts what it does, here, and budgets are amounts of that. The unit is what one
processor of the machine it was measured on did in a second; only differences of `spent` mean anything.
"""

from enum import Enum


class Effort(Enum):
    """What is counted, with what one of it weighs [1e-6 units]. The weights were fitted to the
    processor's time of many questions; others would only follow undecided questions further, or less
    far."""

    EVALUATION = 1400.0  # one call for many walks
    STATE = 0.3  # a part of line of a walk with the load and the puller at one place each
    GROWING = 1700.0  # one call for many partial walks
    WALK_GROWN = 0.03  # a partial walk checked against one place that may be next
    VARIANT = 5.0  # a rope and its ends looked at for one walk
    FILLING = 900.0  # pieces given out to one variant
    MODEL = 2900.0  # a model of one variant built for the constraint solver
    SOLVER = 1e6  # what the solver itself calls a second (deterministic)
    TABLE = 600.0  # bounds tabulated for one scene and stock
    PLACE = 1.2  # a place checked against another, or against a station, when a scene is tabulated
    TRIAL = 1000.0  # a changed site looked at for a cure


class _Count:
    def __init__(self) -> None:
        self.done = 0.0
        self.of = dict.fromkeys(Effort, 0.0)


_COUNT = _Count()


def note(what: Effort, many: float = 1.0) -> None:
    """Note that so much more of something was done."""
    _COUNT.of[what] += many
    _COUNT.done += what.value * 1e-6 * many


def spent() -> float:
    """All that was done since the program began [units]."""
    return _COUNT.done


def tally() -> dict[Effort, float]:
    """How many of each."""
    return dict(_COUNT.of)
