"""Changes a value of a document by its key: `tree[2].diameter`, `gear[long rope].length`.

Places in lists count from 1; an item may also be named by its `name`, gear without one by its `id`.
"""

import re
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from optimiser.site.lines import Key
from optimiser.site.messages import shown
from shared.errors import Fault
from shared.words import did_you_mean

_STEP = re.compile(r"(?:(?<=^)|(?<=\.))([A-Za-z_][A-Za-z0-9_]*)|\[([^\[\]]+)\]|\.(?=[A-Za-z_])")
_WHOLE = re.compile(r"[+-]?\d{1,9}")
_NUMBER = re.compile(r"[+-]?(\d+\.\d*|\.\d+|\d+)([eE][+-]?\d+)?")


class NoSuchKeyError(ValueError):
    """A key that leads nowhere in the document."""


def changed(
    raw: Mapping[str, Any], overrides: Mapping[str, str]
) -> tuple[dict[str, Any], set[Key]]:
    """A copy of the document `raw` with some values replaced, and the keys of these values.

    The last step of a key need not be there yet (a value that is left out can be set). Raises
    NoSuchKeyError with the closest key.
    """
    document = deepcopy(dict(raw))
    return document, {_change(document, key, value) for key, value in overrides.items()}


def as_fault(key: str, error: NoSuchKeyError) -> Fault:
    """The fault of an override."""
    return Fault(place=key, message=str(error))


def _change(document: dict[str, Any], text: str, value: str) -> Key:
    steps = _steps(text)
    here: Any = document
    key: Key = ()
    for number, step in enumerate(steps):
        last = number == len(steps) - 1
        if isinstance(here, dict):
            if step not in here and not (last and key) and step != "preferences":
                raise NoSuchKeyError(f"no '{step}' here{did_you_mean(step, here)}")
            key = (*key, step)
            if last:
                here[step] = _typed(value, here.get(step))
            else:
                here = here.setdefault(step, {})
        elif isinstance(here, list):
            place = _place(here, step)
            key = (*key, place)
            if last:
                here[place] = _typed(value, here[place])
            else:
                here = here[place]
        else:
            raise NoSuchKeyError(f"{shown(here)} has nothing inside, so no '{step}'")
    return key


def _steps(text: str) -> list[str]:
    steps: list[str] = []
    here = 0
    while here < len(text):
        match = _STEP.match(text, here)
        if match is None:
            break
        steps += [part for part in match.groups() if part is not None]
        here = match.end()
    if here < len(text) or not steps:
        raise NoSuchKeyError(
            "not a key of the file; write it like 'load.weight' or 'tree[2].at[1]'"
        )
    return steps


def _place(items: list[Any], step: str) -> int:
    """Position (from 0) of the item that `step` means: a number from 1, or a name."""
    if step.isdecimal():
        if not 1 <= int(step) <= len(items):
            raise NoSuchKeyError(f"there is no number {step}: the list has {len(items)}")
        return int(step) - 1
    names = [
        str(item.get("name", item.get("id", ""))) if isinstance(item, dict) else ""
        for item in items
    ]
    if step not in names:
        raise NoSuchKeyError(
            f"nothing here is named '{step}'{did_you_mean(step, filter(None, names))}"
        )
    return names.index(step)


def _typed(text: str, before: Any) -> Any:
    """The text as the kind of value that stands there, or that a bare number would be."""
    if isinstance(before, bool) or (before is None and text in ("true", "false")):
        return {"true": True, "false": False}.get(text, text)
    if isinstance(before, str):
        return text
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _NUMBER.fullmatch(text) else text
