"""Prints staged plans as listings, texts and JSON."""

from dataclasses import dataclass

from catalogue.glossary import explained
from optimiser.jobs.hold.find import hold
from optimiser.jobs.stages.results import Change, Gap, Move, Plan, Reach
from optimiser.jobs.stages.words import _run, between
from optimiser.mechanics.resting import Rest
from optimiser.rig import made_anchors
from optimiser.rig.conditions import together, unrated
from optimiser.rig.order import Order
from optimiser.rig.setup import Setup, names
from optimiser.rig.status import Status
from optimiser.search.stages.choose import WITHIN_A_STAGE, without_stages
from optimiser.site.counts import OfPlan, PlanCount
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.telling import words
from optimiser.telling.detail import detail, summary
from optimiser.telling.edge_tables import needed
from optimiser.telling.fields.common import (
    ANGLE,
    COUNT,
    FLAG,
    FORCE,
    FROM,
    LENGTH,
    MARGIN,
    NOTATION,
    PARTS,
    PULL,
    RATIO,
    RESETS,
    ROPE_NEEDED,
    TEXT,
    TEXTS,
    TO,
    WEAKEST,
    stands_at,
)  # fmt: skip
from optimiser.telling.fields.several import (
    IF_STANDS,
    ORDER,
    PROVEN,
    PUT_TOGETHER,
    RULES,
    STATUS,
    margin_put_together,
)
from optimiser.telling.hold import NOT_HELD, brief, not_held_blocks
from optimiser.telling.tables import MISS, SETUP_IN_FULL, misses_listing
from shared.columns import Column, Many, Record, Where
from shared.interrupt import cut_short
from shared.listing import Listing
from shared.report import Block
from shared.units import show
from shared.words import counted


@dataclass(frozen=True, slots=True)
class Staged:
    """A stage of a plan, or (`index` None) all of them."""

    plan: Plan
    index: int | None = None

    @property
    def setups(self) -> tuple[Setup, ...]:
        """The stages it is about."""
        return self.plan.stages if self.index is None else (self.plan.stages[self.index],)

    @property
    def one(self) -> Setup | None:
        """The setup, of a single stage."""
        return None if self.index is None else self.plan.stages[self.index]

    @property
    def resets(self) -> int:
        """Of all stages with one for every change of stage."""
        return self.plan.resets if self.index is None else self.setups[0].resets

    @property
    def moves(self) -> int | None:
        """Pieces moved before it; None: the first."""
        if self.index is None:
            return sum(len(change.moves) for change in self.plan.changes)
        return len(self.plan.changes[self.index - 1].moves) if self.index else None

    def second_lines(self, system: str) -> str | None:
        """The holding and steering lines of a single stage, in few words; None without any."""
        lines = () if self.one is None else self.one.holding
        return " ".join(brief(line, system) for line in lines) or None

    @property
    def weakest(self) -> Setup:
        """The stage of the least margin."""
        return min(self.setups, key=lambda setup: setup.margin)

    def run(self, system: str) -> str | None:
        """The run of the rope; of all stages what their resets have in them."""
        changes = len(self.plan.changes)
        if self.one is not None:
            return f"{_run(self.one, system)}."
        return f"Among the resets: {changes} for the changes of stage." if changes else None


ONLY_HELD = (
    "Only stages with a second line wherever the load would run by itself or slew were asked for."
)

STAGE: Record[Staged] = Record("stages", "a stage of the haul; the last row: all of them", (
    Column("stage", lambda r: "all" if r.index is None else str(r.index + 1), TEXT, "its number", "stage"),
    FROM.of(lambda r: r.setups[0].from_m),
    TO.of(lambda r: r.setups[-1].to_m),
    PARTS.of(lambda r: r.one and r.one.parts, yields=4),
    Column("moves", lambda r: r.moves, COUNT, "pieces moved before it", "items moved", yields=9),
    ROPE_NEEDED.of(lambda r: max(s.rope_needed for s in r.setups), heading="rope", yields=6,
                   alone="rope needed"),
    Column("strokes", lambda r: sum(s.strokes for s in r.setups), COUNT, "runs of the puller", "strokes",
           yields=8),
    RESETS.of(lambda r: r.resets, yields=1),
    Column("grip_moves", say=lambda r, _: r.one and _grip_moves(r.one), heading="grip moved back",
           where=Where.NOTE),
    Column("grip_moved", lambda r: sum(len(s.moved) for s in r.setups), COUNT, where=Where.CSV),
    PULL.of(lambda r: max(s.pull for s in r.setups)),
    MARGIN.of(lambda r: r.weakest.margin),
    WEAKEST.of(lambda r: r.weakest.weakest),
    Column("run", say=lambda r, system: r.run(system), heading="run of the rope", where=Where.NOTE),
    Column("second_line", say=lambda r, system: r.second_lines(system), heading="second line",
           where=Where.NOTE),
    Column("stands", say=lambda r, system: r.one and stands_at(r.one, system), heading="where it stands",
           where=Where.NOTE),
    Column("edge", say=lambda r, system: r.one and needed(r.one, system), heading="over the edge",
           where=Where.NOTE),
    Column("make", say=lambda r, system: r.one and made_anchors.needs(r.one.made, system), heading="to make",
           where=Where.NOTE),
    Column("unrated", say=lambda r, system: r.one and (unrated(r.one, system) or None), heading="unrated",
           where=Where.NOTE),
    NOTATION.of(lambda r: r.one and r.one.reeving),
))  # fmt: skip

