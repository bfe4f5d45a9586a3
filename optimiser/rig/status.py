"""How far an answer is settled, and what could still come where it is not."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar


class Status(StrEnum):
    """How a search can end."""

    PROVEN = "proven"  # the best, and nothing better exists
    CUT_SHORT = "cut short"  # something does; better may exist
    NOTHING_WORKS = "nothing works"  # and that is proven
    UNDECIDED = "undecided"  # nothing found yet, and it is not proven that nothing works

    @staticmethod
    def of(*, found: bool, settled: bool) -> "Status":
        """`found`: there is something to show; `settled`: the search came to its end."""
        if found:
            return Status.PROVEN if settled else Status.CUT_SHORT
        return Status.NOTHING_WORKS if settled else Status.UNDECIDED


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsearched:
    """The best that what a search did not come to can be, if it is to change the answer: bounds, each figure
    by itself, so nothing so good need exist. None: nothing is known of that figure. `first_stands`: nothing
    of it is better than the first of the answer by the order."""

    margin: float | None = None  # at most
    resets: int | None = None  # at least
    rope: float | None = None  # m needed, at least
    stages: int | None = None  # at least
    cost: float | None = None  # money, at least
    first_stands: bool = False


def together(parts: Sequence[Unsearched | None], *, first_stands: bool) -> Unsearched | None:
    """Returns the best that all parts of what is unsearched can be; None where nothing is known of it. What
    is not known of one part (None) is not known of all."""
    known = [part or Unsearched() for part in parts]
    out = Unsearched(
        margin=_best(max, [part.margin for part in known]),
        resets=_best(min, [part.resets for part in known]),
        rope=_best(min, [part.rope for part in known]),
        first_stands=first_stands,
    )
    return None if out == Unsearched() else out


Figure = TypeVar("Figure", int, float)


def _best(of: Callable[[list[Figure]], Figure], figures: Sequence[Figure | None]) -> Figure | None:
    known = [figure for figure in figures if figure is not None]
    return of(known) if known and len(known) == len(figures) else None
