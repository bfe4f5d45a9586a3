"""Writes the JSON Schema of answers from the description of their fields."""

import re
from collections.abc import Iterator
from typing import Any

from shared.columns import Column, Kind, Many, Named, Of, Record, Where
from shared.units import Dimension

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_TYPES = {Kind.TEXT: "string", Kind.FLAG: "boolean", Kind.COUNT: "integer"}


def schema(title: str, alternatives: tuple[Of, ...]) -> dict[str, Any]:
    """The schema of a document that is one of some kinds. Numbers have a "unit" beside their type."""
    any_of = [_kind(kind, "") for kind in alternatives]
    found = dict(records(alternatives))
    return {
        "$schema": DIALECT,
        "title": title,
        **(any_of[0] if len(any_of) == 1 else {"anyOf": any_of}),
        "$defs": {name: _object(record) for name, record in sorted(found.items())},
    }


def _object(record: Record[Any]) -> dict[str, Any]:
    columns = [column for column in record.columns if Where.JSON in column.forms]
    fixed = [column for column in columns if column.titled is None]
    named = {f"^{re.escape(c.data_name)}": _property(c) for c in columns if c.titled is not None}
    return {
        "type": "object",
        "description": record.means,
        "properties": {column.data_name: _property(column) for column in fixed},
        **({"patternProperties": named} if named else {}),
        "required": [column.data_name for column in fixed if column.when is None],
        "additionalProperties": False,
    }


def _property(column: Column[Any]) -> dict[str, Any]:
    found = _kind(column.kind, column.data_unit)
    if column.none:
        kind = found.get("type")
        found = {**found, "type": [kind, "null"]} if kind else {"anyOf": [found, {"type": "null"}]}
    return {"description": column.means, **found}


def _kind(kind: Of, unit: str) -> dict[str, Any]:
    """What values of a kind are; numbers with their unit, "1" where they are plain."""
    if isinstance(kind, Record):
        return {"$ref": f"#/$defs/{kind.name}"}
    if isinstance(kind, Many):
        return {"type": "array", "items": _kind(kind.of, unit)}
    if isinstance(kind, Named):
        return {"type": "object", "additionalProperties": _kind(kind.of, unit)}
    if isinstance(kind, type):
        return {"enum": [one.value for one in kind]}
    if isinstance(kind, Dimension):
        return {"type": "number", "unit": unit or "1"}
    found = {"type": _TYPES.get(kind, "number")}
    return found if found["type"] in ("string", "boolean") else {**found, "unit": kind.value}


def records(kinds: tuple[Of, ...]) -> Iterator[tuple[str, Record[Any]]]:
    """Every kind of object that some kinds have in them, by name."""
    for kind in kinds:
        if isinstance(kind, (Many, Named)):
            yield from records((kind.of,))
        if isinstance(kind, Record):
            yield kind.name, kind
            yield from records(
                tuple(column.kind for column in kind.columns if Where.JSON in column.forms)
            )
