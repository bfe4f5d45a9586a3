"""Friction of ropes that run over what is laid on an edge."""

from dataclasses import dataclass
from functools import cache

from catalogue.files import table
from catalogue.gear import Rope

ANY = "any"
"""Every rope whose material has no line of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeFriction:
    """Coefficient of friction of a rope on a surface: `high` is planned with in hauling, `low` in letting
    down. `source`: key of the list of sources."""

    low: float
    high: float
    source: str
    note: str = ""


@cache
def surfaces() -> tuple[str, ...]:
    """What a rope may run on, as the data file calls it."""
    return tuple(table("edges"))


@cache
def on_material(surface: str, material: str) -> EdgeFriction:
    """Friction of a rope of that material on a surface. KeyError: no such surface."""
    rows = table("edges")[surface]
    row = next((rows[m] for m in rows if m.casefold() == material.casefold()), rows[ANY])
    return EdgeFriction(**row)


def friction(surface: str, rope: Rope) -> EdgeFriction:
    """Friction of a rope on a surface. KeyError: no such surface."""
    return on_material(surface, rope.material)
