"""Gives what each command answers with: the kinds of its JSON, their schema, and the rows of any answer."""

from collections.abc import Iterator, Mapping
from functools import singledispatch
from typing import Any

from optimiser.jobs.buy.for_all import Together
from optimiser.jobs.buy.results import Purchases
from optimiser.jobs.lever.results import Levering
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.stages.results import Plan
from optimiser.jobs.sweep.results import Sweep
from optimiser.jobs.why.ways_down.let_down import ExplainedDown
from optimiser.jobs.why.why import Explained
from optimiser.rig.setup import Ranking, Setup
from optimiser.rig.status import Status
from optimiser.telling import (
    buy,
    detail,
    lever,
    lower,
    spelt_out,
    stages,
    sweep,
    tables,
    why,
)
from optimiser.telling.bought import several_jobs
from optimiser.telling.fields.common import FLAG, TEXT
from optimiser.telling.fields.several import PROVEN, REMARK, RULE, STATUS
from optimiser.telling.known.catalogued import ENTRY
from optimiser.telling.known.words import WORD
from optimiser.telling.readings.checked import CHECKED
from optimiser.telling.worst_ends import LEFT_OPEN
from shared.columns import Column, Many, Of, Record
from shared.listing import Listing
from shared.schema import records, schema

UNLIKELY: Column[Any] = Column(
    "unlikely", kind=Many(REMARK), means="what on the site hardly can be meant so"
)
NEXT: Column[Any] = Column("next", kind=TEXT, means="the command to run next", when=bool)
TRIPS: Column[Any] = Column(
    "trips", kind=TEXT, means="which trips of a load that goes both ways can be done", when=bool
)
LEFT: Column[Any] = Column(
    "left_open", kind=Many(LEFT_OPEN), when=bool,
    means="what the readings leave open of it, where the site was measured",
)  # fmt: skip

NONE_WORKS: Record[Any] = Record("none_works", "what comes nearest, where no setup of a site works", (
    Column("works", kind=FLAG, means="false"),
    Column("status", kind=Status, means=STATUS),
    Column("proven", kind=FLAG, means=PROVEN),
    Column("misses", kind=Many(tables.MISS), means="rigs that nearly work, the nearest first"),
))  # fmt: skip

STOPPED: Record[Any] = Record("stopped", "what stops tackle on tackle", (
    Column("works", kind=FLAG, means="false"),
    Column("stops", kind=Many(why.STOPPED_BY), means="everything that stops it"),
    Column("cures", kind=Many(why.CURE), means="what would cure it, each by itself"),
))  # fmt: skip

OF_A_SITE: Mapping[str, tuple[Record[Any], ...]] = {
    "rank": (tables.RANKING,),
    "show": (spelt_out.SHOWN, tables.RANKING),
    "stages": (stages.PLAN,),
    "buy": (buy.PURCHASES, buy.OFFER_IN_FULL, several_jobs.TOGETHER, several_jobs.OFFER),
    "lower": (lower.LOWERING, spelt_out.LET_DOWN),
    "lever": (lever.LEVERING,),
    "why": (
        why.EXPLAINED,
        why.EXPLAINED_DOWN,
        tables.SETUP_IN_FULL,
        NONE_WORKS,
        STOPPED,
        lower.LOWERING,
    ),
    "sweep": (sweep.SWEEP,),
    "check": (CHECKED,),
}
"""What the JSON of a command is about a site: one of these."""

LISTS: Mapping[str, tuple[Record[Any], ...]] = {"rank": (RULE,), "gear": (ENTRY,), "words": (WORD,)}
"""What the JSON of a command is a list of, where it is one."""

COMMANDS = tuple(dict.fromkeys((*OF_A_SITE, *LISTS)))
"""The commands that print JSON."""


def answer_schema(command: str) -> dict[str, Any]:
    """The JSON Schema of what a command prints with `--format json`."""
    return schema(f"bankhaul {command} --format json", _printed(command))


def described(command: str) -> Iterator[tuple[str, Record[Any]]]:
    """Every kind of object that a command may print, by the name that its schema has for it."""
    return records(_printed(command))


def _printed(command: str) -> tuple[Of, ...]:
    around = (UNLIKELY, NEXT, TRIPS, LEFT)
    objects = (
        Record(f"answer_{one.name}", one.means, (*around[:1], *one.columns, *around[1:]))
        for one in OF_A_SITE.get(command, ())
    )
    lists = (Many(one) for one in LISTS.get(command, ()))
    return (*objects, *lists)


def rows(answer: object) -> list[dict[str, Any]]:
    """One mapping a row, in SI at full precision, with the unit in the name of the column: what every library
    of data frames takes. Of a ranking the setups (where nothing works, the nearest misses), of a setup its
    pieces with their loads, of a plan its stages, of a sweep its cells, of purchases the options, of `lower`
    the holds, of `lever` the corners, of `explain_reeving` the checks. Raises TypeError for anything else."""
    return listing_of(answer).records()


@singledispatch
def listing_of(answer: object) -> Listing:
    """The listing of an answer. TypeError where it has none."""
    raise TypeError(f"a {type(answer).__name__} is no answer with rows")


@listing_of.register
def _ranking(answer: Ranking) -> Listing:
    return tables.ranking_listing(answer) if answer.setups else tables.misses_listing(answer.misses)


@listing_of.register
def _setup(answer: Setup) -> Listing:
    return detail.components(answer, "metric")


@listing_of.register
def _plan(answer: Plan) -> Listing:
    return stages.listing(answer)


@listing_of.register
def _purchases(answer: Purchases) -> Listing:
    return buy.options_listing(answer)


@listing_of.register
def _together(answer: Together) -> Listing:
    return several_jobs.options_listing(answer)


@listing_of.register
def _lowering(answer: Lowering) -> Listing:
    return lower.setup_listing(answer.setups or answer.stages)


@listing_of.register
def _levering(answer: Levering) -> Listing:
    return lever.corner_listing(answer)


@listing_of.register
def _sweep(answer: Sweep) -> Listing:
    return sweep.cells_listing(answer, priced=any(cell.cost is not None for cell in answer.cells))


@listing_of.register
def _explained(answer: Explained) -> Listing:
    return why.checks_listing(answer.checks)


@listing_of.register
def _explained_down(answer: ExplainedDown) -> Listing:
    return why.checks_listing(answer.checks)
