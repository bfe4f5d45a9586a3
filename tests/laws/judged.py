"""Whether a law holds on a bank: site file in, the JSON of `rank` out, before and after a change."""

import io
import json
from collections.abc import Mapping
from contextlib import redirect_stderr, redirect_stdout
from copy import deepcopy
from math import isclose
from pathlib import Path
from random import Random
from typing import Any

from optimiser import cli
from tests.fuzz.toml_text import written
from tests.laws import statics
from tests.laws.banks import Document, bank
from tests.laws.changes import EASIER, HARDER, SAME, SCALED, by_old_names, stated_only

BALANCE = "forces in balance"
LAWS = (*HARDER, *EASIER, *SAME, *SCALED, BALANCE)
NEAR = 1e-7
WORDS = ("--top", "40", "--no-compound", "--format", "json")
ANSWERED, NOTHING_WORKS = 0, 3


class RefusedError(Exception):
    """The program did not answer: bad input, or an answer that its own re-check withheld."""


def answer(document: Document, folder: Path, command: str = "rank", *words: str) -> dict[str, Any]:
    """The JSON of a command on a document as a site file."""
    file = folder / "site.toml"
    file.write_text(written(document), encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = cli.main([command, str(file), *(words or WORDS)])
    if code not in (ANSWERED, NOTHING_WORKS):
        raise RefusedError(f"exit {code}: {err.getvalue()[:400]}")
    return dict(json.loads(out.getvalue()))


def best(answered: Mapping[str, Any]) -> float:
    """The greatest margin of a list, 0 where nothing works. A list has everything that nothing else
    beats on every count, so the greatest margin is in it."""
    return max((float(setup["margin"]) for setup in answered["setups"]), default=0.0)


def violated(law: str, number: int, folder: Path, *, without: frozenset[str] = frozenset()) -> str:
    """What is wrong with a law on the bank of a number, "" where it holds or does not concern it."""
    before: Document | None = bank(number, without=without)
    assert before is not None
    if law in SCALED:
        before = stated_only(before)
        if before is None:
            return ""
    if law == BALANCE:
        return _out_of_balance(before, folder)
    rng = Random(f"{law} {number}")
    change = {**HARDER, **EASIER, **SAME, **SCALED}[law]
    after = change(rng, deepcopy(before))
    if after is None:
        return ""
    try:
        one, other = answer(before, folder), answer(after, folder)
    except RefusedError as refusal:
        return str(refusal)
    if law in HARDER or law in EASIER:
        easy, hard = (one, other) if law in HARDER else (other, one)
        if best(hard) > best(easy) * (1.0 + NEAR):
            return f"margin {best(hard):.9f} of the harder job, {best(easy):.9f} of the easier one"
        return ""
    return _other_list(one["setups"], other["setups"], law)


def _out_of_balance(document: Document, folder: Path) -> str:
    try:
        shown = answer(document, folder, "show", "1", "--no-compound", "--format", "json")
    except RefusedError as refusal:
        return str(refusal)
    if "path" not in shown or not statics.plain(document, shown):
        return ""
    return "; ".join(statics.faults(document, shown))


def _other_list(one: list[Any], other: list[Any], law: str) -> str:
    if len(one) != len(other):
        return f"{len(one)} and {len(other)} setups"
    for a, b in zip(one, other, strict=True):
        figures = ["margin"] if law == "all lengths" else ["margin", "resets", "rope_needed_m"]
        figures += [] if law in SCALED else ["pull_N"]
        for key in figures:
            if not isclose(a[key], b[key], rel_tol=NEAR, abs_tol=NEAR):
                return f"setup {a['rank']}: {key} {a[key]!r} and {b[key]!r}"
        walks = [" > ".join(setup["reeving"]) for setup in (a, b)]
        if law != "all lengths" and walks[0] != by_old_names(walks[1]):
            return f"setup {a['rank']}: {walks[0]} and {walks[1]}"
    return ""
