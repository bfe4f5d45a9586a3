"""Prints what the readings of a site leave open of an answer: each figure at its worst end, what may fail
there, and which reading to take again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from optimiser.jobs.ranges.breakeven import Worth
from optimiser.jobs.ranges.kept_to import FigureKind
from optimiser.jobs.ranges.readings_off import LeftOpen, Moved, Open
from optimiser.site.model import Site
from optimiser.site.survey.adjusted import IN_LENGTH
from shared.listing import Column, Kind, Listing, Where
from shared.report import Block
from shared.units import Dimension, Rounding, show

HOLDS, MAY_FAIL = "As good as the readings", "NOT CERTAIN"
FIGURES, AGAIN = "What the readings leave open", "Which to measure, or to take again"
CONVENTION = (
    "Worst end (95 %): every reading has its stated accuracy as standard deviation and is independent of the "
    "others; a figure changes with each by the worse of more and less; changes add up by the root of the sum "
    "of their squares, times 1.96. Ranges of the site file stay at the end that is planned for. [gum]"
)
SHARES = (
    "± for a reading: as far as it may well be off (95 %), and what that moves; of what else is not known: "
    "half of what lies between its ends. Share: of the sum of squares of all that moves a figure."
)
MOST_AGAIN = 8
"""Rows of what to measure or to take again."""
LEAST_SHARE = 0.005
_LENGTH, _FORCE, _RATIO, _ANGLE = (
    Dimension.LENGTH,
    Dimension.FORCE,
    Dimension.RATIO,
    Dimension.ANGLE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """How a kind of figure is printed: `of`: in short; `fails`: what it may come to, with what it is of
    {what}, its worst end {worst}, its limit {limit}, by how much it is beyond {over}."""

    name: str
    of: str
    dimension: Dimension
    unit: str
    fails: str


_KINDS = {
    FigureKind.MARGIN: _Words(
        name="margin", of="margin", dimension=_RATIO, unit="",
        fails="the margin may be {worst}, {limit} is wanted ({what})",
    ),
    FigureKind.ROPE: _Words(
        name="rope needed", of="rope", dimension=_LENGTH, unit="m",
        fails="{what} may be {over} too short",
    ),
    FigureKind.PULL: _Words(
        name="worst pull", of="pull", dimension=_FORCE, unit="N", fails="",
    ),
    FigureKind.SIDE_PULL: _Words(
        name="side pull / forward", of="side pull", dimension=_RATIO, unit="",
        fails="the side pull may be {worst} of the forward pull, {limit} is the limit",
    ),
    FigureKind.PAST: _Words(
        name="line clear of trunks and posts", of="past trunks", dimension=_LENGTH, unit="m",
        fails="a line may meet {what}",
    ),
    FigureKind.ABOVE: _Words(
        name="line above the ground", of="above ground", dimension=_LENGTH, unit="m",
        fails="a line may come {over} too near to the ground",
    ),
    FigureKind.NOSE: _Words(
        name="load's nose from the anchor", of="nose", dimension=_LENGTH, unit="m",
        fails="the load's nose may come to {what}",
    ),
    FigureKind.ROOM: _Words(
        name="room left between blocks", of="room", dimension=_LENGTH, unit="m",
        fails="it may be two-blocked, {over} too little room for the gear between its places",
    ),
    FigureKind.REACTION: _Words(
        name="ground reaction", of="reaction", dimension=_FORCE, unit="N",
        fails="the load may lift off the ground",
    ),
    FigureKind.OFF_RUN: _Words(
        name="line off the puller's run", of="run", dimension=_ANGLE, unit="rad",
        fails="the hauling line may lead off the puller's run by {worst}, {limit} is the limit",
    ),
    FigureKind.OFF_LEVEL: _Words(
        name="line up or down against the run", of="run", dimension=_ANGLE, unit="rad",
        fails="the hauling line may lead up or down against the puller's run by {worst}, {limit} is the "
        "limit",
    ),
    FigureKind.REST: _Words(
        name="resistance to spare at rest / weight", of="rest", dimension=_RATIO, unit="",
        fails="the load may run by itself on {what}: rig a hold there, or chock it",
    ),
}  # fmt: skip

_FIGURES = (
    Column(key="figure", heading="figure"),
    Column(key="value_text", heading="as measured", where=Where.PEOPLE),
    Column(key="worst_text", heading="worst end", where=Where.PEOPLE),
    Column(key="limit_text", heading="the limit", where=Where.PEOPLE),
    Column(key="value", heading="as measured", where=Where.DATA),
    Column(key="worst", heading="worst end", where=Where.DATA),
    Column(key="limit", heading="the limit", where=Where.DATA),
    Column(key="unit", heading="unit", where=Where.DATA),
    Column(key="of", heading="of"),
    Column(key="beyond", heading="remark"),
)

Answer = tuple[str, LeftOpen]
"""What the readings leave open of one answer, under its name."""

IN_LIST = (
    Column(key="readings", heading="by the readings", where=Where.UNDER),
    Column(key="readings_certain", heading="certain by the readings", where=Where.DATA),
    Column(
        key="readings_margin", heading="margin at the worst end of the readings", kind=_RATIO,
        rounding=Rounding.DOWN, where=Where.DATA,
    ),
)  # fmt: skip
"""Columns of a list of answers that are each looked at."""


def with_verdicts(listing: Listing, measured: Sequence[Sequence[Answer]], system: str) -> Listing:
    """A list of answers with the verdict on each of the first of them: `measured` has each answer, or the
    stages that it is made of."""
    verdicts = [_in_list(answers, system) for answers in measured]
    more: list[dict[str, Any]] = [{} for _ in listing.rows[len(verdicts) :]]
    rows = tuple(
        {**row, **verdict} for row, verdict in zip(listing.rows, verdicts + more, strict=True)
    )
    return replace(listing, columns=(*listing.columns, *IN_LIST), rows=rows)


def _in_list(answers: Sequence[Answer], system: str) -> dict[str, Any]:
    each = [found for _, found in answers]
    known = [one.worst for found in each if (one := found.of(FigureKind.MARGIN)) is not None]
    unknown = any(found.unknown for found in each)
    certain = all(found.holds for found in each)
    return {
        "readings": " ".join(_verdict(name, found, system, len(each)) for name, found in answers),
        "readings_certain": None if unknown else "yes" if certain else "no",
        "readings_margin": min(known) if len(known) == len(each) else None,
    }


def doubt(found: LeftOpen | None, system: str) -> str | None:
    """Why an answer is not certain; None where it is, or where nothing is measured."""
    if found is None or found.holds:
        return None
    return _verdict("", found, system, 1)


def _verdict(name: str, found: LeftOpen, system: str, of: int) -> str:
    begin = f"{name}: " if of > 1 else ""
    if found.unknown:
        return f"{begin}What the readings leave open could not be worked out: {found.unknown}."
    if not found.holds:
        return f"{begin}{MAY_FAIL} by the readings: {'; '.join(fails(found, system))}."
    margin = found.of(FigureKind.MARGIN)
    least = "" if margin is None else f": margin {_least(margin, system)}"
    return f"{begin}It works wherever the readings leave the places (95 %){least}."


def summary(site: Site, answers: Sequence[Answer]) -> Block:
    """The answers in a sentence each, under the title that says whether all of them hold."""
    certain = all(found.holds for _, found in answers)
    lines = [sentence(site, name, found) for name, found in answers]
    return HOLDS if certain else MAY_FAIL, "\n".join(lines)


def sentence(site: Site, name: str, found: LeftOpen) -> str:
    """What the readings leave open of one answer."""
    system = site.preferences.units
    if found.unknown:
        return f"What the readings leave open of {name} could not be worked out: {found.unknown}."
    if not found.holds:
        reasons = "; ".join(fails(found, system))
        first = _decisive(found)
        again = f" Take again first: {', then '.join(first)}." if first else ""
        return f"{name} may fail within what the readings leave open (95 %): {reasons}.{again}"
    margin, rope = found.of(FigureKind.MARGIN), found.of(FigureKind.ROPE)
    figures = []
    if margin is not None:
        figures.append(f"its margin is {_least(margin, system)}")
    if rope is not None and rope.figure.limit is not None:
        owned = show(rope.figure.limit, _LENGTH, system, Rounding.DOWN)
        figures.append(f"it needs at most {_value(rope, rope.worst, system)} of {owned} of rope")
    if found.of(FigureKind.REST) is not None:
        figures.append("the load rests where it is stated to")
    return (
        f"{name}: wherever the readings leave the places (95 %), {', '.join(figures)}; nothing goes "
        "beyond its limit."
    )


def fails(found: LeftOpen, system: str) -> Iterator[str]:
    """What may fail, in words."""
    for one in found.beyond:
        figure, kind = one.figure, _KINDS[one.figure.kind]
        limit = 0.0 if figure.limit is None else figure.limit
        yield kind.fails.format(
            what=figure.what,
            worst=_value(one, one.worst, system),
            limit=show(limit, kind.dimension, system),
            over=show(one.over, kind.dimension, system, Rounding.UP),
        )
    if found.stops:
        yield found.stops


def _least(margin: Open, system: str) -> str:
    """The margin at its worst end; of what, where that is no piece of the haul."""
    of = f" ({margin.figure.what})" if margin.figure.line else ""
    return f"{_value(margin, margin.worst, system)} or more{of}"


def blocks(site: Site, found: LeftOpen, worth: Sequence[Worth]) -> list[Block]:
    """One answer in full: its figures and what to measure; `worth`: what else is not known of it."""
    if found.unknown:
        return []
    return [
        (FIGURES, figures(site, found)),
        ("", CONVENTION),
        (AGAIN, again(site, found, worth)),
        ("", SHARES),
    ]


def figures(site: Site, found: LeftOpen) -> Listing:
    """One row a figure."""
    system = site.preferences.units
    return Listing(columns=_FIGURES, rows=tuple(_figure(one, system) for one in found.figures))


def _figure(one: Open, system: str) -> dict[str, Any]:
    figure, kind = one.figure, _KINDS[one.figure.kind]
    return {
        "figure": kind.name,
        "value_text": _value(one, figure.value, system),
        "worst_text": _value(one, one.worst, system),
        "limit_text": "–" if figure.limit is None else show(figure.limit, kind.dimension, system),
        "value": figure.value,
        "worst": one.worst,
        "limit": figure.limit,
        "unit": kind.unit,
        "of": figure.what or None,
        "beyond": "MAY FAIL" if one.over > 0.0 else None,
    }


def again(site: Site, found: LeftOpen, worth: Sequence[Worth]) -> Listing:
    """Readings and what else is not known, those first that decide most: by the common measure of the margin,
    and by the figure that uses up most of the room to its limit."""
    system, deciding = site.preferences.units, found.deciding
    by_margin = deciding.figure.kind is FigureKind.MARGIN
    squares = [(2.0 * one.margin) ** 2 for one in found.readings]
    squares += [one.swing**2 for one in worth]
    total = sum(squares) or 1.0
    parts = [square / total for square in squares]
    rows: list[tuple[float, dict[str, Any]]] = []
    for one, part, share in zip(found.readings, parts, deciding.shares, strict=False):
        row = _reading(one, system) | {"margin_share": part, "share": share}
        rows.append((max(part, share), row))
    for other, part in zip(worth, parts[len(found.readings) :], strict=True):
        rows.append((part, _input(other, system) | {"margin_share": part}))
    rows.sort(key=lambda row: -round(row[0], 9))
    shares = [Column(key="margin_share", heading="share: margin", kind=Kind.SHARE)]
    if not by_margin:
        heading = f"share: {_KINDS[deciding.figure.kind].of}"
        shares.append(Column(key="share", heading=heading, kind=Kind.SHARE))
    return Listing(
        columns=(
            Column(key="what", heading="what"),
            Column(key="exact", heading="± or from, to"),
            Column(key="margin", heading="margin ±", kind=_RATIO, rounding=Rounding.UP),
            Column(key="rope", heading="rope ±", unit="m", kind=_LENGTH, rounding=Rounding.UP),
            *shares,
        ),
        rows=tuple(row for share, row in rows[:MOST_AGAIN] if share >= LEAST_SHARE),
        empty="no reading moves any figure",
    )


def _reading(one: Moved, system: str) -> dict[str, Any]:
    return {
        "what": one.reading.words,
        "exact": f"± {_accuracy(one, system)}",
        "margin": one.margin,
        "rope": one.rope,
    }


def _input(one: Worth, system: str) -> dict[str, Any]:
    low, high = (show(end, one.dimension, system) for end in (one.low, one.high))
    return {"what": one.name, "exact": f"{low} to {high}", "margin": one.swing / 2.0, "rope": None}


def left_open_json(site: Site, name: str, found: LeftOpen) -> dict[str, Any]:
    """One answer, SI; ready for JSON."""
    if found.unknown:
        return {"answer": name, "holds": None, "unknown": found.unknown}
    deciding = found.deciding
    return {
        "answer": name,
        "convention": "95 %, root of the sum of squares",
        "coverage_factor": IN_LENGTH,
        "holds": found.holds,
        "may_fail": list(fails(found, site.preferences.units)),
        "figures": [
            {
                "figure": str(one.figure.kind),
                "of": one.figure.what,
                "as_measured": one.figure.value,
                "worst": one.worst,
                "limit": one.figure.limit,
                "unit": _KINDS[one.figure.kind].unit,
            }
            for one in found.figures
        ],
        "deciding": str(deciding.figure.kind),
        "readings": [
            {
                "reading": one.reading.words,
                "accuracy_95": one.accuracy,
                "unit": "rad" if one.reading.dimension is _ANGLE else "m",
                "margin": one.margin,
                "rope_m": one.rope,
                "share_of_deciding": share,
            }
            for one, share in zip(found.readings, deciding.shares, strict=True)
        ],
    }


def _decisive(found: LeftOpen, many: int = 2) -> list[str]:
    """The readings that decide most, in words."""
    ranked = sorted(
        zip(found.deciding.shares, found.readings, strict=True), key=lambda pair: -pair[0]
    )
    return [one.reading.words for share, one in ranked[:many] if share >= 0.1]


def _accuracy(one: Moved, system: str) -> str:
    return one.reading.size(one.accuracy, system)


def _value(one: Open, value: float, system: str) -> str:
    """A value of a figure, rounded for the worse."""
    kind = one.figure.kind
    rounding = Rounding.UP if kind.worse > 0.0 else Rounding.DOWN
    return show(value, _KINDS[kind].dimension, system, rounding)
