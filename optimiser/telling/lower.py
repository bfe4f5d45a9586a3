"""Prints ways down as listings, as blocks of an answer, and as JSON."""

from dataclasses import asdict
from typing import Any, cast

from catalogue.glossary import explained
from optimiser.jobs.lower import words
from optimiser.jobs.lower.results import Lowering, LoweringSetup, Zone
from optimiser.jobs.remarks import data_end_blocks, used
from optimiser.rig import made_anchors
from optimiser.rig.conditions import as_json, unrated
from optimiser.rig.edge_words import needs
from optimiser.rig.laid_edges import led
from optimiser.rig.setup import Setup
from optimiser.rig.status import Status
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.telling import detail
from optimiser.telling.edge_tables import MAKE, NEEDS, blocks_made, contacts_json, made_json
from optimiser.telling.edge_tables import blocks as blocks_over
from optimiser.telling.words import guesses, made_note
from shared.interrupt import cut_short
from shared.listing import Column, Kind, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show
from shared.words import counted

_LENGTH, _FORCE, _RATIO = Dimension.LENGTH, Dimension.FORCE, Dimension.RATIO
_UP, _DOWN = Rounding.UP, Rounding.DOWN
MOST_ROWS = 24
"""Rows of the way down that are shown, beside those that must be."""

_ZONES = (
    Column(key="from", heading="from", unit="m", kind=_LENGTH),
    Column(key="to", heading="down to", unit="m", kind=_LENGTH),
    Column(key="kind", heading="kind", where=Where.DATA),
    Column(key="status", heading="status", where=Where.DATA),
    Column(key="does", heading="what the load does there", where=Where.PEOPLE),
    Column(key="force", heading="held with", unit="N", kind=_FORCE, where=Where.DATA),
    Column(key="push", heading="push", unit="N", kind=_FORCE, where=Where.DATA),
)

_SETUPS = (
    Column(key="rank", heading="rank", kind=Kind.COUNT),
    Column(key="from", heading="from", unit="m", kind=_LENGTH, where=Where.DATA),
    Column(key="to", heading="down to", unit="m", kind=_LENGTH, yields=6),
    Column(key="parts", heading="parts", kind=Kind.COUNT, yields=3),
    Column(key="turns", heading="turns", kind=Kind.COUNT),
    Column(key="line", heading="worst line", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="hand_told", heading="worst hand", where=Where.PEOPLE),
    Column(key="hand", heading="worst hand", unit="N", kind=_FORCE, where=Where.DATA),
    Column(
        key="at",
        heading="with load at",
        unit="m",
        kind=_LENGTH,
        yields=8,
        alone="worst with load at",
    ),
    Column(key="margin", heading="margin", kind=_RATIO, rounding=_DOWN),
    Column(key="weakest", heading="weakest piece"),
    Column(
        key="rope_needed", heading="rope needed", unit="m", kind=_LENGTH, rounding=_UP, yields=5
    ),
    Column(
        key="rope_owned", heading="rope owned", unit="m", kind=_LENGTH, rounding=_DOWN, yields=9
    ),
    Column(key="resets", heading="new grips", kind=Kind.COUNT, yields=7),
    Column(key="run", heading="run of the rope", where=Where.UNDER),
    NEEDS,
    MAKE,
    Column(key="unrated", heading="unrated", where=Where.UNDER),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)

_PATH = (
    Column(key="at", heading="load at", unit="m", kind=_LENGTH),
    Column(key="slope", heading="slope", unit="rad", kind=Dimension.ANGLE, yields=4),
    Column(key="surface", heading="surface", yields=7),
    Column(key="rest", heading="let go of"),
    Column(key="runs", heading="held with", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="push", heading="push to start", unit="N", kind=_FORCE, rounding=_UP, yields=5),
    Column(key="line", heading="line to hold", unit="N", kind=_FORCE, rounding=_UP),
    Column(
        key="control", heading="line to let down", unit="N", kind=_FORCE, rounding=_UP, yields=3
    ),
    Column(key="hand_told", heading="hand", where=Where.PEOPLE),
    Column(key="hand", heading="hand", unit="N", kind=_FORCE, where=Where.DATA),
    Column(key="ground_reaction", heading="ground reaction", unit="N", kind=_FORCE, yields=9),
    Column(key="side_pull", heading="side pull", kind=_RATIO, yields=8),
    Column(key="rope_out", heading="rope out", unit="m", kind=_LENGTH, yields=6),
)

_GEAR = (
    Column(key="place", heading="place"),
    Column(key="role", heading="what for"),
    Column(key="item", heading="piece"),
    Column(key="how", heading="how"),
)


