"""Banks made up at random, and somebody who measures them with a tape, a phone and a compass.

The places are known here, so that what a survey says of them can be held against the truth.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.site.survey.adjust import survey
from optimiser.site.survey.adjusted import Advice, Known, Side, Surveyed
from optimiser.site.survey.observations import (
    DEFINED,
    Above,
    Along,
    Bearing,
    Between,
    Direction,
    HeightDifference,
    HorizontalAngle,
    Left,
    LevelDistance,
    Observation,
    SlopeDistance,
    VerticalAngle,
)
from optimiser.site.survey.refusals import Mirrored, OtherSide, SurveyError

DEGREE = math.pi / 180
NORTH = 1.1  # rad: where north lies on every bank here
GOOD_ENOUGH = 1.0  # m: nobody goes back for a place that is better
ROUNDS = 8
"""How often somebody goes back to measure what the program calls for."""


@dataclass
class Bank:
    """`truth`: every place, m; `readings` of it so far, with errors as large as their accuracies."""

    truth: dict[str, Array]
    chance: np.random.Generator
    readings: list[Observation] = field(default_factory=list)
    sides: list[Side] = field(default_factory=list)

    @property
    def points(self) -> dict[str, Known]:
        return {name: Known.at((0, 0, 0)) if name == "start" else Known() for name in self.truth}

    @property
    def path(self) -> list[str]:
        return [name for name in self.truth if not name.startswith("tree")]

    def read(self, blank: Observation) -> None:
        """Measure: the truth and a normal error."""
        places = [self.truth[p] for p in blank.points]
        true = float(blank.calculated(places, NORTH))
        value = true + blank.sigma * self.chance.normal()
        label = f"{len(self.readings)}: {blank.word} {' '.join(blank.points)}"
        self.readings.append(replace(blank, value=value, label=label))

    def further(self, name: str) -> None:
        """One more reading of the point, of a kind and from a place as it comes."""
        others = [other for other in self.truth if other != name]
        start = str(self.chance.choice(others))
        self.read(self._any_of(start, name))

    def advised(self, advice: Advice) -> None:
        """The reading that would help most, as it is advised."""
        start, end = advice.start, advice.point
        kind, sigma = next(k for k in self._kinds(start, end) if k[0].word == advice.kind)
        self.read(kind(start=start, end=end, value=0.0, sigma=sigma, label=""))

    def _any_of(self, start: str, end: str) -> Observation:
        kinds = self._kinds(start, end)
        kind, sigma = kinds[self.chance.integers(len(kinds))]
        return kind(start=start, end=end, value=0.0, sigma=sigma, label="")

    def _kinds(self, start: str, end: str) -> list[tuple[type[Between], float]]:
        """What somebody may read, tapes more often, each with its accuracy."""
        length = float(np.linalg.norm(self.truth[end] - self.truth[start]))
        return [
            (SlopeDistance, taped(length)),
            (SlopeDistance, taped(length)),
            (SlopeDistance, taped(length)),
            (LevelDistance, 2 * taped(length)),
            (HeightDifference, 0.05),
            (VerticalAngle, 0.5 * DEGREE),
            (Bearing, 2 * DEGREE),
        ]

    def surveyed(self) -> Surveyed | None:
        """The survey, after measuring whatever the program calls for; None: it was given up."""
        for _ in range(ROUNDS):
            try:
                found = survey(self.points, self.readings, sides=self.sides)
                if not found.advice or found.advice[0].before < GOOD_ENOUGH:
                    return found
                self.advised(found.advice[0])
            except SurveyError as error:
                for refusal in error.refusals:
                    match refusal:
                        case Mirrored(point=point, start=str(start), end=str(end)):
                            self.sides.append(self.side(point, start, end))
                        case OtherSide():
                            return None
                        case _:
                            self.further(refusal.point)
        return None

    def side(self, point: str, start: str, end: str) -> Side:
        """On which side of the line the point really is."""
        way, off = self.truth[end] - self.truth[start], self.truth[point] - self.truth[start]
        left = bool(way[0] * off[1] - way[1] * off[0] > 0)
        return Side(point=point, start=start, end=end, left=left)


def taped(length: float) -> float:
    """One standard deviation of a fibreglass tape on rough ground, m."""
    return 0.01 + 0.001 * length


def bank(number: int) -> Bank:
    """A bank and what somebody measured on it, for each number another."""
    chance = np.random.default_rng([19, number])
    truth = {"start": np.zeros(3)}
    heading, at = 0.0, np.zeros(3)
    for name in [*["bend", "second bend"][: chance.integers(0, 3)], "end"]:
        length, rise = chance.uniform(4, 14), chance.uniform(0, 35) * DEGREE
        way = (
            math.cos(heading) * math.cos(rise),
            math.sin(heading) * math.cos(rise),
            math.sin(rise),
        )
        at = at + length * np.array(way)
        truth[name] = at
        heading += chance.uniform(-40, 40) * DEGREE
    for i in range(chance.integers(2, 6)):
        beside = truth[str(chance.choice(list(truth)))]
        truth[f"tree {i}"] = beside + np.array(
            (
                *(chance.uniform(2, 9, size=2) * chance.choice((-1, 1), size=2)),
                chance.uniform(-1, 3),
            )
        )
    found = Bank(truth, chance)
    _measure_path(found)
    for name in truth:
        if name.startswith("tree"):
            _measure_tree(found, name)
    return found


def _measure_path(bank: Bank) -> None:
    path = bank.path
    bank.readings.append(
        Direction(
            start=path[0], end=path[1], value=0.0, sigma=DEFINED, label="x axis", defined=True
        )
    )
    for i, (start, end) in enumerate(pairwise(path)):
        length = float(np.linalg.norm(bank.truth[end] - bank.truth[start]))
        bank.read(SlopeDistance(start=start, end=end, value=0, sigma=taped(length), label=""))
        bank.read(VerticalAngle(start=start, end=end, value=0, sigma=0.5 * DEGREE, label=""))
        if i:
            bank.read(
                HorizontalAngle(
                    at=start, start=path[i - 1], end=end, value=0, sigma=2 * DEGREE, label=""
                )
            )


def _measure_tree(bank: Bank, name: str) -> None:
    """By offsets from the path, or by tapes from two or more places; and mostly something besides."""
    path = bank.path
    if bank.chance.random() < 0.4:
        i = int(bank.chance.integers(0, len(path) - 1))
        for kind in (Along, Left, Above):
            bank.read(
                kind(start=path[i], end=path[i + 1], point=name, value=0.0, sigma=0.1, label="")
            )
    for _ in range(bank.chance.integers(2, 6)):
        bank.further(name)


def banks(surveys: int) -> Iterator[Bank]:
    return (bank(number) for number in range(surveys))
