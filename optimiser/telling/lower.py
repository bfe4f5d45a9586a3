"""Prints ways down as listings, as blocks of an answer, and as JSON."""

from collections.abc import Sequence
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING, cast

from catalogue.glossary import explained
from optimiser.jobs.lower import words
from optimiser.jobs.lower.results import Lowering, LoweringSetup, Zone, ZoneKind
from optimiser.jobs.remarks import data_end_blocks, used
from optimiser.rig.conditions import unrated
from optimiser.rig.edge_words import needs
from optimiser.rig.laid_edges import led
from optimiser.rig.setup import HoldRow, Miss, Setup
from optimiser.rig.status import Status
from optimiser.rig.where_it_stands import sentence as sentence_of
from optimiser.site.counts import Count
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.telling import detail
from optimiser.telling.edge_tables import blocks as blocks_over
from optimiser.telling.edge_tables import blocks_made
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
    NOTATION,
    PARTS,
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
    RULES,
    STATUS,
    TO_MAKE,
    UNSEARCHED,
    weakest_first,
)  # fmt: skip
from optimiser.telling.ranges import finite
from optimiser.telling.tables import MISS, misses_listing
from optimiser.telling.words import guesses, spots_note
from shared.columns import Column, Many, Record, Where
from shared.interrupt import cut_short
from shared.listing import Listing
from shared.report import Block
from shared.units import show
from shared.words import counted

if TYPE_CHECKING:
    from optimiser.telling.worst_ends import Answer

MOST_ROWS = 24
"""Rows of the way down that are shown, beside those that must be."""


def _run(miss: Miss, system: str) -> str | None:
    return sentence(words.run_of_nodes(miss.walk, system)) if miss.walk else None


MISS_DOWN: Record[Miss] = Record(
    "misses_down",
    "a way down that nearly works",
    tuple(replace(one, say=_run) if one.key == "run" else one for one in MISS.columns),
)

ZONE: Record[Zone] = Record("zones", "a stretch on which the load does one thing on its way down", (
    Column("from", lambda z: z.from_m, LENGTH, "upper end, metres along the path from its lower end", "from"),
    Column("to", lambda z: z.to_m, LENGTH, "lower end", "down to"),
    Column("kind", lambda z: z.kind, ZoneKind, "what the way down does there", where=Where.DATA),
    Column("status", lambda z: z.status.word, TEXT, "what the load does when let go of", where=Where.DATA),
    Column("does", say=words.zone, heading="what the load does there", where=Where.PEOPLE),
    Column("force", lambda z: z.force, FORCE, "what holds it, at worst", where=Where.DATA),
    Column("push", lambda z: z.push, FORCE, "what starts it, at worst", where=Where.DATA),
))  # fmt: skip

WAY_DOWN: Record[HoldRow] = Record("way_down", "the load at one place of the path on its way down", (
    Column("at", lambda r: r.at, LENGTH, "where the load is, from the lower end of the path", "load at"),
    Column("slope", lambda r: r.slope, ANGLE, "slope of the ground on the way down", "slope", yields=4),
    Column("surface", lambda r: r.surface, TEXT, "the ground there", "surface", yields=7),
    Column("rest", lambda r: r.rest.word, TEXT, "what the load does there when let go of", "let go of"),
    Column("runs", lambda r: r.runs, FORCE, "what it is held with along the ground; 0: it rests", "held with",
           rounding=UP, blank=True),
    Column("push", lambda r: r.push, FORCE, "what starts it; 0: nothing need", "push to start", yields=5,
           rounding=UP, blank=True),
    Column("line", lambda r: r.line, FORCE, "worst tension of the line where it is held", "line to hold",
           rounding=UP),
    Column("line_to_let_down", lambda r: r.control, FORCE, "the same with sheaves as they are rated",
           "line to let down", rounding=UP, yields=3),
    Column("hand", lambda r: r.hand, FORCE, "force of the hand behind the turns", "hand", none=True,
           say=lambda r, system: _hand(r.hand, system)),
    Column("ground_reaction", lambda r: r.ground_reaction, FORCE, "what the load presses on the ground with",
           "ground reaction", yields=9),
    Column("side_pull", lambda r: r.side_pull, RATIO, "pull sideways divided by pull along the path",
           "side pull", yields=8),
    Column("rope_out", lambda r: r.rope_out, LENGTH, "rope between the standing end and where it is held",
           "rope out", yields=6),
))  # fmt: skip

