"""Reads what the page sends: edits of the site's text, and questions, both only of the few kinds there are.

Whatever is anything else is refused. Nothing that the page sends is ever taken for an option of a command or
for the name of a file.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from optimiser.mechanics.values import Vec
from optimiser.site.frame import Frame
from optimiser.site.lines import Key
from optimiser.site.text.edited import Add, Edit, Insert, Put, Remove, length_like
from shared.errors import BankhaulError

DEEPEST = 8
LONGEST = 2000
MOST_EDITS = 400


class RequestError(BankhaulError):
    """A request that the page does not make."""


def edits_of(data: Any, raw: Mapping[str, Any], frame: Frame | None) -> list[Edit]:
    """The edits that a request holds. `raw`: the document that they are for; `frame`: of its places, as the
    drawings have them. Raises RequestError."""
    if not isinstance(data, list) or not 0 < len(data) <= MOST_EDITS:
        raise RequestError("expected a list of edits")
    out: list[Edit] = []
    for each in data:
        if not isinstance(each, Mapping):
            raise RequestError("expected an edit")
        kinds = [
            kind for kind in ("put", "remove", "add", "move", "insert", "outline") if kind in each
        ]
        if len(kinds) != 1:
            raise RequestError("expected one kind of edit")
        key = _key(each[kinds[0]])
        match kinds[0]:
            case "put":
                out.append(Put(key=key, value=_value(each.get("value"))))
            case "remove":
                out.append(Remove(key=key))
            case "add":
                table = _value(each.get("table"))
                if not isinstance(table, dict):
                    raise RequestError("expected a table")
                out.append(Add(key=key, table=table))
            case "insert":
                value = _written(_place(each.get("to")), raw, frame)
                out.append(Insert(key=key, value=value))
            case "outline":
                points = each.get("points")
                if not isinstance(points, list) or not 0 < len(points) <= MOST_EDITS:
                    raise RequestError("expected points")
                out.append(Put(key=key, value=[_written(_place(to), raw, frame) for to in points]))
            case _:
                out += _moved(key, _place(each.get("to")), raw, frame)
    return out


def _place(to: Any) -> Vec:
    """A point as it is drawn, m."""
    if not isinstance(to, list) or len(to) != 3 or not all(_is_number(v) for v in to):
        raise RequestError("expected a point")
    x, y, z = (float(v) for v in to)
    return x, y, z


def _written(to: Vec, raw: Mapping[str, Any], frame: Frame | None) -> list[Any]:
    """A new point in the coordinates of the file, in the units that the start of the path has."""
    start = raw.get("path", {}).get("start") if isinstance(raw.get("path"), Mapping) else None
    units = start if isinstance(start, list) and len(start) == 3 else [None] * 3
    point = to if frame is None else frame.in_file(to)
    return [length_like(unit, value) for unit, value in zip(units, point, strict=True)]


def _moved(key: Key, to: Vec, raw: Mapping[str, Any], frame: Frame | None) -> list[Edit]:
    """A point moved to where it is drawn: of its three coordinates only those that change are written, each
    in the unit it has."""
    point = to if frame is None else frame.in_file(to)
    before: Any = raw
    try:
        for step in key:
            before = before[step]
    except (KeyError, IndexError, TypeError):
        before = None
    if not isinstance(before, list) or len(before) != 3:
        return [Put(key=key, value=_written(to, raw, frame))]
    out: list[Edit] = []
    for i, (old, value) in enumerate(zip(before, point, strict=True)):
        new = length_like(old, value)
        if new != old:
            out.append(Put(key=(*key, i), value=new))
    return out


def _key(data: Any) -> Key:
    if not isinstance(data, list) or not 0 < len(data) <= DEEPEST:
        raise RequestError("expected a key")
    for step in data:
        whole = isinstance(step, int) and not isinstance(step, bool) and 0 <= step < 10_000
        if not whole and not (isinstance(step, str) and 0 < len(step) <= 60):
            raise RequestError("expected a key")
    return tuple(data)


def _value(data: Any, depth: int = 0) -> Any:
    """A value that a site file can hold."""
    if isinstance(data, str):
        if len(data) > LONGEST:
            raise RequestError(f"a text has at most {LONGEST} characters")
        return data.encode("utf-8", "replace").decode("utf-8")
    if isinstance(data, bool) or (isinstance(data, int) and abs(data) < 2**53) or _is_number(data):
        return data
    if depth < DEEPEST and isinstance(data, list) and len(data) <= MOST_EDITS:
        return [_value(item, depth + 1) for item in data]
    if depth < DEEPEST and isinstance(data, dict) and len(data) <= MOST_EDITS:
        return {_key([name])[0]: _value(item, depth + 1) for name, item in data.items()}
    raise RequestError("expected a text, a number, true, false, a list or a table")


def _is_number(data: Any) -> bool:
    return isinstance(data, int | float) and not isinstance(data, bool) and abs(data) < 1e12


# ---- questions ------------------------------------------------------------------------------------------

_SWEEP = re.compile(r"[A-Za-z_][\w.\[\] -]{0,80}=[\w.,\[\] +/%-]{1,80}")
_REEVING = re.compile(r"[\w.,;:@> ()/+'-]{1,400}")

WORDED = ("--format", "markdown")
WAYS = ("up", "down", "both")


def command_line(data: Mapping[str, Any], file: str) -> Sequence[str]:
    """The command that answers a question about the site in `file`, of those the page has buttons for.
    Raises RequestError."""
    hold = ["--hold"] if data.get("hold") is True else []
    way = data.get("way", "up")
    if way not in WAYS:
        raise RequestError("expected up, down or both")
    match data.get("ask"), way:
        case "show", "down":
            return ("lower", file, "--show", "1", *WORDED)
        case "show", _:
            return ("show", file, str(_number(data)), *hold, *WORDED)
        case "rank", _:
            return ("rank", file, *hold, *WORDED)
        case "lower", _:
            return ("lower", file, *WORDED)
        case "stages", "down":  # it plans stages of itself where one hold does not do
            return ("lower", file, *WORDED)
        case "stages", _:
            return ("stages", file, *_stages(data), *hold, *WORDED)
        case "buy", _:
            ways = {"up": [], "down": ["--down"], "both": ["--both"]}[way]
            held = [] if way == "down" else hold
            return ("buy", file, *ways, *_stages(data), *held, *WORDED)
        case ("lever" | "check") as name, _:
            return (name, file, *WORDED)
        case "why", _:
            reeving = data.get("reeving", "")
            if not isinstance(reeving, str) or (reeving and not _REEVING.fullmatch(reeving)):
                raise RequestError("expected a reeving, such as load > oak@0.5 m > load > winch")
            ways = ["--down"] if way == "down" else hold
            return ("why", *ways, *WORDED, "--", file, *([reeving] if reeving else []))
        case "sweep", _:
            key = data.get("key", "")
            if not isinstance(key, str) or not _SWEEP.fullmatch(key):
                raise RequestError("expected a key and its values, such as load.weight=400..900 kg")
            ways = ["--down"] if way == "down" else hold
            return ("sweep", *ways, "--format", "json", "--", file, key)
        case _:
            raise RequestError("there is no such question")


SHEETS = ("stages", "down", "both")


def sheet_line(what: str, file: str, target: str, *, chosen: int, hold: bool) -> Sequence[str]:
    """The command that writes a sheet to `target`: `what` is the number of a setup, or one of `SHEETS`, of
    which `both` is the way down beside the haul with setup `chosen`."""
    held = ["--hold"] if hold else []
    match what:
        case "down":
            return ("lower", file, "-o", target)
        case "stages":
            return ("sheet", file, "stages", "-o", target, *held)
        case "both":
            return ("sheet", file, str(chosen), "--both", "-o", target, *held)
        case _:
            return ("sheet", file, str(_number({"setup": int(what)})), "-o", target, *held)


def _stages(data: Mapping[str, Any]) -> Sequence[str]:
    """How many stages there may be, where that is stated."""
    most = data.get("stages")
    if most is None:
        return ()
    if not isinstance(most, int) or isinstance(most, bool) or not 1 <= most <= 12:
        raise RequestError("expected how many stages there may be, 1 to 12")
    return ("--most-stages", str(most))


def _number(data: Mapping[str, Any]) -> int:
    number = data.get("setup")
    if not isinstance(number, int) or isinstance(number, bool) or not 1 <= number <= 100:
        raise RequestError("expected the number of a setup")
    return number
