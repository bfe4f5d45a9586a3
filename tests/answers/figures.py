"""Every figure of an answer in JSON, a line for each, without the words."""

from collections.abc import Iterator
from math import isfinite
from typing import Any

DIGITS = 5
NOTHING = 1e-7
SERIES = 6
"""Longer lists of rows are along a path: of those the ends, the least, the greatest and the mean."""


def figures(answer: Any) -> str:
    """The figures of an answer."""
    return "".join(f"{key} {text}\n" for key, text in _flat(answer, ""))


def _flat(value: Any, key: str) -> Iterator[tuple[str, str]]:
    match value:
        case bool() | None:
            yield key, str(value)
        case int() | float():
            yield key, rounded(value)
        case dict():
            for name, inner in value.items():
                yield from _flat(inner, f"{key}.{name}" if key else name)
        case list() if len(value) > SERIES and all(isinstance(row, dict) for row in value):
            yield key, f"{len(value)} rows"
            for name in value[0]:
                yield from _series([row.get(name) for row in value], f"{key}.{name}")
        case list():
            for number, inner in enumerate(value, start=1):
                yield from _flat(inner, f"{key}[{number}]")
        case str():
            pass  # words are kept by other cases
        case _:
            raise TypeError(key)


def _series(values: list[Any], key: str) -> Iterator[tuple[str, str]]:
    numbers = [v for v in values if isinstance(v, int | float) and not isinstance(v, bool)]
    if not numbers:
        return
    kept = (numbers[0], numbers[-1], min(numbers), max(numbers), sum(numbers) / len(numbers))
    yield key, f"{len(numbers)} of {len(values)}: " + " ".join(rounded(number) for number in kept)


def rounded(value: float) -> str:
    """To five digits that count. There is always a point before the last one, which may be off by one."""
    if abs(value) < NOTHING:
        return "0"
    plain = isinstance(value, int) or not isfinite(value)
    return str(value) if plain else f"{value:.{DIGITS - 1}e}"