HOLD: Record[LoweringSetup] = Record("holds", "one way to let the load down, with its gear", (
    RANK,
    REEVING,
    replace(FROM, where=Where.DATA),
    replace(TO, heading="down to", yields=6),
    replace(PARTS, yields=3),
    Column("turns", lambda s: s.turns, COUNT, "full turns round the trunk; 0: a puller pays out", "turns"),
    Column("holder", lambda s: s.holder and s.holder.name, TEXT, "the puller that pays out", none=True),
    Column("run", words.run_of_rope, TEXT, "the run of the rope in words"),
    ATTACHMENT,
    ROPE,
    ETAS,
    Column("friction", lambda s: s.friction, RATIO, "friction round the trunk that is planned with"),
    Column("line_over_hand", lambda s: s.ratio, RATIO, "tension of the line divided by the hand's force"),
    Column("line", lambda s: s.line, FORCE, "worst tension of the line where it is held", "worst line",
           rounding=UP),
    Column("hand", lambda s: s.hand if s.turns else None, FORCE, "worst force of the hand behind the turns",
           "worst hand", say=lambda s, system: _hand(s.hand if s.turns else None, system), none=True),
    Column("line_at", lambda s: s.line_at, LENGTH, "where the load is then", "with load at", yields=8,
           alone="worst with load at"),
    Column("hand_least", lambda s: s.hand_least if s.turns else None, FORCE,
           "the hand's force there if the turns grip as well as they may", none=True),
    MARGIN,
    Column("margin_worst", lambda s: s.margin_worst, RATIO,
           "the least margin at all ends of the ranges of the site; nothing: there are none", "at worst",
           rounding=DOWN, yields=6, alone="margin at worst", none=True, rare=True),
    Column("margin_best", lambda s: finite(s.margin_best), RATIO,
           "the margin with every range at its better end; nothing: no ranges, or the load rests there",
           "at best", say=lambda s, _: _at_best(s), yields=5, alone="margin at best", none=True, rare=True),
    WEAKEST,
    UNRATED,
    Column("if_stands", lambda s: s.if_stands, Many(IF_STANDS), "the conditions for it to hold"),
    replace(ROPE_NEEDED, yields=5),
    replace(ROPE_OWNED, yields=9),
    Column("paid_out", lambda s: s.paid_out, LENGTH, "rope let out from top to bottom"),
    replace(RESETS, heading="new grips", yields=7),
    Column("heat", lambda s: s.heat, RATIO, "heat that goes into rope and bark at the turns", unit="J"),
    Column("run", say=lambda s, system: sentence(words.run_of_rope(s, system)), heading="run of the rope",
           where=Where.NOTE),
    STANDS_AT,
    Column("edge", say=lambda s, system: needs(s.gear, s.contacts, system), heading="over the edge",
           where=Where.NOTE),
    MAKE,
    Column("unrated", say=lambda s, system: unrated(s, system) or None, heading="unrated", where=Where.NOTE),
    NOTATION,
    Column("gear", lambda s: s.gear, Many(HUNG), "what hangs where"),
    Column("contacts", lambda s: s.contacts, Many(CONTACT), "where the rope runs over edges"),
    Column("to_make", lambda s: s.made, Many(TO_MAKE), "anchors to make first"),
    Column("cautions", lambda s: s.cautions, Many(CAUTION), "what to mind"),
    STANDING,
))  # fmt: skip

HOLD_IN_FULL = HOLD.more(
    "hold_in_full", "one way to let the load down, with what every piece carries and the forces on the way",
    Column("components", lambda s: weakest_first(s.components), Many(COMPONENT.listed("components_listed")),
           "what every piece carries and stands"),
    Column("path", lambda s: s.profile, Many(WAY_DOWN), "the way down"),
)  # fmt: skip

