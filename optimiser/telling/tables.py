"""Describes the fields of setups, rankings and misses, and lists them."""

from dataclasses import dataclass, replace
from math import isfinite
from typing import Any

from optimiser.rig.conditions import unrated
from optimiser.rig.naming import run_of_nodes, run_of_ropes
from optimiser.rig.setup import (
    LINES,
    Change,
    HoldingLine,
    Line,
    Miss,
    Ranking,
    Setup,
    StationRow,
    Way,
)
from optimiser.rig.status import Status
from optimiser.rig.walk import by_rope, notation
from optimiser.site.counts import Count
from optimiser.site.model import Joined
from optimiser.telling import words
from optimiser.telling.edge_tables import needed
from optimiser.telling.fields.common import (
    ANGLE,
    ATTACHMENT,
    COUNT,
    DOWN,
    ETAS,
    FLAG,
    FORCE,
    FROM,
    LENGTH,
    MAKE,
    MARGIN,
    MEASURE,
    NOTATION,
    PARTS,
    PULL,
    RANK,
    RATIO,
    REEVING,
    RESETS,
    ROPE,
    ROPE_NEEDED,
    ROPE_OWNED,
    SHARE,
    STANDING,
    STANDS_AT,
    TEXT,
    TEXTS,
    TO,
    UNRATED,
    UP,
    WEAKEST,
    sentence,
)  # fmt: skip
from optimiser.telling.fields.several import (
    CAUTION,
    COMPONENT,
    CONTACT,
    COULD_REACH,
    HUNG,
    IF_STANDS,
    ORDER,
    PROVEN,
    PUT_TOGETHER,
    RULES,
    STATUS,
    TO_MAKE,
    UNSEARCHED,
    margin_put_together,
)  # fmt: skip
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.units import number

CHANGE: Record[Change] = Record("change", "the smallest single change that cures a failure", (
    Column("text", lambda c: c.text, TEXT, "what to change; empty: nothing is known that cures it"),
    Column("amount", lambda c: c.amount, MEASURE, "by how much", none=True),
    Column("unit", lambda c: c.unit, TEXT, "unit of the amount; empty for a plain number"),
))  # fmt: skip

MISS: Record[Miss] = Record("misses", "a rig that nearly works", (
    Column("reeving", lambda m: [str(place) for place in m.walk], TEXTS, "its rope; none: it concerns all"),
    Column("limit", lambda m: m.limit, TEXT, "what stops it", "stopped by"),
    Column("text", lambda m: m.text, TEXT, "how it is stopped, in words", "how"),
    Column("short_by", lambda m: m.short_by if isfinite(m.short_by) else None, RATIO,
           "what it needs divided by what it has", "need / have", rounding=UP, none=True),
    Column("change", lambda m: m.change, CHANGE, "the smallest change that would cure it"),
    Column("change", lambda m: m.change.text or None, TEXT, "the smallest change that would cure it",
           "what would cure it", where=Where.LISTED),
    Column("run", say=lambda m, system: sentence(run_of_nodes(m.walk, system)) if m.walk else None,
           means="the run of the rope", heading="run of the rope", where=Where.NOTE),
    Column("reeving", lambda m: LINES.join(map(notation, by_rope(m.walk))) if m.walk else None, TEXT,
           "the reeving as one text",
           "reeving", where=Where.CSV),
))  # fmt: skip

JOINED: Record[Joined] = Record("joined", "what a rope is put together of", (
    Column("first", lambda j: j.first.name, TEXT, "the piece at the standing end"),
    Column("second", lambda j: j.second.name, TEXT, "the rope that is hauled on"),
    Column("bend", lambda j: None if j.bend is None else j.bend.name, TEXT,
           "the knot that joins two ropes; nothing: a strap or chain lengthens it", none=True),
))  # fmt: skip

HUNG_AT = HUNG.more(
    "piece_at_nodes", "a piece, or an end of a rope, at its place",
    Column("nodes", lambda h: h.nodes, Many(COUNT), "the places of the reeving it serves, the first is 0"),
)  # fmt: skip

SAMPLES: Record[Setup] = Record("samples", "what samples from the ranges of the site give", (
    Column("share_within_every_rating", lambda s: _within(s)[0], SHARE,
           "share of the samples in which nothing goes over its rating and the load comes along"),
    Column("sampling_error", lambda s: _within(s)[1], SHARE, "one standard error of that share"),
))  # fmt: skip

