"""Banks made up at random, measured and adjusted: do places lie where they are said to lie, and is a
misreading found?

    python -m tests.survey.simulated --surveys 500

Coverage: of the places, the share whose truth lies inside the 95 % ellipsoid stated for them. Misreadings: a
metre too much on a tape, and an offset on the wrong side of the path, on readings that the others check.
"""

import argparse
import math
import time
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import chi2

from optimiser.site.survey.adjust import adjust, survey
from optimiser.site.survey.adjusted import Located, Surveyed
from optimiser.site.survey.observations import Left, LevelDistance, SlopeDistance
from optimiser.site.survey.refusals import SurveyError
from tests.survey.banks import Bank, bank

CHECKED = 0.1
"""Redundancy from which a reading counts as checked by the others: a tenth of a misreading shows in it."""
ERROR = 1.0  # m


@dataclass
class Tally:
    """What was counted. Of misreadings: `planted`; `noticed` in any way; `listed` as the suspect or as one
    that would explain it as well; `named` alone and first."""

    surveys: int = 0
    given_up: int = 0
    places: int = 0
    inside: int = 0
    false_alarms: int = 0
    planted: int = 0
    noticed: int = 0
    listed: int = 0
    named: int = 0
    refused: int = 0
    near: int = 0

    @property
    def coverage(self) -> float:
        return self.inside / max(self.places, 1)

    def __str__(self) -> str:
        planted = max(self.planted, 1)
        return (
            f"{self.surveys} surveys, {self.given_up} given up; {self.places} places, inside their 95 % "
            f"ellipsoid {self.coverage:.1%}; right surveys with a suspect {self.false_alarms}\n"
            f"{self.planted} misreadings: noticed {self.noticed / planted:.1%}, listed "
            f"{self.listed / planted:.1%}, named alone {self.named / planted:.1%}, refused {self.refused}; "
            f"all places of a survey inside theirs then {self.near / planted:.1%}"
        )


def inside(located: Located, truth: np.ndarray) -> bool:
    """Whether the truth lies inside the 95 % ellipsoid; flat where a coordinate was given."""
    values, ways = np.linalg.eigh(located.covariance * located.scale**2)
    known = values > 1e-9
    off = ways.T @ (np.array(located.at) - truth)
    return bool((off[known] ** 2 / values[known]).sum() <= chi2.ppf(0.95, known.sum()))


def tally(numbers: Iterable[int], *, report: int = 0, misread: bool = True) -> Tally:
    """Measure, adjust and count these banks, each also with one misreading; print every `report`."""
    out = Tally()
    for number in numbers:
        if report and out.surveys and out.surveys % report == 0:
            print(out, flush=True)
        some = bank(number)
        out.surveys += 1
        found = some.surveyed()
        if found is None:
            out.given_up += 1
            continue
        out.false_alarms += bool(found.suspects)
        for located in found.adjusted.places:
            if located.uncertainty > 0:
                out.places += 1
                out.inside += inside(located, some.truth[located.name])
        if misread:
            _misread(some, found, out)
    return out


def _misread(some: Bank, right: Surveyed, out: Tally) -> None:
    """Plant one misreading on a reading that the others check, if there is one, and look for it."""
    checked = [
        i
        for i, one in enumerate(right.adjusted.readings)
        if one.redundancy > CHECKED
        and not one.set_aside
        and isinstance(one.observation, SlopeDistance | LevelDistance | Left)
        and (not isinstance(one.observation, Left) or abs(one.measured) > ERROR / 2)
    ]
    order = some.chance.permutation(checked)
    i = next((int(i) for i in order if _fixed_without(some, int(i))), None)
    if i is None:
        return
    reading = some.readings[i]
    wrong = -reading.value if isinstance(reading, Left) else reading.value + ERROR
    readings = [*some.readings]
    readings[i] = replace(reading, value=wrong)
    out.planted += 1
    try:
        found = survey(some.points, readings, sides=some.sides)
    except SurveyError as error:
        out.refused += 1
        listed = any(reading.label in refusal.labels for refusal in error.refusals)
        out.noticed += 1
        out.listed += listed
        return
    suspects = found.suspects
    out.noticed += bool(suspects) or not found.adjusted.agree
    out.listed += any(reading.label in (s.label, *s.alike) for s in suspects)
    out.named += bool(suspects) and suspects[0].label == reading.label and not suspects[0].alike
    out.near += all(
        inside(located, some.truth[located.name])
        or math.dist(located.at, some.truth[located.name]) < located.uncertainty
        for located in found.adjusted.places
        if located.uncertainty > 0
    )


def _fixed_without(some: Bank, number: int) -> bool:
    """Whether the other readings by themselves fix all places: no mirror image fits as well. Without that a
    wrong side looks as right as the right one, and nothing is redundant about it."""
    others = [reading for i, reading in enumerate(some.readings) if i != number]
    try:
        adjust(some.points, others, sides=some.sides)
    except SurveyError:
        return False
    return True


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--surveys", type=int, default=500)
    parser.add_argument("--right", action="store_true", help="plant no misreadings: much faster")
    options = parser.parse_args()
    began = time.monotonic()
    print(tally(range(options.surveys), report=50, misread=not options.right))
    print(f"{time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
