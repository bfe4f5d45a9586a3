"""Describes the fields of an answer, each once: its name, what it measures, what it means, how it is read.

From one description come tables, Markdown, HTML and CSV (`listing.py`), JSON, and its schema (`schema.py`).
Tables are for people: rounded, in the units they chose. CSV and JSON are for programs: SI at full precision,
with the unit in the name of the column ("pull_N"); what is no number is left empty.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import KW_ONLY, dataclass, replace
from enum import Enum, Flag, auto
from math import isfinite
from typing import Any, Generic, TypeVar

from shared.units import Dimension, Rounding

T = TypeVar("T", contravariant=True)
"""What a column is read from."""
Other = TypeVar("Other")


class Where(Flag):
    """Which forms of an answer a column is part of."""

    TABLE = auto()  # tables, Markdown and HTML
    CSV = auto()
    JSON = auto()
    BELOW = auto()  # a table puts it below its row, over the whole width
    ALL = TABLE | CSV | JSON
    PEOPLE = TABLE
    DATA = CSV | JSON
    LISTED = TABLE | CSV
    UNDER = TABLE | BELOW | CSV | JSON
    NOTE = TABLE | BELOW | CSV


class Kind(Enum):
    """What the values of a column are, where they are not numbers of one dimension. The value: the unit of
    its numbers, in words."""

    TEXT = "none: text"
    FLAG = "none: true or false"
    COUNT = "a number of things"
    SHARE = "a share, 1 for all"  # printed in percent, rounded up
    MONEY = "the currency of the site"
    MEASURE = "stated under `unit` beside it"  # for people a `Measure`


@dataclass(frozen=True, slots=True)
class Many:
    """A list of values of a kind."""

    of: "Of"


@dataclass(frozen=True, slots=True)
class Named:
    """Values of a kind under names that differ from answer to answer."""

    of: "Of"


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with a dimension of its own, for columns that mix forces and moments."""

    value: float
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class Read:
    """A value, and the words in which people read it."""

    value: Any
    words: str | None


NOTHING = "–"
"""A cell without anything in it."""

UNITS: Mapping[Dimension, str] = {
    Dimension.LENGTH: "m",
    Dimension.SIZE: "m",
    Dimension.MASS: "kg",
    Dimension.WEIGHT: "N",
    Dimension.FORCE: "N",
    Dimension.ANGLE: "rad",
    Dimension.RATIO: "",
    Dimension.MOMENT: "N·m",
    Dimension.MASS_PER_LENGTH: "kg/m",
}
"""In which a program gets a dimension."""


@dataclass(frozen=True, slots=True)
class Column(Generic[T]):
    """One field of an answer. `get` reads it from what the answer is about (None: from a mapping, by `key`);
    `say` gives the words for people in their units; where there is only `say`, programs get its words too.

    `means`: in plain words. `heading`: of tables and Markdown; a column without one is in JSON only.
    `unit`: of its numbers where that is not the SI unit of the dimension. `rounding`: of tables.
    `yields`: where a table is too wide, the columns with the highest give way first; 0 never does. `alone`:
    its heading where it stands by itself below its row; "" for the same. `none`: programs may get no value;
    `nothing`: what people read there. `blank`: people read that for 0 too.
    `when`: JSON has the key only then. `rare`: lists have the column only where some row has a value.
    `titled`: what its name ends with in JSON, where that differs from answer to answer. `name`: where it is
    read by programs under another one than its key with its unit.
    """

    key: str
    get: Callable[[T], Any] | None = None
    kind: "Of" = Kind.TEXT
    means: str = ""
    heading: str = ""
    _: KW_ONLY
    say: Callable[[T, str], Any] | None = None
    unit: str | None = None
    rounding: Rounding = Rounding.NEAREST
    where: Where | None = None
    yields: int = 0
    alone: str = ""
    none: bool = False
    nothing: str = NOTHING
    blank: bool = False
    when: Callable[[T], bool] | None = None
    rare: bool = False
    titled: Callable[[T], str] | None = None
    name: str = ""

    @property
    def forms(self) -> Where:
        """The forms it is part of."""
        usual = Where.ALL if self.heading else Where.JSON
        return usual if self.where is None else self.where

    @property
    def wordy(self) -> bool:
        """Whether people read words there, which stand to the left and wrap."""
        return self.kind is Kind.TEXT or self.say is not None

    @property
    def data_unit(self) -> str:
        """The unit of its numbers where a program reads them; "" for none."""
        if self.unit is not None:
            return self.unit
        inner = self.kind
        while isinstance(inner, Many):
            inner = inner.of
        return UNITS[inner] if isinstance(inner, Dimension) else ""

    @property
    def data_name(self) -> str:
        """Its name where a program reads it."""
        if self.name:
            return self.name
        unit = self.data_unit.replace("·", "")
        return f"{self.key}_{unit}" if unit else self.key

    def value(self, source: T) -> Any:
        """What a program gets."""
        if self.get is not None:
            return self.get(source)
        return source[self.key] if self.say is None else self.say(source, "metric")  # type: ignore[index]

    def cell(self, source: T, system: str) -> Any:
        """What a list has in the row of this source."""
        if self.say is None:
            return self.value(source)
        words = self.say(source, system)
        return words if self.get is None else Read(self.get(source), words)

    def of(self, get: "Callable[[Other], Any] | None", **changes: Any) -> "Column[Other]":
        """The same column read from something else."""
        return replace(self, get=get, **changes)  # type: ignore[return-value, arg-type]


