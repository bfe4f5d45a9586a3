"""Quantities with their units, at the edge of the program; inside it there are only SI floats.

pint converts units, but never reads a person's text (`written.py` does): left alone it takes `1 000 N`
for zero and `10 ft 6 in` for an area. Importing pint takes longer than reading a whole site file, so
its answers for the commonest units are kept beside the unit file; a test compares them with pint.
"""

import math
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

# What cannot be a name in the unit file is spelt out there.
_SPELLINGS = {
    "%": "percent",
    "'": "foot",
    '"': "inch",
    "''": "inch",  # two apostrophes need no stroke before them in a quoted text
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

_MEASURES = {
    Dimension.LENGTH: "metre",
    Dimension.MASS: "kilogram",
    Dimension.FORCE: "newton",
    Dimension.MOMENT: "newton_metre",
    Dimension.MASS_PER_LENGTH: "kilogram_per_metre",
}


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
    shown = _rounded(shown, decimals, rounding)
    text = f"{shown:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def show(
    value: float,
    dimension: Dimension,
    system: str = "metric",
    rounding: Rounding = Rounding.NEAREST,
) -> str:
    """`value` (SI) as text with its unit: "1.24 kN", "31.50 m", "279 lbf".

    In imperial units lengths are as a tape has them: "9.4 in" below a yard, else "103 ft 4 in"; sizes that
    are whole sixteenths of an inch are "5/8 in".
    """
    if system == "imperial" and math.isfinite(value):
        if dimension is Dimension.LENGTH:
            return _on_a_tape(value, rounding)
        if dimension is Dimension.SIZE and (fraction := _in_sixteenths(value)):
            return f"{fraction} in"
    text = number(value, dimension, system, rounding)
    unit = unit_name(dimension, system)
    return f"{text} {unit}" if unit and math.isfinite(value) else text


_INCH = 0.0254
_YARD = 36
"""Inches: lengths from it on are shown in feet and whole inches, smaller ones in tenths of an inch."""


def _on_a_tape(value: float, rounding: Rounding) -> str:
    """A length (m) in inches, or in feet and inches."""
    inches = _rounded(value / _INCH, 0, rounding)
    sign = "-" if inches < 0 else ""
    if abs(inches) < _YARD:
        text = f"{_rounded(value / _INCH, 1, rounding):.1f}".removesuffix(".0")
        return f"{text if text != '-0' else '0'} in"
    feet, rest = divmod(round(abs(inches)), 12)
    return f"{sign}{feet} ft" + (f" {rest} in" if rest else "")


def _in_sixteenths(value: float) -> str:
    """A size (m) as a mixed fraction of an inch; "" where it is none, or a whole number."""
    sixteenths = round(value / _INCH * 16)
    if sixteenths % 16 == 0 or abs(sixteenths * _INCH / 16 - value) > 1e-6:
        return ""
    whole, rest = divmod(abs(sixteenths), 16)
    shared = math.gcd(rest, 16)
    sign = "-" if value < 0 else ""
    return f"{sign}{f'{whole} ' if whole else ''}{rest // shared}/{16 // shared}"


def _rounded(shown: float, decimals: int, rounding: Rounding) -> float:
    """A number with so many decimals, rounded as wanted."""
    scale = 10.0**decimals
    # The slack keeps a figure that is exact in decimals from being pushed on by its binary tail.
    slack = 1e-9 * max(1.0, abs(shown * scale))
    if rounding is Rounding.UP:
        return math.ceil(shown * scale - slack) / scale
    if rounding is Rounding.DOWN:
        return math.floor(shown * scale + slack) / scale
    return round(shown, decimals)


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


def known_unit(unit: str, *shown: str) -> tuple[float, Dimension]:
    """What a number in `unit` is multiplied with to be in SI, and what it measures. Raises ValueError with
    the closest unit where there is none; `shown` are the whole text and the unit, ready for messages."""
    name = _SPELLINGS.get(unit, unit)
    if name not in _unit_names():
        text, word = shown or (f"'{unit}'", f"'{unit}'")
        known = [*_unit_names(), *_SPELLINGS]
        raise ValueError(f"{text}: no unit {word}{did_you_mean(unit, known)}")
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
