"""Names are words of the field: an answer is printed or reported, a question requested, a claim stated."""

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house.imports import ROOT

INSTEAD = {
    "told": "printed, reported, worded",
    "untold": "not printed",
    "tell": "print, report",
    "tells": "prints, reports",
    "asked": "requested, needed",
    "unasked": "without a request",
    "asks": "requests, needs",
    "said": "stated, reported",
    "heard": "reported",
}
"""Words that name nothing here, and what to write instead. `hold` and `held` are the trade's, of a line or a
hand that keeps a load."""


def identifiers(text: str) -> Iterator[tuple[int, str]]:
    """Every name that a module gives or uses, with its line."""
    for node in ast.walk(ast.parse(text)):
        for field in ("id", "arg", "attr", "name", "asname"):
            name = getattr(node, field, None)
            if isinstance(name, str):
                yield getattr(node, "lineno", 0), name


def words(name: str) -> set[str]:
    """The words in a name, be it snake_case or CamelCase."""
    return {word.lower() for word in re.findall(r"[A-Z]?[a-z]+|[A-Z]+", name)}


@pytest.mark.parametrize("top", ["optimiser", "catalogue", "shared", "tests"])
def test_names_are_words_of_the_field(top: str) -> None:
    wrong = [
        f"{path.relative_to(ROOT)}:{line} {name}: {word} -> {INSTEAD[word]}"
        for path in sorted((ROOT / top).rglob("*.py"))
        for line, name in [(0, path.stem), *identifiers(path.read_text(encoding="utf-8"))]
        for word in sorted(words(name) & INSTEAD.keys())
    ]
    assert wrong == []


def test_such_a_name_is_noticed() -> None:
    found = {name for _, name in identifiers("def f(asked):\n    return asked.told, g(said=1)\n")}
    assert {word for name in found for word in words(name)} >= {"asked", "told", "said"}
