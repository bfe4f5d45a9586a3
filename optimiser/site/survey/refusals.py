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
    """Nothing fixes the point in one direction or more: `height`: whether its height is open, by itself;
    `others`: how many more directions are, 0..3."""

    height: bool
    others: int

    def worded(self, length: Callable[[float], str]) -> str:
        wanted = [("", "one more distance or an angle", "two more readings, a distance or an angle each",
                   "three more readings, a distance or an angle each")[self.others]]  # fmt: skip
        if self.height:
            wanted.append("a height difference or an angle up or down")
        return f"too few readings for {self.point}: measure {', and '.join(w for w in wanted if w)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Flat(Refusal):
    """The readings of the point would be enough, but they all look the same way: their circles or lines touch
    instead of crossing. `height`: it is its height that stays open."""

    height: bool

    def worded(self, length: Callable[[float], str]) -> str:
        if self.height:
            return (
                f"the readings of {self.point} hardly say how high it is: measure a height difference or an "
                "angle up or down"
            )
        return (
            f"the readings of {self.point} hardly cross, so that its place is open sideways: measure one "
            "more distance or an angle from a place well to one side"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSide(Refusal):
    """The readings put the point on the other side of the line `start` to `end` than the file says."""

    start: str
    end: str
    left: bool

    def worded(self, length: Callable[[float], str]) -> str:
        stated, found = ("left", "right") if self.left else ("right", "left")
        return (
            f"{self.point} is stated to be {stated} of the line from {self.start} to {self.end}, but the "
            f"readings put it {found} of it: one of them is wrong, or the side is"
        )


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
            f"one is longer than the other and the way from {self.start} to {self.end} together"
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
    plan; None: no line between points does. `upright`: one place is above the other."""

    at: tuple[Vec, Vec]
    upright: bool
    start: str | None = None
    end: str | None = None

    def worded(self, length: Callable[[float], str]) -> str:
        first, second = (", ".join(length(value) for value in place) for place in self.at)
        if self.upright:
            question = "above or below? A height difference or an angle up or down tells"
        elif self.start is None:
            question = "one more distance or an angle tells which"
        else:
            question = f"left or right of the line from {self.start} to {self.end}?"
        return f"{self.point} fits two places, ({first}) and ({second}): {question}"


class SurveyError(BankhaulError):
    """The readings give no places; `refusals`: every reason found."""

    def __init__(self, refusals: Sequence[Refusal]) -> None:
        self.refusals = tuple(refusals)
        super().__init__("; ".join(r.worded(lambda metres: f"{metres:.2f} m") for r in refusals))
