"""Reads what is varied: a number of the site file by its key, between two ends."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from optimiser.site.document.quantity import Quantity
from optimiser.site.lines import Key
from optimiser.site.messages import fault
from optimiser.site.overrides import NoSuchKeyError, as_fault, changed
from optimiser.site.reading import Document, with_overrides
from shared.errors import Fault, InputError

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_UNIT = r"[^\s\d.,+\-±=][^\s,+\-±=]*"
_RANGE = re.compile(
    rf"\s*({_NUMBER})\s*({_UNIT})??(?:\s*\.\.\s*|\s+to\s+)({_NUMBER})\s*({_UNIT})?\s*"
)
_DIGITS = 12
"""Significant digits of the values that are written into the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One number that is varied from `low` to `high`, in the unit it was given in ("" for none)."""

    key: str
    low: float
    high: float
    unit: str
    whole: bool = False
    name: str = ""  # in words: "weight of the load"

    def values(self, steps: int) -> tuple[float, ...]:
        """`steps` values from one end to the other, evenly; of whole numbers no more than there are."""
        if self.whole:
            many = min(steps, round(self.high - self.low) + 1)
            even = (self.low + i * (self.high - self.low) / (many - 1) for i in range(many))
            return tuple(dict.fromkeys(float(round(value)) for value in even))
        share = (self.high - self.low) / (steps - 1)
        return tuple(float(f"{self.low + i * share:.{_DIGITS}g}") for i in range(steps))

    def text(self, value: float) -> str:
        """A value as it would stand in the file, without quotes."""
        number = f"{round(value)}" if self.whole else f"{value:.{_DIGITS}g}"
        return f"{number} {self.unit}" if self.unit else number

    def between(self, low: float, high: float) -> float | None:
        """The middle of two values, or None where they are close enough (1 % of the axis and of the
        value), or no number lies between them."""
        if self.whole:
            middle = float((round(low) + round(high)) // 2)
            return middle if low < middle < high else None
        enough = 0.01 * (self.high - self.low)
        if max(abs(low), abs(high)) > 0.0:
            enough = min(enough, 0.01 * max(abs(low), abs(high)))
        if high - low <= enough:
            return None
        return float(f"{(low + high) / 2:.{_DIGITS}g}")


def axis(document: Document, word: str) -> Axis:
    """The axis that `KEY=FROM..TO` names, such as "load.weight=200..400 kg". Raises InputError."""
    key, equals, ends = word.partition("=")
    key = key.strip()
    if not equals or not key:
        raise _refused(
            "", f"'{word}': expected KEY=FROM..TO, such as load.weight=200..400 kg", document
        )
    match = _RANGE.fullmatch(ends)
    if match is None:
        message = f"expected FROM..TO with one unit, such as 200..400 kg; got '{ends.strip()}'"
        raise _refused(key, message, document)
    low, first, high, last = match.groups()
    if first and last and first != last:
        raise _refused(key, f"write both ends in one unit; got {first} and {last}", document)
    unit = first or last or ""
    if not float(low) < float(high):
        raise _refused(key, f"goes from {low} to {high}: write the smaller end first", document)
    text = f"{high} {unit}".strip()
    steps = _steps(document, key, text)
    whole = _is_whole(document, key, text, steps)
    if whole and not (float(low).is_integer() and float(high).is_integer()):
        raise _refused(key, "is a whole number: the ends must be whole too", document)
    name = _in_words(document.raw, steps)
    made = Axis(key=key, low=float(low), high=float(high), unit=unit, whole=whole, name=name)
    for end in (made.low, made.high):
        with_overrides(document, {key: made.text(end)})
    return made


def _steps(document: Document, key: str, text: str) -> Key:
    """Where the key leads in the document. Raises InputError where it leads nowhere."""
    try:
        _, found = changed(document.raw, {key: text})
    except NoSuchKeyError as error:
        raise InputError(document.source, [as_fault(key, error)]) from error
    (steps,) = found
    return steps


def _in_words(raw: Mapping[str, Any], steps: Key) -> str:
    """What a key of the document stands for: "weight of the load", "x of ring", "resistance of leg 1"."""
    here: Any = raw
    owners: list[str] = []
    for number, step in enumerate(steps[:-1]):
        there: Any = isinstance(here, list) or step in here
        here = here[step] if there else {}
        if isinstance(step, int):
            called = here.get("name", here.get("id")) if isinstance(here, dict) else None
            owners[-1] = str(called) if called else f"{owners[-1].removeprefix('the ')} {step + 1}"
        elif step == "preferences" or (step == "path" and number + 2 < len(steps)):
            continue  # what it belongs to is clear without
        else:
            owners.append(f"the {str(step).replace('_', ' ')}")
    last = steps[-1]
    if isinstance(last, int):  # a coordinate
        what = "xyz"[last] if last < len("xyz") else str(last + 1)
        if owners[-1:] == ["the at"]:
            owners.pop()
    else:
        what = str(last).replace("_", " ")
    return " of ".join([what, *reversed(owners)])


def _is_whole(document: Document, key: str, text: str, steps: Key) -> bool:
    """Whether the number at the key is a count. Raises InputError where no number stands there."""
    here: Any = with_overrides(document, {key: text}).site
    for step in steps:
        here = here[step] if isinstance(step, int) else getattr(here, step)
    if isinstance(here, int) and not isinstance(here, bool):
        return True
    if not isinstance(here, Quantity):
        raise InputError(
            document.source, [fault(steps, "is no number, so it cannot be varied", document.lines)]
        )
    return False


def _refused(key: str, message: str, document: Document) -> InputError:
    return InputError(document.source, [Fault(place=key, message=message)])
