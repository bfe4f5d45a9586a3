"""Reads a user's price list, CSV or TOML, into rows that know where they stand."""

import csv
import re
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shared.errors import Fault, InputError
from shared.words import did_you_mean


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a list: where it stands, for messages, and what stands in it."""

    place: str
    line: int | None
    cells: Mapping[str, Any]


def rows(
    path: Path, *, columns: Collection[str], text_columns: Callable[[str], Collection[str]]
) -> Iterator[Row]:
    """The rows of the list at `path`.

    `columns`: the headings a CSV may have; `text_columns`: by the row's kind ("" where it has
    none), those whose cells stay texts.

    Raises:
        InputError: the file cannot be read, or is no price list at all.
    """
    source = str(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as bad:
        raise InputError(source, [Fault("", f"cannot be read: {bad.strerror}")]) from bad
    except UnicodeDecodeError as bad:
        raise InputError(source, [Fault("", "is not UTF-8 text")]) from bad
    suffix = path.suffix.casefold()
    if suffix == ".toml":
        return _toml_rows(text, source)
    if suffix == ".csv":
        return _csv_rows(text, source, columns, text_columns)
    raise InputError(source, [Fault("", "a price list is a .csv or a .toml file")])


OF_ALL = ("shop", "currency")
"""Keys of a list in TOML that hold for each of its items that does not say otherwise."""


def _toml_rows(text: str, source: str) -> Iterator[Row]:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as bad:
        raise InputError(source, [Fault("", f"is not TOML: {bad}")]) from bad
    for key in document:
        if key not in ("item", *OF_ALL):
            wording = (
                "no such key: each item is an [[item]] table, above them stand shop and currency"
            )
            raise InputError(source, [Fault(key, wording)])
    items = document.get("item", [])
    if not isinstance(items, list) or not all(isinstance(cells, dict) for cells in items):
        raise InputError(source, [Fault("item", "each item is an [[item]] table")])
    for_all = {key: document[key] for key in OF_ALL if key in document}
    lines = _headings(text)
    for number, cells in enumerate(items):
        line = lines[number] if len(lines) == len(items) else None
        yield Row(f"item[{number}]", line, for_all | cells)


def _headings(text: str) -> list[int]:
    """The lines of the headings of items; those in a text over several lines are among them."""
    return [
        number
        for number, line in enumerate(text.splitlines(), start=1)
        if re.match(r"\s*\[\[\s*item\s*\]\]", line)
    ]


def _csv_rows(
    text: str,
    source: str,
    columns: Collection[str],
    text_columns: Callable[[str], Collection[str]],
) -> Iterator[Row]:
    """Rows of a CSV with a heading row, parted by commas or, where it has more, semicolons."""
    heading = text.partition("\n")[0]
    parting = ";" if heading.count(";") > heading.count(",") else ","
    reader = csv.reader(text.splitlines(), delimiter=parting, skipinitialspace=True)
    names = [name.strip() for name in next(reader, [])]
    faults = [
        Fault(name, f"no such column{did_you_mean(name, columns)}", 1)
        for name in names
        if name not in columns
    ]
    twice = sorted({name for name in names if names.count(name) > 1})
    faults += [Fault(name, "this column is there twice", 1) for name in twice]
    if faults:
        raise InputError(source, faults)
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        line = reader.line_num
        if len(cells) != len(names):
            wording = f"{len(cells)} cells under {len(names)} headings"
            raise InputError(source, [Fault("", wording, line)])
        named = zip(names, (cell.strip() for cell in cells), strict=True)
        found = {name: cell for name, cell in named if cell}
        yield Row(f"row {line}", line, _typed(found, text_columns(found.get("kind", ""))))


def _typed(cells: Mapping[str, str], texts: Collection[str]) -> dict[str, Any]:
    """Cells of a CSV as the numbers and flags they stand for."""
    return {name: cell if name in texts else _literal(cell) for name, cell in cells.items()}


def _literal(cell: str) -> bool | int | float | str:
    if cell.casefold() in ("true", "false"):
        return cell.casefold() == "true"
    if re.fullmatch(r"\d+", cell):
        return int(cell)
    if re.fullmatch(r"\d*\.\d+|\d+\.", cell):
        return float(cell)
    return cell
