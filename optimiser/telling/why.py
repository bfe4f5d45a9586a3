"""Prints the checks of one reeving as listings and as JSON."""

from collections.abc import Sequence

from catalogue import glossary
from optimiser.jobs.hold.results import of_setup
from optimiser.jobs.lower.words import run_of_rope as run_of_hold
from optimiser.jobs.why.cures.cures import RATED
from optimiser.jobs.why.findings import Check
from optimiser.jobs.why.ways_down.let_down import ExplainedDown
from optimiser.jobs.why.why import Explained
from optimiser.rig.conditions import in_words
from optimiser.rig.naming import run_of_rope
from optimiser.rig.setup import Change, Setup, names
from optimiser.rig.walk import notation
from optimiser.rig.where_it_stands import sentence as in_full
from optimiser.telling.fields.common import DOWN, FLAG, LENGTH, MEASURE, STANDS, TEXT, TEXTS
from optimiser.telling.fields.several import IF_STANDS
from optimiser.telling.hold import NOT_HELD, not_held_blocks, worded
from optimiser.telling.lower import HOLD_IN_FULL, cautions_text
from optimiser.telling.tables import CHANGE, SETUP_IN_FULL
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.report import Block
from shared.units import Dimension, Rounding, show

CHECK: Record[Check] = Record("checks", "one check of a rig", (
    Column("result", lambda c: _result(c), TEXT, "passed, FAILED and why, or for information", "result",
           where=Where.LISTED),
    Column("check", lambda c: c.name, TEXT, "what is checked", "check"),
    Column("where", lambda c: c.where, TEXT, "of what", "where"),
    Column("passed", lambda c: c.passed, FLAG, "whether it passes"),
    Column("rule", lambda c: c.rule, FLAG, "whether it is a rule of the search, no failure of the rig"),
    Column("for_information", lambda c: c.for_information, FLAG, "whether there is no limit to it"),
    Column("value", lambda c: c.value, MEASURE, "the number; nothing: a matter of yes or no", "number",
           say=lambda c, system: _shown(c, c.value, system, up=not c.least), none=True),
    Column("limit", lambda c: c.limit, MEASURE, "its limit", "limit", none=True,
           say=lambda c, system: _allowed(c, system)),
    Column("limit_is", lambda c: "least" if c.least else "most", TEXT, "which of the two the limit is"),
    Column("at", lambda c: c.at, LENGTH, "where the load is then", "with load at", yields=5, none=True),
    Column("measures", lambda c: c.dimension, Dimension, "what number and limit measure, in SI",
           where=Where.DATA),
    Column("note", lambda c: c.note, TEXT, "what else is to be known; empty for nothing"),
    Column("change", lambda c: c.change, CHANGE, "the smallest change that cures it", none=True),
    Column("told", lambda c: _note(c), heading="note and cure", where=Where.NOTE),
))  # fmt: skip

EXPLAINED: Record[Explained] = Record("explained", "why a reeving works, or why it does not", (
    Column("reeving", lambda e: [str(place) for place in e.walk], TEXTS,
           "its places from the standing end on"),
    Column("works", lambda e: e.works, FLAG, "whether it works"),
    Column("if_stands", lambda e: e.if_stands, Many(IF_STANDS), "the conditions for it to hold"),
    Column("checks", lambda e: e.checks, Many(CHECK), "every check"),
    Column("standing", lambda e: e.standing, STANDS, "where its puller is, where that was left to the search",
           when=lambda e: e.standing is not None),
    Column("not_held", lambda e: e.not_held, Many(NOT_HELD),
           "where a second line was wanted and there is none, why, and what would cure it"),
    Column("setup", lambda e: e.setup, SETUP_IN_FULL, "the setup; nothing: no gear could be hung", none=True),
))  # fmt: skip

STOPPED_BY: Record[str] = Record("stopped_by", "something that stops tackle on tackle", (
    Column("stops", str, TEXT, "what stops it, in words"),
))  # fmt: skip

CURE: Record[Change] = Record("cure", "a change that would cure tackle on tackle", (
    Column("change", lambda c: c.text, TEXT, "what to change"),
    Column("amount", lambda c: c.amount, MEASURE, "by how much", none=True),
    Column("unit", lambda c: c.unit, TEXT, "unit of the amount; empty for a plain number"),
))  # fmt: skip

