"""What an adjustment gives: places with their uncertainty, and every reading beside what it should have been.

Uncertainties are printed at 95 %: 1.96 standard deviations of one length or height, and the ellipsoid round a
place that holds the true one in 95 of 100 surveys, with half axes of 2.7955 standard deviations (in plan
alone 2.4477). Sources: the normal and the chi-square distribution with one, two and three degrees of freedom.
"""

from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.site.survey.observations import Observation

IN_LENGTH = 1.9600
IN_PLAN = 2.4477
IN_SPACE = 2.7955
"""Standard deviations that hold 95 %: square roots of chi-square at 0.95 with 1, 2 and 3 degrees."""
SUSPICIOUS = 3.2905
"""Standardised residual beyond which a reading is suspicious: two-sided, one right reading in a thousand.
Source: Baarda 1968 by way of later handbooks; the figure is the normal distribution's."""


NORTH = ("", 0)
"""The direction to north among the unknowns: of no point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is given of a point, exactly [m]; None: to be worked out."""

    x: float | None = None
    y: float | None = None
    z: float | None = None

    @staticmethod
    def at(where: Vec) -> "Known":
        """A point that is given altogether."""
        x, y, z = where
        return Known(x=x, y=y, z=z)

    @property
    def coordinates(self) -> tuple[float | None, float | None, float | None]:
        """In the order of the axes."""
        return self.x, self.y, self.z


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A choice between mirror images: `point` stands to the left of the line `start` to `end` in plan (or to
    the right), as somebody who looks along it sees."""

    point: str
    start: str
    end: str
    left: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Located:
    """A point where the readings put it. `covariance` [m²]: 3 x 3, from the stated accuracies of the
    readings; rows of a given coordinate are zero. `scale`: by what the readings disagree more than their
    accuracies allow, 1 or more; `uncertainty` has it in."""

    name: str
    at: Vec
    covariance: Array
    scale: float = 1.0

    @property
    def deviations(self) -> Vec:
        """Standard deviation of x, y, z, m."""
        x, y, z = np.sqrt(np.clip(np.diag(self.covariance), 0.0, None)) * self.scale
        return (float(x), float(y), float(z))

    @property
    def axes(self) -> tuple[tuple[float, Vec], ...]:
        """Half axes of the ellipsoid of one standard deviation, m, longest first, each with its direction."""
        values, ways = np.linalg.eigh(self.covariance)
        order = np.argsort(values)[::-1]
        return tuple(
            (
                float(np.sqrt(max(values[i], 0.0))) * self.scale,
                (float(ways[0, i]), float(ways[1, i]), float(ways[2, i])),
            )
            for i in order
        )

    @property
    def uncertainty(self) -> float:
        """Longest half axis of the 95 % ellipsoid, m: the truth is hardly further away, whichever way."""
        return IN_SPACE * self.axes[0][0]

    def along(self, way: Vec) -> float:
        """Standard deviation of the place in the direction of the unit vector `way`, m."""
        unit = np.array(way)
        return float(np.sqrt(max(unit @ self.covariance @ unit, 0.0))) * self.scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A reading beside the adjusted places. `adjusted`: what it should have been; `residual`: adjusted less
    measured (an angle the short way round); `redundancy` 0..1: how far the others check it (0: nothing would
    show a misreading); `standardised`: |residual| over its own standard deviation by the stated accuracies,
    None where nothing checks it. `set_aside`: the places were worked out without it."""

    observation: Observation
    adjusted: float
    residual: float
    redundancy: float
    standardised: float | None
    suspicious: bool = False
    set_aside: bool = False

    @property
    def measured(self) -> float:
        """What was read, m or rad."""
        return self.observation.value

    @property
    def misread_by(self) -> float | None:
        """Estimate of how much too much was read, were this the only misreading; None: nothing checks it."""
        return None if self.standardised is None else -self.residual / self.redundancy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Adjusted:
    """Places that the readings agree on best: the sum of squares of residual over accuracy is least.

    `places` in the order in which the points were given; `covariance` [m², m rad, rad²] of all that was
    unknown, named by `unknowns` (point, axis number 0..2; `NORTH` last); `north`: direction to north, rad
    to the left of the x axis, None if nothing depends on it. `squares`: that sum; `redundant`: how many
    readings there are more than needed; `agree`: whether the sum is what such accuracies give (95 %,
    chi-square). `moves`: of each reading that the places were worked out with, by how much the unknowns move
    where it is more by one standard deviation, to first order.
    """

    places: tuple[Located, ...]
    readings: tuple[Checked, ...]
    unknowns: tuple[tuple[str, int], ...]
    covariance: Array
    moves: tuple[tuple[Observation, Array], ...]
    north: float | None
    squares: float
    redundant: int
    agree: bool

    def place(self, name: str) -> Located:
        """The point of that name."""
        return next(located for located in self.places if located.name == name)

    def change(self, observation: Observation) -> Array:
        """Change of a further reading between these places with each of the unknowns."""
        at = [np.array(self.place(p).at) for p in observation.points]
        row = np.zeros(len(self.unknowns))
        partials = observation.partials(at, self.north or 0.0)
        for name, partial in zip(observation.points, partials, strict=True):
            for i, (point, axis) in enumerate(self.unknowns):
                if point == name:
                    row[i] += partial[axis]
        if NORTH in self.unknowns:
            row[-1] += observation.by_north
        return row


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisive:
    """A tape length from `start` to `end` that would show which reading was misread: `lengths` has for each
    of them, by its label, how long it then is, m, the shortest first."""

    start: str
    end: str
    lengths: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading that disagrees with the rest. `label`; `standardised`: how badly; `misread_by`: estimate of
    how much too much it is, m or rad. `alike`: labels of others that would explain the disagreement just as
    well; if there are any, nobody can tell which was misread, and none is set aside. `decisive`: what to
    measure then, None where no length would show it."""

    label: str
    standardised: float
    misread_by: float
    alike: tuple[str, ...] = ()
    decisive: Decisive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One more reading that would help: `point`, from `start`; `kind` in the words of people ("distance",
    "height difference", "direction"); `uncertainty` of the worst point before and after it, m."""

    point: str
    start: str
    kind: str
    before: float
    after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveyed:
    """A whole survey. `first`: all readings; `suspects`: in the order in which they were found, the worst
    first; `adjusted`: without those set aside (the same as `first` if there are none); `unchecked`: labels of
    readings that nothing checks; `advice`: what to measure next, best first."""

    first: Adjusted
    adjusted: Adjusted
    suspects: tuple[Suspect, ...]
    unchecked: tuple[str, ...]
    advice: tuple[Advice, ...]
