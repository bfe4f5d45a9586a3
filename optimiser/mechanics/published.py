"""The numbers the formulas need besides their arguments, from data files that name each source.

A file `data/NAME.toml` has one table per number (or per small table of numbers) with the keys
`value` or `values` or named lists, `unit`, `source` and `note`.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """One number with its unit ("" for a plain factor), its source's key and a remark."""

    value: float
    unit: str
    source: str
    note: str = ""


@cache
def tables(name: str) -> Mapping[str, Any]:
    """Everything in `data/NAME.toml`, as read."""
    text = files("optimiser.mechanics").joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


@cache
def number(name: str, key: str) -> Published:
    """The number `key` of `data/NAME.toml`; KeyError where there is none."""
    entry = tables(name)[key]
    return Published(
        value=float(entry["value"]),
        unit=str(entry["unit"]),
        source=str(entry["source"]),
        note=str(entry.get("note", "")),
    )


@cache
def row(name: str, key: str, column: str = "values") -> tuple[float, ...]:
    """The list `column` of the entry `key` of `data/NAME.toml`."""
    return tuple(float(cell) for cell in tables(name)[key][column])


def source_of(name: str, key: str) -> str:
    """The source's key of the entry `key` of `data/NAME.toml`."""
    return str(tables(name)[key]["source"])