why_json = EXPLAINED.json


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
        reached = show(explained.setup.margin, Dimension.RATIO, system, DOWN)
        judged = sum(not check.for_information for check in explained.checks)
        answer = f"IT WORKS with margin {reached}: all {judged} checks passed."
        answer += _effort(explained.setup)
    elif explained.if_stands:
        answer = _on_condition(explained, system)
    else:
        answer = _answer(explained)
    lines = [answer, f"Rope: {run}."]
    if explained.standing is not None:
        lines.append(in_full(explained.standing, system))
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
    if explained.setup is not None and explained.setup.holding:
        lines_text = worded(of_setup(explained.setup), system, part_of_setup=True)
        blocks.append(("Second line on the load", lines_text))
    if explained.not_held:
        blocks += not_held_blocks(explained.not_held, system)
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
    reached = show(explained.setup.margin, Dimension.RATIO, system, DOWN)
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
        sentences.append(_not_passed(failed))
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
    return Listing.of(CHECK, checks, system)


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


EXPLAINED_DOWN: Record[ExplainedDown] = Record("explained_down", "why a way down works, or why it does not", (
    Column("reeving", lambda e: [str(place) for place in e.walk], TEXTS,
           "its places from the standing end on"),
    Column("works", lambda e: e.works, FLAG, "whether it works"),
    Column("needs_hold", lambda e: e.needs_hold, FLAG, "whether the load may run by itself anywhere"),
    Column("turned", lambda e: e.turned, FLAG, "whether the path was taken the other way round"),
    Column("checks", lambda e: e.checks, Many(CHECK), "every check"),
    Column("cures", lambda e: e.cures, Many(CHANGE), "what would cure it, each by itself"),
    Column("setup", lambda e: e.setup, HOLD_IN_FULL, "the way down; nothing: no gear could be hung",
           none=True),
))  # fmt: skip


def report_down(explained: ExplainedDown, system: str) -> list[Block]:
    """Why a way down works, or why it does not, for people."""
    title = notation(explained.walk) if explained.setup is None else explained.setup.reeving
    if not explained.needs_hold:
        return [
            (title, "Wherever the way down falls the load rests by itself: no rope has to hold it.")
        ]
    failed = explained.failed
    lines = [_answer_down(explained, system)]
    if explained.setup is not None:
        lines.append(f"Rope: {run_of_hold(explained.setup, system)}.")
    else:
        lines.append("No gear could be hung: its lines or forces are against it.")
    blocks: list[Block] = [(title, "\n".join(lines))]
    if failed:
        blocks.append(("Failed", checks_listing(failed, system)))
    if not explained.works and not all(check.name == RATED for check in failed):
        cures = "\n".join(f"- {change.text}" for change in explained.cures)
        none = "- nothing by itself was found; `bankhaul lower` has the ways down that work"
        blocks.append(("What would cure it, each by itself", cures or none))
    passed = tuple(check for check in explained.checks if check.passed)
    blocks.append(("Passed", checks_listing(passed, system)))
    if explained.works and explained.setup is not None:
        blocks.append(("Cautions", cautions_text(explained.setup)))
    return blocks


def _not_passed(failed: Sequence[Check]) -> str:
    """Which checks fail: how many first, or their names would read as what is against the rig."""
    many = f"{len(failed)} {'check fails' if len(failed) == 1 else 'checks fail'}"
    return f"IT DOES NOT WORK: {many}: {names(list(dict.fromkeys(c.name for c in failed)))}."


def _answer_down(explained: ExplainedDown, system: str) -> str:
    if explained.works and explained.setup is not None:
        margin = show(explained.setup.margin, Dimension.RATIO, rounding=DOWN)
        return f"IT WORKS with margin {margin}: all {len(explained.checks)} checks passed."
    loose = [check.where for check in explained.failed if check.name == RATED]
    failed = [check for check in explained.failed if check.name != RATED]
    against = _not_passed(failed) if failed else ""
    unproven = f"UNRATED, so unproven: {names(loose)}." if loose else ""
    alone = "" if failed or loose else "IT DOES NOT WORK: no gear at hand is enough for it."
    return " ".join(text for text in (against, unproven, alone) if text)
