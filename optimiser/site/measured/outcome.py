"""What the readings of a site came to, kept beside the site."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import degrees, pi, remainder
from typing import TYPE_CHECKING

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
        if self.dimension is not Dimension.ANGLE:
            return show(counted, Dimension.LENGTH, units)
        text = f"{round(degrees(counted), 1) + 0.0:.1f}°"
        if self.ways is None:
            return text
        return f"{text.lstrip('-')} {self.ways[counted < 0]}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """Places by name in the coordinates of the site file, and every reading beside what the others make of
    it. `readings`: by the label that the adjustment knows each by; `spots`: names of the places that stand in
    the file by themselves, in its order. `own_axes`: the file gives no coordinates of the start of the path,
    so all count from there."""

    survey: "Surveyed"
    readings: Mapping[str, Reading]
    spots: tuple[str, ...]
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

    def suspects(self) -> "Iterator[tuple[Reading, Suspect]]":
        """The readings that disagree with the rest, the worst first."""
        for suspect in self.survey.suspects:
            yield self.readings[suspect.label], suspect