@dataclass(frozen=True, slots=True)
class Record(Generic[T]):
    """The fields of one kind of thing in their order: a row of its lists, an object of JSON. `name`: in the
    schema."""

    name: str
    means: str
    columns: tuple[Column[T], ...]

    def json(self, source: T) -> dict[str, Any]:
        """It as an object, ready for JSON: SI, full precision."""
        return dict(self._items(source))

    def _items(self, source: T) -> Iterator[tuple[str, Any]]:
        for column in self.columns:
            if Where.JSON in column.forms and (column.when is None or column.when(source)):
                end = "" if column.titled is None else column.titled(source)
                yield f"{column.data_name}{end}", in_json(column.kind, column.value(source))

    def through(self, part: "Callable[[Other], T]") -> "tuple[Column[Other], ...]":
        """The fields read from a part of something else."""
        return tuple(_through(column, part) for column in self.columns)

    def listed(self, name: str) -> "Record[T]":
        """The same with those fields that lists have, for an answer whose JSON is such a list."""
        columns = (c for c in self.columns if Where.CSV in c.forms)
        return Record(name, self.means, tuple(replace(c, where=Where.ALL) for c in columns))

    def more(self, name: str, means: str, *columns: "Column[Any]") -> "Record[T]":
        """The same with further fields."""
        return Record(name, means, (*self.columns, *columns))


def _through(column: Column[T], part: "Callable[[Other], T]") -> "Column[Other]":
    say, when = column.say, column.when
    return column.of(
        None if column.get is None and say is not None else lambda v: column.value(part(v)),
        say=None if say is None else lambda v, system: say(part(v), system),
        when=None if when is None else lambda v: when(part(v)),
    )


Of = Kind | Dimension | type[Enum] | Many | Named | Record[Any]
"""What the values of a column are."""


def in_json(kind: Of, value: Any) -> Any:
    """A value of a kind as JSON has it."""
    if value is None:
        return None
    if isinstance(kind, Record):
        return kind.json(value)
    if isinstance(kind, Many):
        return [in_json(kind.of, item) for item in value]
    if isinstance(kind, Named):
        return {str(name): in_json(kind.of, item) for name, item in value.items()}
    return plain(value)


def plain(value: Any) -> Any:
    """A value as JSON knows it: no infinity, no NaN, tuples as lists, `Measure`s as numbers."""
    if isinstance(value, (Measure, Read)):
        return plain(value.value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, (set, frozenset)):
        return sorted(plain(item) for item in value)
    if isinstance(value, bool) or value is None or isinstance(value, (str, int)):
        return value
    number = float(value)  # numpy's numbers too
    return number if isfinite(number) else None
