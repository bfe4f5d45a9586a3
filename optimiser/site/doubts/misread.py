"""Readings that disagree with the others: which, by how much, and what was done about it."""

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.site.measured.outcome import Outcome, Reading

SET_ASIDE = (
    "The other readings disagree with it; places are worked out without it. Measure it once more."
)
UNDECIDED = (
    "These readings contradict each other, and which of them is wrong cannot be said; all are used, and the "
    "places are false by much of it. Measure them once more."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misread:
    """A reading that disagrees with the others. `value`: what was read; `others`: what the others
    give; m or rad. `alike`: readings that may be wrong instead; if there are any, all are used."""

    reading: Reading
    value: float
    others: float
    alike: tuple[Reading, ...]

    @property
    def reason(self) -> str:
        """What was done about it."""
        return UNDECIDED if self.alike else SET_ASIDE

    def worded(self, units: str) -> str:
        """What is at odds, in one line."""
        read = self.reading.written or self.reading.printed(self.value, units)
        others = self.reading.printed(self.others, units)
        text = f"{self.reading.words}: {read}, by the other readings {others}"
        if not self.alike:
            return text
        return f"{text}; or instead {' or '.join(other.words for other in self.alike)}"


def misread(outcome: Outcome | None) -> Iterator[Misread]:
    """The readings that disagree with the others, the worst first; none where nothing was read."""
    if outcome is None:
        return
    measured = {c.observation.label: c.measured for c in outcome.survey.first.readings}
    for reading, suspect in outcome.suspects():
        yield Misread(
            reading=reading,
            value=reading.counted(measured[suspect.label]),
            others=reading.counted(measured[suspect.label] - suspect.misread_by),
            alike=tuple(outcome.readings[label] for label in suspect.alike),
        )
