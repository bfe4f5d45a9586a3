"""What every piece of gear in a document has, from the catalogue or described in place."""

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Rope, Termination
from optimiser.site.document.part import ConditionId, EndId, Fault, Part
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Owned

SOUND = "good"
"""The condition of what is laid on an edge, where nobody says: nothing hangs on it."""

Ends = Annotated[list[EndId], Field(min_length=2, max_length=2)]


class Piece(Part):
    """What any piece of gear may say."""

    condition: ConditionId | None = None
    """How worn it is; may be left out for what is laid on an edge."""
    count: Annotated[int, Field(ge=1, le=200)] = 1
    """How many equal ones there are. Several ropes are several entries."""

    @property
    def label(self) -> str:
        """What the piece goes by."""
        raise NotImplementedError

    def gear(self, corner: Corner) -> AnyGear:
        """The piece itself, in SI."""
        raise NotImplementedError

    def owned(self, corner: Corner) -> Owned:
        """The piece as owned, in SI."""
        return Owned(
            name=self.label,
            gear=self.gear(corner),
            count=self.count,
            condition=load_catalogue().conditions[self.condition or SOUND],
            length=self.own_length(corner),
            ends=self.own_ends(),
            unrated=self.without_rating(),
        )

    def own_length(self, corner: Corner) -> float | None:
        """Length of a rope, m."""
        return None

    def own_ends(self) -> tuple[Termination | None, Termination | None]:
        """What is on a rope's ends."""
        return (None, None)

    def without_rating(self) -> bool:
        """True where the owner says that there is no rating to go by."""
        return getattr(self, "rating", None) == "unknown"


def end_faults(ends: list[str] | None, rope: Rope) -> Iterator[Fault]:
    """What cannot be on the ends of a rope of that kind."""
    for number, end in enumerate(terminations(ends)):
        if end is None:
            continue
        if not end.stays_on:
            yield (
                f"ends.{number}",
                f"'{end.id}' is made on the spot, and no rope has it on its end: write \"bare\", and "
                "name it among the knots",
            )
        elif end.for_wire != rope.is_wire:
            made, is_ = ("wire", "is none") if end.for_wire else ("fibre rope", "is wire")
            yield f"ends.{number}", f"'{end.id}' is made on {made}, and this rope {is_}"


def terminations(ends: list[str] | None) -> tuple[Termination | None, Termination | None]:
    """What is on a rope's two ends; None for a bare one."""
    book = load_catalogue().terminations
    first, last = (None if end == "bare" else book[end] for end in ends or ("bare", "bare"))
    return (first, last)
