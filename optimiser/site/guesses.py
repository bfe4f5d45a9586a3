"""The uncertain inputs of a document: every quantity that is given as a range."""

from collections.abc import Iterator
from typing import Any

from optimiser.site.document import Quantity
from optimiser.site.document.part import Part
from optimiser.site.model import Guess


def guesses(part: Part, before: str = "") -> Iterator[Guess]:
    """Every range in a part of the document, with its key, in the order of the fields."""
    for name in type(part).model_fields:
        yield from _inside(getattr(part, name), f"{before}.{name}" if before else name)


def _inside(value: Any, key: str) -> Iterator[Guess]:
    if isinstance(value, Part):
        yield from guesses(value, key)
    elif isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield from _inside(item, f"{key}[{_label(item) or number}]")
    elif isinstance(value, Quantity) and not value.interval.certain:
        yield Guess(
            key=key,
            worst=value.at("worst"),
            best=value.at("best"),
            stated=value.at("stated"),
            dimension=value.dimension.value,
        )


def _label(item: Any) -> str | None:
    return getattr(item, "name", None) or getattr(item, "id", None)