LINE: Record[Line] = Record("line", "one rope of tackle on tackle", (
    Column("rope", lambda line: line.rope.name, TEXT, "name of the rope"),
    Column("reeving", lambda line: [str(place) for place in line.walk], TEXTS, REEVING.means),
    Column("sheave_efficiencies", lambda line: [round(eta, 12) for eta in line.etas], Many(RATIO),
           ETAS.means),
    Column("rope_needed", lambda line: line.rope_needed, LENGTH, ROPE_NEEDED.means),
    Column("rope_owned", lambda line: line.rope.length, LENGTH, ROPE_OWNED.means),
    Column("tension_over_pull", lambda line: line.gained, RATIO, "its tension divided by the puller's pull"),
))  # fmt: skip

HOLDING: Record[HoldingLine] = Record("holding_line", "a second line that keeps the load in hand", (
    Column("way", lambda h: h.way, Way, "what it keeps the load from: running back or on, slewing aside"),
    Column("rest", lambda h: h.rest.word, TEXT, "what the load does there at worst when let go of"),
    Column("from", lambda h: h.from_m, LENGTH, FROM.means),
    Column("to", lambda h: h.to_m, LENGTH, TO.means),
    Column("reeving", lambda h: [str(place) for place in h.walk], TEXTS, "its places, the turns at the last"),
    Column("turns", lambda h: h.turns, COUNT, "full turns round the trunk"),
    Column("rope", lambda h: h.rope.name, TEXT, ROPE.means),
    Column("attachment", lambda h: h.attachment, TEXT, ATTACHMENT.means),
    Column("force", lambda h: h.force, FORCE, "what keeps the load at worst: along the ground, or across"),
    Column("line", lambda h: h.line, FORCE, "worst tension in front of the turns"),
    Column("hand", lambda h: h.hand, FORCE, "worst force of the hand behind the turns"),
    Column("hand_limit", lambda h: h.hand_limit, FORCE, "what the hand is asked for at most"),
    Column("margin", lambda h: h.margin, RATIO, MARGIN.means),
    Column("weakest", lambda h: h.weakest, TEXT, WEAKEST.means),
    Column("rope_needed", lambda h: h.rope_needed, LENGTH, ROPE_NEEDED.means),
    Column("rope_owned", lambda h: h.rope.length, LENGTH, ROPE_OWNED.means),
    Column("tended", lambda h: h.taken, LENGTH, "rope that is taken in, or eased out, over the stretch"),
    Column("contacts", lambda h: h.contacts, Many(CONTACT), "where it runs over edges"),
    Column("gear", lambda h: h.gear, Many(HUNG), "what hangs where"),
    Column("components", lambda h: h.components, Many(COMPONENT), "what every piece carries and stands"),
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Noted:
    """A place of the path with what happens there. `new`: the ground is not that of the row before."""

    row: StationRow
    note: str = ""
    new: bool = True


STATION: Record[Noted] = Record("path", "the haul with the load at one place of the path", (
    Column("at", lambda n: n.row.at, LENGTH, "where the load is, along the path", "load at"),
    Column("slope", lambda n: n.row.slope, ANGLE, "slope of the ground, below 0 where it falls", "slope",
           yields=3),
    Column("surface", lambda n: n.row.surface, TEXT, "the ground there", "surface", yields=4,
           say=lambda n, _: n.row.surface if n.new else ""),
    Column("pull", lambda n: n.row.pull, FORCE, "pull at the hauling end", "pull", rounding=UP),
    Column("ground_reaction", lambda n: n.row.ground_reaction, FORCE,
           "what the load presses on the ground with, with the puller where its run makes the pull worst",
           "ground reaction", yields=8),
    Column("side_pull", lambda n: n.row.side_pull, RATIO,
           "pull sideways divided by pull forward, above 0 to the left, with the puller there",
           "side pull / forward", yields=5),
    Column("ideal_advantage", lambda n: n.row.ideal_advantage, RATIO,
           "pull forward divided by pull, without friction", "ideal", yields=9,
           alone="advantage without friction"),
    Column("actual_advantage", lambda n: n.row.advantage, RATIO, "the same with friction",
           "actual", rounding=DOWN, yields=7, alone="advantage with friction"),
    Column("rest", lambda n: n.row.rest.word, TEXT, "what the load does there when let go of", "let go of"),
    Column("runs_back", lambda n: n.row.runs_back, FORCE,
           "what keeps it from running back, break-out not counted on; 0: it rests", "hold back",
           rounding=UP, blank=True),
    Column("runs_on", lambda n: n.row.runs_on, FORCE, "what keeps it from running on downhill; 0: it rests",
           "hold from going on", rounding=UP, blank=True, rare=True),
    Column("steering_line", lambda n: n.row.steer, FORCE, "pull of the steering line; 0: none",
           "steering line", rounding=UP, blank=True, rare=True),
    Column("note", lambda n: n.note, TEXT, "what happens there", "note", where=Where.LISTED),
))  # fmt: skip

SETUP: Record[Setup] = Record("setups", "one way to haul, with the gear that hangs where", (
    RANK,
    REEVING,
    Column("run", run_of_ropes, TEXT, "the run of the rope in words"),
    replace(FROM, where=Where.JSON),
    replace(TO, where=Where.JSON),
    ATTACHMENT,
    Column("puller", lambda s: s.puller.name, TEXT, "who or what pulls"),
    ROPE,
    Column("joined", lambda s: s.rope.joined, JOINED, "what the rope is put together of; nothing: one piece",
           none=True),
    PARTS,
    Column("advantage", say=lambda s, system: _advantages(s, system), heading="advantage ideal / actual",
           where=Where.PEOPLE, yields=9),
    Column("ideal_advantage", lambda s: s.ideal_advantage, RATIO,
           "pull forward divided by pull, without friction, where the pull is worst", where=Where.DATA),
    Column("actual_advantage", lambda s: s.actual_advantage, RATIO, "the same with friction",
           where=Where.DATA),
    ETAS,
    PULL,
    Column("pull_at", lambda s: s.pull_at, LENGTH, "where the load is when the pull is worst", "with load at",
           yields=8, alone="worst pull with load at"),
    MARGIN,
    Column("margin_worst", lambda s: s.margin_worst, RATIO,
           "the least margin at all ends of the ranges of the site; nothing: there are none", "at worst",
           rounding=DOWN, yields=6, alone="margin at worst", none=True, rare=True),
    Column("margin_best", lambda s: s.margin_best, RATIO, "the margin with every range at its better end",
           "at best", rounding=DOWN, yields=5, alone="margin at best", none=True, rare=True),
    Column("holds", say=lambda s, _: shown_share(*s.within) if s.within else None,
           heading="all within rating", where=Where.PEOPLE, yields=4, rare=True),
    Column("holds_share", lambda s: s.within and s.within[0], SHARE, where=Where.CSV, rare=True),
    Column("holds_error", lambda s: s.within and s.within[1], SHARE, where=Where.CSV, rare=True),
    WEAKEST,
    UNRATED,
    Column("if_stands", lambda s: s.if_stands, Many(IF_STANDS), "the conditions for it to hold"),
    replace(ROPE_NEEDED, yields=2),
    replace(ROPE_OWNED, yields=7),
    Column("hauled", lambda s: s.hauled, LENGTH, "rope that the puller takes in"),
    Column("strokes", lambda s: s.strokes, COUNT, "runs of the puller"),
    RESETS,
    Column("run", say=lambda s, system: sentence(run_of_ropes(s, system)), heading="run of the rope",
           where=Where.NOTE),
    STANDS_AT,
    Column("edge", say=needed, heading="over the edge", where=Where.NOTE),
    MAKE,
    Column("unrated", say=lambda s, system: unrated(s, system) or None, heading="unrated", where=Where.NOTE),
    Column("look_out", say=lambda s, _: words.look_out(s) or None, heading="look out for", where=Where.NOTE),
    NOTATION,
    Column("marked_down", lambda s: s.marked_down, FLAG,
           "whether the puller stands badly: ranked as if the margin were lower"),
    Column("gear", lambda s: s.gear, Many(HUNG_AT), "what hangs where"),
    Column("contacts", lambda s: s.contacts, Many(CONTACT), "where the rope runs over edges"),
    Column("to_make", lambda s: s.made, Many(TO_MAKE), "anchors to make first"),
    Column("cautions", lambda s: s.cautions, Many(CAUTION), "what to mind"),
    STANDING,
    Column("samples", lambda s: s, SAMPLES, "what samples give, where some were requested",
           when=lambda s: s.within is not None),
    Column("lines", lambda s: s.lines, Many(LINE), "the ropes of tackle on tackle, the main one first",
           when=lambda s: s.second is not None),
    Column("grip_moved_at", lambda s: s.moved, Many(LENGTH), "where the load is when the grip is moved back",
           when=lambda s: s.second is not None),
    Column("holding", lambda s: s.holding, Many(HOLDING), "its holding and steering lines",
           when=lambda s: bool(s.holding)),
))  # fmt: skip

SETUP_IN_FULL = SETUP.more(
    "setup_in_full", "one way to haul, with what every piece carries and the pull along the path",
    Column("components", lambda s: s.components, Many(COMPONENT), "what every piece carries and stands"),
    Column("path", lambda s: [Noted(row) for row in s.profile], Many(STATION), "the haul along the path"),
    Column("alike", lambda s: [[str(p) for p in walk] for walk in s.alike], Many(TEXTS),
           "the same with interchangeable anchors"),
)  # fmt: skip

RANKING: Record[Ranking] = Record("ranking", "the best setups, or what comes nearest where none works", (
    Column("setups", lambda r: r.setups, Many(SETUP), "the setups, best first"),
    Column("status", lambda r: r.status, Status, STATUS),
    Column("proven", lambda r: r.proven, FLAG, PROVEN),
    Column("could_reach", lambda r: r.unsearched, UNSEARCHED, COULD_REACH, none=True),
    Column("order", lambda r: r.order, Many(Count), ORDER),
    Column("rules", lambda r: r.rules, TEXTS, RULES),
    Column("space", lambda r: r.space, COUNT, "walks of the rope in the space under the rules"),
    Column("looked_at", lambda r: r.looked_at, COUNT, "walks that were looked at"),
    Column("confirmed", lambda r: r.confirmed, COUNT, "setups that were worked out to the last piece"),
    Column("misses", lambda r: r.misses, Many(MISS), "rigs that nearly work, the nearest first"),
    Column("left_out", lambda r: r.left_out, COUNT,
           "setups that work at the planned ends of the ranges, but not at all ends"),
    Column("pairs_of_walks", lambda r: r.compounds, COUNT, "pairs of walks of tackle on tackle in the space",
           when=lambda r: r.compounds is not None),
    Column("tackle_on_tackle_left_out", lambda r: r.compounds_left, FLAG,
           "there: tackle on tackle was too much to look at", when=lambda r: r.compounds_left),
    Column("margin_if_put_together", lambda r: margin_put_together(r.put_together), RATIO, PUT_TOGETHER,
           none=True, when=lambda r: r.put_together is not None),
    Column("left_out_not_held", lambda r: r.not_held, COUNT, "setups left out for want of a holding line",
           when=lambda r: r.not_held is not None),
))  # fmt: skip

ranking_json, miss_json = RANKING.json, MISS.json


def setup_json(setup: Setup, *, full: bool = False) -> dict[str, Any]:
    """A setup ready for JSON; `full` adds its components and the pull along the path."""
    return (SETUP_IN_FULL if full else SETUP).json(setup)


def ranking_listing(ranking: Ranking, system: str = "metric") -> Listing:
    """One row a setup, best first."""
    found = Listing.of(SETUP, ranking.setups, system, empty="no setup works")
    if all(s.margin == s.margin_worst for s in ranking.setups):  # no need to print it twice
        columns = (
            replace(c, where=Where.CSV) if c.key == "margin_worst" else c for c in found.columns
        )
        found = replace(found, columns=tuple(columns))
    return found


def misses_listing(
    misses: tuple[Miss, ...], system: str = "metric", record: Record[Miss] = MISS
) -> Listing:
    """One row for each rig that nearly works, the nearest first."""
    return Listing.of(record, misses, system, empty="no rig comes near")


def shown_share(share: float, error: float) -> str:
    """A share of samples with its sampling error, in percent."""
    return f"{share:.1%} ± {error:.1%}".replace("%", " %")


def _within(setup: Setup) -> tuple[float, float]:
    assert setup.within is not None
    return setup.within


def _advantages(setup: Setup, system: str) -> str:
    ideal = number(setup.ideal_advantage, RATIO, system)
    return f"{ideal} / {number(setup.actual_advantage, RATIO, system, DOWN)}"