def report(site: Site, answer: Lowering, corner: Corner = "worst") -> list[Block]:
    """The whole answer: the way down, the list or the stages, what it proves, and cautions."""

    system = site.preferences.units
    top = "start of the path to its end" if answer.turned else "end of the path to its start"
    blocks: list[Block] = [
        (
            f"The way down for {site.title}, from the {top}",
            zone_listing(answer.zones, system),
        )
    ]
    if answer.notes:
        blocks.append(("", "\n".join(answer.notes)))
    undecided = answer.status is Status.UNDECIDED
    if not answer.needs_hold:
        blocks.append(("", words.nothing_to_hold(answer)))
    elif answer.setups:
        blocks.append(("Holds for the whole way", setup_listing(answer.setups, system)))
    elif answer.stages:
        title = f"In {counted(len(answer.stages), 'stage')}, the load chocked between them"
        if answer.stuck_at is not None:
            none = "NO WAY ALL DOWN" if not undecided else "NOT FINISHED, no way all down found yet"
            title = f"{none}: stages as far as {_metres(answer.stuck_at, system)}"
        blocks.append((title, setup_listing(answer.stages, system)))
    if answer.needs_hold and not answer.feasible:
        title = "NO HOLD WORKS" if not undecided else "NOT FINISHED: no hold found yet"
        blocks.append((title, _stuck(answer, system)))
    notes = [words.hand(answer, system)] if answer.needs_hold else []
    if answer.needs_hold:
        notes += [
            words.proof(answer),
            made_note(site),
            f"Order: {words.order(answer.order)}.",
            explained(("margin", "turn")),
        ]
    notes.append(guesses(site, corner, lowered=True))
    if answer.setups or answer.stages:
        notes.append("`bankhaul lower --show N` explains number N: gear, forces, cautions.")
    blocks.append(("", "\n".join(note for note in notes if note)))
    shown = (*answer.setups, *answer.stages)[:1]
    if shown:
        blocks.append(("Before anything is let down", cautions_text(shown[0])))
    return blocks


def zone_listing(zones: tuple[Zone, ...], system: str = "metric") -> Listing:
    """One row a stretch, from the top down."""
    return Listing(
        columns=_ZONES,
        rows=tuple(
            {
                "from": zone.from_m,
                "to": zone.to_m,
                "kind": zone.kind,
                "status": zone.status.word,
                "does": words.zone(zone, system),
                "force": zone.force,
                "push": zone.push,
            }
            for zone in zones
        ),
    )


def setup_listing(setups: tuple[LoweringSetup, ...], system: str = "metric") -> Listing:
    """One row a hold or a stage."""
    return Listing(
        columns=_SETUPS,
        rows=tuple(
            {
                "rank": s.rank,
                "from": s.from_m,
                "to": s.to_m,
                "parts": s.parts,
                "turns": s.turns,
                "line": s.line,
                "hand_told": words.newtons(s.hand, system) if s.turns else "–",
                "hand": s.hand if s.turns else None,
                "at": s.line_at,
                "margin": s.margin,
                "weakest": s.weakest,
                "rope_needed": s.rope_needed,
                "rope_owned": s.rope_owned,
                "resets": s.resets,
                "run": _sentence(words.run_of_rope(s, system)),
                "edge": needs(s.gear, s.contacts, system),
                "make": made_anchors.needs(s.made, system),
                "unrated": unrated(s, system) or None,
                "reeving": s.reeving,
            }
            for s in setups
        ),
    )


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
        ("What hangs where", gear_listing(setup)),
        ("What every piece carries", pieces),
        *data_end_blocks(site, used([setup.walk])),
        ("On the way down", path_listing(setup, system)),
    ]


def summary(setup: LoweringSetup, system: str) -> str:
    """The hold in a few sentences."""
    line = show(setup.line, _FORCE, system, _UP)
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
        f"Margin {show(setup.margin, _RATIO, rounding=_DOWN)}; weakest: {setup.weakest}.",
        f"Rope needed {show(setup.rope_needed, _LENGTH, system, _UP)} of "
        f"{show(setup.rope_owned, _LENGTH, system, _DOWN)} owned, at the bottom; "
        f"{_metres(setup.paid_out, system)} of it are let out on the way.",
    ]
    if setup.unrated:
        lines.insert(0, f"{unrated(setup, system)}.")
    return "\n".join(lines)


def cautions_text(setup: LoweringSetup) -> str:
    """Its cautions as points: those its own numbers call for, then those of every way down."""
    ordered = sorted(setup.cautions, key=lambda caution: caution.always)
    return "\n".join(f"- {c.text} [{c.source}]" for c in ordered)


def gear_listing(setup: LoweringSetup) -> Listing:
    """Which owned piece goes where."""
    rows = tuple(
        {"place": h.place, "role": h.role, "item": h.item, "how": h.how} for h in setup.gear
    )
    return Listing(columns=_GEAR, rows=rows)


