"""Edits the text of a site file and keeps everything else in it as it stands: comments, order, blank lines.

Values are put in, taken out and added by key. What comes out is read again and compared with what was meant:
a text that would not say that is refused, so an edit never does more than it states.
"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Item, Table

from optimiser.site.lines import Key
from shared.errors import BankhaulError
from shared.units import Dimension, known_unit

Plain = str | int | float | bool | list[Any] | dict[str, Any]
"""What can stand in a site file."""


class EditError(BankhaulError):
    """An edit that leads nowhere in the text, or that cannot be written into it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """Puts a value at a key, in place of what stands there, if anything does. Tables on the way that are not
    there are made."""

    key: Key
    value: Plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """Takes out a key, or one item of a list. A list that is left empty goes too."""

    key: Key


@dataclass(frozen=True, slots=True, kw_only=True)
class Add:
    """Adds a table to the end of a list, such as one more `[[tree]]`."""

    key: Key
    table: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Insert:
    """Puts a value into a list in front of what stands at a key, such as one more point of a track; a key one
    beyond the last puts it at the end."""

    key: Key
    value: Plain


Edit = Put | Remove | Add | Insert


def edited(text: str, edits: Sequence[Edit]) -> str:
    """The text with some edits, one after the other. Raises EditError."""
    meant: dict[str, Any] = tomllib.loads(text)
    try:
        document = tomlkit.parse(text)
        for edit in edits:
            _apply(meant, edit, written=False)
            _apply(document, edit, written=True)
        out = tomlkit.dumps(document)
        same = tomllib.loads(out) == meant
    except (TOMLKitError, ValueError) as problem:
        raise EditError(f"this cannot be written into the file: {problem}") from problem
    if not same:
        raise EditError("this cannot be written into the file as it is laid out; edit its text")
    return out


_PLAIN = re.compile(r"\s*[-+]?[\d.]+\s*([A-Za-z]+)\s*")


def length_like(before: object, metres: float) -> str:
    """A length as people write it, in the unit of what stood there before: "3.25 m", "10.7 ft"."""
    unit, factor = "m", 1.0
    found = _PLAIN.fullmatch(before) if isinstance(before, str) else None
    if found is not None:
        with suppress(ValueError):
            size, dimension = known_unit(found[1])
            if dimension is Dimension.LENGTH:
                unit, factor = found[1], size
    elif isinstance(before, str) and re.search(r"ft|feet|['\u2032]", before):
        unit, factor = "ft", known_unit("ft")[0]
    digits = 2 if factor > 0.1 else 0
    shown = f"{round(metres / factor, digits) + 0.0:.{digits}f}"
    shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
    return f"{shown} {unit}"


def _apply(document: Any, edit: Edit, *, written: bool) -> None:
    match edit:
        case Put(key=key, value=value):
            _put(document, key, deepcopy(value), written=written)
        case Remove(key=key):
            _remove(document, key)
        case Add(key=key, table=table):
            _add(document, key, deepcopy(dict(table)), written=written)
        case Insert(key=key, value=value):
            _insert(document, key, deepcopy(value))


def _put(document: Any, key: Key, value: Plain, *, written: bool) -> None:
    *way, last = key
    here = document
    for number, step in enumerate(way):
        if isinstance(here, Mapping) and step not in here and isinstance(step, str):
            if number + 1 < len(way) and isinstance(way[number + 1], int):
                raise EditError(f"there is no list '{step}' in the file")
            here[step] = tomlkit.table() if written else {}  # type: ignore[index]
        here = _step(here, step)
    if isinstance(here, Mapping) == isinstance(last, int):
        raise EditError(f"'{last}' leads nowhere in the file")
    if isinstance(last, int):
        _step(here, last)
    new = _item(value) if written else value
    if written and isinstance(here, Mapping) and last in here:
        old = here[last]
        if isinstance(old, Item) and isinstance(new, Item):
            new.trivia.comment_ws, new.trivia.comment = (
                old.trivia.comment_ws,
                old.trivia.comment,
            )
    if written and isinstance(here, Table) and last not in here:
        _put_before_tables(here, str(last), new)
    else:
        here[last] = new


def _put_before_tables(table: Table, key: str, item: Any) -> None:
    """A plain value belongs above the tables below a table, or it would be one of theirs."""
    below = [name for name, value in table.items() if isinstance(value, Table | AoT)]
    plain = [name for name, value in table.items() if not isinstance(value, Table | AoT)]
    if not below or isinstance(item, Table | AoT):
        table.append(key, item)
    elif plain:
        table.value._insert_after(plain[-1], key, item)
    else:
        table.value._insert_at(0, tomlkit.key(key), item)


def _remove(document: Any, key: Key) -> None:
    *way, last = key
    here = document
    for step in way:
        here = _step(here, step)
    _step(here, last)
    del here[last]
    if isinstance(last, int) and not len(here) and way:
        _remove(document, tuple(way))


def _add(document: Any, key: Key, table: dict[str, Any], *, written: bool) -> None:
    *way, last = key
    here = document
    for step in way:
        if isinstance(here, Mapping) and step not in here and isinstance(step, str):
            here[step] = tomlkit.table() if written else {}  # type: ignore[index]
        here = _step(here, step)
    if not isinstance(here, Mapping) or not isinstance(last, str):
        raise EditError(f"'{last}' is no list of the file")
    if not written:
        rows = here.setdefault(last, [])  # type: ignore[attr-defined]
        if not isinstance(rows, list):
            raise EditError(f"'{last}' is no list of the file")
        rows.append(table)
        return
    before = here.get(last, document)
    if last not in here:
        here[last] = tomlkit.aot()  # type: ignore[index]
    rows = here[last]
    if isinstance(rows, AoT):
        rows.append(_apart(_table(table), before))
    elif isinstance(rows, Array):
        rows.append(table)
    else:
        raise EditError(f"'{last}' is no list of the file")


def _insert(document: Any, key: Key, value: Plain) -> None:
    *way, last = key
    here = document
    for step in way:
        here = _step(here, step)
    if not isinstance(here, list) or isinstance(here, AoT) or not isinstance(last, int):
        raise EditError(f"'{last}' is no place in a list of the file")
    if not 0 <= last <= len(here):
        raise EditError(f"'{last}' leads nowhere in the file")
    here.insert(last, value)


def _apart(table: Table, before: Any) -> Table:
    """The table with a blank line above it, and below it where there was one before it was put in."""
    text = before.as_string() if hasattr(before, "as_string") else ""
    if text.endswith("\n\n"):
        table.add(tomlkit.nl())
    elif text:
        table.trivia.indent = "\n"
    return table


def _step(here: Any, step: str | int) -> Any:
    try:
        if isinstance(here, Mapping) == isinstance(step, int):
            raise KeyError(step)
        if isinstance(step, int) and not 0 <= step < len(here):
            raise KeyError(step)
        return here[step]
    except (KeyError, IndexError, TypeError) as problem:
        raise EditError(f"'{step}' leads nowhere in the file") from problem


def _table(values: Mapping[str, Any]) -> Table:
    """A table as people write it: plain values first, lists of tables below."""
    out = tomlkit.table()
    rows = {k: v for k, v in values.items() if _is_tables(v)}
    for key, value in values.items():
        if key not in rows:
            out.append(key, _item(value))
    for key, value in rows.items():
        below = tomlkit.aot()
        for each in value:
            below.append(_table(each))
        out.append(key, below)
    return out


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def _item(value: Plain) -> Any:
    return _table(value) if isinstance(value, dict) else tomlkit.item(value)
