"""The second rope: between the grip and one place at an anchor, and on to the puller."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimiser.rig.ground.scene import GRIP_NUMBER

MOST_SHEAVES = 4
"""Most sheaves of the second rope, its lead block included (part of the space that is searched)."""


@dataclass(frozen=True, slots=True)
class Tackle:
    """The second rope's places from its standing end to the last before the puller, by number."""

    numbers: tuple[int, ...]

    @property
    def anchor(self) -> int:
        """The place at which its standing blocks hang."""
        return next(n for n in self.numbers if n != GRIP_NUMBER)

    @property
    def sheaves(self) -> int:
        return len(self.numbers) - 1

    @property
    def parts(self) -> int:
        """Parts of line that pull on the grip."""
        return sum((a == GRIP_NUMBER) + (b == GRIP_NUMBER) for a, b in self.segments)

    @property
    def segments(self) -> tuple[tuple[int, int], ...]:
        """The runs of rope up to the last place before the puller."""
        return tuple(zip(self.numbers[:-1], self.numbers[1:], strict=True))


def tackles(anchor: int, leads: Sequence[int], *, straight: bool, most: int) -> Iterator[Tackle]:
    """Every second rope at a place: at least two parts at the grip, the standing end on either side,
    the hauling part leaving the standing block to the puller (`straight`) or over one lead block."""
    for sheaves in range(2, min(most, MOST_SHEAVES) + 1):
        turns = tuple(anchor if k % 2 == 0 else GRIP_NUMBER for k in range(sheaves + 1))[::-1]
        if straight:
            yield Tackle(turns)
        if sheaves < min(most, MOST_SHEAVES):
            for lead in leads:
                yield Tackle((*turns, lead))
