"""How exact readings of a bank are, by kind of reading and what it was read with."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import hypot

from catalogue.files import table
from shared.units import Dimension
from shared.written import parse

ANGLES = ("slope", "bearing", "turn")
"""Kinds of readings that are angles; all others are lengths."""

LEAST = 1e-3
"""m, or rad: no reading is taken for more exact than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exactness:
    """One standard deviation of a reading: `fixed` [m, or rad of an angle] and a `share` of what was read.
    `text`: as it is written; `source`: key of the list of sources."""

    text: str
    fixed: float
    share: float = 0.0
    angle: bool = False
    source: str = "site"

    def sigma(self, value: float, spot: float = 0.0) -> float:
        """Standard deviation of a reading of `value`; `spot`: how exactly each end of it is hit, m."""
        return max(LEAST, hypot(self.fixed + self.share * abs(value), 2**0.5 * spot))


def exactness(text: str, source: str = "site") -> Exactness:
    """What "3 cm", "1 %", "1 cm + 0.1 %" or "2 deg" say. ValueError, with what was expected, for anything
    else, and for nothing at all."""
    fixed, share, angle = 0.0, 0.0, False
    parts = [part.strip() for part in re.split(r"\s\+\s", text)]
    for part in parts:
        if part.endswith("%"):
            share += parse(part, Dimension.RATIO).stated
        elif len(parts) == 1 and _is_angle(part):
            fixed, angle = parse(part, Dimension.ANGLE).stated, True
        else:
            fixed += parse(part, Dimension.LENGTH).stated
    if fixed <= 0.0 and share <= 0.0:
        raise ValueError(
            f"no reading is exact: expected a length such as '5 cm', got '{text[:40]}'"
        )
    return Exactness(text=text, fixed=fixed, share=share, angle=angle, source=source)


def instruments(kind: str) -> Mapping[str, Exactness]:
    """What a kind of reading is read with, by name, the usual one first. KeyError: no such kind."""
    rows = table("instruments")[kind]
    order = sorted(rows, key=lambda name: not rows[name].get("default", False))
    return {name: exactness(rows[name]["accuracy"], rows[name]["source"]) for name in order}


@cache
def usual(kind: str) -> Exactness:
    """How exact a kind of reading is where nobody says. KeyError: no such kind."""
    return next(iter(instruments(kind).values()))


@cache
def spot() -> float:
    """How exactly the end of a length is hit again, m."""
    return exactness(table("instruments")["spot"]["accuracy"]).fixed


@cache
def square() -> float:
    """How far a right angle by eye is off, as a share of the length that is laid off by it."""
    return exactness(table("instruments")["square"]["accuracy"]).share


@cache
def by_eye() -> Exactness:
    """How exactly somebody goes straight on by eye."""
    return exactness(table("instruments")["straight_on"]["accuracy"])


def _is_angle(text: str) -> bool:
    try:
        parse(text, Dimension.ANGLE)
    except ValueError:
        return False
    return True
