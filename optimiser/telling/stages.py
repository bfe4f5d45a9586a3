"""Prints staged plans as listings, texts and JSON."""

from typing import Any

from catalogue.glossary import explained
from optimiser.jobs.hold.find import hold
from optimiser.jobs.stages.results import Change, Gap, Move, Plan, Reach
from optimiser.jobs.stages.words import _run, between
from optimiser.mechanics.resting import Rest
from optimiser.rig import made_anchors
from optimiser.rig.conditions import as_json, together, unrated
from optimiser.rig.order import Order
from optimiser.rig.setup import Setup, names
from optimiser.rig.status import Status
from optimiser.search.stages.choose import WITHIN_A_STAGE, without_stages
from optimiser.site.counts import OfPlan, PlanCount
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.telling import words
from optimiser.telling.detail import detail, summary
from optimiser.telling.edge_tables import MAKE, NEEDS, needed
from optimiser.telling.tables import miss_json, misses_listing, setup_json
from shared.interrupt import cut_short
from shared.listing import Column, Kind, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show
from shared.words import counted

_LENGTH, _FORCE, _RATIO = Dimension.LENGTH, Dimension.FORCE, Dimension.RATIO


_STAGES = (
    Column(key="stage", heading="stage"),
    Column(key="from", heading="from", unit="m", kind=_LENGTH),
    Column(key="to", heading="to", unit="m", kind=_LENGTH),
    Column(key="parts", heading="parts", kind=Kind.COUNT, yields=4),
    Column(key="moves", heading="items moved", kind=Kind.COUNT, yields=9),
    Column(
        key="rope_needed",
        heading="rope",
        unit="m",
        kind=_LENGTH,
        rounding=Rounding.UP,
        yields=6,
        alone="rope needed",
    ),
    Column(key="strokes", heading="strokes", kind=Kind.COUNT, yields=8),
    Column(key="resets", heading="resets", kind=Kind.COUNT, yields=1),
    Column(key="grip_moves", heading="grip moved back", where=Where.UNDER),
    Column(key="grip_moved", heading="grip moved back", kind=Kind.COUNT, where=Where.DATA),
    Column(key="pull", heading="worst pull", unit="N", kind=_FORCE, rounding=Rounding.UP),
    Column(key="margin", heading="margin", kind=_RATIO, rounding=Rounding.DOWN),
    Column(key="weakest", heading="weakest piece"),
    Column(key="run", heading="run of the rope", where=Where.UNDER),
    NEEDS,
    MAKE,
    Column(key="unrated", heading="unrated", where=Where.UNDER),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)


def listing(plan: Plan, system: str = "metric") -> Listing:
    """One row a stage and one of totals."""
    rows = [_row(plan, i, system) for i in range(len(plan.stages))]
    if rows:
        rows.append(_total(plan))
    return Listing(columns=_STAGES, rows=tuple(rows), empty="no plan works")


def _row(plan: Plan, index: int, system: str) -> dict[str, Any]:
    setup = plan.stages[index]
    return {
        "stage": str(index + 1),
        "from": setup.from_m,
        "to": setup.to_m,
        "parts": setup.parts,
        "moves": len(plan.changes[index - 1].moves) if index else None,
        "rope_needed": setup.rope_needed,
        "strokes": setup.strokes,
        "resets": setup.resets,
        "grip_moves": _grip_moves(setup),
        "grip_moved": len(setup.moved),
        "pull": setup.pull,
        "margin": setup.margin,
        "weakest": setup.weakest,
        "run": f"{_run(setup, system)}.",
        "edge": needed(setup, system),
        "make": made_anchors.needs(setup.made, system),
        "unrated": unrated(setup, system) or None,
        "reeving": setup.reeving,
    }


def _grip_moves(setup: Setup) -> str | None:
    """How often the grip of tackle on tackle is moved back; None without a second rope."""
    if setup.second is None:
        return None
    if not setup.moved:
        return "the grip on the main rope stays where it is"
    times = "once" if len(setup.moved) == 1 else f"{len(setup.moved)} times"
    return f"the grip on the main rope is moved back {times}, at resets"


def _total(plan: Plan) -> dict[str, Any]:
    least = min(plan.stages, key=lambda setup: setup.margin)
    changes = len(plan.changes)
    return {
        "stage": "all",
        "from": plan.stages[0].from_m,
        "to": plan.stages[-1].to_m,
        "parts": None,
        "moves": sum(len(change.moves) for change in plan.changes),
        "rope_needed": plan.rope_needed,
        "strokes": sum(setup.strokes for setup in plan.stages),
        "resets": plan.resets,
        "grip_moves": None,
        "grip_moved": sum(len(setup.moved) for setup in plan.stages),
        "pull": max(setup.pull for setup in plan.stages),
        "margin": plan.margin,
        "weakest": least.weakest,
        "run": f"Among the resets: {changes} for the changes of stage." if changes else None,
        "edge": None,
        "unrated": None,
        "reeving": None,
    }


