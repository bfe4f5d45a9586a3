"""Why readings give no places: one value for each reason, with words for people.

Words need lengths in the units of the file, so `worded` takes the function that prints one.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimiser.mechanics.values import Vec
from shared.errors import BankhaulError


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal(ABC):
    """`point`: whose place is not found; `labels`: readings that have to do with it."""

    point: str
    labels: tuple[str, ...] = ()

    @abstractmethod
    def worded(self, length: Callable[[float], str]) -> str:
        """One sentence or two; `length` prints metres in the units of the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TooFew(Refusal):
    """Nothing fixes the point in one direction or more: `height`: whether its height is open; `plan`: how
    many readings its place in plan lacks, 0..2."""

    height: bool
    plan: int

    def worded(self, length: Callable[[float], str]) -> str:
        wanted = []
        if self.plan:
            more = "one more distance" if self.plan == 1 else "two more distances"
            wanted.append(f"{more} or an angle, a bearing, an offset")
        if self.height:
            wanted.append("a height difference or an angle up or down")
        return f"too few readings for {self.point}: it needs {'; and '.join(wanted)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMeeting(Refusal):
    """Two distances from two places never meet: they lack `gap` [m]. `start`, `end`: from where they are;
    `within`: one circle lies inside the other, so that one distance is too long for the other."""

    start: str
    end: str
    gap: float
    within: bool

    def worded(self, length: Callable[[float], str]) -> str:
        why = (
            f"one is longer than the other and the way between {self.start} and {self.end} together"
            if self.within
            else f"together they do not span from {self.start} to {self.end}"
        )
        return (
            f"the distances of {self.point} from {self.start} and {self.end} do not meet by "
            f"{length(self.gap)}: {why}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradicting(Refusal):
    """The readings of the point, no more than needed, fit no place at all; `by`: the worst residual in its
    standard deviations."""

    by: float

    def worded(self, length: Callable[[float], str]) -> str:
        return (
            f"the readings of {self.point} contradict each other ({self.by:.0f} times what their accuracy "
            "allows), and there are too few to tell which is wrong: measure one of them again"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Mirrored(Refusal):
    """The readings fit two places (`at`) equally well. `start`, `end`: the line that they mirror in, seen in
    plan (None: one is above the other)."""

    at: tuple[Vec, Vec]
    start: str | None = None
    end: str | None = None

    def worded(self, length: Callable[[float], str]) -> str:
        first, second = (", ".join(length(value) for value in place) for place in self.at)
        question = (
            "above or below?"
            if self.start is None
            else f"left or right of the line from {self.start} to {self.end}?"
        )
        return f"{self.point} fits two places, ({first}) and ({second}): {question}"


class SurveyError(BankhaulError):
    """The readings give no places; `refusals`: every reason found."""

    def __init__(self, refusals: Sequence[Refusal]) -> None:
        self.refusals = tuple(refusals)
        super().__init__("; ".join(r.worded(lambda metres: f"{metres:.2f} m") for r in refusals))
