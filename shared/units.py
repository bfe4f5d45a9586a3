"""Quantities with their units, at the edge of the program; inside it there are only SI floats.

pint converts units, but never reads a person's text: left alone it takes `1 000 N` for zero and
`10 ft 6 in` for an area. Here exactly one number and one unit are read, or two numbers as a range.
Importing pint takes longer than reading a whole site file, so its answers for the commonest units are
kept beside the unit file; a test compares them with pint.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from importlib.resources import as_file, files
from typing import Any

from shared.words import did_you_mean

STANDARD_GRAVITY = 9.80665
"""m/s², exact by definition (3rd General Conference on Weights and Measures, 1901)."""


class Dimension(Enum):
    """What a quantity measures. The value is the word used in messages."""

    LENGTH = "length"
    SIZE = "size"  # a length that is shown in millimetres: rope, pin, eye
    MASS = "mass"
    WEIGHT = "weight"  # a mass or a force is accepted, N inside
    FORCE = "force"  # ditto; shown as a force
    ANGLE = "angle"
    RATIO = "plain number"
    MOMENT = "moment"
    MASS_PER_LENGTH = "mass per length"


class Rounding(Enum):
    """Which way a figure is rounded: demands up, what a thing stands down."""

    NEAREST = "nearest"
    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """What is known of a quantity, SI: its ends, and what was stated (the middle of a range)."""

    low: float
    high: float
    stated: float

    @property
    def certain(self) -> bool:
        """True where a single value was given."""
        return self.low == self.high


EXAMPLES: Mapping[Dimension, str] = {
    Dimension.LENGTH: "3.5 m",
    Dimension.SIZE: "12 mm",
    Dimension.MASS: "12 kg",
    Dimension.WEIGHT: "260 kg",
    Dimension.FORCE: "4.4 kN",
    Dimension.ANGLE: "20 deg",
    Dimension.RATIO: "0.35",
    Dimension.MOMENT: "5 kN·m",
    Dimension.MASS_PER_LENGTH: "0.09 kg/m",
}

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_UNIT = r"[^\s\d.,+\-±][^\s\d.,+\-±]*"
_ONE = re.compile(rf"({_NUMBER})\s*({_UNIT})?")
_RANGE = re.compile(rf"({_NUMBER})\s*({_UNIT})?\s*\.\.\s*({_NUMBER})\s*({_UNIT})?")
_TOLERANCE = re.compile(r"(.+?)\s*(?:\+-|\+/-|±)\s*((?:\d|\.).*)")
_FEET_AND_INCHES = re.compile(r".*\d\s*(?:ft|feet|foot|')\s*\d+.*|.*\d\s*['\"].*")
_SPACED_DIGITS = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f,]\d{3})+(?:\.\d+)?\D*")
_COMMA = re.compile(r"[+-]?\d+,\d+\D*")
_NOT_A_NUMBER = re.compile(r"[+-]?(?:nan|inf(?:inity)?)\b.*", re.IGNORECASE)

# What cannot be a name in the unit file is spelt out there.
_SPELLINGS = {
    "%": "percent",
    "°": "degree",
    "N·m": "newton_metre",
    "N*m": "newton_metre",
    "Nm": "newton_metre",
    "kN·m": "kilonewton_metre",
    "kN*m": "kilonewton_metre",
    "kNm": "kilonewton_metre",
    "lbf·ft": "pound_foot",
    "lbf*ft": "pound_foot",
    "kg/m": "kilogram_per_metre",
    "g/m": "gram_per_metre",
    "lb/ft": "pound_per_foot",
}
_AMBIGUOUS = {"ton", "tons", "Ton", "Tons"}  # of 907, 1000 or 1016 kg

_MEASURES = {
    Dimension.LENGTH: "metre",
    Dimension.MASS: "kilogram",
    Dimension.FORCE: "newton",
    Dimension.MOMENT: "newton_metre",
    Dimension.MASS_PER_LENGTH: "kilogram_per_metre",
}


def parse(text: object, dimension: Dimension) -> Interval:
    """The quantity that `text` states, in SI.

    Accepted: "260 kg", "220..300 kg", "260 kg +- 15 %", "260 kg ± 20 kg"; for a plain number also a
    bare number or a percentage. A mass given for a weight or a force becomes its weight under
    standard gravity. Raises ValueError with what was expected, and an example, for anything else.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"expected {_expected(dimension)}, got {_kind_of(text)}")
    if not isinstance(text, str):
        return _bare(text, dimension)
    text = text.strip()
    if (match := _RANGE.fullmatch(text)) is not None:
        return _range(text, match, dimension)
    if (match := _TOLERANCE.fullmatch(text)) is not None:
        return _tolerance(text, match[1], match[2], dimension)
    value = _value(text, dimension)
    return Interval(low=value, high=value, stated=value)


def in_unit(value: float, dimension: Dimension, system: str) -> float:
    """`value` (SI) as a number in the unit that `system` ("metric", "imperial") shows it in."""
    return value / _SHOWN[system][dimension][1]