def report(site: Site, plan: Plan, corner: Corner = "worst") -> list[Block]:
    """The whole answer: the table, what it proves, every stage spelt out, and every change."""
    system = site.preferences.units
    if not plan.stages:
        return _none(site, plan)
    blocks: list[Block] = [(f"Stages for {site.title}", listing(plan, system))]
    left = words.TWO_ROPES_LEFT if plan.compounds_left else ""
    notes = [
        proof(plan, site),
        words.made_note(site),
        left,
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
    ends = [show(m, _LENGTH, system) for m in (setup.from_m, setup.to_m)]
    _, *others = detail(site, setup, spare=hold(site, setup), explaining=setup.rank == 1)
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
    ends = [show(m, _LENGTH, system) for m in (reach.from_m, reach.to_m)]
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
    step = show(plan.grain, _LENGTH, system)
    spacing = show(site.preferences.station_spacing, _LENGTH, system)
    return (
        f"Proven: no better plan in at most {counted(plan.most_stages, 'stage')} exists{ropes} {under}; "
        f"changes of stage are looked for every {step} and at every bend, forces at stations at most "
        f"{spacing} apart and at every change."
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
    ends = [show(m, _LENGTH, system) for m in (plan.gap.from_m, plan.gap.to_m)]
    text = (
        f"NO SETUP WORKS for {site.title} from {ends[0]} to {ends[1]} of the path: none gets the "
        f"load on from {ends[0]}, and no chain of setups gets it from there to {ends[1]}, in any "
        "number of stages."
    )
    if plan.gap.to_m - plan.gap.from_m < plan.grain:  # a step, most often
        text = (
            f"NO SETUP WORKS for {site.title} at {ends[0]} of the path: the load comes so far and goes on "
            "from there, but no setup gets it over that place, in any number of stages."
        )
        near = misses_listing(plan.gap.misses, system)
        return [("", text), (f"At {ends[0]}, nearly", near)]
    return [
        ("", text),
        (f"From {ends[0]} to {ends[1]}, nearly", misses_listing(plan.gap.misses, system)),
    ]


# ---- JSON ----------------------------------------------------------------------------------------


def plan_json(plan: Plan) -> dict[str, Any]:
    """A plan as one object, ready for JSON: SI, full precision."""
    record = {
        "stages": [
            setup_json(setup, full=True) | {"reach": _reach_json(reach)}
            for setup, reach in zip(plan.stages, plan.reaches, strict=True)
        ],
        "changes": [_change_json(change) for change in plan.changes],
        "stages_count": len(plan.stages),
        "resets": plan.resets,
        "margin": plan.margin,
        "rope_needed_m": plan.rope_needed,
        "status": str(plan.status),
        "proven": plan.proven,
        "order": list(plan.order),
        "rules": list(plan.rules),
        "tackle_on_tackle": plan.compounds,
        "tackle_on_tackle_left_out": plan.compounds_left,
        "most_stages": plan.most_stages,
        "grain_m": plan.grain,
        "if_stands": as_json(together(plan.stages)),
        "looked_at": plan.looked_at,
        "gap": None if plan.gap is None else _gap_json(plan.gap),
        "needs_stages": plan.needs_stages,
    }
    cleaned: dict[str, Any] = plain(record)
    return cleaned


def _reach_json(reach: Reach) -> dict[str, Any]:
    return {
        "from_m": reach.from_m,
        "to_m": reach.to_m,
        "before": reach.before,
        "beyond": reach.beyond,
    }


def _change_json(change: Change) -> dict[str, Any]:
    return {
        "at_m": change.at,
        "moves": [_move_json(m) for m in change.moves],
        "stays": [_move_json(m) for m in change.stays],
        "holds_by_itself": change.rest is Rest.RESTS,
        "rest": change.rest.word,
        "runs_back_N": change.runs_back,
        "runs_on_N": change.runs_on,
        "to_spare_N": change.to_spare,
        "turns_rad": change.turns,
        "why_here": change.why_here,
    }


def _move_json(change: Move) -> dict[str, Any]:
    return {
        "item": change.item,
        "role": change.role,
        "from": change.origin,
        "to": change.target,
    }


def _gap_json(gap: Gap) -> dict[str, Any]:
    return {
        "from_m": gap.from_m,
        "to_m": gap.to_m,
        "misses": [miss_json(miss) for miss in gap.misses],
    }
