"""`bankhaul gear`: what the catalogue knows."""

from dataclasses import fields
from enum import Enum
from typing import Any

import click

from optimiser.commands.options import form_option, tell

_TOLD_APART = ("id", "name", "source", "value_sources")


@click.command("gear")
@click.argument("word", required=False)
@form_option
def command(word: str | None, form: str) -> None:
    """List the catalogue of gear.

    All of it, or what has WORD in its id, name or kind.

    Example: bankhaul gear polyester
    """
    from catalogue.book import load_catalogue
    from shared.errors import Fault, InputError
    from shared.listing import Column, Listing
    from shared.words import did_you_mean

    book = load_catalogue()
    found = tuple(book.find(word or ""))
    if not found:
        near = did_you_mean(word or "", [item.id for item in book.find("")])
        raise InputError("gear", [Fault("", f"nothing in the catalogue has '{word}' in it{near}")])
    listing = Listing(
        columns=(
            Column(key="id", heading="id"),
            Column(key="kind", heading="kind"),
            Column(key="name", heading="name"),
            Column(key="figures", heading="figures"),
            Column(key="source", heading="source"),
        ),
        rows=tuple(
            {
                "id": item.id,
                "kind": kind(item),
                "name": item.name,
                "figures": figures(item),
                "source": item.source,
            }
            for item in found
        ),
    )
    data = [record(item) for item in found] if form == "json" else None
    tell([("", listing)], form, data=data)


def kind(item: Any) -> str:
    """The kind of an item in words: "rope", "puller kind"."""
    name = type(item).__name__
    return "".join(f" {c.lower()}" if c.isupper() else c for c in name).strip()


def figures(item: Any) -> str:
    """Every figure of an item by name, in metric units."""
    told = []
    for field in fields(item):
        value = getattr(item, field.name)
        if field.name in _TOLD_APART or value is False or value in ("", (), {}):
            continue
        label = field.name.replace("_", " ")
        told.append(label if value is True else f"{label} {figure(field.name, value)}")
    return ", ".join(told)


def figure(name: str, value: Any) -> str:
    """One figure with its unit."""
    from catalogue.entries import DIMENSIONS
    from shared.units import Dimension, show

    if value is None:
        return "unrated" if name in ("wll", "mbs") else "none"
    if isinstance(value, Enum):
        return str(value.value)
    if not isinstance(value, float):
        return str(value)
    dimension = DIMENSIONS.get(name)
    if dimension == "length":
        return show(value, Dimension.SIZE if value < 0.3 else Dimension.LENGTH)
    if dimension == "stress":
        return f"{value / 1e6:.1f} MPa"
    if dimension == "density":
        return f"{value:.0f} kg/m³"
    if dimension is not None:
        return show(value, Dimension(dimension))
    return f"{value:.3g}"


def record(item: Any) -> dict[str, Any]:
    """An item as JSON: SI values by the names of its fields, and its kind."""
    values = {field.name: getattr(item, field.name) for field in fields(item)}
    return {
        "kind": kind(item),
        **{k: v.value if isinstance(v, Enum) else v for k, v in values.items()},
    }
