"""From an entry of a data file (or of somebody's price list) to a value object.

An entry is a table of field names with texts, numbers and flags. `build` checks every field against
the value type it is for and reports all that is wrong with it; `expand` multiplies out a family of
entries that differ in a few fields, so that a table in a file looks like the table it is from.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, Field, fields
from enum import Enum
from itertools import product
from typing import Any, TypeVar

from catalogue.amounts import amount
from shared.words import did_you_mean

T = TypeVar("T")

NOTHING = ("unrated", "none")
"""How a file states that there is no such value."""

DIMENSIONS = {
    **dict.fromkeys(
        ("diameter", "rope_least", "rope_most", "sheave_diameter", "length", "eye", "bow_diameter"),
        "length",
    ),
    **dict.fromkeys(("pin_diameter", "jaw", "width", "size", "throat", "eats"), "length"),
    **dict.fromkeys(("purchase", "wheel_radius", "clearance", "bend_radius", "covers"), "length"),
    **dict.fromkeys(("mbs", "wll", "per_person"), "force"),
    **dict.fromkeys(("rupture", "compression"), "stress"),
    **dict.fromkeys(("angle_limit", "rise_limit"), "angle"),
    "mass_per_metre": "mass per length",
    "stem_density": "density",
}
"""Dimension of the fields that have one; every other number is a plain ratio or count."""


class BadEntryError(ValueError):
    """An entry that does not describe a value; `faults` are (field, message)."""

    def __init__(self, faults: Sequence[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{field}: {message}" for field, message in faults))


def expand(family: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Every entry of a family: its common fields, joined with each of `rows`, for all of `each`.

    `each` is a table of lists; `id` and `name` may name fields in braces, and blanks in the id are
    dropped ("strap-50-{length}" with "2 m" gives "strap-50-2m"). `label` is only for such use.
    """
    common = {key: value for key, value in family.items() if key not in ("rows", "each")}
    each: Mapping[str, list[Any]] = family.get("each", {})
    for row in family["rows"]:
        for choice in product(*each.values()):
            entry = {**common, **row, **dict(zip(each, choice, strict=True))}
            entry["id"] = str(entry["id"]).format_map(entry).replace(" ", "")
            entry["name"] = str(entry["name"]).format_map(entry)
            entry.pop("label", None)
            yield entry


def build(kind: type[T], entry: Mapping[str, Any]) -> T:
    """The value object an entry describes.

    `<field>_source` beside a field names that one value's source; values already in SI may be given
    as floats under the field "<field>_si".

    Raises:
        BadEntryError: with every unknown, missing or unreadable field.
    """
    known = _fields(kind)
    values: dict[str, Any] = {}
    sources: list[tuple[str, str]] = []
    faults: list[tuple[str, str]] = []
    for key, raw in entry.items():
        base = key.removesuffix("_source")
        try:
            if key in known:
                values[key] = _value(known[key], raw)
            elif key.endswith("_si") and key[:-3] in known:
                values[key[:-3]] = raw
            elif base != key and base in known and "value_sources" in known:
                sources.append((base, str(raw)))
            else:
                faults.append((key, f"no such field{did_you_mean(key, known)}"))
        except ValueError as bad:
            faults.append((key, str(bad)))
    named = {key for key, _ in faults}
    for name, field in known.items():
        if name not in values and field.default is MISSING and name not in named:
            faults.append((name, "is missing"))
    if faults:
        raise BadEntryError(faults)
    if sources:
        values["value_sources"] = tuple(sources)
    return kind(**values)


def _fields(kind: type) -> dict[str, Field[Any]]:
    return {field.name: field for field in fields(kind)}


def _value(field: Field[Any], raw: Any) -> Any:
    """One field's value; ValueError states what was expected."""
    optional = field.type == float | None
    if optional or field.type is float:
        if isinstance(raw, str) and raw in NOTHING and optional:
            return None
        dimension = DIMENSIONS.get(field.name)
        if dimension is not None:
            if not isinstance(raw, str):
                raise ValueError(f"{raw!r} needs a unit: write it as a {dimension}")
            return amount(raw, dimension)
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise ValueError(f"{raw!r} is not a number")
        return float(raw)
    if isinstance(field.type, type) and issubclass(field.type, Enum):
        try:
            return field.type(raw)
        except ValueError:
            known = ", ".join(str(member.value) for member in field.type)
            raise ValueError(f"{raw!r} is none of {known}") from None
    words: dict[object, str] = {bool: "true or false", int: "a whole number", str: "a text"}
    expected = words.get(field.type)
    if expected is None:  # tuples and dicts are made by whoever knows them
        return raw
    if type(raw) is not field.type:
        raise ValueError(f"{raw!r} is not {expected}")
    return raw