REACH: Record[Reach] = Record("reach", "between where and where a stage's rig could work", (
    Column("from", lambda r: r.from_m, LENGTH, "from there on the path"),
    Column("to", lambda r: r.to_m, LENGTH, "to there"),
    Column("before", lambda r: r.before, TEXT, "what stops it before; empty: the path begins"),
    Column("beyond", lambda r: r.beyond, TEXT, "what stops it beyond; empty: the path ends"),
))  # fmt: skip

MOVE: Record[Move] = Record("move", "a piece that changes its place between two stages, or keeps it", (
    Column("item", lambda m: m.item, TEXT, "the piece"),
    Column("role", lambda m: m.role, TEXT, "what it is for"),
    Column("from", lambda m: m.origin, TEXT, "where it was; nothing: it was not in use", none=True),
    Column("to", lambda m: m.target, TEXT, "where it goes; nothing: it is not needed any more", none=True),
))  # fmt: skip

CHANGE: Record[Change] = Record("change_of_stage", "what happens between one stage and the next", (
    Column("at", lambda c: c.at, LENGTH, "where the load is"),
    Column("moves", lambda c: c.moves, Many(MOVE), "pieces that change their place"),
    Column("stays", lambda c: c.stays, Many(MOVE), "pieces that keep it"),
    Column("holds_by_itself", lambda c: c.rest is Rest.RESTS, FLAG, "whether it rests with the line slack"),
    Column("rest", lambda c: c.rest.word, TEXT, "what it does with the line slack"),
    Column("runs_back", lambda c: c.runs_back, FORCE, "what keeps it from running back; 0: it rests"),
    Column("runs_on", lambda c: c.runs_on, FORCE, "what keeps it from running on downhill; 0: it rests"),
    Column("to_spare", lambda c: c.to_spare, FORCE, "what it surely takes to start it, where it rests"),
    Column("turns", lambda c: c.turns, ANGLE, "angle by which the load is turned on the spot"),
    Column("why_here", lambda c: c.why_here, TEXT, "why the stage before is not taken further"),
))  # fmt: skip

GAP: Record[Gap] = Record("gap", "a part of the path over which no chain of setups brings the load", (
    Column("from", lambda g: g.from_m, LENGTH, "where it begins"),
    Column("to", lambda g: g.to_m, LENGTH, "where it ends"),
    Column("misses", lambda g: g.misses, Many(MISS), "what nearly gets over it"),
    Column("not_held", lambda g: g.not_held, Many(NOT_HELD),
           "where a haul gets over it, why nothing that it leaves keeps the load in hand"),
))  # fmt: skip


def _setup(reached: tuple[Setup, Reach]) -> Setup:
    return reached[0]


REACHED: Record[tuple[Setup, Reach]] = Record("stage", "the setup of one stage", (
    *SETUP_IN_FULL.through(_setup),
    Column("reach", lambda both: both[1], REACH, "between where and where it could work"),
))  # fmt: skip

