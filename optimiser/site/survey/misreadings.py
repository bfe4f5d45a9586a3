"""Finds the reading that disagrees with the rest: one at a time, the one whose absence mends most.

A misreading pulls on the residuals of its neighbours, so that several right readings look suspicious beside
the wrong one; and it may pull the whole arrangement into another place, where the wrong one looks right.
So every suspicious reading is left out in turn and all is adjusted anew.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimiser.site.survey.adjusted import SUSPICIOUS, Adjusted, Checked, Decisive, Suspect
from optimiser.site.survey.decisive import decisive
from optimiser.site.survey.network import Network
from optimiser.site.survey.observations import LevelDistance, Observation, SlopeDistance
from optimiser.site.survey.solving import (
    Solution,
    adjusted,
    from_starts,
    objections,
    resettled,
)
from optimiser.site.survey.undetermined import too_few

TRIED = 8
"""Readings that are left out in turn, the most suspicious of an arrangement first."""
ARRANGEMENTS = 3
"""Arrangements that fit best, each with its own suspicious readings."""
DISTINGUISHED = 9.0
"""Two misreadings are distinguished if without the one the sum of squares is by so much less than without
the other: of normal errors, then the one is some 90 times likelier (exp(9 / 2)). A choice."""
CHECKED = 1e-3
"""Redundancy that a reading needs to be left out: without it the point would be open."""


@dataclass(frozen=True, slots=True, eq=False)
class _LeftOut:
    """The arrangements without one reading."""

    reading: Observation
    network: Network
    found: list[Solution]

    @property
    def squares(self) -> float:
        return self.found[0].squares


def search(
    network: Network, found: Sequence[Solution], *, anywhere: bool = False
) -> tuple[tuple[Suspect, ...], Adjusted]:
    """The suspicious readings, the first found first, and the adjustment without those set aside; `found`:
    the arrangements of all readings, the best first. `anywhere`: what is found is no answer, so that any
    reading may be the first to be set aside."""
    suspects: list[Suspect] = []
    aside: list[Observation] = []
    kept, known = network, list(found)
    while True:
        trials = _trials(kept, known, anywhere=anywhere and not aside)
        if not trials or known[0].squares - trials[0].squares <= SUSPICIOUS**2:
            break
        best = trials[0]
        suspect = _suspect(known[0], best, trials[1:])
        suspects.append(suspect)
        if suspect.alike or objections(best.network, best.found):
            break  # nobody can tell which, or without it nothing is certain
        aside.append(best.reading)
        kept, known = best.network, best.found
    for reading in aside[:-1]:  # a later one may have been what made an earlier one look wrong
        with_it = Network(kept.points, [*kept.observations, reading], kept.sides, kept.north)
        again = resettled(with_it, kept, known)
        if again and not _suspicious(with_it, again):
            kept, known = with_it, again
            suspects = [s for s in suspects if s.label != reading.label]
            aside.remove(reading)
    return tuple(suspects), _with_all(network, adjusted(kept, known[0]), aside)


def _trials(network: Network, found: list[Solution], *, anywhere: bool) -> list[_LeftOut]:
    """Each reading that may be the misreading left out in turn, the one that mends most first: not only the
    suspicious ones, since a misreading may have pulled its point to where it fits, but all that share a point
    with one and that others check."""
    suspicious = _suspicious(network, found)
    near = {p for i in suspicious for p in network.observations[i].points}
    trials = [
        left_out
        for i, one in enumerate(adjusted(network, found[0]).readings)
        if not one.observation.defined
        and (anywhere or one.redundancy > CHECKED)
        and (anywhere or i in suspicious or near & set(one.observation.points))
        and (left_out := _left_out(network, found, i))
    ]
    return sorted(trials, key=lambda trial: trial.squares)


def _suspicious(network: Network, found: Sequence[Solution]) -> list[int]:
    """Numbers of the readings to leave out in turn."""
    numbers: dict[int, None] = {}
    for solution in found[:ARRANGEMENTS]:
        readings = adjusted(network, solution).readings
        worst = sorted(
            (i for i, one in enumerate(readings) if one.suspicious and one.redundancy > CHECKED),
            key=lambda i: -(readings[i].standardised or 0.0),
        )
        if solution is found[0] and not worst:
            return []
        numbers |= dict.fromkeys(worst[:TRIED])
    return list(numbers)


def _left_out(network: Network, found: Sequence[Solution], number: int) -> _LeftOut | None:
    """The arrangements without the reading of that number, looked for from the beginning: the misreading may
    have misplaced all. None where nothing is left that fixes the points, on the sides that are stated."""
    reading = network.observations[number]
    without = network.without(number)
    if too_few(without):
        return None
    known = [without.packed(*network.arranged(one.x)) for one in found[:ARRANGEMENTS]]
    again = from_starts(without, known, anew=ARRANGEMENTS, moved=reading.points)
    return _LeftOut(reading, without, again) if again else None


def _suspect(before: Solution, best: _LeftOut, others: Sequence[_LeftOut]) -> Suspect:
    """What is reported of the reading whose absence mends most, beside others that mend as much."""
    still = {
        one.observation.label
        for one in adjusted(best.network, best.found[0]).readings
        if one.suspicious
    }
    alike = [
        other
        for other in others
        if other.squares - best.squares < DISTINGUISHED and other.reading.label not in still
    ]
    return Suspect(
        label=best.reading.label,
        standardised=float(np.sqrt(max(before.squares - best.squares, 0.0))),
        misread_by=-_residual(best.network, best.found[0], best.reading),
        alike=tuple(other.reading.label for other in alike),
        decisive=_decisive([best, *alike]) if alike else None,
    )


def _decisive(every: Sequence[_LeftOut]) -> Decisive | None:
    """What to measure to know which of several readings was misread."""
    taped = {
        frozenset(one.points)
        for one in (every[0].reading, *every[0].network.observations)
        if isinstance(one, SlopeDistance | LevelDistance)
    }
    places = [one.network.arranged(one.found[0].x)[0] for one in every]
    labels = [one.reading.label for one in every]
    return decisive(list(zip(labels, places, strict=True)), taped)


def _residual(network: Network, solution: Solution, reading: Observation) -> float:
    places, north = network.arranged(solution.x)
    return float(reading.residual([places[p] for p in reading.points], north))


def _with_all(network: Network, best: Adjusted, aside: Sequence[Observation]) -> Adjusted:
    """The adjustment with the readings set aside among the others, in their old order."""
    checked = {one.observation: one for one in best.readings}
    for reading in aside:
        checked[reading] = _beside(reading, best)
    return replace(best, readings=tuple(checked[obs] for obs in network.observations))


def _beside(reading: Observation, best: Adjusted) -> Checked:
    """A reading that was set aside, against the places worked out without it."""
    places = [np.array(best.place(p).at) for p in reading.points]
    residual = float(reading.residual(places, best.north or 0.0))
    row = best.change(reading)
    spread = float(np.sqrt(reading.sigma**2 + row @ best.covariance @ row))
    return Checked(
        observation=reading,
        adjusted=reading.value + residual,
        residual=residual,
        redundancy=1.0,
        standardised=abs(residual) / spread,
        suspicious=True,
        set_aside=True,
    )
