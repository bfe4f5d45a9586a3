"""A quantity as it stands in a site file: a value or a range, and which end of it is worse."""

from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Annotated, Any, Literal

from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from shared.units import EXAMPLES, Dimension, Interval
from shared.written import one_of, parse

Corner = Literal["worst", "best", "stated"]
"""At which end of their ranges the guesses are taken."""


class Worse(Enum):
    """Which end of a range makes the haul worse; where neither does, ranges are refused."""

    LOW = "low"
    HIGH = "high"
    NEITHER = "neither"


# Beyond these no job of this kind lies, and sums of squares of them are still finite.
_MOST = {
    Dimension.LENGTH: 1e4,
    Dimension.SIZE: 10.0,
    Dimension.MASS: 1e7,
    Dimension.WEIGHT: 1e8,
    Dimension.FORCE: 1e8,
    Dimension.ANGLE: 7.0,
    Dimension.RATIO: 1e3,
    Dimension.MOMENT: 1e9,
    Dimension.MASS_PER_LENGTH: 1e3,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """What the file says of one quantity."""

    text: str
    interval: Interval
    dimension: Dimension
    worse: Worse
    either: bool = False  # either end may be the worse one: both are planned for

    @property
    def ends(self) -> tuple[float, float]:
        """The low and the high end, SI."""
        return self.interval.low, self.interval.high

    def at(self, corner: Corner) -> float:
        """The value at a corner, SI."""
        if corner == "stated" or self.interval.certain:
            return self.interval.stated
        low_end = (self.worse is Worse.LOW) == (corner == "worst")
        return self.interval.low if low_end else self.interval.high

    def other(self, corner: Corner) -> float | None:
        """The end opposite to `at`, where a job is planned at the worst and either end may be that; else
        None."""
        if corner != "worst" or self.interval.certain:
            return None
        return self.interval.high if self.worse is Worse.LOW else self.interval.low


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """Marks a field as a quantity: `Annotated[Quantity, Amount(...)]`. Limits are in SI.

    `above`: it must be more than this; `least`, `most`: it must lie within. `or_unknown`: the word
    "unknown" is accepted too and kept as it is. `either`: what is worse for one piece is better for
    another, so a job is planned for both ends.
    """

    dimension: Dimension
    worse: Worse = Worse.NEITHER
    above: float | None = None
    least: float | None = None
    most: float | None = None
    or_unknown: bool = False
    either: bool = False

    @property
    def example(self) -> str:
        """A valid text for messages and editors."""
        return EXAMPLES[self.dimension]

    @property
    def valid(self) -> tuple[str, ...]:
        """Texts of valid amounts: a usual one, hardly any, and as much as may be."""
        unit = self.example.partition(" ")[2]
        floor = max(self.above or 0.0, self.least or 0.0)
        ceiling = 1e3 if self.most is None else self.most
        ends = (floor + 1e-3 * max(ceiling - floor, 0.0), ceiling)
        usual = [self.example] if floor <= 0.35 <= ceiling or unit else []
        return (*usual, *(f"{value:.6g} {unit}".strip() for value in ends))

    def read(self, raw: object) -> "Quantity | str":
        """`raw` as a quantity; raises an error that carries its message."""
        # One file is read again and again while a number of it is varied.
        return _read_text(self, raw) if isinstance(raw, str) else self._read(raw)

    def _read(self, raw: object) -> "Quantity | str":
        if self.or_unknown and raw == "unknown":
            return "unknown"
        try:
            interval = parse(raw, self.dimension, ranges=self.worse is not Worse.NEITHER)
            self._check(raw, interval)
        except ValueError as error:
            or_unknown = ', or "unknown"' if self.or_unknown else ""
            raise refused(f"{error}{or_unknown}") from error
        return Quantity(
            text=str(raw), interval=interval, dimension=self.dimension, worse=self.worse,
            either=self.either,
        )  # fmt: skip

    def _check(self, raw: object, interval: Interval) -> None:
        if self.worse is Worse.NEITHER and not interval.certain:
            raise ValueError(
                f"has to be one value, not a range; got '{raw}': write one, as in \"{one_of(str(raw))}\""
            )
        if self.above is not None and interval.low <= self.above:
            raise ValueError(f"must be more than {self.above:g}, got '{raw}'")
        if self.least is not None and interval.low < self.least:
            bound = "must not be negative" if self.least == 0 else f"must be {self.least:g} or more"
            raise ValueError(f"{bound}, got '{raw}'")
        if self.most is not None and interval.high > self.most:
            raise ValueError(f"must be {self.most:g} or less, got '{raw}'")
        if max(abs(interval.low), abs(interval.high)) > _MOST[self.dimension]:
            raise ValueError(f"is too big to be a {self.dimension.value} of such a job: '{raw}'")

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(_as_text),
        )

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        text: dict[str, Any] = {"type": "string", "minLength": 1, "examples": self._examples()}
        if self.dimension is Dimension.RATIO:
            return {"anyOf": [{"type": "number"}, text]}
        return text

    def _examples(self) -> list[str]:
        unknown = ["unknown"] if self.or_unknown else []
        return [self.example, *unknown]


