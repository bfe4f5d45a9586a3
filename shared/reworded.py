"""Texts of this program and of its data in the units that somebody reads.

Figures are shown in the units of a site by `units.show`. What stands in prose, in the names of the
catalogue or in the notation of a reeving ("snatch block, 100 mm sheave", "leave a tail of at least 75 mm",
"ash@0.762 m") is written in metric units once, and put into others here, where it is printed.
"""

import re
from collections.abc import Collection
from functools import lru_cache

from shared.units import STANDARD_GRAVITY, Dimension, show

_FOOT, _INCH, _POUND = 0.3048, 0.0254, 0.45359237
_LBF = _POUND * STANDARD_GRAVITY

_LENGTHS = {"mm": 0.001, "cm": 0.01, "m": 1.0}
# unit: the unit it becomes, and how many of that are in one
_OTHERS = {
    "km": ("miles", 1000.0 / (5280.0 * _FOOT)),
    "g": ("oz", 16.0 * 0.001 / _POUND),
    "kg": ("lb", 1.0 / _POUND),
    "t": ("lb", 1000.0 / _POUND),
    "N": ("lbf", 1.0 / _LBF),
    "daN": ("lbf", 10.0 / _LBF),
    "kN": ("lbf", 1000.0 / _LBF),
    "kgf": ("lbf", 1.0 / _POUND),
    "N·m": ("lbf·ft", 1.0 / (_LBF * _FOOT)),
    "kN·m": ("lbf·ft", 1000.0 / (_LBF * _FOOT)),
    "N·m/kg": ("lbf·ft/lb", _POUND / (_LBF * _FOOT)),
    "J": ("ft·lbf", 1.0 / (_LBF * _FOOT)),
    "Pa": ("psi", _INCH**2 / _LBF),
    "kPa": ("psi", 1e3 * _INCH**2 / _LBF),
    "MPa": ("psi", 1e6 * _INCH**2 / _LBF),
    "GPa": ("psi", 1e9 * _INCH**2 / _LBF),
    "N/mm²": ("psi", 1e6 * _INCH**2 / _LBF),
    "kN/m": ("lbf/ft", 1000.0 * _FOOT / _LBF),
    "N/m": ("lbf/ft", _FOOT / _LBF),
    "kg/m": ("lb/ft", _FOOT / _POUND),
    "g/m": ("lb/ft", 0.001 * _FOOT / _POUND),
    "kg/m³": ("lb/ft³", _FOOT**3 / _POUND),
    "kg/m3": ("lb/ft³", _FOOT**3 / _POUND),
    "m³": ("ft³", _FOOT**-3),
    "m²": ("ft²", _FOOT**-2),
    "cm²": ("in²", 1e-4 * _INCH**-2),
    "mm²": ("in²", 1e-6 * _INCH**-2),
    "m/s": ("ft/s", 1.0 / _FOOT),
    "km/h": ("mph", 1000.0 / (5280.0 * _FOOT)),
}
_SMALL_VOLUME = 0.01
"""m³: below it cubic inches are shown (section moduli of stems)."""

_IN_WORDS = {
    "kilonewtons": "hundreds of pounds",
    "kilograms": "pounds",
    "tonnes": "tons",
    "millimetre": "hair's breadth",
    "centimetres": "inches",
    "metres": "feet",
    "metre": "yard",
}
"""Measures without a figure ("some hundred metres"): near enough, as no number depends on them."""

_WORD = re.compile(rf"\b({'|'.join(_IN_WORDS)})\b", re.IGNORECASE)

_UNITS = "|".join(sorted(map(re.escape, [*_LENGTHS, *_OTHERS]), key=len, reverse=True))
_NUMBER = r"\d+(?:,\d{3})*(?:\.\d+)?(?:e-?\d+)?"
_JOINT = r"\s*(?:\.\.|to|and|or|x|by|–)\s*"
_BEGINS = r"(?<![\w.,/-])"
_ENDS = r"(?![\w·/²³]|\.\d)"
_FIGURE = re.compile(
    rf"(?P<at>@)(?P<height>{_NUMBER}) m{_ENDS}"
    rf"|{_BEGINS}(?P<tilt>{_NUMBER})\s?mm per m{_ENDS}"
    rf"|{_BEGINS}(?P<sign>-?)(?P<numbers>{_NUMBER}(?:{_JOINT}{_NUMBER})*)\s?(?P<unit>{_UNITS}){_ENDS}"
    rf"|\b(?P<word>(?i:{'|'.join(_IN_WORDS)}))\b"
)


def reworded(text: str, system: str = "metric", own: Collection[str] = ()) -> str:
    """`text` with every metric quantity in it in the units of `system`; itself where that is metric.

    `own`: names that somebody gave to things, left as they are. Lengths become inches, or feet and inches;
    the heights in a reeving feet with three decimals, which are read back to the same place.
    """
    if system == "metric":
        return text
    return _figures(tuple(sorted(own, key=len, reverse=True))).sub(_put, text)


@lru_cache(maxsize=8)
def _figures(own: tuple[str, ...]) -> re.Pattern[str]:
    """Every quantity; what is somebody's own name is met first, and left."""
    names = [name for name in own if _FIGURE.search(name) or _WORD.search(name)]
    if not names:
        return _FIGURE
    return re.compile(rf"(?P<own>{'|'.join(map(re.escape, names))})|{_FIGURE.pattern}")


def _put(match: re.Match[str]) -> str:
    found = match.groupdict()
    if found.get("own"):
        return match[0]
    if found["word"]:
        word = _IN_WORDS[found["word"].lower()]
        return word.capitalize() if found["word"][0].isupper() else word
    if found["at"]:
        feet = float(found["height"].replace(",", "")) / _FOOT
        return f"@{f'{feet:.3f}'.rstrip('0').rstrip('.')} ft"
    if found["tilt"]:
        return f"{float(found['tilt']) * 0.012:.2g} in per ft"
    return found["sign"] + _each(found["numbers"], found["unit"])


def _each(numbers: str, unit: str) -> str:
    """The numbers in front of one unit, each with its new one; of others than lengths the last alone."""
    values = [float(digits.replace(",", "")) for digits in re.findall(_NUMBER, numbers)]
    if unit in _LENGTHS:
        shown = [_length(value * _LENGTHS[unit]) for value in values]
        joints = [
            " to " if between.strip() == ".." else between
            for between in re.split(_NUMBER, numbers)[1:-1]
        ]
        return shown[0] + "".join(map("".join, zip(joints, shown[1:], strict=True)))
    name, factor = _OTHERS[unit]
    if unit == "m³" and max(values) < _SMALL_VOLUME:
        name, factor = "in³", _INCH**-3
    rest = iter(values)
    shown_numbers = re.sub(_NUMBER, lambda _: _short(next(rest) * factor), numbers)
    return f"{shown_numbers} {name}"


def _length(value: float) -> str:
    return show(value, Dimension.SIZE if value < _FOOT else Dimension.LENGTH, "imperial")


def _short(value: float) -> str:
    """Three digits, or all of a whole number."""
    return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.3g}"
