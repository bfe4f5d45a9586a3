"""A site file in feet, inches and pounds that means what one in metric units does."""

import re

IN = {
    "m": ("ft", 0.3048),
    "cm": ("in", 0.0254 * 100),
    "mm": ("in", 0.0254 * 1000),
    "kg": ("lb", 0.45359237),
    "kN": ("lbf", 4.4482216152605 / 1000),
    "N": ("lbf", 4.4482216152605),
}
"""Each unit's other one, and how many of the first are in one of that (exact by definition)."""

_QUANTITY = re.compile(r'"(-?[\d.]+?)(?:\.\.(-?[\d.]+))? ?(mm|cm|m|kg|kN|N)"')

METRIC = re.compile(
    r"(?<![\w.-])\d[\d.,]*\s?(?:mm|cm|m|km|g|kg|t|N|kN|daN|kgf|J|Pa|kPa|MPa|N·m|kN·m|N·m/kg|kg/m|kg/m³|m³|m²|m/s)(?![\w·/²³])"
    r"|\b(?:[Mm]|[Mm]illim|[Cc]entim|[Kk]ilom)et(?:re|er)s?\b|\b(?:kilo)?grams?\b"
    r"|\b(?:kilo)?newtons?\b|\btonnes?\b|\b(?:kN|kg|mm|cm|MPa)\b",
)
"""What nobody who measures in feet wants to read: a figure with a metric unit, or its word."""


def imperial(text: str) -> str:
    """The site file with every quantity in the other units, to ten digits."""
    text = _QUANTITY.sub(_put, text)
    if 'units = "' in text:
        return re.sub(r'units = "\w+"', 'units = "imperial"', text)
    head, preferences, rest = text.partition("[preferences]")
    return f'{head}[preferences]\nunits = "imperial"\n{rest if preferences else ""}'


def _put(match: re.Match[str]) -> str:
    unit, size = IN[match[3]]
    ends = [f"{float(end) / size:.12g}" for end in match.groups()[:2] if end is not None]
    return f'"{"..".join(ends)} {unit}"'


def metric_in(text: str) -> list[str]:
    """The lines that have anything metric in them."""
    return [line for line in text.splitlines() if METRIC.search(line)]
