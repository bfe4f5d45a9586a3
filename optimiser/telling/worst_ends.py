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
from optimiser.telling.fields.common import (
    ANGLE,
    DOWN,
    FLAG,
    FORCE,
    LENGTH,
    MEASURE,
    RATIO,
    SHARE,
    TEXT,
    TEXTS,
    UP,
)  # fmt: skip
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.report import Block
from shared.units import Dimension, show

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
        name="margin", of="margin", dimension=RATIO, unit="",
        fails="the margin may be {worst}, {limit} is wanted ({what})",
    ),
    FigureKind.ROPE: _Words(
        name="rope needed", of="rope", dimension=LENGTH, unit="m",
        fails="{what} may be {over} too short",
    ),
    FigureKind.PULL: _Words(
        name="worst pull", of="pull", dimension=FORCE, unit="N", fails="",
    ),
    FigureKind.SIDE_PULL: _Words(
        name="side pull / forward", of="side pull", dimension=RATIO, unit="",
        fails="the side pull may be {worst} of the forward pull, {limit} is the limit",
    ),
    FigureKind.PAST: _Words(
        name="line clear of trunks and posts", of="past trunks", dimension=LENGTH, unit="m",
        fails="a line may come {over} too near to {what}",
    ),
    FigureKind.ABOVE: _Words(
        name="line above the ground", of="above ground", dimension=LENGTH, unit="m",
        fails="a line may come {over} too near to the ground",
    ),
    FigureKind.NOSE: _Words(
        name="load's nose from the anchor", of="nose", dimension=LENGTH, unit="m",
        fails="the load's nose may come to {what}",
    ),
    FigureKind.ROOM: _Words(
        name="room left between blocks", of="room", dimension=LENGTH, unit="m",
        fails="it may be two-blocked, {over} too little room for the gear between its places",
    ),
    FigureKind.REACTION: _Words(
        name="ground reaction", of="reaction", dimension=FORCE, unit="N",
        fails="the load may lift off the ground",
    ),
    FigureKind.OFF_RUN: _Words(
        name="line off the puller's run", of="run", dimension=ANGLE, unit="rad",
        fails="the hauling line may lead off the puller's run by {worst}, {limit} is the limit",
    ),
    FigureKind.OFF_LEVEL: _Words(
        name="line up or down against the run", of="run", dimension=ANGLE, unit="rad",
        fails="the hauling line may lead up or down against the puller's run by {worst}, {limit} is the "
        "limit",
    ),
    FigureKind.REST: _Words(
        name="resistance to spare at rest / weight", of="rest", dimension=RATIO, unit="",
        fails="the load may run by itself on {what}: rig a hold there, or chock it",
    ),
}  # fmt: skip


Left = tuple[Site, str, LeftOpen]
"""What the readings of a site leave open of an answer, with its name."""


def _known(left: Left) -> bool:
    return not left[2].unknown


FIGURE: Record[Open] = Record("figures", "a figure of an answer at its worst end", (
    Column("figure", lambda o: o.figure.kind, FigureKind, "which figure", "figure",
           say=lambda o, _: _KINDS[o.figure.kind].name),
    Column("as_measured", lambda o: o.figure.value, MEASURE, "by the readings as they are", "as measured",
           say=lambda o, system: _value(o, o.figure.value, system)),
    Column("worst", lambda o: o.worst, MEASURE, "at its worst end (95 %)", "worst end",
           say=lambda o, system: _value(o, o.worst, system)),
    Column("limit", lambda o: o.figure.limit, MEASURE, "its limit; nothing: it has none", "the limit",
           none=True,
           say=lambda o, system: _limit(o, system)),
    Column("unit", lambda o: _KINDS[o.figure.kind].unit, TEXT, "unit of the three; empty for a plain number",
           where=Where.DATA),
    Column("of", lambda o: o.figure.what, TEXT, "what it is of; empty: the whole", "of",
           say=lambda o, _: o.figure.what or None),
    Column("beyond", lambda o: "MAY FAIL" if o.over > 0.0 else None, heading="remark", where=Where.LISTED),
))  # fmt: skip

READING_OFF: Record[tuple[Moved, float]] = Record("reading_off", "what a reading that is off moves", (
    Column("reading", lambda r: r[0].reading.words, TEXT, "the reading"),
    Column("accuracy_95", lambda r: r[0].accuracy, MEASURE, "by how much it may be off (95 %)"),
    Column("unit", lambda r: "rad" if r[0].reading.dimension is ANGLE else "m", TEXT, "unit of that"),
    Column("margin", lambda r: r[0].margin, RATIO, "what that moves the margin"),
    Column("rope", lambda r: r[0].rope, LENGTH, "what that moves the rope needed"),
    Column("share_of_deciding", lambda r: r[1], SHARE, "its share of what moves the deciding figure"),
))  # fmt: skip

