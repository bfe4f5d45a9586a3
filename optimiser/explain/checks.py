"""What explaining one reeving gives: a list of checks, each with its number, its limit and its cure."""

from dataclasses import dataclass
from enum import Enum

from optimiser.results import Change, Setup
from optimiser.rig import Walk, notation
from shared.units import Dimension


class State(Enum):
    """How a check came out."""

    PASSED = "passed"
    FAILED = "FAILED"
    BROKEN = "RULE BROKEN"  # a rule of the search: no failure of the rig
    UNRATED = "UNRATED"  # nothing to hold the number against
    UNKNOWN = "not known"  # cannot be looked at before another failure is cured
    TOLD = "told"  # for information


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check. `number` against `limit`, both SI of `dimension` (None: nothing to count); `at`: m
    along the path, where the number is worst or the failure first comes. `cure`: the smallest single
    change that makes it pass."""

    name: str
    state: State
    place: str = ""
    at: float | None = None
    number: float | None = None
    limit: float | None = None
    dimension: Dimension | None = None
    least: bool = False  # the limit is the least allowed, not the most
    text: str = ""
    cure: Change | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Every check of one reeving. `setup`: the best rig of it with what there is, or, where none works,
    the least bad one with what is missing (`setup.gear` then names pieces not owned); None where no
    numbers can be worked out."""

    walk: Walk
    checks: tuple[Check, ...]
    setup: Setup | None
    works: bool
    margin: float | None

    @property
    def reeving(self) -> str:
        return notation(self.walk)

    def of(self, *states: State) -> tuple[Check, ...]:
        """The checks that came out so."""
        return tuple(check for check in self.checks if check.state in states)

    @property
    def all_pass(self) -> bool:
        """Whether every check that can fail has passed."""
        return not self.of(State.FAILED, State.BROKEN, State.UNRATED, State.UNKNOWN)


def checked(passed: bool) -> State:
    """The state of a check that passes or fails."""
    return State.PASSED if passed else State.FAILED
