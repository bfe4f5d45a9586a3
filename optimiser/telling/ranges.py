"""Prints how wrong the guesses may be, as listings and as JSON."""

from collections.abc import Sequence
from math import inf

from optimiser.jobs.ranges.breakeven import FURTHEST, BreakEven, Worth
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.telling.fields.common import DOWN, FLAG, MEASURE, RATIO, TEXT, UP
from shared.columns import UNITS, Column, Measure, Record, Where
from shared.listing import Listing
from shared.report import Block
from shared.units import show

BREAK_EVEN: Record[BreakEven] = Record("guesses", "how wrong a guess may be, the others as planned with", (
    Column("input", lambda b: b.name, TEXT, "what is guessed", "input"),
    Column("key", lambda b: b.key, TEXT, "its place in the site file", "key in the site file", yields=9),
    Column("reckoned_with", lambda b: Measure(b.value, b.dimension), MEASURE,
           "the value that is planned with",
           "reckoned with"),
    Column("holds_up_to", lambda b: b.at, MEASURE,
           "where the first piece comes to its limit; nothing: nowhere",
           "the limit", say=lambda b, system: _limit(b, system), none=True),
    Column("unit", lambda b: UNITS[b.dimension], TEXT, "unit of both; empty for a plain number"),
    Column("first", lambda b: None if b.at is None else b.first, TEXT,
           "the piece that comes to its limit first, or what stops it",
           "first at its limit, or what stops it", yields=5, none=True, where=Where.JSON),
    Column("first", lambda b: b.first if b.at is not None else "nothing within that", TEXT, "the same",
           "first at its limit, or what stops it", yields=5, where=Where.LISTED),
))  # fmt: skip

_NONE = "; 0: it does not work; nothing: the load rests, and nothing has to hold it"


def finite(margin: float | None) -> float | None:
    """A margin as data: None where nothing pulls."""
    return None if margin is None or margin == inf else margin


WORTH: Record[Worth] = Record("worth_measuring", "a guess that is worth measuring", (
    Column("input", lambda w: w.name, TEXT, "what is guessed"),
    Column("key", lambda w: w.key, TEXT, "its place in the site file"),
    Column("low", lambda w: w.low, MEASURE, "its lowest value"),
    Column("high", lambda w: w.high, MEASURE, "its highest value"),
    Column("unit", lambda w: UNITS[w.dimension], TEXT, "unit of both; empty for a plain number"),
    Column("range_of_the_site_file", lambda w: w.stated, FLAG, "whether the site file states both"),
    Column("margin_at_low", lambda w: finite(w.margins[0]), RATIO, f"margin at the lowest{_NONE}", none=True),
    Column("margin_at_high", lambda w: finite(w.margins[1]), RATIO, f"margin at the highest{_NONE}",
           none=True),
    Column("how", lambda w: w.how.how, TEXT, "how to measure it"),
    Column("source", lambda w: w.how.source, TEXT, "key of the source"),
))  # fmt: skip


def blocks(
    site: Site, found: Sequence[BreakEven], worth: Sequence[Worth], *, planned: float
) -> tuple[Block, ...]:
    """The break-evens of a setup and what to measure, for people. Empty where neither is known."""
    if not found:
        return ()
    return (
        (
            "How wrong each guess may be, the others as reckoned with",
            Listing.of(BREAK_EVEN, found, site.preferences.units),
        ),
        ("Worth measuring before starting", measuring(site, worth, planned)),
    )


def measuring(site: Site, worth: Sequence[Worth], planned: float) -> str:
    """The inputs worth measuring as points."""
    system = site.preferences.units
    lines = []
    for one in worth:
        if one.swing < 0.005:
            continue
        low = show(one.low, one.dimension, system)
        high = show(one.high, one.dimension, system)
        a, b = (_margin(margin) for margin in one.margins)
        whose = "the range of the site file" if one.stated else "how far off it may well be"
        lines.append(
            f"- {one.name} ({one.key}): at {low} {a}, at {high} {b} ({whose}; {_margin(planned)} as "
            f"planned). To measure it: {one.how.how}. [{one.how.source}]"
        )
    return "\n".join(lines) or "No input moves the margin: what governs it is known already."


def share_text(setup: Setup, samples: int, seed: int) -> str:
    """What the samples give for one setup; "" without any."""
    if setup.within is None:
        return ""
    share, error = setup.within
    return (
        f"Samples: in {share:.1%} ± {error:.1%} of {samples:,} nothing goes over its rating and the "
        f"load comes along. {SAMPLED.format(seed=seed)}".replace("%", " %")
    )


SAMPLED = (
    "Every range is taken as even odds between its ends, independent of the others (seed {seed}, "
    "± one standard error). The plan goes by the worst ends, not by this share."
)


def _limit(one: BreakEven, system: str) -> str:
    """The limit in words, rounded to the safe side."""
    if one.at is None:
        return f"beyond {FURTHEST:g} times"
    if one.at >= one.value:
        return f"at most {show(one.at, one.dimension, system, DOWN)}"
    return f"at least {show(one.at, one.dimension, system, UP)}"


def _margin(margin: float) -> str:
    if margin <= 0.0:
        return "it does not work"
    if margin == inf:
        return "the load rests, and nothing has to hold it"
    return f"margin {show(margin, RATIO, rounding=DOWN)}"
