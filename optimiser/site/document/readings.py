"""What was measured: readings between places, marks on the ground, and how exact each kind of reading is."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import degrees, radians
from typing import Annotated, Any, Literal

from pydantic import Field
from pydantic_core import CoreSchema, core_schema

from catalogue.instruments import ANGLES, Exactness, exactness, instruments
from optimiser.site.document.part import Fault, Name, Part, PlaceName, Point
from optimiser.site.document.quantity import (
    Amount,
    Angle,
    Coordinate,
    Length,
    LengthOrNone,
    Quantity,
    refused,
)
from shared.units import Dimension, Interval
from shared.words import did_you_mean, listed

STEEPEST_SIGHT = radians(85.0)
"""A steeper line of sight gives no direction over the ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Directed(Amount):
    """An amount that goes one way or the other, by a word: "15 deg left", "1.2 m down". `ways`: the word for
    more than nothing, and the one for less. `by_sign`: a sign serves too, and none means the first."""

    ways: tuple[str, str]
    by_sign: bool

    @property
    def valid(self) -> tuple[str, ...]:
        return tuple(self._examples())

    def read(self, raw: object) -> Quantity:
        """`raw` as a quantity; raises an error that carries its message."""
        amount, _, word = raw.strip().rpartition(" ") if isinstance(raw, str) else ("", "", "")
        if word not in self.ways:
            plain = self._figure(raw)
            if plain.interval.stated and not self.by_sign:
                both = " or ".join(f'"{plain.text} {way}"' for way in self.ways)
                raise refused(f"which way? write {both}")
            return plain
        plain = self._figure(amount)
        value = plain.interval.stated
        if value < 0:
            raise refused(f"has a sign and the word '{word}': write one of them; got '{raw}'")
        value = value if word == self.ways[0] else -value
        return replace(plain, text=str(raw), interval=Interval(low=value, high=value, stated=value))

    def _figure(self, raw: object) -> Quantity:
        """An amount without its word."""
        plain = Amount.read(self, raw)
        if not isinstance(plain, Quantity):
            raise refused(f"needs a figure; got '{raw}'")
        return plain

    def _examples(self) -> list[str]:
        return [f"{self.example} {way}" for way in self.ways]


Rise = Annotated[Quantity, Directed(dimension=Dimension.LENGTH, ways=("up", "down"), by_sign=True)]
Slope = Annotated[Quantity, Directed(dimension=Dimension.ANGLE, ways=("up", "down"), by_sign=True)]
Turn = Annotated[
    Quantity, Directed(dimension=Dimension.ANGLE, ways=("left", "right"), by_sign=False)
]


@dataclass(frozen=True, slots=True)
class Exact:
    """Marks a field that says how exact readings are. `kind`: of which readings, whose instruments may be
    named; "" for one reading."""

    kind: str

    @property
    def valid(self) -> tuple[str, ...]:
        """Texts of an exactness, of a length and of an angle where both may be meant."""
        return ("2 deg",) if self.kind in ANGLES else ("5 cm",) if self.kind else ("5 cm", "2 deg")

    def read(self, raw: object) -> Exactness:
        """`raw`, understood; raises an error that carries its message."""
        if not isinstance(raw, str):
            raise refused(f"expected {self._expected()}, as a text")
        known = instruments(self.kind) if self.kind else {}
        if raw in known:
            return known[raw]
        try:
            found = exactness(raw)
        except ValueError as error:
            near = did_you_mean(raw[:80], known)
            raise refused(f"expected {self._expected()}, got '{raw[:40]}'{near}") from error
        if self.kind and found.angle != (self.kind in ANGLES):
            raise refused(f"expected {self._expected()}, got '{raw}'")
        return found

    def _expected(self) -> str:
        amount = '"2 deg"' if self.kind in ANGLES else '"5 cm", "1 %" or "1 cm + 0.1 %"'
        if not self.kind:
            return f'{amount}, or of an angle "2 deg"'
        return f"what it was read with ({listed(list(instruments(self.kind)))}), or {amount}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        names = list(instruments(self.kind)) if self.kind else []
        amount = "2 deg" if self.kind in ANGLES else "5 cm"
        return {"type": "string", "minLength": 1, "examples": [*names, amount]}