def unit_name(dimension: Dimension, system: str) -> str:
    """The unit that `system` shows a dimension in, for the head of a column."""
    return _SHOWN[system][dimension][0]


def number(
    value: float,
    dimension: Dimension,
    system: str = "metric",
    rounding: Rounding = Rounding.NEAREST,
) -> str:
    """`value` (SI) as text without its unit, always with the decimals of its dimension."""
    decimals = _SHOWN[system][dimension][2]
    shown = in_unit(value, dimension, system)
    if not math.isfinite(shown):
        return "unlimited" if shown > 0 else "none"
    scale = 10.0**decimals
    # The slack keeps a figure that is exact in decimals from being pushed on by its binary tail.
    slack = 1e-9 * max(1.0, abs(shown * scale))
    if rounding is Rounding.UP:
        shown = math.ceil(shown * scale - slack) / scale
    elif rounding is Rounding.DOWN:
        shown = math.floor(shown * scale + slack) / scale
    text = f"{shown:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def show(
    value: float,
    dimension: Dimension,
    system: str = "metric",
    rounding: Rounding = Rounding.NEAREST,
) -> str:
    """`value` (SI) as text with its unit: "1.24 kN", "31.50 m", "279 lbf"."""
    text = number(value, dimension, system, rounding)
    unit = unit_name(dimension, system)
    return f"{text} {unit}" if unit and math.isfinite(value) else text


SYSTEMS = ("metric", "imperial")

# For each dimension: the unit, its size in SI, and the decimals that are worth showing.
_SHOWN: Mapping[str, Mapping[Dimension, tuple[str, float, int]]] = {
    "metric": {
        Dimension.LENGTH: ("m", 1.0, 2),
        Dimension.SIZE: ("mm", 0.001, 0),
        Dimension.MASS: ("kg", 1.0, 1),
        Dimension.WEIGHT: ("kg", STANDARD_GRAVITY, 0),
        Dimension.FORCE: ("kN", 1000.0, 2),
        Dimension.ANGLE: ("°", math.pi / 180, 0),
        Dimension.RATIO: ("", 1.0, 2),
        Dimension.MOMENT: ("kN·m", 1000.0, 2),
        Dimension.MASS_PER_LENGTH: ("kg/m", 1.0, 3),
    },
    "imperial": {
        Dimension.LENGTH: ("ft", 0.3048, 1),
        Dimension.SIZE: ("in", 0.0254, 2),
        Dimension.MASS: ("lb", 0.45359237, 1),
        Dimension.WEIGHT: ("lb", 0.45359237 * STANDARD_GRAVITY, 0),
        Dimension.FORCE: ("lbf", 0.45359237 * STANDARD_GRAVITY, 0),
        Dimension.ANGLE: ("°", math.pi / 180, 0),
        Dimension.RATIO: ("", 1.0, 2),
        Dimension.MOMENT: ("lbf·ft", 0.45359237 * STANDARD_GRAVITY * 0.3048, 0),
        Dimension.MASS_PER_LENGTH: ("lb/ft", 0.45359237 / 0.3048, 3),
    },
}


def _value(text: str, dimension: Dimension) -> float:
    match = _ONE.fullmatch(text)
    if match is None:
        raise ValueError(_unreadable(text, dimension))
    return _converted(match[1], match[2], text, dimension)


def _range(text: str, match: re.Match[str], dimension: Dimension) -> Interval:
    low = _converted(match[1], match[2] or match[4], text, dimension)
    high = _converted(match[3], match[4], text, dimension)
    if low > high:
        raise ValueError(f"the range {text!r} goes from high to low: write the smaller end first")
    return Interval(low=low, high=high, stated=(low + high) / 2)


def _tolerance(text: str, value: str, tolerance: str, dimension: Dimension) -> Interval:
    stated = _value(value, dimension)
    match = _ONE.fullmatch(tolerance)
    if match is None:
        raise ValueError(_unreadable(text, dimension))
    # For a plain number "0.35 +- 20 %" is a share of it, not 0.35 ± 0.2.
    share = match[2] == "%"
    spread = _converted(match[1], match[2], text, Dimension.RATIO if share else dimension)
    spread = abs(stated) * spread if share else spread
    return Interval(low=stated - spread, high=stated + spread, stated=stated)


def _bare(value: float, dimension: Dimension) -> Interval:
    if dimension is not Dimension.RATIO:
        raise ValueError(f"expected {_expected(dimension)}, got the number {_clipped(value)} alone")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(f"expected {_expected(dimension)}, got {_clipped(value)}")
    return Interval(low=number, high=number, stated=number)


def _converted(digits: str, unit: str | None, text: str, dimension: Dimension) -> float:
    if unit is None:
        if dimension is not Dimension.RATIO:
            raise ValueError(
                f"expected {_expected(dimension)}, got {_clipped(text)}, which has no unit"
            )
        factor = 1.0
    else:
        factor = _factor(unit, text, dimension)
    value = float(digits) * factor
    if not math.isfinite(value):
        raise ValueError(f"expected {_expected(dimension)}, got {_clipped(text)}, which is too big")
    return value


