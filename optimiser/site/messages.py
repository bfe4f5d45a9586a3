"""Words, in those of the site file, what the validator found: place, line, what was expected."""

from collections.abc import Iterator, Mapping, Sequence
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from optimiser.site.document.meanings import meanings
from optimiser.site.document.part import Listed, Part, keys_of
from optimiser.site.document.quantity import Amount
from optimiser.site.lines import Key, line_of
from shared.errors import Fault
from shared.words import did_you_mean, either, listed

MOST = 40
"""Faults that are printed one by one: nobody reads more at a time."""


def place(key: Key) -> str:
    """A key as it is written in messages and on the command line: `tree[2].diameter`, from 1."""
    text = ""
    for step in key:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += f".{step}" if text else step
    return text


def fault(key: Key, message: str, lines: Mapping[Key, int]) -> Fault:
    """A fault at `key` of the document."""
    return Fault(place=place(key), message=message, line=line_of(lines, key))


def faults_of(
    error: ValidationError, model: type[Part], lines: Mapping[Key, int]
) -> Iterator[Fault]:
    """The faults in a validation error of `model`, up to `MOST` and a word on the rest."""
    errors = error.errors(include_url=False)
    for key, message in _keyed(errors[:MOST], model):
        yield fault(key, message, lines)
    if len(errors) > MOST:
        last = max(lines.values(), default=1)
        yield Fault(place="", message=f"and {len(errors) - MOST} faults more", line=last)


def faults_at(error: ValidationError, model: type[Part]) -> Iterator[tuple[Key, str]]:
    """Key and message of every fault in a validation error of `model`."""
    return _keyed(error.errors(include_url=False), model)


def _keyed(errors: Sequence[ErrorDetails], model: type[Part]) -> Iterator[tuple[Key, str]]:
    for details in errors:
        key, around, _ = located(details["loc"], model)
        for below, message in _worded(details, around):
            yield (*key, *below), message


def refusal(part: type[Part], key: str, value: object) -> str:
    """What the site file's rules find wrong with a value of one key by itself; "" if it may stand there."""
    adapter: TypeAdapter[Any] = TypeAdapter(keys_of(part)[key].rebuild_annotation())
    try:
        adapter.validate_python(value, strict=True)
    except ValidationError as error:
        details = error.errors(include_url=False)[0]
        details["loc"] = (key, *details["loc"])
        return next(message for _, message in _worded(details, [part]))
    return ""


def located(loc: Sequence[str | int], model: type[Part]) -> tuple[Key, list[type[Part]], list[Any]]:
    """`loc` as a key of the file, the part(s) of the document it ends in or right inside, and what may stand
    there (annotations of the fields).

    The validator puts the chosen kind of a puller or piece of gear into the place; the file has no
    such key.
    """
    key: Key = ()
    here: list[Any] = [model]
    inside: list[type[Part]] = [model]
    for step in loc:
        chosen = [part for tag, part in tagged(here) if tag == step]
        if isinstance(step, str) and chosen:
            here = list[Any](chosen)
            inside = _parts(here)
            continue
        key = (*key, step)
        if isinstance(step, int):
            here = [inner for each in here for inner in _items(each)]
        else:
            inside = _parts(here)
            here = [keys_of(part)[step] for part in inside if step in keys_of(part)]
    return key, inside, here


def _worded(details: ErrorDetails, around: list[type[Part]]) -> Iterator[tuple[Key, str]]:
    """Keys below the place, and what is wrong there, for one error of the validator."""
    kind, given = details["type"], details["input"]
    context: Mapping[str, Any] = details.get("ctx", {})
    last = details["loc"][-1] if details["loc"] else ""
    if kind == "said":
        yield (), context["text"]
    elif kind == "faults":
        for key, message in context["faults"]:
            steps = key.split(".") if key else []
            yield tuple(int(step) if step.isdigit() else step for step in steps), message
    elif kind == "extra_forbidden":
        known = sorted({name for part in around for name in keys_of(part)})
        near = did_you_mean(str(last)[:80], known)
        under = [] if near or len(details["loc"]) > 1 else _headings(str(last), around)
        if under:
            near = (
                f" outside a table: it stands under {either(under)}; is that heading missing above?"
            )
        yield (), f"unknown key{near or '; known here: ' + ', '.join(known)}"
    elif kind == "missing":
        yield (), _missing(str(last), around)
    elif kind == "literal_error":
        words = _choices(str(last), around) or [context["expected"]]
        near = did_you_mean(given[:80], words) if isinstance(given, str) else ""
        yield (), f"expected {listed(words)}, got {shown(given)}{near}"
    elif kind == "union_tag_invalid":
        words = [word.strip(" '") for word in context["expected_tags"].split(",")]
        words = [word for word in words if word != "catalogue"]
        near = did_you_mean(str(context["tag"])[:80], words)
        yield ("kind",), f"expected {listed(words)}, got {shown(str(context['tag']))}{near}"
    elif kind == "union_tag_not_found":
        missing = isinstance(given, dict) and "kind" not in given
        yield (
            ("kind",) if isinstance(given, dict) else (),
            (
                'missing: what kind is it? (such as kind = "vehicle")'
                if missing
                else f"expected a table with a kind, got {shown(given)}"
            ),
        )
    elif kind == "too_short":
        yield (), _too_few(str(last), context)
    elif kind == "too_long":
        yield (), f"at most {context['max_length']}, got {context.get('actual_length', 'more')}"
    elif kind in _EXPECTED:
        yield (), f"expected {_EXPECTED[kind].format(**context)}, got {shown(given)}"
    else:
        yield (), f"does not fit here: {shown(given)}"