@lru_cache(maxsize=5000)
def _read_text(amount: Amount, text: str) -> "Quantity | str":
    """A text as an amount; what is refused is not kept."""
    return amount._read(text)


def refused(text: str, key: str = "") -> PydanticCustomError:
    """A validation error that carries its own message, about `key` of the part if one is named."""
    return PydanticCustomError("said", "{text}", {"text": text, "key": key})


def _as_text(value: "Quantity | str") -> str:
    return value if isinstance(value, str) else value.text


Coordinate = Annotated[Quantity, Amount(dimension=Dimension.LENGTH)]
Length = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, above=0.0)]
LengthOrNone = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, least=0.0)]
LongerIsBetter = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, worse=Worse.LOW, above=0.0)]
StepHeight = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, worse=Worse.HIGH, least=0.0)]
LongerMayBeWorse = Annotated[
    Quantity, Amount(dimension=Dimension.LENGTH, worse=Worse.LOW, above=0.0, either=True)
]
Thickness = LongerMayBeWorse
Cavity = Annotated[Quantity, Amount(dimension=Dimension.LENGTH, worse=Worse.HIGH, least=0.0)]
Size = Annotated[Quantity, Amount(dimension=Dimension.SIZE, above=0.0)]
Weight = Annotated[Quantity, Amount(dimension=Dimension.WEIGHT, worse=Worse.HIGH, above=0.0)]
GrippingWeight = Annotated[Quantity, Amount(dimension=Dimension.WEIGHT, worse=Worse.LOW, above=0.0)]
Pull = Annotated[Quantity, Amount(dimension=Dimension.FORCE, worse=Worse.LOW, above=0.0)]
Strength = Annotated[Quantity, Amount(dimension=Dimension.FORCE, worse=Worse.LOW, above=0.0)]
Rating = Annotated[
    Quantity | Literal["unknown"],
    Amount(dimension=Dimension.FORCE, worse=Worse.LOW, above=0.0, or_unknown=True),
]
Angle = Annotated[Quantity, Amount(dimension=Dimension.ANGLE)]
AngleLimit = Annotated[Quantity, Amount(dimension=Dimension.ANGLE, above=0.0)]
Share = Annotated[Quantity, Amount(dimension=Dimension.RATIO, worse=Worse.LOW, above=0.0, most=1.0)]
Efficiency = Annotated[
    Quantity,
    Amount(dimension=Dimension.RATIO, worse=Worse.LOW, above=0.0, most=1.0, either=True),
]
EdgeFriction = Annotated[
    Quantity,
    Amount(dimension=Dimension.RATIO, worse=Worse.HIGH, least=0.0, most=1.5, either=True),
]
CertainShare = Annotated[Quantity, Amount(dimension=Dimension.RATIO, above=0.0, most=1.0)]
Factor = Annotated[Quantity, Amount(dimension=Dimension.RATIO, worse=Worse.HIGH, above=0.0)]
Growth = Annotated[Quantity, Amount(dimension=Dimension.RATIO, worse=Worse.HIGH, least=1.0)]
Plain = Annotated[Quantity, Amount(dimension=Dimension.RATIO, least=0.0)]
Positive = Annotated[Quantity, Amount(dimension=Dimension.RATIO, above=0.0)]
Traction = Annotated[Quantity, Amount(dimension=Dimension.RATIO, worse=Worse.LOW, above=0.0)]
MassPerLength = Annotated[Quantity, Amount(dimension=Dimension.MASS_PER_LENGTH, least=0.0)]
