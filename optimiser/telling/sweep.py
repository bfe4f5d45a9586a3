"""Prints a sweep as listings, as CSV and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from catalogue.glossary import explained
from optimiser.jobs.lower.words import newtons
from optimiser.jobs.lower.words import run_of_rope as run_of_hold
from optimiser.jobs.sweep.axes import Axis
from optimiser.jobs.sweep.results import NONE, RESTS, Boundary, Cell, Rig, Stop, Sweep
from optimiser.rig.naming import run_of_rope
from optimiser.rig.order import BAND
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.rig.status import Status
from optimiser.rig.where_it_stands import short
from optimiser.telling.fields.common import (
    COUNT,
    FLAG,
    FORCE,
    MARGIN,
    MEASURE,
    PULL,
    RATIO,
    RESETS,
    ROPE_NEEDED,
    STANDS,
    TEXT,
    TEXTS,
    UNRATED,
    UP,
    WEAKEST,
)  # fmt: skip
from optimiser.telling.fields.several import PROVEN, STATUS
from optimiser.telling.worst_ends import doubt, fails
from shared.columns import Column, Many, Named, Record, Where
from shared.interrupt import cut_short
from shared.listing import Listing
from shared.report import Block


@dataclass(frozen=True, slots=True)
class Shown:
    """A cell of a sweep."""

    found: Sweep
    cell: Cell
    system: str = "metric"

    @property
    def setup(self) -> Rig | None:
        """The best there; None: none works."""
        return self.cell.setup

    @property
    def hold(self) -> LoweringSetup | None:
        """The best way down there; None: none works, or it is about hauls."""
        return self.setup if isinstance(self.setup, LoweringSetup) else None

    @property
    def pull(self) -> float | None:
        """Worst pull of the best haul."""
        return self.setup.pull if isinstance(self.setup, Setup) else None

    def hand(self, system: str) -> str | None:
        """Force of the hand behind the turns of a way down, in words."""
        return newtons(self.hold.hand, system) if self.hold and self.hold.turns else None

    @property
    def letter(self) -> str:
        """Of that setup."""
        return self.found.letter(self.cell)


@dataclass(frozen=True, slots=True)
class Edge:
    """A boundary of a sweep."""

    found: Sweep
    one: Boundary

    @property
    def axis(self) -> Axis:
        """Along which the best setup changes."""
        return self.found.axes[self.one.axis]

    @property
    def between(self) -> str:
        """Between which values."""
        return f"{self.one.low:.5g} and {self.one.high:.5g} {self.axis.unit}".rstrip()

    @property
    def at(self) -> str | None:
        """With which value of what else is varied."""
        if self.one.other is None:
            return None
        other = self.found.axes[1 - self.one.axis]
        return f"{other.key} {_text(other, self.one.other)}"


WHOLE_WAY = (
    "Holds for the whole way down: margin first, then less for the hand, then fewer new grips, then less "
    "rope. Where none does, `bankhaul lower` looks for stages too."
)
CERTAIN = {None: None, True: "yes", False: "no"}
_SETUP = "; nothing: no setup works"
_CELL: tuple[Column[Shown], ...] = (
    Column("best", lambda c: None if c.setup is None else c.letter, TEXT, f"letter of the best setup{_SETUP}",
           "best setup", say=lambda c, _: c.letter, none=True),
    Column("as_good", lambda c: c.found.as_good(c.cell), TEXTS, "letters of the setups that are as good"),
    Column("as_good", lambda c: " ".join(c.found.as_good(c.cell)) or None, TEXT, heading="as good",
           where=Where.LISTED),
    MARGIN.of(lambda c: c.setup and worst(c.setup), none=True),
    WEAKEST.of(lambda c: c.setup and c.setup.weakest, say=lambda c, _: _weakest(c), yields=7, none=True),
    UNRATED.of(lambda c: c.setup and c.setup.unrated, none=True),
    PULL.of(lambda c: c.pull, none=True),
    Column("line", lambda c: c.hold and c.hold.line, FORCE, "worst tension of the line where it is held",
           "worst line", rounding=UP, none=True, when=lambda c: c.found.down),
    Column("hand", lambda c: (c.hold and c.hold.turns and c.hold.hand) or None, FORCE,
           "worst force of the hand behind the turns; nothing: a puller pays out", "worst hand",
           say=Shown.hand, none=True, when=lambda c: c.found.down),
    Column("turns", lambda c: c.hold and c.hold.turns, COUNT,
           "full turns round the trunk; 0: a puller pays out", "turns", none=True,
           when=lambda c: c.found.down),
    Column("rests", lambda c: c.cell.rests, FLAG, "whether nothing has to hold it on its way down",
           where=Where.DATA, when=lambda c: c.found.down),
    ROPE_NEEDED.of(lambda c: c.setup and c.setup.rope_needed, yields=9, none=True),
    RESETS.of(lambda c: c.setup and c.setup.resets, yields=8, none=True),
    Column("stands", say=lambda c, system: _stands(c, system), heading="puller stands", yields=6, rare=True,
           where=Where.LISTED),
    Column("cost", lambda c: c.cell.cost, RATIO, "the least money with which something works",
           "least to buy (placeholder prices)",
           rounding=UP, none=True, unit="currency of the price list", name="cost"),
    Column("readings", lambda c: doubt(c.cell.measured, c.system), heading="by the readings",
           where=Where.NOTE, rare=True),
    Column("readings_certain", lambda c: CERTAIN[c.cell.certain], where=Where.CSV, rare=True),
    Column("unrated", lambda c: c.setup and ("; ".join(c.setup.unrated) or None), where=Where.CSV),
    Column("status", lambda c: c.cell.status, Status, STATUS, where=Where.DATA),
    Column("why_none", lambda c: _why_none(c), TEXT, where=Where.CSV),
    Column("proven", lambda c: c.cell.proven, FLAG, PROVEN, where=Where.DATA),
    Column("reeving", lambda c: c.setup and c.setup.reeving, TEXT, "the reeving as one text",
           where=Where.DATA, none=True),
)  # fmt: skip


def _stands(shown: Shown, system: str) -> str | None:
    """Where the puller stands in a cell, if that is for the search to say."""
    standing = None if shown.setup is None else shown.setup.standing
    return None if standing is None else short(standing, system)


CELL: Record[Shown] = Record("cells", "the best setup with what is varied at some values", (
    Column("values", lambda c: c.cell.values, Many(MEASURE), "what is varied, in the units of `varied`"),
    *_CELL,
    Column("certain", lambda c: c.cell.certain, FLAG,
           "whether it works wherever the readings leave the places; nothing: no readings", none=True),
    Column("may_fail", lambda c: list(fails(c.cell.measured, c.system)) if c.cell.measured else [], TEXTS,
           "what may fail within what the readings leave open"),
    Column("standing", lambda c: c.setup and c.setup.standing, STANDS,
           "where its puller stands, where that was left to the search",
           when=lambda c: c.setup is not None and c.setup.standing is not None),
))  # fmt: skip

AXIS: Record[Axis] = Record("axis", "a number of the site that is varied", (
    Column("key", lambda a: a.key, TEXT, "its place in the site file"),
    Column("name", lambda a: a.name, TEXT, "what it is"),
    Column("from", lambda a: a.low, MEASURE, "its lowest value"),
    Column("to", lambda a: a.high, MEASURE, "its highest value"),
    Column("unit", lambda a: a.unit, TEXT, "unit of its values; empty for a plain number"),
))  # fmt: skip

BOUNDARY: Record[Edge] = Record("changes", "where the best setup changes", (
    Column("key", lambda b: b.axis.key, TEXT, "what is varied, by its place in the site file", "varied"),
    Column("between", say=lambda b, _: b.between, heading="the best setup changes between",
           where=Where.PEOPLE),
    Column("low", lambda b: b.one.low, MEASURE, "from this value", where=Where.DATA),
    Column("high", lambda b: b.one.high, MEASURE, "to that value", where=Where.DATA),
    Column("other", lambda b: b.one.other, MEASURE, "value of what else is varied", none=True),
    Column("at", lambda b: b.at, heading="with", where=Where.LISTED),
    Column("from", lambda b: b.one.before, TEXT, "letter of the best setup before", "from"),
    Column("to", lambda b: b.one.after, TEXT, "letter of the best setup after", "to"),
    Column("either_will_do", lambda b: b.one.either, FLAG, "whether one is as good where the other is best",
           "either will do", say=lambda b, _: "yes" if b.one.either else None, rare=True),
))  # fmt: skip

STOP: Record[Stop] = Record("stop", "what stops the rig that comes nearest where no setup works", (
    Column("values", lambda s: s.values, Many(MEASURE), "what is varied, in the units of `varied`"),
    Column("limit", lambda s: s.limit, TEXT, "what stops it"),
    Column("text", lambda s: s.text, TEXT, "how it is stopped, in words"),
    Column("cure", lambda s: s.cure, TEXT, "what would cure it; empty: nothing by itself"),
))  # fmt: skip

InUnits = tuple[Sweep, str]
"""A sweep, and the units of what is in words."""

OF_ONE_PIECE = (
    "whether a cell's ropes are of one piece, and what others put together bring was left out"
)
SWEEP: Record[InUnits] = Record("sweep", "the best setups while one or two numbers of a site are varied", (
    Column("varied", lambda s: s[0].axes, Many(AXIS), "what is varied"),
    Column("cells", lambda s: [Shown(s[0], cell, s[1]) for cell in s[0].cells], Many(CELL),
           "the cells in order"),
    Column("boundaries", lambda s: [Edge(s[0], one) for one in s[0].boundaries], Many(BOUNDARY),
           "where the best setup changes"),
    Column("nothing_works", lambda s: s[0].stops, Many(STOP), "what stops it where no setup works"),
    Column("setups", lambda s: {mark: setup.reeving for mark, setup in s[0].examples()}, Named(TEXT),
           "by letter the reeving of one of its setups"),
    Column("proven", lambda s: s[0].proven, FLAG, "whether every cell is proven best"),
    Column("of_one_piece", lambda s: s[0].of_one_piece, FLAG, OF_ONE_PIECE),
))  # fmt: skip


def sweep_json(found: Sweep, system: str = "metric") -> dict[str, Any]:
    """A sweep ready for JSON: values in the units of the request, answers in SI, words for `system`."""
    return SWEEP.json((found, system))


NOT_LOOKED_FOR = "Between two cells with the same best setup no further change is looked for."
ON_ONE_LINE = (
    " Where several lines of cells change alike between the same two values, every step in between is "
    "looked for on one of them, and on the others where it is found there."
)


LEFT_WHOLE = (
    "Where ropes of one piece do, only those are compared: ropes that are joined, or lengthened by a strap "
    "or chain, may bring more margin: `--join-ropes` compares them too."
)


def report(found: Sweep, system: str, *, priced: bool = False) -> list[Block]:
    """The table, where the best setup changes, and what the letters mean."""
    what = "ways down" if found.down else "setups"
    blocks: list[Block] = [
        (f"Best {what} for {found.title}", cells_listing(found, priced=priced, system=system)),
        (
            f"Where the best {sought(found)} changes (to 1 %)",
            changes_listing(found),
        ),
        (f"The {what}", legend(found, system)),
        ("", NOT_LOOKED_FOR + (ON_ONE_LINE if len(found.axes) > 1 else "")),
    ]
    blocks += [("", text) for text in (*ties(found), *doubts(found))]
    if priced:
        blocks.append(
            (
                "",
                "Least to buy: by the price list of the program; its prices are placeholders. 0 beside no "
                "setup: ropes are joined, or something is made on the spot (`bankhaul buy` says what).",
            )
        )
    if found.down:
        blocks.append(("", WHOLE_WAY))
    blocks.append(("", explained(("margin", "turn") if found.down else ("margin", "reset"))))
    if found.of_one_piece:
        blocks.append(("", LEFT_WHOLE))
    if not found.proven:
        blocks.append(("", f"NOT proven ({cut_short()}): better setups may exist in some cells."))
    return blocks


def sought(found: Sweep) -> str:
    """What the best of is looked for in each cell."""
    return "way down" if found.down else "setup"


def cells_listing(found: Sweep, *, priced: bool = False, system: str = "metric") -> Listing:
    """One row for each cell of the grid."""
    varied = [_varied(number, axis) for number, axis in enumerate(found.axes)]
    left_out = {"pull"} if found.down else {"line", "hand", "turns", "rests"}
    left_out |= set() if priced else {"cost"}
    called = {"best": "best way", "resets": "new grips"} if found.down else {}
    columns = (
        replace(c, heading=called.get(c.key, c.heading)) for c in _CELL if c.key not in left_out
    )
    record = Record(CELL.name, CELL.means, (*varied, *columns))
    listing = Listing.of(record, [Shown(found, cell, system) for cell in found.cells])
    if any(found.as_good(cell) for cell in found.cells):
        return listing
    shown = (replace(c, where=Where.CSV) if c.key == "as_good" else c for c in listing.columns)
    return replace(listing, columns=tuple(shown))


def _varied(number: int, axis: Axis) -> Column[Shown]:
    """The column of what is varied, in the unit of the request."""
    return Column(
        axis.key,
        lambda shown: shown.cell.values[number],
        MEASURE,
        heading=axis.key,
        unit=axis.unit,
        say=lambda shown, _: _text(axis, shown.cell.values[number]),
    )


def changes_listing(found: Sweep) -> Listing:
    """One row for each boundary."""
    edges = [Edge(found, one) for one in found.boundaries]
    return Listing.of(BOUNDARY, edges, empty="nowhere between these ends")


def ties(found: Sweep) -> list[str]:
    """What is meant by setups that are as good, where there are some, and which one would do everywhere."""
    if not any(found.as_good(cell) for cell in (*found.cells, *found.between)):
        return []
    texts = [
        f"As good: it takes no more resets than the best, and its margin is at most {BAND:g} lower (up "
        "to the margin that is enough). Either will do: of the two, one is as good where the other is best."
    ]
    mark = found.serves_all()
    if mark is not None:
        texts.append(f"{mark} is the best, or as good, in every cell in which a setup works.")
    return texts


def doubts(found: Sweep) -> list[str]:
    """What is meant by a cell that is not certain, where places are measured."""
    known = [cell.certain for cell in found.cells if cell.certain is not None]
    if not known:
        return []
    if all(known):
        return ["In every cell the best setup works wherever the readings leave the places (95 %)."]
    return [
        "NOT CERTAIN: the best setup of that cell may fail within what the readings of the site leave open "
        "(95 %). Elsewhere it works wherever the readings leave the places."
    ]


def legend(found: Sweep, system: str) -> str:
    """What each letter stands for, with one setup that bears it."""
    lines = [f"- {mark}: {_run(setup, system)}." for mark, setup in found.examples()]
    if any(cell.rests for cell in found.cells):
        lines.append(
            f"- {RESTS}: wherever the way down falls the load rests by itself: no rope has to hold it. Chock "
            "it all the same."
        )
    if any(not cell.works for cell in found.cells):
        what = "no one hold does all of the way down" if found.down else "no setup works"
        lines.append(f"- {NONE}: {what} with the gear owned.{_stops(found)}")
    return "\n".join(lines)


def _run(setup: Rig, system: str) -> str:
    """How its rope runs."""
    if isinstance(setup, LoweringSetup):
        turns = " (how many turns: in the table)" if setup.turns else ""
        return f"{run_of_hold(setup, system)}{turns}"
    return run_of_rope(setup.walk, setup.gear, system)


def _stops(found: Sweep) -> str:
    """What stops the rig that comes nearest, in the cells in which that was looked for."""
    return "".join(
        f" With {_at(found, one.values)}: {one.text}{f'; cure: {one.cure}' if one.cure else ''}."
        for one in found.stops
    )


def _at(found: Sweep, values: Sequence[float]) -> str:
    """The values of a cell by the names of what is varied."""
    return " and ".join(
        f"{axis.name} {_text(axis, value)}" for axis, value in zip(found.axes, values, strict=True)
    )


def worst(setup: Rig) -> float:
    """The margin printed for a cell: at the worst ends of what is still a range."""
    return setup.margin if setup.margin_worst is None else min(setup.margin, setup.margin_worst)


def _weakest(shown: Shown) -> str:
    """The weakest piece for people, or that nothing works."""
    if shown.cell.rests:
        return "nothing to hold"
    if shown.setup is None:
        undecided = shown.cell.status is Status.UNDECIDED
        none = "no one hold does" if shown.found.down else "no setup works"
        return "none found yet" if undecided else none
    return shown.setup.weakest + (" (UNRATED pieces)" if shown.setup.unrated else "")


def _why_none(shown: Shown) -> str | None:
    """What stops the rig that comes nearest, where that was looked for."""
    if shown.setup is not None:
        return None
    return next((one.text for one in shown.found.stops if one.values == shown.cell.values), None)


def _text(axis: Axis, value: float) -> str:
    """A value of what is varied, of five figures."""
    text, unit = axis.text(value), axis.unit
    short = f"{value:.5g}"
    return text if len(text) <= len(short) + len(unit) + 1 else f"{short} {unit}".rstrip()