LOWERING: Record[Lowering] = Record("lowering", "how a load is let down its path", (
    Column("needs_hold", lambda a: a.needs_hold, FLAG, "whether the load may run by itself anywhere"),
    Column("feasible", lambda a: a.feasible, FLAG, "whether the load gets down"),
    Column("status", lambda a: a.status, Status, STATUS),
    Column("proven", lambda a: a.proven, FLAG, PROVEN),
    Column("could_reach", lambda a: a.unsearched, UNSEARCHED, COULD_REACH, none=True),
    Column("setups", lambda a: a.setups, Many(HOLD), "holds for the whole way, best first"),
    Column("stages", lambda a: a.stages, Many(HOLD), "the stages where one hold does not do"),
    Column("zones", lambda a: a.zones, Many(ZONE), "what the load does where, from the top down"),
    Column("turned", lambda a: a.turned, FLAG, "whether the path was taken the other way round"),
    Column("notes", lambda a: a.notes, TEXTS, "what has to be known of the path"),
    Column("resistance_counted_on", lambda a: a.site.preferences.resistance_counted_on, SHARE,
           "share of the least resistance that is counted on to hold the load"),
    Column("hand_limit", lambda a: a.hand_limit, FORCE, "what the hand is asked for at most"),
    Column("hand_comfort", lambda a: a.hand_comfort, FORCE, "what a hand holds without effort"),
    Column("hand_source", lambda a: a.hand_source, TEXT, "who states the limit: a source's key, or the site"),
    Column("order", lambda a: a.order, Many(Count), ORDER),
    Column("rules", lambda a: a.rules, TEXTS, RULES),
    Column("most_sheaves", lambda a: a.most_sheaves, COUNT, "sheaves that a hold may have"),
    Column("space", lambda a: a.space, COUNT, "walks of the rope in the space under the rules"),
    Column("looked_at", lambda a: a.looked_at, COUNT, "walks that were looked at"),
    Column("confirmed", lambda a: a.confirmed, COUNT, "holds that were worked out to the last piece"),
    Column("stuck_at", lambda a: a.stuck_at, LENGTH, "how far down any plan gets; nothing: all the way",
           none=True),
    Column("reasons", lambda a: a.reasons, TEXTS, "why it gets no further"),
    Column("misses", lambda a: a.misses, Many(MISS_DOWN), "what nearly gets further, the nearest first"),
))  # fmt: skip

lowering_json = LOWERING.json


def report(
    site: Site, answer: Lowering, corner: Corner = "worst", measured: "Sequence[Answer]" = ()
) -> list[Block]:
    """The whole answer: the way down, the list or the stages, what it proves, and cautions. `measured`: what
    the readings of the site leave open of the first holds for the whole way."""

    system = site.preferences.units
    top = "start of the path to its end" if answer.turned else "end of the path to its start"
    blocks: list[Block] = [
        (
            f"The way down for {site.title}, from the {top}",
            Listing.of(ZONE, answer.zones, system),
        )
    ]
    if answer.notes:
        blocks.append(("", "\n".join(answer.notes)))
    undecided = answer.status is Status.UNDECIDED
    if not answer.needs_hold:
        blocks.append(("", words.nothing_to_hold(answer)))
    elif answer.setups:
        listed = setup_listing(answer.setups, system)
        if measured:
            from optimiser.telling.worst_ends import with_verdicts  # only where there are readings

            listed = with_verdicts(listed, [(each,) for each in measured], system)
        blocks.append(("Holds for the whole way", listed))
    elif answer.stages:
        title = f"In {counted(len(answer.stages), 'stage')}, the load chocked between them"
        if answer.stuck_at is not None:
            none = "NO WAY ALL DOWN" if not undecided else "NOT FINISHED, no way all down found yet"
            title = f"{none}: stages as far as {_metres(answer.stuck_at, system)}"
        blocks.append((title, setup_listing(answer.stages, system)))
    if answer.needs_hold and not answer.feasible:
        title = "NO HOLD WORKS" if not undecided else "NOT FINISHED: no hold found yet"
        blocks.append((title, _stuck(answer, system)))
        if answer.misses:
            nearly = misses_listing(answer.misses, system, MISS_DOWN)
            blocks.append(("What nearly gets further", nearly))
    notes = [words.hand(answer, system)] if answer.needs_hold else []
    if answer.needs_hold:
        notes += [
            words.proof(answer),
            spots_note(site),
            f"Order: {words.order(answer.order)}.",
            explained(("margin", "turn")),
        ]
    notes.append(guesses(site, corner, lowered=True))
    if answer.setups or answer.stages:
        notes.append(
            "`bankhaul lower --show N` explains number N: gear, forces, cautions, how wrong each guess may "
            "be. `bankhaul why --down` puts any reeving to every check."
        )
    blocks.append(("", "\n".join(note for note in notes if note)))
    shown = (*answer.setups, *answer.stages)[:1]
    if shown:
        blocks.append(("Before anything is let down", cautions_text(shown[0])))
    return blocks


def setup_listing(setups: tuple[LoweringSetup, ...], system: str = "metric") -> Listing:
    """One row a hold or a stage."""
    found = Listing.of(HOLD, setups, system)
    if all(s.margin == s.margin_worst for s in setups):  # no need to print it twice
        columns = (
            replace(c, where=Where.CSV) if c.key == "margin_worst" else c for c in found.columns
        )
        found = replace(found, columns=tuple(columns))
    return found