class ReadingPart(Part):
    """One sighting: from a place to another, with whatever was read."""

    from_: PlaceName = Field(alias="from")
    """Where you stood: a tree, anchor, obstacle, puller or mark by its name, or a place of the path.
    Such places are "start", "end", "end of leg 2" and "6.5 m of the path"."""
    to: PlaceName
    """The place that was measured."""
    tape: Length | None = None
    """The tape pulled straight from one to the other, up or down the slope."""
    level: Length | None = None
    """The tape held level, from plumb above one to plumb above the other."""
    paced: Length | None = None
    """Paced from one to the other along the ground."""
    rise: Rise | None = None
    """How much higher the place is: "1.2 m", "0.5 m down"."""
    slope: Slope | None = None
    """The angle of the line of sight: "12 deg" up, "5 deg down". Sight at your own height above ground."""
    bearing: Angle | None = None
    """The compass, clockwise from north: "310 deg"."""
    facing: PlaceName | None = None
    """What `turn`, `ahead`, `left` and `right` count from: you stand there and face this place. Left out: on
    the path you face the way the load goes."""
    turn: Turn | None = None
    """How far you turn, over the ground, from what you face to the place: "35 deg left"."""
    ahead: Coordinate | None = None
    """How far ahead of you it lies, as you face."""
    left: Coordinate | None = None
    """How far to the left of the line that you look along, square to it and level. "0 m": it is in line."""
    right: LengthOrNone | None = None
    """How far to the right of it."""
    side: Literal["left", "right"] | None = None
    """On which side it lies as you face, where two places fit what was measured."""
    accuracy: Annotated[Exactness, Exact("")] | None = None
    """How exact this reading is, where it is not as exact as others of its kind: two out of three like it are
    within "10 cm", or "1 %"."""

    def faults(self) -> Iterator[Fault]:
        if self.from_ == self.to:
            yield "to", f"leads from '{self.to}' to itself"
        read = self.read()
        if not read and self.side is None:
            yield (
                "",
                "nothing was read: give one of tape, level, paced, rise, slope, bearing, turn, left, ...",
            )
        if self.left is not None and self.right is not None:
            yield "right", "give either left or right, not both"
        if self.facing is not None and self.facing in (self.from_, self.to):
            yield (
                "facing",
                "name a third place: you stand at one end of the reading and look at the other",
            )
        if self.slope is not None and abs(self.slope.at("stated")) > STEEPEST_SIGHT:
            yield (
                "slope",
                f"steeper than {degrees(STEEPEST_SIGHT):.0f} degrees: that is no slope of a bank",
            )
        if self.accuracy is not None:
            if len(read) != 1:
                yield (
                    "accuracy",
                    "counts for one figure, and here "
                    + (
                        f"are several ({', '.join(read)}); give each a [[reading]] of its own"
                        if read
                        else "is none"
                    ),
                )
            elif self.accuracy.angle != (read[0] in ANGLES):
                yield (
                    "accuracy",
                    f"does not fit {read[0]}: a length counts for lengths, an angle for angles",
                )

    def read(self) -> list[str]:
        """The keys of what was read, in the order of the fields."""
        keys = (
            "tape",
            "level",
            "paced",
            "rise",
            "slope",
            "bearing",
            "turn",
            "ahead",
            "left",
            "right",
        )
        return [key for key in keys if getattr(self, key) is not None]


class MarkPart(Part):
    """A stake, a stone or a cross on the ground that readings are taken from."""

    name: Name
    """Your name for it, such as "peg A"."""
    at: Point | None = None
    """Where it is: x, y in plan and z up. Left out: readings lead to it."""


class AccuracyPart(Part):
    """How exact your readings are, by kind: two out of three are within this. An instrument by its name, a
    length, a share of what was read, or both."""

    tape: Annotated[Exactness, Exact("tape")] | None = None
    """Of lengths by tape, along the slope; legs of the path too. A fibreglass tape if left out."""
    level: Annotated[Exactness, Exact("level")] | None = None
    """Of lengths by a tape that is held level."""
    paced: Annotated[Exactness, Exact("paced")] | None = None
    """Of lengths in paces."""
    rise: Annotated[Exactness, Exact("rise")] | None = None
    """Of differences of height. Rod and level if left out."""
    slope: Annotated[Exactness, Exact("slope")] | None = None
    """Of slopes. A phone as it is if left out; one that was zeroed first is far better."""
    bearing: Annotated[Exactness, Exact("bearing")] | None = None
    """Of compass bearings. A phone if left out."""
    turn: Annotated[Exactness, Exact("turn")] | None = None
    """Of angles over the ground. A phone if left out."""
    offset: Annotated[Exactness, Exact("offset")] | None = None
    """Of lengths ahead, left and right."""
