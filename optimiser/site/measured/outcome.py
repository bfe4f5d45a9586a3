"""What the readings of a site came to, kept beside the site."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import degrees, pi, remainder
from typing import TYPE_CHECKING, Any, Protocol

from optimiser.mechanics.values import Vec
from optimiser.site.lines import Key
from optimiser.site.survey.adjusted import Checked, Located, Surveyed, Suspect
from shared.units import Dimension, show

if TYPE_CHECKING:  # numpy waits until there are readings
    from optimiser.site.survey.adjusted import Checked, Located, Surveyed, Suspect


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One figure that was read. `key`: where it stands in the site file; `words`: what it is, for people;
    `written`: as the file has it. The adjustment counts from elsewhere (`zero`, of angles) or the other way
    (`sign`). `ways`: the words for more and for less than nothing, where a sign would say little."""

    key: Key
    words: str
    written: str
    dimension: Dimension
    sign: float = 1.0
    zero: float = 0.0
    ways: tuple[str, str] | None = None

    @property
    def implied(self) -> bool:
        """Whether nobody read it: it follows from how others were read (square by eye, straight on)."""
        return not self.written

    def counted(self, value: float) -> float:
        """A value that the adjustment was given, as people count it, m or rad."""
        if self.zero:
            value = remainder(value - self.zero, 2 * pi)
        return self.sign * value

    def printed(self, counted: float, units: str) -> str:
        """A value as people count it: lengths in the units of the site, angles to a tenth of a degree."""
        text = self.size(counted, units)
        if self.dimension is not Dimension.ANGLE or self.ways is None:
            return text
        return f"{text.lstrip('-')} {self.ways[counted < 0]}"

    def size(self, value: float, units: str) -> str:
        """The same without the words for more and for less: how far something is off, how exact it is."""
        if self.dimension is not Dimension.ANGLE:
            return show(value, Dimension.LENGTH, units)
        return f"{round(degrees(value), 1) + 0.0:.1f}°"


class Arrangement(Protocol):
    """What puts places into a document (`optimiser.site.measured.layout`)."""

    def moved(self, document: Any, at: Mapping[str, Vec]) -> Any:
        """The document with its measured places at these coordinates [m], by name."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Movement:
    """How the places move, to first order, where a reading is more by one standard deviation. `sigma`: that,
    m or rad, by the stated accuracy; `by` [m]: in the coordinates of the file, where the readings disagree
    more than their accuracies allow by so much more."""

    reading: Reading
    sigma: float
    by: Mapping[str, Vec]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """Places by name in the coordinates of the site file, and every reading beside what the others make of
    it. `readings`: by the label that the adjustment knows each by; `spots`: names of the places that stand in
    the file by themselves, in its order. `own_axes`: the file gives no coordinates of the start of the path,
    so all count from there."""

    survey: "Surveyed"
    readings: Mapping[str, Reading]
    spots: tuple[str, ...]
    layout: Arrangement
    own_axes: bool

    @property
    def places(self) -> "tuple[Located, ...]":
        """The places of the file, in its order."""
        return tuple(self.survey.adjusted.place(name) for name in self.spots)

    def compared(self) -> "Iterator[tuple[Reading, Checked]]":
        """Every figure that was read, beside what it should have been, in the order of the file."""
        for checked in self.survey.adjusted.readings:
            if checked.observation.label in self.readings and not checked.observation.defined:
                yield self.readings[checked.observation.label], checked

    def movements(self) -> "Iterator[Movement]":
        """Of each reading that the places were worked out with, how they move with it."""
        adjusted = self.survey.adjusted
        for observation, moves in adjusted.moves:
            if observation.defined or observation.label not in self.readings:
                continue
            by = {name: [0.0, 0.0, 0.0] for name in self.spots}
            for (name, axis), move in zip(adjusted.unknowns, moves, strict=True):
                if name in by:
                    by[name][axis] = float(move) * adjusted.place(name).scale
            yield Movement(
                reading=self.readings[observation.label],
                sigma=observation.sigma,
                by={name: (x, y, z) for name, (x, y, z) in by.items()},
            )

    def moved(self, movements: "Sequence[tuple[Movement, float]]") -> Mapping[str, Vec]:
        """Where the places are with each reading more by so many standard deviations [m]."""
        out = {}
        for place in self.places:
            ways = [(m.by[place.name], times) for m, times in movements]
            x, y, z = (
                at + sum(way[axis] * times for way, times in ways)
                for axis, at in enumerate(place.at)
            )
            out[place.name] = (x, y, z)
        return out

    def suspects(self) -> "Iterator[tuple[Reading, Suspect]]":
        """The readings that disagree with the rest, the worst first."""
        for suspect in self.survey.suspects:
            yield self.readings[suspect.label], suspect