_EXPECTED = {
    "string_type": 'a text in quotes, such as "oak"',
    "string_too_short": "a text that is not empty",
    "string_too_long": "a text of at most {max_length} characters",
    "int_type": "a whole number without quotes, such as 2",
    "int_from_float": "a whole number without quotes, such as 2",
    "bool_type": "true or false, without quotes",
    "list_type": "a list in square brackets",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
    "greater_than_equal": "{ge} or more",
    "less_than_equal": "{le} or less",
}


_NEEDED = {
    "leg": "a path of one point is no path: give at least one [[path.leg]]",
    "gear": "no gear: give at least one [[gear]] entry, such as a rope",
    "puller": "nothing pulls: give at least one [[puller]]",
    "hitch": "nothing to tie to: give at least one [[load.hitch]]",
}


def _too_few(key: str, context: Mapping[str, Any]) -> str:
    return _NEEDED.get(key, f"at least {context['min_length']}, got {context['actual_length']}")


def _missing(key: str, around: list[type[Part]]) -> str:
    """What to write for a key that is not there."""
    if key in _NEEDED:
        return _NEEDED[key]
    for part in around:
        field = keys_of(part).get(key)
        if field is None:
            continue
        amount = next((mark for mark in field.metadata if isinstance(mark, Amount)), None)
        if amount is not None:
            return f'missing (such as {key} = "{amount.example}")'
        choices = _choices(key, around)
        if choices:
            return f"missing: one of {', '.join(choices)}"
        if _parts([field]):
            return f"missing: the [{key}] table"
        stated = meanings(part).get(key, key).splitlines()[0].rstrip(".")
        mark = next((mark for mark in field.metadata if isinstance(mark, Listed)), None)
        choice = "" if mark is None else mark.choice(mark.words)
        return f"missing: {stated[:1].lower()}{stated[1:]}{choice}"
    return "missing"


def _headings(key: str, around: Sequence[type[Part]], before: str = "") -> list[str]:
    """The headings of the tables below some parts in which a key may stand, each once."""
    out: dict[str, None] = {}
    for part in around:
        for name, field in keys_of(part).items():
            inside = _parts([field])
            if any(key in keys_of(inner) for inner in inside):
                heading = f"[{before}{name}]"
                out[f"[{heading}]" if _items(field) else heading] = None
            out |= dict.fromkeys(_headings(key, inside, f"{before}{name}."))
    return list(out)


def _choices(key: str, around: list[type[Part]]) -> list[str]:
    """The words a key may have, where it has a fixed few."""
    words: list[str] = []
    for part in around:
        if key in keys_of(part):
            for inner in _unfolded(keys_of(part)[key]):
                if get_origin(inner) is Literal:
                    words += [str(word) for word in get_args(inner)]
    return words


def _unfolded(annotation: Any) -> Iterator[Any]:
    """The plain alternatives inside an annotation, lists opened too."""
    if isinstance(annotation, FieldInfo):
        yield from _unfolded(annotation.annotation)
        return
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from _unfolded(get_args(annotation)[0])
    elif origin in (Union, UnionType, list):
        for inner in get_args(annotation):
            yield from _unfolded(inner)
    else:
        yield annotation


def _parts(annotations: Sequence[Any]) -> list[type[Part]]:
    """The parts of the document among the alternatives of some annotations."""
    return [
        inner
        for annotation in annotations
        for inner in _unfolded(annotation)
        if isinstance(inner, type) and issubclass(inner, Part)
    ]


def _items(annotation: Any) -> list[Any]:
    """What the items of a list annotation are; empty if it is none."""
    if isinstance(annotation, FieldInfo):
        return _items(annotation.annotation)
    origin = get_origin(annotation)
    if origin is Annotated or origin in (Union, UnionType):
        return [item for inner in get_args(annotation) for item in _items(inner)]
    return list(get_args(annotation)) if origin is list else []


def tagged(annotations: Sequence[Any]) -> Iterator[tuple[str, type[Part]]]:
    """Tag and part of each kind where a table comes in several kinds."""
    parts = _parts(annotations)
    if len(parts) < 2:
        return
    for part in parts:
        kinds = _choices("kind", [part])
        for kind in kinds or ["catalogue"]:
            yield kind, part


def shown(value: object) -> str:
    """A given value as a message shows it: short, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = value if isinstance(value, str) else str(value) if isinstance(value, float) else ""
    if isinstance(value, int):
        text = str(value) if abs(value) < 10**15 else "a number of many digits"
    text = text or ("an empty text" if value == "" else "a date or time")
    clean = "".join(char if char.isprintable() else "?" for char in text[:40])
    return f"'{clean}...'" if len(text) > 40 else f"'{clean}'"