PLAN: Record[Plan] = Record("plan", "setups that together cover the path", (
    Column("stages", lambda p: zip(p.stages, p.reaches, strict=True), Many(REACHED), "the stages in order"),
    Column("changes", lambda p: p.changes, Many(CHANGE), "what happens between them"),
    Column("stages_count", lambda p: len(p.stages), COUNT, "how many stages there are"),
    Column("resets", lambda p: p.resets, COUNT, "of all stages, and one for every change of stage"),
    Column("margin", lambda p: p.margin, RATIO, "the least of all stages", none=True),
    Column("rope_needed", lambda p: p.rope_needed, LENGTH, "the most of all stages", none=True),
    Column("status", lambda p: p.status, Status, STATUS),
    Column("proven", lambda p: p.proven, FLAG, PROVEN),
    Column("order", lambda p: p.order, TEXTS, ORDER),
    Column("rules", lambda p: p.rules, TEXTS, RULES),
    Column("tackle_on_tackle", lambda p: p.compounds, FLAG, "whether tackle on tackle was looked at"),
    Column("tackle_on_tackle_left_out", lambda p: p.compounds_left, FLAG, "whether that was too much"),
    Column("margin_if_put_together", lambda r: margin_put_together(r.put_together), RATIO, PUT_TOGETHER,
           none=True, when=lambda r: r.put_together is not None),
    Column("hold", lambda p: p.kept, FLAG, "whether each stage has its second lines, as requested"),
    Column("most_stages", lambda p: p.most_stages, COUNT, "stages there may be"),
    Column("grain", lambda p: p.grain, LENGTH, "spacing at which changes of stage are looked for"),
    Column("if_stands", lambda p: together(p.stages), Many(IF_STANDS), "the conditions for it to hold"),
    Column("looked_at", lambda p: p.looked_at, COUNT, "rigs that were looked at"),
    Column("gap", lambda p: p.gap, GAP, "where no setup gets on, if that is why there is no plan", none=True),
    Column("needs_stages", lambda p: p.needs_stages, COUNT, "stages a plan takes where more are needed",
           none=True),
))  # fmt: skip

plan_json = PLAN.json


def listing(plan: Plan, system: str = "metric") -> Listing:
    """One row a stage and one of totals."""
    rows = [*(Staged(plan, index) for index in range(len(plan.stages))), Staged(plan)]
    return Listing.of(STAGE, rows if plan.stages else (), system, empty="no plan works")


def _grip_moves(setup: Setup) -> str | None:
    """How often the grip of tackle on tackle is moved back; None without a second rope."""
    if setup.second is None:
        return None
    if not setup.moved:
        return "the grip on the main rope stays where it is"
    times = "once" if len(setup.moved) == 1 else f"{len(setup.moved)} times"
    return f"the grip on the main rope is moved back {times}, at resets"


def report(site: Site, plan: Plan, corner: Corner = "worst") -> list[Block]:
    """The whole answer: the table, what it proves, every stage spelt out, and every change."""
    system = site.preferences.units
    if not plan.stages:
        return _none(site, plan)
    blocks: list[Block] = [(f"Stages for {site.title}", listing(plan, system))]
    left = words.TWO_ROPES_LEFT if plan.compounds_left else ""
    notes = [
        proof(plan, site),
        words.spots_note(site),
        left,
        words.more_if_put_together(
            plan.put_together, " in the weakest stage" if len(plan.stages) > 1 else ""
        ),
        f"Order: {order(plan)}.",
        _within_stages(plan),
        explained(("stage", "margin", "reset")),
        words.guesses(site, corner),
    ]
    if len(plan.stages) == 1:
        notes.append(_one_stage(site, plan))
    blocks.append(("", "\n".join(note for note in notes if note)))
    for index, setup in enumerate(plan.stages):
        if index:
            title = f"Between stage {index} and stage {index + 1}"
            blocks.append((title, between(plan, index - 1, system)))
        blocks += stage(site, setup, plan.reaches[index])
    return blocks


def _one_stage(site: Site, plan: Plan) -> str:
    """Where the ranking has the setup of a plan of one stage."""
    if plan.stages[0].rope.joined is not None:
        return (
            "One stage is enough with that rope put together; `bankhaul rank` takes every rope as it "
            "is, and does not have this setup."
        )
    counts = without_stages(plan.order)
    usual = counts == Order.of(site.preferences).names
    by = "" if usual else f" --by {','.join(counts)}"
    by += " --hold" if plan.kept else ""
    if any(stage.holding for stage in plan.stages):
        return (
            f"One stage is enough: `bankhaul rank{by}` counts in the same order. It gives second lines only "
            "what the best filling of a haul leaves, so a haul whose line comes first may be missing there."
        )
    return f"One stage is enough: `bankhaul rank{by}` counts in the same order and has this setup first."


def _within_stages(plan: Plan) -> str:
    """What of the order does not choose between plans of several stages; "" where all of it does."""
    some = [_in_words(name) for name in plan.order if name in WITHIN_A_STAGE]
    if len(plan.stages) < 2 or not some:
        return ""
    verb = "chooses" if len(some) == 1 else "choose"
    return f"{names(some)} {verb} between setups of one stage only.".capitalize()


