"""A pull that was read on a scale in the line."""

from collections.abc import Iterator
from typing import Annotated, Literal

from optimiser.site.document.part import Fault, Name, Part, PlaceName
from optimiser.site.document.quantity import Amount, LengthOrNone, Quantity, Worse
from shared.units import Dimension

ReadForce = Annotated[
    Quantity, Amount(dimension=Dimension.FORCE, worse=Worse.HIGH, above=0.0, either=True)
]
OffBy = Annotated[Quantity, Amount(dimension=Dimension.RATIO, above=0.0, most=0.5)]


class PulledPart(Part):
    """A steady pull on the load, read on a scale between the load and the rope. It narrows what the load
    may weigh and how hard it goes on that leg."""

    at: LengthOrNone
    """Where the load's reference point was when you read it, along the path from its start: "3 m"."""
    force: ReadForce
    """What the scale showed: "1.8 kN", or "180 kg" on a scale that weighs. A range where the needle
    swings: "170..190 kg"."""
    accuracy: OffBy | None = None
    """How far the scale may be off, either way: "2 %". 5 % if left out."""
    moment: Literal["moving", "starting"] = "moving"
    """When it was read: while the load was moving steadily, or just as it broke out where it was stuck."""
    to: PlaceName | None = None
    """Where the line led, if not straight along the path: a tree, anchor, puller or mark by its name."""
    height: LengthOrNone | None = None
    """With `to`: how high above the ground the line was there."""
    hitch: Name | None = None
    """With `to`: the hitch point of the load it was made fast to; may be left out where there is one only."""
    parts: int | None = None
    """How many parts of rope the scale was read through: it counts only with one, between load and rope."""

    def faults(self) -> Iterator[Fault]:
        if self.to is not None and self.height is None:
            yield "height", 'missing: how high the line was there (such as height = "0.5 m")'
        for key in ("height", "hitch"):
            if self.to is None and getattr(self, key) is not None:
                yield key, "only used with `to`; left out, the line was straight along the path"
        if self.parts is not None and self.parts != 1:
            yield (
                "parts",
                "what sheaves lose is not known well enough to count back from the hauling end: hang the "
                "scale between the load and the rope (or the block on the load), and leave parts out",
            )
