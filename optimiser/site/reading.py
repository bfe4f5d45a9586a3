"""Reads a site file: from a path, standard input or a text to a `Document` and a `Site`.

What checks a document is imported only once there is a text in good TOML: a file that is not there is
answered at once.
"""

import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from itertools import chain
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimiser.site.lines import Key, find_lines
from shared.errors import Fault, InputError, reason
from shared.words import closest

if TYPE_CHECKING:
    from optimiser.site.document.quantity import Corner
    from optimiser.site.document.site import SiteDocument
    from optimiser.site.measured.outcome import Outcome
    from optimiser.site.model import Site

LARGEST = 1_000_000
"""Bytes: no site file of a person is longer, and reading it would take minutes."""
STANDARD_INPUT = "-"
DEMONSTRATION = "demonstration site"
TEXT, MAPPING = "text", "mapping"
_NO_FILES = (TEXT, MAPPING)
"""What the source of a document is called that was read from no file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A site file without a fault: as written, checked, and where each key stands."""

    source: str
    text: str
    raw: Mapping[str, Any]
    lines: Mapping[Key, int]
    site: "SiteDocument"


Source = str | PathLike[str] | Mapping[str, Any] | None
"""What a site is read from: a path, "-" for standard input, a TOML text (anything with a line break in it), a
mapping of the keys and values of a file, or None for the demonstration site."""


def read_site(source: Source = None, corner: "Corner" = "worst") -> "Site":
    """The site that a file describes, with its guesses at a corner.

    Raises InputError with every fault found.
    """
    return site_from_document(read_document(source), corner)


def read_document(source: Source = None) -> Document:
    """A site file, read and checked. Raises InputError."""
    if isinstance(source, Mapping):
        return _checked(MAPPING, "", _as_read(source, ""), {})
    name, text = read_text(source)
    raw = _toml(name, text)
    return _checked(name, text, raw, find_lines(text))


def site_from_document(
    document: Document, corner: "Corner" = "worst", overrides: Mapping[str, str] | None = None
) -> "Site":
    """The site of a document at a corner, with some values replaced by key.

    `overrides`: key in the file ("load.weight", "tree[2].diameter", "gear[long rope].length") to
    what would be written there, without quotes. Raises InputError.
    """
    from optimiser.site.building import build_site
    from optimiser.site.messages import fault

    document = with_overrides(document, overrides or {})
    site, found = build_site(document.site, corner, lines=document.lines)
    if site is None:
        faults = [fault(key, message, document.lines) for key, message in found]
        raise InputError(document.source, faults)
    return replace(site, file="" if document.source in _NO_FILES else document.source)


def _as_read(value: Any, place: str) -> Any:
    """A value as a file would have given it, all tables and lists its own. Raises InputError for a
    key that is no text."""
    if isinstance(value, Mapping):
        for key in value:
            if not isinstance(key, str):
                message = f"a key must be a text, such as 'load'; got {key!r}"
                raise InputError("mapping", [Fault(place=place, message=message)])
        return {key: _as_read(item, f"{place}.{key}".lstrip(".")) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_as_read(item, f"{place}[{i}]") for i, item in enumerate(value, start=1)]
    return value


def with_overrides(document: Document, overrides: Mapping[str, str]) -> Document:
    """The document with some values replaced by key. Raises InputError."""
    from optimiser.site.overrides import NoSuchKeyError, as_fault, changed

    if not overrides:
        return document
    try:
        raw, _ = changed(document.raw, overrides)
    except NoSuchKeyError as error:
        key = next(key for key in overrides if _leads_nowhere(document.raw, key, overrides[key]))
        raise InputError(document.source, [as_fault(key, error)]) from error
    return _checked(document.source, document.text, raw, document.lines)


def demonstration_text() -> str:
    """The demonstration site as it ships."""
    return _shipped("demonstration.toml")


def starter_text() -> str:
    """The commented starter site."""
    return _shipped("starter.toml")


