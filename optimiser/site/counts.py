"""What setups and plans are ranked by, in the words of site files and options."""

from collections.abc import Iterable
from enum import StrEnum

from shared.words import did_you_mean, listed


class Count(StrEnum):
    """One figure of a setup that a ranking may go by."""

    MARGIN = "margin"
    RESETS = "resets"
    ROPE = "rope"
    PARTS = "parts"
    PULL = "pull"


class OfPlan(StrEnum):
    """A figure that only a plan of several setups has."""

    STAGES = "stages"


PlanCount = Count | OfPlan
USUAL = (Count.MARGIN, Count.RESETS, Count.ROPE)
"""The usual order. Whatever else an order begins with, these follow."""
PLAN_COUNTS: tuple[PlanCount, ...] = (*OfPlan, *Count)
"""Counts by which a plan may be ordered."""


def counts_of(words: Iterable[str]) -> tuple[Count, ...]:
    """Returns the counts of a setup that some words name. Raises ValueError for a word that is none."""
    return tuple(Count(_known(word, Count)) for word in words)


def plan_counts_of(words: Iterable[str]) -> tuple[PlanCount, ...]:
    """Returns the counts of a plan that some words name. Raises ValueError for a word that is none."""
    return tuple(
        OfPlan(word) if _known(word, PLAN_COUNTS) in tuple(OfPlan) else Count(word)
        for word in words
    )


def _known(word: str, counts: Iterable[PlanCount]) -> str:
    known = tuple(counts)
    if word not in known:
        near = did_you_mean(word, known) or f": expected {listed(known)}"
        raise ValueError(f"'{word}' is not what an order can count{near}")
    return word