def setup_report(site: Site, setup: LoweringSetup, notes: tuple[str, ...] = ()) -> list[Block]:
    """One hold or stage spelt out. `notes`: what has to be known of the path."""
    system = site.preferences.units
    # `components` reads nothing of a setup but its pieces, which are the same here as there.
    pieces = detail.components(cast(Setup, setup), system)
    return [
        (f"Hold {setup.rank}", "\n".join((summary(setup, system), *notes))),
        ("Cautions", cautions_text(setup)),
        *blocks_made(setup.made, system),
        *blocks_over(site, led(setup)),
        ("What hangs where", Listing.of(HUNG, setup.gear)),
        ("What every piece carries", pieces),
        *data_end_blocks(site, used([setup.walk])),
        ("On the way down", path_listing(setup, system)),
    ]


def summary(setup: LoweringSetup, system: str) -> str:
    """The hold in a few sentences."""
    line = show(setup.line, FORCE, system, UP)
    at = _metres(setup.line_at, system)
    verb = "holds" if setup.parts == 1 else "hold"
    lines = [
        f"Rope ({setup.rope.name}): {words.run_of_rope(setup, system)}.",
        f"It takes the load at {setup.attachment}, from {_metres(setup.from_m, system)} down to "
        f"{_metres(setup.to_m, system)} of the path; {counted(setup.parts, 'part')} of line {verb} it.",
        f"The line carries {line} at worst where it is held, with the load at {at}.",
    ]
    if setup.turns:
        lines.append(
            f"Behind {words.round_turns(setup.turns)} the hand holds "
            f"{words.newtons(setup.hand, system)} (friction {setup.friction:g}: the line over the "
            f"hand is {setup.ratio:.1f}), of {words.newtons(setup.hand_limit, system)} it is asked "
            f"for at most. If the rope grips well it is no more than "
            f"{words.newtons(setup.hand_least, system)}, and the rope may have to be fed."
        )
    lines += [
        f"Margin {show(setup.margin, RATIO, rounding=DOWN)}; weakest: {setup.weakest}.",
        f"Rope needed {show(setup.rope_needed, LENGTH, system, UP)} of "
        f"{show(setup.rope_owned, LENGTH, system, DOWN)} owned, at the bottom; "
        f"{_metres(setup.paid_out, system)} of it are let out on the way.",
    ]
    if setup.standing is not None:
        lines.insert(1, sentence_of(setup.standing, system))
    if setup.unrated:
        lines.insert(0, f"{unrated(setup, system)}.")
    return "\n".join(lines)


def cautions_text(setup: LoweringSetup) -> str:
    """Its cautions as points: those its own numbers call for, then those of every way down."""
    ordered = sorted(setup.cautions, key=lambda caution: caution.always)
    return "\n".join(f"- {c.text} [{c.source}]" for c in ordered)


def path_listing(setup: LoweringSetup, system: str) -> Listing:
    """Forces on the way down, thinned to the rows that matter and a few between."""
    rows = setup.profile
    step = max(1, -(-len(rows) // MOST_ROWS))
    worst = max(range(len(rows)), key=lambda i: rows[i].line)
    must = {0, len(rows) - 1, worst}
    for i in range(1, len(rows)):
        if rows[i].rest is not rows[i - 1].rest or rows[i].slope != rows[i - 1].slope:
            must |= {i - 1, i}
    kept = (row for i, row in enumerate(rows) if i in must or i % step == 0)
    return Listing.of(WAY_DOWN, kept, system, drops=True)


def _stuck(answer: Lowering, system: str) -> str:
    at = answer.from_m if answer.stuck_at is None else answer.stuck_at
    if answer.status is Status.UNDECIDED:
        return f"The search did not come to its end ({cut_short()}); a hold may exist."
    lines = [f"Nothing at hand gets the load further down than {_metres(at, system)} of the path:"]
    lines += [f"- {reason}" for reason in answer.reasons]
    return "\n".join(lines)


def _metres(value: float, system: str) -> str:
    return show(value, LENGTH, system)


def _at_best(setup: LoweringSetup) -> str | None:
    """The margin at the better ends of the ranges."""
    if setup.margin_best is None:
        return None
    return "rests" if setup.margin_best == inf else show(setup.margin_best, RATIO, rounding=DOWN)


def _hand(force: float | None, system: str) -> str:
    """What the hand holds; a dash where a puller pays out."""
    return "–" if force is None else words.newtons(force, system)