def measured_starter_text() -> str:
    """The commented starter site whose places are measured."""
    return _shipped("starter-measured.toml")


def _shipped(name: str) -> str:
    return files("optimiser.site").joinpath(name).read_text(encoding="utf-8")


def _leads_nowhere(raw: Mapping[str, Any], key: str, value: str) -> bool:
    from optimiser.site.overrides import NoSuchKeyError, changed

    try:
        changed(raw, {key: value})
    except NoSuchKeyError:
        return True
    return False


def _checked(
    name: str,
    text: str,
    raw: Mapping[str, Any],
    lines: Mapping[Key, int],
) -> Document:
    from pydantic import ValidationError

    from optimiser.site.document.site import SiteDocument
    from optimiser.site.measured.left_open import measures, nowhere_faults
    from optimiser.site.messages import fault, faults_of
    from optimiser.site.relations import name_faults, relation_faults

    faults: list[Fault] = []
    site: SiteDocument | None = None
    unread: ValidationError | None = None
    try:
        site = SiteDocument.model_validate(raw)
    except ValidationError as error:
        unread = error
        faults += faults_of(error, SiteDocument, lines)
    except RecursionError:
        faults.append(Fault(place="", message="lists or tables are nested too deep"))
    faults += (fault(key, message, lines) for key, message in name_faults(raw))
    nowhere = [fault(key, message, lines) for key, message in nowhere_faults(raw)]
    faults += nowhere
    if unread is not None:
        # start-up time: only of a file that cannot be read
        from optimiser.site.doubts.mended import further_faults

        seen = set(faults)
        more = (fault(key, message, lines) for key, message in further_faults(raw, unread))
        faults += [found for found in more if found not in seen]
    where_known = site is not None and not nowhere and not measures(site)
    if site is not None and not faults and not where_known:
        # start-up time: numbers are worked with only where there are readings
        from optimiser.site.measured.placing import placed

        site, found = placed(site)
        faults += (fault(key, message, lines) for key, message in found)
    if site is not None and (where_known or not faults):
        between = chain.from_iterable(relation_faults(site))
        faults += (fault(key, message, lines) for key, message in between)
    if site is not None and site.pulled and not faults:
        # start-up time: only where a pull was read
        from optimiser.site.pulled.placing import with_pulls

        site, found = with_pulls(site)
        faults += (fault(key, message, lines) for key, message in found)
    if site is not None and site.outcome is not None and faults:
        faults += _misreadings(site.outcome, site.preferences.units, lines)
    if faults or site is None:
        faults.sort(key=lambda found: found.line or 0)
        raise InputError(name, faults)
    return Document(source=name, text=text, raw=raw, lines=lines, site=site)


def _misreadings(outcome: "Outcome", units: str, lines: Mapping[Key, int]) -> Iterator[Fault]:
    """What stands where nothing can stand may have got there by a misreading."""
    # start-up time: only where there are readings
    from optimiser.site.doubts.misread import misread
    from optimiser.site.messages import fault

    for found in misread(outcome):
        yield fault(found.reading.key, f"{found.worded(units)}: was it misread?", lines)


def read_text(source: str | PathLike[str] | None) -> tuple[str, str]:
    """Name and text of a source: a path, "-", a text with a line break, or None. Raises InputError."""
    if source is None:
        return DEMONSTRATION, demonstration_text()
    if isinstance(source, str) and "\n" in source:
        if len(source) > LARGEST:
            raise InputError("text", [Fault(place="", message=_too_large())])
        return TEXT, source.removeprefix("\ufeff")
    name = fspath(source)
    if name == STANDARD_INPUT:
        name = "standard input"
        data = _standard_input(name)
    else:
        data = _bytes(name)
    if len(data) > LARGEST:
        raise InputError(name, [Fault(place="", message=_too_large())])
    try:
        return name, data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = f"not UTF-8 text: byte {data[error.start]:#04x} is none; save the file as UTF-8"
        raise InputError(name, [Fault(place="", message=message, line=line)]) from error