def stage(site: Site, setup: Setup, reach: Reach) -> list[Block]:
    """One stage with the same detail as a setup of a ranking, and with what the rest of the gear would
    hold the load with on it."""
    system = site.preferences.units
    ends = [show(m, LENGTH, system) for m in (setup.from_m, setup.to_m)]
    spare = None if setup.holding else hold(site, setup)
    _, *others = detail(site, setup, spare=spare, explaining=setup.rank == 1)
    text = f"{summary(setup, system)}\n{reaches(reach, system)}"
    number = f"Stage {setup.rank}"
    return [
        (f"{number}: from {ends[0]} to {ends[1]}", text),
        *(
            (f"{number}: {title[:1].lower()}{title[1:]}" if title else "", body)
            for title, body in others
        ),
    ]


def reaches(reach: Reach, system: str) -> str:
    """Between where and where the rig could work, and what stops it on either side."""
    ends = [show(m, LENGTH, system) for m in (reach.from_m, reach.to_m)]
    text = f"This rig could haul from {ends[0]} to {ends[1]} of the path."
    if reach.before:
        text += f" Not from before that: {reach.before}."
    if reach.beyond:
        text += f" Not beyond: {reach.beyond}."
    return text


def _in_words(count: PlanCount) -> str:
    """What a plan can be ordered by."""
    return "fewest stages" if isinstance(count, OfPlan) else words.CRITERIA[count]


def order(plan: Plan) -> str:
    """The order of a plan in words."""
    return ", then ".join(_in_words(name) for name in plan.order)


def proof(plan: Plan, site: Site) -> str:
    """What has been shown, and what has not."""
    system = site.preferences.units
    under = f"under the rules: {names(plan.rules)}" if plan.rules else "with every rule off"
    if plan.status is Status.CUT_SHORT:
        return f"NOT proven ({cut_short()}): a better plan may exist {under}."
    ropes = ", of one rope or of tackle on tackle," if plan.compounds else ""
    held = (
        " with second lines from what the haul leaves, or laid aside for them first,"
        if plan.kept
        else ""
    )
    step = show(plan.grain, LENGTH, system)
    spacing = show(site.preferences.station_spacing, LENGTH, system)
    return (
        f"Proven: {words.of_one_piece(plan.put_together)}no better plan in at most "
        f"{counted(plan.most_stages, 'stage')} exists{ropes}{held} "
        f"{under}; changes of stage are looked for every {step} and at every bend, forces at stations at "
        f"most {spacing} apart and at every change."
    )


def _none(site: Site, plan: Plan) -> list[Block]:
    system = site.preferences.units
    if plan.status is Status.UNDECIDED:
        wording = words.nothing(site.title, plan.status)
        return [("", f"{wording} NOT proven ({cut_short()}): a plan in stages may exist.")]
    if plan.needs_stages is not None:
        return [
            (
                "",
                f"NO SETUP WORKS for {site.title} in at most {counted(plan.most_stages, 'stage')}: it takes "
                f"{plan.needs_stages}. Allow them with `--most-stages {plan.needs_stages}`.",
            )
        ]
    if plan.gap is None:
        return [("", f"NO SETUP WORKS for {site.title}.")]
    ends = [show(m, LENGTH, system) for m in (plan.gap.from_m, plan.gap.to_m)]
    between_ends = f"From {ends[0]} to {ends[1]}"
    held = f" {ONLY_HELD}" if plan.kept else ""
    text = (
        f"NO SETUP WORKS for {site.title} from {ends[0]} to {ends[1]} of the path: none gets the "
        f"load on from {ends[0]}, and no chain of setups gets it from there to {ends[1]}, in any "
        f"number of stages.{held}"
    )
    if plan.gap.to_m - plan.gap.from_m < plan.grain:  # a step, most often
        text = (
            f"NO SETUP WORKS for {site.title} at {ends[0]} of the path: the load comes so far and goes on "
            f"from there, but no setup gets it over that place, in any number of stages.{held}"
        )
    if plan.gap.not_held:
        return [("", text), *not_held_blocks(plan.gap.not_held, system)]
    near = misses_listing(plan.gap.misses, system)
    where = f"At {ends[0]}" if plan.gap.to_m - plan.gap.from_m < plan.grain else between_ends
    return [("", text), (f"{where}, nearly", near)]