def _factor(unit: str, text: str, dimension: Dimension) -> float:
    """What a number in `unit` is multiplied with to be in SI of `dimension`."""
    factor, measured = _known(unit, text)
    if measured is _kept_as(dimension):
        return factor
    if dimension in (Dimension.WEIGHT, Dimension.FORCE) and measured is Dimension.MASS:
        return factor * STANDARD_GRAVITY
    what = measured.value
    article = "an" if what[0] in "aeiou" else "a"
    raise ValueError(
        f"expected {_expected(dimension)}, got {_clipped(text)}, which is {article} {what}"
    )


def _kept_as(dimension: Dimension) -> Dimension:
    if dimension is Dimension.SIZE:
        return Dimension.LENGTH
    return Dimension.FORCE if dimension is Dimension.WEIGHT else dimension


def _known(unit: str, text: str) -> tuple[float, Dimension]:
    name = _SPELLINGS.get(unit, unit)
    if unit in _AMBIGUOUS:
        raise ValueError(
            f"{_clipped(text)}: there are three kinds of '{unit}'; write 't' for 1000 kg, or 'lb'"
        )
    if name not in _unit_names():
        known = [*_unit_names(), *_SPELLINGS]
        raise ValueError(f"{_clipped(text)}: no unit {_clipped(unit)}{did_you_mean(unit, known)}")
    return worked_out().get(name) or from_pint(name)


@cache
def worked_out() -> Mapping[str, tuple[float, Dimension]]:
    """What pint makes of the units that most files use, so that these do not wait for it."""
    text = files("shared").joinpath("data", "factors.txt").read_text(encoding="utf-8")
    lines = (line.split() for line in text.splitlines() if line and not line.startswith("#"))
    return {name: (float(factor), Dimension[kind]) for name, kind, factor in lines}


@cache
def from_pint(name: str) -> tuple[float, Dimension]:
    """What a number in the unit of this name is multiplied with to be in SI, and what it measures.
    Raises ValueError where it measures nothing that is read here."""
    registry = _registry()
    unit = registry.Unit(name)
    factor = float(registry.Quantity(1.0, unit).to_base_units().magnitude)
    if unit.dimensionless:  # to pint an angle and a plain number are one
        return factor, Dimension.RATIO if name in ("percent", "pct") else Dimension.ANGLE
    for dimension, reference in _MEASURES.items():
        if unit.is_compatible_with(reference):
            return factor, dimension
    raise ValueError(f"the unit '{name}' measures nothing that is read here")


@cache
def _registry() -> Any:
    from pint import UnitRegistry  # slow to import: only for units that are seldom used

    with as_file(files("shared").joinpath("data", "units.txt")) as path:
        return UnitRegistry(path)


@cache
def _unit_names() -> frozenset[str]:
    text = files("shared").joinpath("data", "units.txt").read_text(encoding="utf-8")
    names: set[str] = set()
    for line in text.splitlines():
        if "=" in line and not line.startswith("#"):
            name, _value, *aliases = (part.strip() for part in line.split("="))
            names.update((name, *aliases))
    return frozenset(names)


def _expected(dimension: Dimension) -> str:
    article = "an" if dimension.value[0] in "aeiou" else "a"
    if dimension is Dimension.RATIO:
        return f'{article} {dimension.value} (such as 0.35 or "35 %")'
    return f'{article} {dimension.value} with its unit (such as "{EXAMPLES[dimension]}")'


def _unreadable(text: str, dimension: Dimension) -> str:
    message = f"expected {_expected(dimension)}, got {_clipped(text)}"
    if not text:
        return f"expected {_expected(dimension)}, got an empty text"
    if _NOT_A_NUMBER.fullmatch(text):
        return f"{message}, which is not a number"
    if _FEET_AND_INCHES.fullmatch(text):
        return f'{message}: feet and inches together are not read; write one unit, as in "10.5 ft"'
    if _SPACED_DIGITS.fullmatch(text):
        return f'{message}: write the number without spaces or commas, as in "1000 N"'
    if _COMMA.fullmatch(text):
        return f'{message}: write a decimal point, as in "1.5"'
    return f"{message}: write one number and one unit"


def _kind_of(value: object) -> str:
    kinds = {bool: "true or false", list: "a list", dict: "a table", type(None): "nothing"}
    return kinds.get(type(value), "a date or time")


def _clipped(value: object) -> str:
    """The text as it was given, cut where it is absurdly long, without control characters."""
    text = value if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else ""
    if not text and isinstance(value, int):
        text = str(value) if abs(value) < 10**15 else "a number of many digits"
    shown = "".join(char if char.isprintable() else "?" for char in text[:40])
    return f"'{shown}...'" if len(text) > 40 else f"'{shown}'"
