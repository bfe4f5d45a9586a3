"""Lists the uncertain inputs of a document: every quantity that is given as a range."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from optimiser.site.document.part import Part
from optimiser.site.document.quantity import Quantity
from optimiser.site.model import Guess

READ_PULLS = "pulled"
"""The key of the pulls that were read."""


def guesses(part: Part, before: str = "") -> Iterator[Guess]:
    """Every range in a part of the document, with its key, in the order of the fields."""
    turned = part.worse_the_other_way()
    for name in type(part).model_fields:
        if not before and name == READ_PULLS:
            continue  # how far a scale swings is no guess of the haul: it has narrowed those that are
        key = f"{before}.{name}" if before else name
        for guess in _inside(getattr(part, name), key):
            yield replace(guess, worst=guess.best, best=guess.worst) if name in turned else guess


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
            either=value.either,
        )


def _label(item: Any) -> str | None:
    return getattr(item, "name", None) or getattr(item, "id", None)
