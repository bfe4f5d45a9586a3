"""Whether a law holds on a bank: site file in, the JSON of `rank` out, before and after a change."""

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from copy import deepcopy
from functools import lru_cache
from math import isclose
from pathlib import Path
from random import Random
from typing import Any

from optimiser import cli
from tests.fuzz.toml_text import written
from tests.laws import statics
from tests.laws.banks import Document, bank
from tests.laws.changes import (
    EASIER,
    HARDER,
    SAME,
    SCALED,
    TILTED,
    by_old_names,
    stated_only,
    without_limits,
)

BALANCE = "forces in balance"
LAWS = (*HARDER, *EASIER, *SAME, *SCALED, *TILTED, BALANCE)
NEAR = 1e-7
BAND = 0.1
"""Width of the bands of margin that a list is ordered by."""
LENGTHS = "all lengths"
FEW, MANY, EVERY = 3, 40, 400
"""Setups of a list: a few are quickly filled and re-checked, and mostly say which margin is the greatest."""
ANSWERED, NOTHING_WORKS = 0, 3


class RefusedError(Exception):
    """The program did not answer: bad input, or an answer that its own re-check withheld."""


def answer(document: Document, folder: Path, command: str = "rank", *words: str) -> dict[str, Any]:
    """The JSON of a command on a document as a site file. Equal files are answered once."""
    return dict(json.loads(_printed(written(document), folder, command, *words)))


@lru_cache(maxsize=8)
def _printed(text: str, folder: Path, command: str, *words: str) -> str:
    file = folder / "site.toml"
    file.write_text(text, encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = cli.main([command, str(file), *words, "--no-compound", "--format", "json"])
    if code not in (ANSWERED, NOTHING_WORKS):
        raise RefusedError(f"exit {code}: {err.getvalue()[:400]}")
    return out.getvalue()


def listed(document: Document, folder: Path, top: int = MANY, *words: str) -> list[Any]:
    """The first setups of a ranking."""
    return list(answer(document, folder, "rank", "--top", str(top), *words)["setups"])


def every(document: Document, folder: Path, top: int = MANY) -> list[Any]:
    """The same with those that another one beats on every count, for which margins in one band are equal."""
    return listed(document, folder, top, "--all")


def best(document: Document, folder: Path, *, top: int = MANY) -> float:
    """The greatest margin, 0 where nothing works. Lists begin with the highest band, so that no list longer
    than `top` is needed where that many end below it."""
    margins = [float(setup["margin"]) for setup in every(document, folder, top)]
    if len(margins) == top < MANY and in_first_band(margins) == top:
        return best(document, folder)
    return max(margins, default=0.0)


def margins_of_all(document: Document, folder: Path) -> list[float]:
    """The margins of all that works, marked down for where the puller stands or not: the distances within
    which nobody stands are metres, whatever the scale of the bank."""
    return sorted(float(setup["margin"]) for setup in every(document, folder, EVERY))


def in_first_band(margins: list[float]) -> int:
    """How many of a list may lie in its highest band of margins."""
    return sum(margin > max(margins) - BAND for margin in margins)


def changed(
    law: str, number: int, *, without: frozenset[str] = frozenset()
) -> tuple[Document, Document] | None:
    """The bank of a number as a law takes it, and what the law makes of it; None where it has nothing to
    change there."""
    before: Document | None = bank(number, without=without)
    if law in SCALED or law in TILTED:
        before = before and stated_only(before)
    if law in TILTED:
        before = before and without_limits(before)
    if before is None:
        return None
    change = {**HARDER, **EASIER, **SAME, **SCALED, **TILTED}[law]
    after = change(Random(f"{law} {number}"), deepcopy(before))
    return None if after is None else (before, after)


def violated(law: str, number: int, folder: Path, *, without: frozenset[str] = frozenset()) -> str:
    """What is wrong with a law on the bank of a number, "" where it holds or does not concern it."""
    try:
        if law == BALANCE:
            return _out_of_balance(bank(number, without=without), folder)
        pair = changed(law, number, without=without)
        return "" if pair is None else _broken(law, *pair, folder)
    except RefusedError as refusal:
        return str(refusal)


def _broken(law: str, before: Document, after: Document, folder: Path) -> str:
    if law == LENGTHS:
        one, other = (margins_of_all(document, folder) for document in (before, after))
        if len(one) != len(other):
            return f"{len(one)} and {len(other)} setups"
        apart = [(a, b) for a, b in zip(one, other, strict=True) if not isclose(a, b, rel_tol=NEAR)]
        return f"margins {apart[0]}" if apart else ""
    if law in SAME or law in SCALED:
        return _other_list(listed(before, folder), listed(after, folder), law)
    was, harder = best(before, folder), law not in EASIER
    if was == 0.0 and not harder:
        return ""  # nothing works: whatever comes of more gear is no worse
    easy, hard = (before, after) if harder else (after, before)
    margins = [float(setup["margin"]) for setup in every(before, folder)]
    top = FEW if in_first_band(margins) < FEW else MANY
    now = best(after, folder, top=top)
    joined_before = _put_together(every(before, folder))
    joined_after = _put_together(every(after, folder, top))
    if (joined_before, joined_after) == ((False, True) if harder else (True, False)):
        return ""  # ropes are joined only where none of one piece does, whatever margin that would bring
    most, least = (was, now) if harder else (now, was)
    if least > most * (1.0 + NEAR) and not _within_the_band(easy, hard, folder):
        return f"margin {least:.9f} of the harder job, {most:.9f} of the easier one"
    return ""


def _within_the_band(easy: Document, hard: Document, folder: Path) -> bool:
    """Whether the setup of the greatest margin of the harder job is in the other list with another hold on
    the load, or another place of the puller by decimetres: of one walk the first by the order is listed, and
    within a band of margin that is the one of least rope."""
    best = max(every(hard, folder), key=lambda setup: float(setup["margin"]))
    return any(
        float(setup["margin"]) > float(best["margin"]) - BAND
        for setup in every(easy, folder)
        if setup["reeving"] == best["reeving"] and _chosen_in_a_band(setup, best)
    )


def _chosen_in_a_band(one: Any, other: Any) -> bool:
    moved = any(setup["standing"] and setup["standing"]["refined"] for setup in (one, other))
    return moved or bool(one["attachment"] != other["attachment"])


def _put_together(setups: list[Any]) -> bool:
    """Whether a list is of ropes that are joined or lengthened: there is no other then."""
    return any(setup["joined"] is not None for setup in setups)


def _out_of_balance(document: Document, folder: Path) -> str:
    if not statics.unadorned(document):
        return ""
    shown = answer(document, folder, "show", "1")
    if "path" not in shown or not statics.plain(document, shown):
        return ""
    return "; ".join(statics.faults(document, shown))


def _other_list(one: list[Any], other: list[Any], law: str) -> str:
    if len(one) != len(other):
        return f"{len(one)} and {len(other)} setups"
    for a, b in zip(one, other, strict=True):
        figures = ["margin", "resets", "rope_needed_m", *([] if law in SCALED else ["pull_N"])]
        for key in figures:
            if not isclose(a[key], b[key], rel_tol=NEAR, abs_tol=NEAR):
                return f"setup {a['rank']}: {key} {a[key]!r} and {b[key]!r}"
        walks = [" > ".join(setup["reeving"]) for setup in (a, b)]
        if walks[0] != by_old_names(walks[1]):
            return f"setup {a['rank']}: {walks[0]} and {walks[1]}"
    return ""