def _standard_input(name: str) -> bytes:
    """What is piped to the program, up to just over the largest size."""
    try:
        if sys.stdin is None:
            raise InputError(name, [Fault(place="", message="is closed; expected a site file")])
        return sys.stdin.buffer.read(LARGEST + 1)
    except OSError as error:  # it is a folder, or opened for writing only
        message = f"cannot be read: {reason(error)}"
        raise InputError(name, [Fault(place="", message=message)]) from error


def _bytes(name: str) -> bytes:
    """What is in a file, up to just over the largest size."""
    try:
        with open(name, "rb") as stream:
            return stream.read(LARGEST + 1)
    except FileNotFoundError as error:
        message = f"no such file{_nearby(name)}"
        cause: Exception = error
    except IsADirectoryError as error:
        message, cause = "is a folder; expected a site file", error
    except PermissionError as error:
        message, cause = "no permission to read it", error
    except (OSError, ValueError) as error:
        message, cause = f"cannot be read: {reason(error)}", error
    raise InputError(name or "''", [Fault(place="", message=message)]) from cause


def _nearby(name: str) -> str:
    path = Path(name)
    try:
        beside = [entry.name for entry in path.parent.iterdir() if entry.suffix == ".toml"]
    except (OSError, ValueError):
        return ""
    near = closest(path.name, beside)
    return f"; did you mean '{path.parent / near}'?" if near else ""


def _too_large() -> str:
    return f"larger than {LARGEST // 1_000_000} MB: not a site file"


_AT = re.compile(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", re.DOTALL)


_DEEP = re.compile(
    r"""(?m)^[ \t]*\[{0,2}[ \t]*(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){50}"""
)
"""A key of more than fifty keys: no site file has one, and reading one of thousands takes minutes."""


def _toml(name: str, text: str) -> dict[str, Any]:
    deep = _DEEP.search(text)
    if deep is not None:
        line = text.count("\n", 0, deep.start()) + 1
        raise InputError(name, [Fault("", "lists or tables are nested too deep", line)])
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        message = "lists or tables are nested too deep"
        raise InputError(name, [Fault(place="", message=message)]) from error
    except ValueError as error:  # a number of thousands of digits is no TOMLDecodeError
        raise InputError(name, [_syntax(error, text)]) from error


_INCHES_IN_QUOTES = re.compile(
    r"""[=\[,]\s*"[^"\\]{0,40}\d\s?"(?=\s*"|\s*\w)|=\s*'[^']{0,40}\d'\s*\d"""
)
_NO_QUOTES = re.compile(r"[^=\"#]{1,40}=\s*[-+]?[\d./ ]{1,20}[a-zA-Z'][^\"=]{0,60}")


def _syntax(error: ValueError, text: str) -> Fault:
    match = _AT.fullmatch(str(error))
    if match is None:
        return Fault(place="", message="not TOML: a number in it cannot be read")
    what = re.sub(r"\s+", " ", match[1])
    what = what[:1].lower() + what[1:120]
    if match[2] is None:
        line, where = text.count("\n") + 1, "at the end of the file"
    else:
        line, where = int(match[2]), f"at column {match[3]}"
    hint = ""
    if "cannot overwrite" in what or "cannot declare" in what or "twice" in what:
        hint = "; the same key or table stands there twice"
    if "invalid value" in what:
        hint = '; texts and quantities stand in quotes, as in "3.5 m"'
    lines = text.splitlines()
    written = lines[line - 1] if line <= len(lines) else ""
    if _INCHES_IN_QUOTES.search(written):
        hint = '; inches within quotes are written "10 ft 6 in" or "10\'6\'\'"'
    elif _NO_QUOTES.fullmatch(written):
        hint = '; texts and quantities stand in quotes, as in "3.5 m"'
    return Fault(place="", message=f"not TOML: {what} {where}{hint}", line=line)