def path_listing(setup: LoweringSetup, system: str) -> Listing:
    """Forces on the way down, thinned to the rows that matter and a few between."""
    rows = setup.profile
    step = max(1, -(-len(rows) // MOST_ROWS))
    worst = max(range(len(rows)), key=lambda i: rows[i].line)
    must = {0, len(rows) - 1, worst}
    for i in range(1, len(rows)):
        if rows[i].rest is not rows[i - 1].rest or rows[i].slope != rows[i - 1].slope:
            must |= {i - 1, i}
    return Listing(
        drops=True,
        columns=_PATH,
        rows=tuple(
            {
                "at": row.at,
                "slope": row.slope,
                "surface": row.surface,
                "rest": row.rest.word,
                "runs": row.runs if row.runs > 0.0 else None,
                "push": row.push if row.push > 0.0 else None,
                "line": row.line,
                "control": row.control,
                "hand_told": "–" if row.hand is None else words.newtons(row.hand, system),
                "hand": row.hand,
                "ground_reaction": row.ground_reaction,
                "side_pull": row.side_pull,
                "rope_out": row.rope_out,
            }
            for i, row in enumerate(rows)
            if i in must or i % step == 0
        ),
    )


def lowering_json(answer: Lowering) -> dict[str, Any]:
    """The whole answer as one object: SI, full precision."""
    record = {
        "needs_hold": answer.needs_hold,
        "feasible": answer.feasible,
        "status": str(answer.status),
        "proven": answer.proven,
        "could_reach": None if answer.unsearched is None else asdict(answer.unsearched),
        "setups": [setup_json(setup) for setup in answer.setups],
        "stages": [setup_json(setup) for setup in answer.stages],
        "zones": zone_listing(answer.zones).records(),
        "turned": answer.turned,
        "notes": answer.notes,
        "resistance_counted_on": answer.site.preferences.resistance_counted_on,
        "hand_limit_N": answer.hand_limit,
        "hand_comfort_N": answer.hand_comfort,
        "hand_source": answer.hand_source,
        "order": answer.order,
        "rules": answer.rules,
        "most_sheaves": answer.most_sheaves,
        "space": answer.space,
        "looked_at": answer.looked_at,
        "confirmed": answer.confirmed,
        "stuck_at_m": answer.stuck_at,
        "reasons": answer.reasons,
    }
    return cast(dict[str, Any], plain(record))


def setup_json(setup: LoweringSetup, *, full: bool = False) -> dict[str, Any]:
    """A hold or stage; `full` adds its components and the way down."""
    record: dict[str, Any] = {
        "rank": setup.rank,
        "reeving": [str(place) for place in setup.walk],
        "turns": setup.turns,
        "holder": None if setup.holder is None else setup.holder.name,
        "run": words.run_of_rope(setup),
        "from_m": setup.from_m,
        "to_m": setup.to_m,
        "attachment": setup.attachment,
        "rope": setup.rope.name,
        "parts": setup.parts,
        "sheave_efficiencies": [round(eta, 12) for eta in setup.etas],
        "friction": setup.friction,
        "line_over_hand": setup.ratio,
        "line_N": setup.line,
        "line_at_m": setup.line_at,
        "hand_N": setup.hand if setup.turns else None,
        "hand_least_N": setup.hand_least if setup.turns else None,
        "margin": setup.margin,
        "weakest": setup.weakest,
        "unrated": setup.unrated,
        "if_stands": as_json(setup.if_stands),
        "rope_needed_m": setup.rope_needed,
        "rope_owned_m": setup.rope_owned,
        "paid_out_m": setup.paid_out,
        "resets": setup.resets,
        "heat_J": setup.heat,
        "gear": gear_listing(setup).records(),
        "contacts": contacts_json(setup.contacts),
        "to_make": made_json(setup.made),
        "cautions": [
            {"key": c.key, "text": c.text, "source": c.source, "always": c.always}
            for c in setup.cautions
        ],
    }
    if full:
        record["components"] = detail.components(cast(Setup, setup), "metric").records()
        record["path"] = [
            {
                "at_m": row.at,
                "slope_rad": row.slope,
                "surface": row.surface,
                "rest": row.rest.word,
                "runs_N": row.runs,
                "push_N": row.push,
                "line_N": row.line,
                "line_to_let_down_N": row.control,
                "hand_N": row.hand,
                "ground_reaction_N": row.ground_reaction,
                "side_pull": row.side_pull,
                "rope_out_m": row.rope_out,
            }
            for row in setup.profile
        ]
    return cast(dict[str, Any], plain(record))


def _stuck(answer: Lowering, system: str) -> str:
    at = answer.from_m if answer.stuck_at is None else answer.stuck_at
    if answer.status is Status.UNDECIDED:
        return f"The search did not come to its end ({cut_short()}); a hold may exist."
    lines = [f"Nothing at hand gets the load further down than {_metres(at, system)} of the path:"]
    lines += [f"- {reason}" for reason in answer.reasons]
    return "\n".join(lines)


def _metres(value: float, system: str) -> str:
    return show(value, _LENGTH, system)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."
