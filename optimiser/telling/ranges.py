"""Prints how wrong the guesses may be, as listings and as JSON."""

from collections.abc import Sequence
from typing import Any

from optimiser.jobs.ranges.breakeven import FURTHEST, BreakEven, Worth
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from shared.listing import Column, Kind, Listing, Measure, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show

_BREAK_EVENS = (
    Column(key="input", heading="input"),
    Column(key="key", heading="key in the site file", yields=9),
    Column(key="value", heading="reckoned with", kind=Kind.MEASURE),
    Column(key="at", heading="the limit", where=Where.PEOPLE),
    Column(key="limit", heading="the limit", kind=Kind.MEASURE, where=Where.DATA),
    Column(key="first", heading="first at its limit, or what stops it", yields=5),
)


def blocks(
    site: Site, found: Sequence[BreakEven], worth: Sequence[Worth], *, planned: float
) -> tuple[Block, ...]:
    """The break-evens of a setup and what to measure, for people. Empty where neither is known."""
    if not found:
        return ()
    return (
        (
            "How wrong each guess may be, the others as reckoned with",
            break_even_listing(found, site.preferences.units),
        ),
        ("Worth measuring before starting", measuring(site, worth, planned)),
    )


def break_even_listing(found: Sequence[BreakEven], system: str = "metric") -> Listing:
    """One row an input, the nearest to its limit first."""
    return Listing(columns=_BREAK_EVENS, rows=tuple(_row(one, system) for one in found))


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


def break_evens_json(found: Sequence[BreakEven]) -> list[dict[str, Any]]:
    """Break-evens in SI."""
    return [
        {
            "input": one.name, "key": one.key, "reckoned_with": one.value, "holds_up_to": one.at,
            "unit": _UNITS.get(one.dimension, ""), "first": None if one.at is None else one.first,
        }
        for one in found
    ]  # fmt: skip


def measuring_json(worth: Sequence[Worth]) -> list[dict[str, Any]]:
    """What is worth measuring, in SI."""
    records = [
        {
            "input": one.name, "key": one.key, "low": one.low, "high": one.high,
            "unit": _UNITS.get(one.dimension, ""), "range_of_the_site_file": one.stated,
            "margin_at_low": one.margins[0], "margin_at_high": one.margins[1],
            "how": one.how.how, "source": one.how.source,
        }
        for one in worth
    ]  # fmt: skip
    cleaned: list[dict[str, Any]] = plain(records)
    return cleaned


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

_UNITS = {
    Dimension.WEIGHT: "N",
    Dimension.FORCE: "N",
    Dimension.LENGTH: "m",
    Dimension.ANGLE: "rad",
}


def _row(one: BreakEven, system: str) -> dict[str, Any]:
    return {
        "input": one.name,
        "key": one.key,
        "value": Measure(one.value, one.dimension),
        "at": _limit(one, system),
        "limit": None if one.at is None else Measure(one.at, one.dimension),
        "first": one.first if one.at is not None else "nothing within that",
    }


def _limit(one: BreakEven, system: str) -> str:
    """The limit in words, rounded to the safe side."""
    if one.at is None:
        return f"beyond {FURTHEST:g} times"
    if one.at >= one.value:
        return f"at most {show(one.at, one.dimension, system, Rounding.DOWN)}"
    return f"at least {show(one.at, one.dimension, system, Rounding.UP)}"


def _margin(margin: float) -> str:
    if margin <= 0.0:
        return "it does not work"
    return f"margin {show(margin, Dimension.RATIO, rounding=Rounding.DOWN)}"
