"""Prints the checks of one reeving as listings and as JSON."""

from typing import Any

from catalogue import glossary
from optimiser.jobs.why.cures.cures import RATED
from optimiser.jobs.why.findings import Check
from optimiser.jobs.why.why import Explained
from optimiser.rig.conditions import as_json, in_words
from optimiser.rig.naming import run_of_rope
from optimiser.rig.setup import Setup, names
from optimiser.rig.walk import notation
from optimiser.telling.tables import setup_json
from shared.listing import Column, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show

_CHECKS = (
    Column(key="result", heading="result"),
    Column(key="check", heading="check"),
    Column(key="where", heading="where"),
    Column(key="number", heading="number", where=Where.PEOPLE),
    Column(key="allowed", heading="limit", where=Where.PEOPLE),
    Column(key="value", heading="number", where=Where.DATA),
    Column(key="limit", heading="limit", where=Where.DATA),
    Column(key="at", heading="with load at", unit="m", kind=Dimension.LENGTH, yields=5),
    Column(key="dimension", heading="measures", where=Where.DATA),
    Column(key="told", heading="note and cure", where=Where.UNDER),
)


WORDS = (
    "margin",
    "reset",
    "stroke",
    "UNRATED",
    "side pull",
    "two-blocked",
    "bridle",
    "choker",
    "basket",
)
"""What a newcomer may not know of the words of checks."""


def report(explained: Explained, system: str) -> list[Block]:
    """The answer in one sentence, then every check: the failed first."""
    failed = explained.failed
    run = run_of_rope(
        explained.walk, explained.setup.gear if explained.setup is not None else (), system
    )
    if explained.works:
        assert explained.setup is not None
        reached = show(explained.setup.margin, Dimension.RATIO, system, Rounding.DOWN)
        judged = sum(not check.for_information for check in explained.checks)
        answer = f"IT WORKS with margin {reached}: all {judged} checks passed."
        answer += _effort(explained.setup)
    elif explained.if_stands:
        answer = _on_condition(explained, system)
    else:
        answer = _answer(explained)
    lines = [answer, f"Rope: {run}."]
    if not any(check.name == "stands its load" for check in explained.checks):
        lines.append(
            "No gear could be hung: the load does not move, or nothing fits. Forces are not told."
        )
    elif not explained.works and explained.setup is None:
        lines.append(
            "Forces are stated for the part of the path on which the rig pulls, as if the puller's angles "
            "were right: cure the lines and the motion first."
        )
    blocks: list[Block] = [(notation(explained.walk), "\n".join(lines))]
    if failed:
        title = "Nobody knows" if explained.if_stands else "Failed"
        blocks.append((title, checks_listing(failed, system)))
    passed = [check for check in explained.checks if check.passed]
    blocks.append(
        ("Passed", checks_listing(tuple(sorted(passed, key=lambda c: c.for_information)), system))
    )
    printed = " ".join([answer, *(f"{c.name} {c.where} {c.note}" for c in explained.checks)])
    blocks.append(
        ("", f"{glossary.of(printed, WORDS)} `bankhaul words` explains the others.".strip())
    )
    return blocks


def _on_condition(explained: Explained, system: str) -> str:
    """A rig that nothing is against but that nobody knows what some of it stands."""
    assert explained.setup is not None
    loose = explained.failed
    judged = sum(not check.for_information for check in explained.checks) - len(loose)
    reached = show(explained.setup.margin, Dimension.RATIO, system, Rounding.DOWN)
    return (
        f"IT WORKS ONLY {in_words(explained.if_stands, system)}: UNRATED, so unproven. All else holds with "
        f"margin {reached}: the other {judged} checks passed.{_effort(explained.setup)}"
    )


def _answer(explained: Explained) -> str:
    """What is against a rig: failures, pieces without a rating, and rules of the search apart."""
    broken = [c for c in explained.failed if c.rule]
    loose = [c for c in explained.failed if c.name == RATED]
    failed = [c for c in explained.failed if c not in broken and c not in loose]
    sentences = []
    if failed:
        many = f"{len(failed)} {'check fails' if len(failed) == 1 else 'checks fail'}"
        which = names(list(dict.fromkeys(c.name for c in failed)))
        sentences.append(f"IT DOES NOT WORK: {many}: {which}.")
    if loose:
        sentences.append(f"UNRATED, so unproven: {names([c.where for c in loose])}.")
    if broken:
        which = names([c.name.removeprefix("rule ") for c in broken])
        rest = "" if failed or loose else "All else passes. "
        sentences.append(f"{rest}Rules of the search leave it out of rankings: {which}.")
    return " ".join(sentences)


def _effort(setup: Setup) -> str:
    """Strokes and resets, for information."""
    strokes = f"{setup.strokes} {'stroke' if setup.strokes == 1 else 'strokes'}"
    resets = f"{setup.resets} {'reset' if setup.resets == 1 else 'resets'}"
    return f" {strokes} of {setup.puller.name}, {resets}."


def checks_listing(checks: tuple[Check, ...], system: str = "metric") -> Listing:
    """One row a check."""
    rows = tuple(
        {
            "result": _result(check),
            "check": check.name,
            "where": check.where,
            "number": _shown(check, check.value, system, up=not check.least),
            "allowed": _allowed(check, system),
            "value": check.value,
            "limit": check.limit,
            "at": check.at,
            "dimension": None if check.value is None else check.dimension.value,
            "told": _note(check),
        }
        for check in checks
    )
    return Listing(columns=_CHECKS, rows=rows, empty="none")


def _result(check: Check) -> str:
    if check.for_information or check.passed:
        return "info" if check.for_information else "ok"
    return "UNRATED" if check.name == RATED else "FAILS"


def _shown(check: Check, value: float | None, system: str, *, up: bool) -> str | None:
    """A number as people read it, rounded to the side that flatters nothing."""
    if value is None:
        return None
    if check.whole:
        return f"{value:,.0f}"
    rounding = Rounding.UP if up else Rounding.DOWN
    return show(value, check.dimension, system, rounding)


def _allowed(check: Check, system: str) -> str | None:
    """The limit, and which way it goes."""
    shown = _shown(check, check.limit, system, up=check.least)
    return None if shown is None else f"{'at least' if check.least else 'at most'} {shown}"


def _note(check: Check) -> str | None:
    parts = [check.note] if check.note and (check.for_information or not check.passed) else []
    if check.change is not None:
        parts.append(f"Cure: {check.change.text}")
    return "; ".join(parts) or None


def why_json(explained: Explained) -> dict[str, Any]:
    """Every check, ready for JSON: SI, full precision."""
    record: dict[str, Any] = {
        "reeving": [str(place) for place in explained.walk],
        "works": explained.works,
        "if_stands": as_json(explained.if_stands),
        "checks": [
            {
                "check": check.name,
                "where": check.where,
                "passed": check.passed,
                "rule": check.rule,
                "for_information": check.for_information,
                "value": check.value,
                "limit": check.limit,
                "limit_is": "least" if check.least else "most",
                "measures": check.dimension.value,
                "at_m": check.at,
                "note": check.note,
                "change": None
                if check.change is None
                else {
                    "text": check.change.text,
                    "amount": check.change.amount,
                    "unit": check.change.unit,
                },
            }
            for check in explained.checks
        ],
        "setup": None if explained.setup is None else setup_json(explained.setup, full=True),
    }
    cleaned: dict[str, Any] = plain(record)
    return cleaned
