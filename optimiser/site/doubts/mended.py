"""Finds what else is wrong with a document that cannot be read as it is, so that nobody is sent round twice.

A part with a bad value is not looked at as a whole, and neither is what is around it. So the bad values are
replaced by good ones, small, large and of every kind, in several copies of the document, and each copy is
looked at like a document of its own: what is wrong with all of them is wrong whatever is written there.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass, field
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, MinLen
from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from optimiser.site.document.part import LENIENT, Listed, Part, keys_of
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.measured.left_open import STANDING, measures
from optimiser.site.messages import faults_at, located, tagged
from optimiser.site.relations import relation_faults
from shared.words import nearest

COPIES = 8
"""Copies of a document. With fewer, two bad values are seen in fewer combinations, and what is wrong with
some of these only could be taken for wrong with all."""

AGAIN = 3
"""How often a copy is mended: a kind that was unknown shows what is wrong with the keys of its table."""

STOPS = (ArithmeticError, AssertionError, TypeError)
"""What ends a look at parts that contradict themselves."""

Found = tuple[Key, str]


def further_faults(raw: Mapping[str, Any], error: ValidationError) -> list[Found]:
    """What is wrong whatever stands where `error` finds bad values, in the order of the document."""
    common: dict[Found, None] = {}
    for number in range(COPIES):
        found = dict.fromkeys(_looked_at(_Copy(number, deepcopy(dict(raw))), error))
        common = {each: None for each in common if each in found} if number else found
        if not common:  # the other copies cannot add to it: most files have one bad value
            break
    return list(common)


def stand_in(raw: Mapping[str, Any]) -> tuple[SiteDocument, tuple[Key, ...]]:
    """A document that can be read in place of one that cannot, to be drawn and for nothing else: good values
    in place of bad ones. Also the keys of tables that were put in whole. ValidationError where that does not
    help."""
    copy = _Copy(0, deepcopy(dict(raw)))
    for _ in range(AGAIN):
        try:
            SiteDocument.model_validate(copy.raw, context=LENIENT)
            break
        except ValidationError as error:
            _mend(copy, error)
    return SiteDocument.model_validate(copy.raw, context=LENIENT), tuple(copy.invented)


@dataclass
class _Copy:
    """One copy of a document. `renamed`: keys as they are to be -> as they stand in the file; `invented`:
    keys of what was put in whole; `nameless`: something that stands there has a name put in."""

    number: int
    raw: dict[str, Any]
    renamed: dict[Key, Key] = field(default_factory=dict)
    invented: list[Key] = field(default_factory=list)
    nameless: bool = False

    def written(self, found: Iterable[Found]) -> Iterator[Found]:
        """The faults by keys as they stand in the file; none of what does not stand there."""
        for key, message in found:
            put_in = any(key[: len(whole)] == whole for whole in self.invented)
            if put_in or (self.nameless and key[-1:] == ("anchor",)):
                continue
            for long in range(len(key), 0, -1):
                if key[:long] in self.renamed:
                    key = (*self.renamed[key[:long]], *key[long:])
                    break
            yield key, message


def _looked_at(copy: _Copy, error: ValidationError) -> list[Found]:
    """What is wrong with a copy once what `error` names has been mended in it."""
    found: list[Found] = []
    wrong: ValidationError | None = error
    for _ in range(AGAIN):
        if wrong is None:
            break
        _mend(copy, wrong)
        try:
            SiteDocument.model_validate(copy.raw)
            wrong = None
        except ValidationError as more:
            found += copy.written(faults_at(more, SiteDocument))
            wrong = more
    with suppress(ValidationError):
        document = SiteDocument.model_validate(copy.raw, context=LENIENT)
        found += copy.written(_around(document))
    return found


def _around(document: SiteDocument) -> Iterator[Found]:
    """What is wrong with parts that hold parts, and between parts, as far as these can be looked at: some may
    contradict themselves."""
    for name, part in (("path", document.path), ("load", document.load)):
        with suppress(*STOPS):
            for key, message in part.faults():
                steps = key.split(".")
                yield (name, *(int(step) if step.isdigit() else step for step in steps)), message
    if not measures(document):
        for rule in relation_faults(document):
            with suppress(*STOPS):
                yield from rule


def _mend(copy: _Copy, error: ValidationError) -> None:
    errors = error.errors(include_url=False)
    for details in errors:
        if details["type"] == "extra_forbidden":
            _name_right(copy, details)
    for place, details in enumerate(errors):
        key, _, here = located(details["loc"], SiteDocument)
        if not key or key in copy.renamed or details["type"] in ("extra_forbidden", "faults"):
            continue
        if details["type"] == "missing" and _at(copy.raw, key) is not None:
            continue  # it stood under a name that was misspelt
        if details["type"] in ("union_tag_invalid", "union_tag_not_found"):
            _put(copy, (*key, "kind"), _kinds(details, here), place)
            continue
        good = [value for annotation in here for value in stand_ins(annotation, details["input"])]
        if key[-1] == "name":
            good = [" ".join(str(step + 1 if isinstance(step, int) else step) for step in key[:-1])]
            copy.nameless |= key[0] in STANDING
        if any(_holds_tables(value) for value in good):
            copy.invented.append(key)
        _put(copy, key, good, place)


def _name_right(copy: _Copy, details: ErrorDetails) -> None:
    """An unknown key gets the name that was meant, if one is near and not there; else it goes."""
    key, inside, _ = located(details["loc"], SiteDocument)
    table = _at(copy.raw, key[:-1])
    if not isinstance(table, dict) or key[-1] not in table:
        return
    value = table.pop(key[-1])
    for name in nearest(str(key[-1])[:80], {name for part in inside for name in keys_of(part)})[:1]:
        right: Key = (*key[:-1], name)
        if name not in table:
            table[name] = value
            copy.renamed[right] = key
        elif isinstance(there := table[name], dict) and isinstance(value, dict):
            table[name] = {**value, **there}  # "[laod]" above "[[load.hitch]]"
            copy.renamed |= {(*right, each): (*key, each) for each in value.keys() - there.keys()}


def _kinds(details: ErrorDetails, here: Sequence[Any]) -> list[str]:
    """The kinds that may be meant: the nearest to what is written, or those that have most of the keys."""
    given, table = details.get("ctx", {}).get("tag"), details["input"]
    kinds = {kind: part for kind, part in tagged(here) if kind != "catalogue"}
    near = () if given is None else nearest(str(given)[:80], kinds)
    if near or not isinstance(table, dict):
        return list(near) or list(kinds)
    fit = {kind: len(keys_of(part).keys() & table.keys()) for kind, part in kinds.items()}
    return [kind for kind in kinds if fit[kind] == max(fit.values())]


def _put(copy: _Copy, key: Key, good: Sequence[Any], place: int) -> None:
    """Put one of the good values at a key; without any the key goes."""
    table = _at(copy.raw, key[:-1])
    if isinstance(table, list) and isinstance(key[-1], int) and key[-1] < len(table) and good:
        table[key[-1]] = _chosen(good, copy.number, place)
    elif isinstance(table, dict):
        table.pop(key[-1], None)
        if good:
            table[str(key[-1])] = _chosen(good, copy.number, place)


def _chosen(good: Sequence[Any], number: int, place: int) -> Any:
    """Another value in every copy; of two bad values not always the ones of the same place in their lists."""
    return deepcopy(good[(number * (1 + place % 3) + number // len(good) + place) % len(good)])


def _at(raw: Any, key: Key) -> Any:
    for step in key:
        try:
            raw = raw[step]
        except (IndexError, KeyError, TypeError):
            return None
    return raw


def stand_ins(annotation: Any, given: object = None) -> list[Any]:
    """Good values for a field in place of a bad one: the words nearest to it, or some of every kind and
    size."""
    marks: list[Any] = []
    if isinstance(annotation, FieldInfo):
        marks, annotation = list(annotation.metadata), annotation.annotation
    if get_origin(annotation) is Annotated:
        annotation, *more = get_args(annotation)
        marks += more
    marks = [one for mark in marks for one in getattr(mark, "metadata", [mark])]
    word = given[:80] if isinstance(given, str) else ""
    for mark in marks:
        if isinstance(mark, Listed):
            return list(nearest(word, mark.words) or mark.valid)
        if hasattr(mark, "valid"):
            return list(mark.valid)
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Literal:
        return list(nearest(word, inner) or inner)
    if origin in (Union, UnionType):
        return [value for each in inner for value in stand_ins(each, given)]
    if origin is list:
        many = max([2, *(mark.min_length for mark in marks if isinstance(mark, MinLen))])
        return [[value] * many for value in stand_ins(inner[0])]
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return [_plain(annotation)]
    if annotation is bool:
        return [True, False]
    if annotation is int:
        least = max([1, *(int(str(mark.ge)) for mark in marks if isinstance(mark, Ge))])
        return [least, least + 1]
    return ["one thing", "another thing"] if annotation is str else []


def _plain(part: type[Part]) -> dict[str, Any]:
    """A part with what it needs and no more."""
    needed = {key: item for key, item in keys_of(part).items() if item.is_required()}
    return {key: values[0] for key, item in needed.items() if (values := stand_ins(item))}


def _holds_tables(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and any(map(_holds_tables, value)))
