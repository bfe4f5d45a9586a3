"""Every number of the data is written twice: in its data file, and in `values.txt`, in the order of the
sources, so that whoever has a source open reads all that was taken from it in one place.

A slip of the hand in either is noticed. A value that is meant to change is changed in both, and CHANGELOG
says why: `python -m tests.catalogue.test_values` prints the list as the data files have it.
"""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
LIST = Path(__file__).with_name("values.txt")
FOLDERS = ("catalogue/data", "optimiser/mechanics/data")
WITHOUT = ("prices.toml", "words.toml")  # placeholders, and texts


def numbers(table: Mapping[str, Any], inside: tuple[str, ...], of: str = "") -> Iterator[str]:
    """Lines "source: file table key = value" of all numbers and quantities of a table and those within it."""
    of = str(table.get("source", of))
    for key, value in table.items():
        named = str(table.get(f"{key}_source", of))
        if isinstance(value, dict):
            yield from numbers(value, (*inside, key), named)
        elif isinstance(value, list) and any(isinstance(one, dict) for one in value):
            for number, one in enumerate(value, start=1):
                yield from numbers(one, (*inside, f"{key}[{number}]"), named)
        elif _is_number(value):
            yield f"{named or 'no source'}: {' '.join((*inside, key))} = {value}"


def _is_number(value: object) -> bool:
    if isinstance(value, list):
        return any(_is_number(one) for one in value)
    if isinstance(value, str):
        return value[:1].isdigit() or (value[:1] in "-." and any(c.isdigit() for c in value))
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def in_the_data() -> list[str]:
    """Every number of the data files, by source, file and table."""
    found: list[str] = []
    for folder in FOLDERS:
        for path in sorted((ROOT / folder).glob("*.toml")):
            if path.name not in WITHOUT:
                found += numbers(tomllib.loads(path.read_text("utf-8")), (path.stem,))
    return sorted(found)


def test_every_number_stands_in_the_list_as_in_the_data() -> None:
    listed = LIST.read_text("utf-8").splitlines()
    data = in_the_data()
    assert len(data) > 1000
    assert [line for line in data if line not in set(listed)] == []
    assert listed == data


if __name__ == "__main__":
    print("\n".join(in_the_data()))
