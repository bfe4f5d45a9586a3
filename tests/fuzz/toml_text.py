"""A document as TOML text: just enough to write down what a site file may be turned into."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from json import dumps
from tomllib import loads
from typing import Any


def written(document: Mapping[str, Any]) -> str:
    """The text that `tomllib` reads as this document again."""
    return "\n".join(_table(document, ())) + "\n"


def _table(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    later = []
    for key, value in table.items():
        if isinstance(value, dict) or _of_tables(value):
            later.append((key, value))
        else:
            yield f"{key_text(key)} = {value_text(value)}"
    for key, value in later:
        here = (*path, key)
        name = ".".join(key_text(part) for part in here)
        if isinstance(value, dict):
            yield f"\n[{name}]"
            yield from _table(value, here)
        else:
            for item in value:
                yield f"\n[[{name}]]"
                yield from _table(item, here)


def _of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def key_text(key: str) -> str:
    """A key, in quotes where it is not bare."""
    bare = key.isascii() and key.replace("_", "a").replace("-", "a").isalnum()
    return key if bare else value_text(key)


def value_text(value: Any) -> str:
    """A value in one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # JSON's escapes are TOML's, but for the signs beyond 16 bits and DEL, which go in as they are.
        return dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return {"inf": "inf", "-inf": "-inf", "nan": "nan"}.get(repr(value), repr(value))
    if isinstance(value, date | time | datetime):
        return value.isoformat()
    if isinstance(value, list):
        return "[" + ", ".join(value_text(v) for v in value) + "]"
    inside = ", ".join(f"{key_text(k)} = {value_text(v)}" for k, v in value.items())
    return "{" + inside + "}"


def same(document: Mapping[str, Any]) -> bool:
    """Whether writing and reading gives the document back."""
    return loads(written(document)) == document
