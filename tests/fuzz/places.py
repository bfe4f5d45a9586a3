"""Finding one's way in a document: every table, every value, with where it hangs."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Slot:
    """A value inside a dict or a list. `path` as in a key of the file, for reports."""

    holder: Any
    key: str | int
    path: tuple[str | int, ...]

    @property
    def value(self) -> Any:
        return self.holder[self.key]

    def put(self, value: Any) -> None:
        self.holder[self.key] = value

    @property
    def name(self) -> str:
        """The last word of the path: the key itself, or that of the list it stands in."""
        return next((part for part in reversed(self.path) if isinstance(part, str)), "")


def slots(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[Slot]:
    """Every value, outer ones first."""
    steps = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in steps:
        here = (*path, key)
        yield Slot(node, key, here)
        if isinstance(value, dict | list):
            yield from slots(value, here)


def leaves(document: dict[str, Any]) -> list[Slot]:
    """Every value that has nothing further in it."""
    return [slot for slot in slots(document) if not isinstance(slot.value, dict | list)]


def tables(document: dict[str, Any]) -> list[Slot]:
    """Every table and every table of a list."""
    return [slot for slot in slots(document) if isinstance(slot.value, dict)]


def lists_of_tables(document: dict[str, Any]) -> list[Slot]:
    """Every list of tables."""
    return [
        slot
        for slot in slots(document)
        if isinstance(slot.value, list) and any(isinstance(v, dict) for v in slot.value)
    ]


def points(document: dict[str, Any]) -> list[Slot]:
    """Every list of three coordinates."""
    return [
        slot
        for slot in slots(document)
        if isinstance(slot.value, list)
        and len(slot.value) == 3
        and all(isinstance(v, str) for v in slot.value)
        and slot.name in ("at", "to", "towards", "start")
    ]
