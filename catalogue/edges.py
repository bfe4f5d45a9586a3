"""Friction of ropes that run over what is laid on an edge, and what no rope may run over."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from catalogue.files import table
from catalogue.gear import Protector, Rope

ANY = "any"
"""Every rope whose material has no line of its own."""
ANYTHING_LAID = "anything laid"
"""Something that lies on an edge, and nobody says what: no table of the file, the widest of all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeFriction:
    """Coefficient of friction of a rope on a surface: `high` is planned with in hauling, `low` in letting
    down. `source`: key of the list of sources; `low_source`, `high_source`: where one end is from another."""

    low: float
    high: float
    source: str
    low_source: str = ""
    high_source: str = ""
    note: str = ""

    @property
    def sources(self) -> tuple[str, ...]:
        """Keys of the sources of the low and of the high end, each once."""
        return tuple(
            dict.fromkeys((self.low_source or self.source, self.high_source or self.source))
        )


@cache
def surfaces() -> tuple[str, ...]:
    """What may lie under a rope, as the data file calls it, and `ANYTHING_LAID`."""
    return (*_rows_of("laid"), ANYTHING_LAID)


@cache
def on_material(surface: str, material: str) -> EdgeFriction:
    """Friction of a rope of that material on a surface; `ANY`, or a material that names none of the file or
    several of them: of the widest range there. KeyError: no such surface."""
    if surface == ANYTHING_LAID:
        every = [on_material(each, material) for each in _rows_of("laid")]
        low, high = min(every, key=lambda row: row.low), max(every, key=lambda row: row.high)
        return EdgeFriction(
            low=low.low,
            high=high.high,
            source="derived",
            note="The least and the most of all that may lie there.",
        )
    rows = {**_rows_of("laid"), **_rows_of("bare")}[surface]
    named = [row for row in rows if row != ANY and row.casefold() in material.casefold()]
    return EdgeFriction(**rows[named[0] if len(named) == 1 else ANY])


def friction(surface: str, rope: Rope) -> EdgeFriction:
    """Friction of a rope on a surface. KeyError: no such surface."""
    return on_material(surface, rope.material)


def rubbing(protector: Protector, rope: Rope) -> EdgeFriction:
    """Friction of a rope on what lies on an edge: as its owner measured it, else by its surface."""
    if protector.friction is None:
        return friction(protector.surface, rope)
    low, high = protector.friction
    return EdgeFriction(low=low, high=high, source="site")


@cache
def _rows_of(part: str) -> dict[str, dict[str, dict[str, Any]]]:
    """The tables of one part of the file: by surface, then by material."""
    rows: dict[str, dict[str, dict[str, Any]]] = table("edges")[part]
    return rows
