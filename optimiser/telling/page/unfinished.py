"""Finds what can be drawn of a site that has faults still, so that nobody builds one in the dark.

Nothing is worked out of it, and what stands in for a value that is missing or wrong is drawn as unfinished.
"""

import re
import tomllib
from collections.abc import Iterable
from copy import deepcopy
from typing import Any

from optimiser.site.building import build_site
from optimiser.site.doubts.mended import stand_in
from optimiser.site.measured.left_open import measures
from optimiser.site.measured.placing import placed
from optimiser.site.model import Site
from shared.errors import Fault

THICK = "0.3 m"
"""Across a thing whose thickness is not known yet, as it is drawn."""
_PLACE = re.compile(r"(tree|anchor|made|puller|obstacle)\[(\d+)\]")


def drawable(text: str, faults: Iterable[Fault]) -> tuple[Site, dict[str, Any]] | None:
    """A site to be drawn, and what of it is not there: `missing` (keys of the file that are made up), and
    `unfinished` (names of things that have faults). None where nothing can be drawn."""
    faults = tuple(faults)
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError):
        return None
    raw, names = _put_aside(raw, faults)
    if not isinstance(raw.get("path"), dict):
        return None
    try:
        document, invented = stand_in(raw)
        if measures(document):
            document, found = placed(document)
            if found:
                return None
        site, _ = build_site(document, "stated")
    except (ArithmeticError, AssertionError, AttributeError, LookupError, TypeError, ValueError):
        # what stands in for bad values need not go together: then nothing is drawn
        return None
    missing = sorted({str(key[0]) for key in invented if len(key) == 1})
    if site is None or "path" in missing or ("path", "leg") in invented:
        return None
    return site, {"missing": missing, "unfinished": names}


def _put_aside(raw: dict[str, Any], faults: Iterable[Fault]) -> tuple[dict[str, Any], list[str]]:
    """The document with things that have faults as plain posts where they stand."""
    out = deepcopy(raw)
    wrong: dict[str, set[int]] = {}
    for fault in faults:
        found = _PLACE.match(fault.place)
        if found:
            wrong.setdefault(found[1], set()).add(int(found[2]) - 1)
    names: list[str] = []
    posts: list[dict[str, Any]] = []
    for kind, numbers in wrong.items():
        rows = out.get(kind)
        if not isinstance(rows, list):
            continue
        kept = [row for i, row in enumerate(rows) if i not in numbers]
        aside = [row for i, row in enumerate(rows) if i in numbers and isinstance(row, dict)]
        for row in aside:
            name, at = row.get("name"), row.get("at")
            if isinstance(name, str) and isinstance(at, list):
                names.append(name)
                posts.append({"name": name, "at": at, "diameter": THICK})
        if kept or kind != "puller":
            out[kind] = kept
        else:
            out.pop(kind)
    if posts:
        there = out.get("obstacle")
        out["obstacle"] = [*(there if isinstance(there, list) else []), *posts]
    return out, names
