"""Finds the tape length that would show which of several readings was misread, where each of them by itself
explains a disagreement."""

from collections.abc import Collection, Mapping, Sequence
from itertools import combinations, pairwise

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.site.survey.adjusted import Decisive

APART = 0.15
"""m between two lengths that a tape distinguishes, though the places are no surer than they are. A choice."""
LONGEST = 30.0
"""m, the longest tape that is asked for."""

Alternative = tuple[str, Mapping[str, Array]]
"""The label of a reading, and the places without it."""


def decisive(
    alternatives: Sequence[Alternative], taped: Collection[frozenset[str]]
) -> Decisive | None:
    """The length, not among those `taped`, that distinguishes most of the alternatives, the furthest apart;
    None where none does."""
    found: list[tuple[int, float, Decisive]] = []
    names = alternatives[0][1]
    for start, end in combinations(names, 2):
        if frozenset((start, end)) in taped:
            continue
        lengths = sorted(
            (float(np.linalg.norm(places[start] - places[end])), label)
            for label, places in alternatives
        )
        gaps = [b - a for (a, _), (b, _) in pairwise(lengths) if b - a > APART]
        if gaps and lengths[-1][0] <= LONGEST:
            each = tuple((label, length) for length, label in lengths)
            found.append((len(gaps), min(gaps), Decisive(start=start, end=end, lengths=each)))
    return max(found, key=lambda one: one[:2])[2] if found else None