LEFT_OPEN: Record[Left] = Record("left_open", "what the readings leave open of an answer", (
    Column("answer", lambda a: a[1], TEXT, "which answer"),
    Column("convention", lambda _: "95 %, root of the sum of squares", TEXT, "how readings add up",
           when=_known),
    Column("coverage_factor", lambda _: IN_LENGTH, RATIO, "standard deviations to the worst end",
           when=_known),
    Column("holds", lambda a: None if a[2].unknown else a[2].holds, FLAG,
           "whether it holds wherever the readings leave the places; nothing: not known", none=True),
    Column("unknown", lambda a: a[2].unknown, TEXT, "why nothing is known of it",
           when=lambda a: not _known(a)),
    Column("may_fail", lambda a: list(fails(a[2], a[0].preferences.units)), TEXTS, "what may fail",
           when=_known),
    Column("figures", lambda a: a[2].figures, Many(FIGURE), "its figures", when=_known),
    Column("deciding", lambda a: a[2].deciding.figure.kind, FigureKind,
           "the figure that uses up most of the room to its limit", when=_known),
    Column("readings", lambda a: zip(a[2].readings, a[2].deciding.shares, strict=True), Many(READING_OFF),
           "what each reading moves", when=_known),
))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """Something to measure, or to take again. `share`: of what moves the deciding figure."""

    what: str
    exact: str
    margin: float
    rope: float | None
    margin_share: float
    share: float | None = None


Answer = tuple[str, LeftOpen]
"""What the readings leave open of one answer, under its name."""

IN_LIST: tuple[Column[Any], ...] = (
    Column("readings", heading="by the readings", where=Where.NOTE),
    Column("readings_certain", where=Where.CSV),
    Column("readings_margin", kind=RATIO, where=Where.CSV),
)
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
        owned = show(rope.figure.limit, LENGTH, system, DOWN)
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
            over=show(one.over, kind.dimension, system, UP),
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
    return Listing.of(FIGURE, found.figures, site.preferences.units)


def again(site: Site, found: LeftOpen, worth: Sequence[Worth]) -> Listing:
    """Readings and what else is not known, those first that decide most: by the common measure of the margin,
    and by the figure that uses up most of the room to its limit."""
    system, deciding = site.preferences.units, found.deciding
    by_margin = deciding.figure.kind is FigureKind.MARGIN
    squares = [(2.0 * one.margin) ** 2 for one in found.readings]
    squares += [one.swing**2 for one in worth]
    total = sum(squares) or 1.0
    parts = [square / total for square in squares]
    rows: list[Again] = []
    for one, part, share in zip(found.readings, parts, deciding.shares, strict=False):
        exact = f"± {_accuracy(one, system)}"
        row = Again(
            what=one.reading.words, exact=exact, margin=one.margin, rope=one.rope, margin_share=part,
            share=share,
        )  # fmt: skip
        rows.append(row)
    for other, part in zip(worth, parts[len(found.readings) :], strict=True):
        low, high = (show(end, other.dimension, system) for end in (other.low, other.high))
        row = Again(
            what=other.name, exact=f"{low} to {high}", margin=other.swing / 2.0, rope=None,
            margin_share=part,
        )  # fmt: skip
        rows.append(row)
    rows.sort(key=lambda row: -round(_most(row), 9))
    by = "" if by_margin else f"share: {_KINDS[deciding.figure.kind].of}"
    return Listing.of(
        _again(by),
        (row for row in rows[:MOST_AGAIN] if _most(row) >= LEAST_SHARE),
        system,
        empty="no reading moves any figure",
    )


def _most(row: Again) -> float:
    return max(row.margin_share, row.share or 0.0)


def _again(by: str) -> Record[Again]:
    """The columns of what to take again; `by`: heading of the last, "" without it."""
    columns: tuple[Column[Again], ...] = (
        Column("what", lambda a: a.what, TEXT, "what to measure or to take again", "what"),
        Column("exact", lambda a: a.exact, TEXT, "by how much it may be off", "± or from, to"),
        Column("margin", lambda a: a.margin, RATIO, "what that moves the margin", "margin ±", rounding=UP),
        Column("rope", lambda a: a.rope, LENGTH, "what that moves the rope needed", "rope ±", rounding=UP),
        Column("margin_share", lambda a: a.margin_share, SHARE, "share of the margin", "share: margin"),
        Column("share", lambda a: a.share, SHARE, "share of the deciding figure", by),
    )  # fmt: skip
    return Record("again", "a reading to take again", columns if by else columns[:-1])


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
    rounding = UP if kind.worse > 0.0 else DOWN
    return show(value, _KINDS[kind].dimension, system, rounding)


def _limit(one: Open, system: str) -> str:
    """The limit of a figure; a dash where it has none."""
    limit = one.figure.limit
    return "–" if limit is None else show(limit, _KINDS[one.figure.kind].dimension, system)
