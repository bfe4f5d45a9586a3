"""What the answers come to: a site file that reads without a fault."""

import json
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from typing import Any

from optimiser.site.interview.on_the_bank import course
from optimiser.site.interview.prompt import SETTLE, Question, Values
from optimiser.site.lines import Key
from optimiser.site.messages import place
from optimiser.site.reading import read_site
from optimiser.site.relations import name_faults
from shared.errors import Fault, InputError

Ask = Callable[[Question, str], str]
"""Puts a question, below a message about the answer before if there is one, and returns the answer."""

HEAD = """\
# A site file for bankhaul, from the answers to `bankhaul new --ask`. Change here whatever changes;
# `bankhaul new --measured -` prints one with a comment on every key.

"""
NOT_YET: Mapping[str, Any] = {
    "load": {
        "weight": "100 kg",
        "rests_on": "wheels",
        "wheel_radius": "1 m",
        "length": "0.1 m",
        "overhang": "0.1 m",
        "hitch": [
            {"name": "~", "ahead": "0 m", "left": "0 m", "height": "0.1 m", "rating": "unknown"}
        ],
    },
    "anchor": [
        {
            "name": "~",
            "kind": "post",
            "at": ["0 m", "-500 m", "0 m"],
            "rating": "1 kN",
            "girth": "0.6 m",
            "strap_heights": ["0.2 m"],
        }
    ],
    "puller": [
        {
            "kind": "hand winch",
            "name": "~ winch",
            "id": "lever-hoist-750",
            "anchor": "~",
            "height": "0.2 m",
        }
    ],
    "gear": [{"id": "shackle-13", "condition": "unknown"}],
}
"""What stands in for parts not yet answered, so that those that are can be read as a site."""


def site_text(ask: Ask) -> str:
    """The site file that the answers to all questions come to.

    An answer that the site file's own rules refuse, by itself or beside the others, is asked for again.
    """
    raw: dict[str, Any] = {}
    put: list[Question] = []
    for step in course(raw):
        if step is SETTLE:
            _settle(raw, put, ask)
        else:
            _answer(raw, step, ask)
            put.append(step)
    return HEAD + toml(_whole(raw))


def _answer(raw: dict[str, Any], question: Question, ask: Ask, message: str = "") -> None:
    """Ask until there is an answer that can be read, and put it into the site file."""
    while True:
        line = ask(question, message).strip()
        try:
            if not line and not question.skip:
                raise ValueError("this one is needed")
            values = question.reads(line) if line else question.default
            changed = _with(raw, question, values)
        except ValueError as problem:
            message = str(problem)
            continue
        raw.clear()
        raw.update(changed)
        return


def _with(raw: Mapping[str, Any], question: Question, values: Values) -> dict[str, Any]:
    """The site file with an answer in it. Raises ValueError where it gives a name twice."""
    out = deepcopy(dict(raw))
    before = {key[-1] for key in (question.key, *question.about) if key[:-1] == question.table}
    here: Any = out
    for place_in, step in enumerate(question.table):
        listed = isinstance(question.key[place_in + 1], int)
        if isinstance(step, int):
            if step == len(here):
                if not values:
                    return out
                here.append({})
            here = here[step]
        else:
            here = here.setdefault(step, [] if listed else {})
    old = here.get("name")
    for key in (before | question.default.keys()) - values.keys():
        here.pop(key, None)
    here.update(values)
    if "name" in values and old is not None:
        _rename(out, old, values["name"])
    for where, message in name_faults(out):
        if where[:-1] == question.table:
            raise ValueError(message)
    return out


def _rename(raw: dict[str, Any], old: str, new: str) -> None:
    for reading in raw.get("reading", ()):
        for end in ("from", "to"):
            if reading[end] == old:
                reading[end] = new


def _settle(raw: dict[str, Any], put: list[Question], ask: Ask) -> None:
    """Read what there is as a site; ask again for what does not fit, until everything does."""
    while True:
        again: dict[Key, tuple[Question, str]] = {}
        for fault in _faults(raw):
            message = Fault(place="", message=fault.message).worded("").removeprefix(": ")
            for question in _behind(fault, put):
                again.setdefault(question.key, (question, message))
                message = ""
        if not again:
            return
        for question, message in again.values():
            _answer(raw, question, ask, message)


def _behind(fault: Fault, put: list[Question]) -> Iterator[Question]:
    """The questions whose answers a fault may come from; nothing if it is about what is not answered yet."""
    near = [q for q in put if fault.place == place(q.key)]
    near = near or [q for q in put if fault.place in {place(key) for key in q.about}]
    near = near or [q for q in put if place(q.key).startswith(f"{fault.place}.")]
    near = near or [q for q in put if fault.place.startswith(f"{place(q.key)}")]
    near = near or [q for q in put if fault.place.startswith(f"{place(q.table)}.")][-1:]
    yield from near


def _faults(raw: Mapping[str, Any]) -> tuple[Fault, ...]:
    whole = _whole(raw)
    for key, stand_in in NOT_YET.items():
        if not whole.get(key) and (key != "anchor" or not whole.get("puller")):
            whole[key] = deepcopy(stand_in)
    if "hitch" not in whole["load"]:
        whole["load"] |= {"hitch": deepcopy(NOT_YET["load"]["hitch"])}
    try:
        read_site(toml(whole))
    except InputError as problem:
        fits_any_load = "load" not in raw
        return tuple(
            fault
            for fault in problem.faults
            if not (fits_any_load and fault.place.endswith(".surface"))
        )
    return ()


def _whole(raw: Mapping[str, Any]) -> dict[str, Any]:
    """The site file without readings that nothing is in yet, and without empty lists."""
    out = {key: value for key, value in deepcopy(dict(raw)).items() if value not in ([], {})}
    out["reading"] = [reading for reading in raw.get("reading", ()) if len(reading) > 2]
    if not out["reading"]:
        del out["reading"]
    return out


def toml(table: Mapping[str, Any], header: str = "") -> str:
    """A table as TOML: its own keys first, then the tables in it."""
    lines = [f"{key} = {_value(value)}\n" for key, value in table.items() if not _is_table(value)]
    for key, value in table.items():
        name = f"{header}.{key}" if header else key
        if isinstance(value, dict):
            text = toml(value, name)
            own = any(not _is_table(inner) for inner in value.values())
            lines.append(f"\n[{name}]\n{text}" if own else text)
        elif _is_table(value):
            lines += [f"\n[[{name}]]\n{toml(item, name)}" for item in value]
    return "".join(lines)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and isinstance(value[0], dict)
    )


def _value(value: Any) -> str:
    """A text, number, flag or list of texts. What JSON escapes TOML reads alike."""
    return json.dumps(value, ensure_ascii=False)
