"""Puts holding lines in words."""

from collections.abc import Sequence

from optimiser.jobs.hold.results import Held, NotHeld
from optimiser.mechanics.resting import Rest
from optimiser.rig.edge_words import needs
from optimiser.rig.ground.stretches import Stretch
from optimiser.rig.naming import ordinal, spot
from optimiser.rig.setup import HoldingLine, Role, Way
from optimiser.telling.fields.common import LENGTH, TEXT, TEXTS
from shared.columns import Column, Record
from shared.report import Block
from shared.units import Dimension, Rounding, show

_DOES = {
    Way.BACK: "the load {runs} back by itself",
    Way.ON: "the load {runs} on downhill by itself",
    Way.ASIDE: "the haul alone would slew the load: a steering line keeps it on line",
}
_TENDED = {
    Way.BACK: "take in",
    Way.ON: "ease out",
    Way.ASIDE: "tend (keep it just tight enough to go straight)",
}
_COUNTED = {
    Way.BACK: "It does not make the haul's margin any better.",
    Way.ON: "It does not make the haul's margin any better.",
    Way.ASIDE: "What it holds back is counted in the haul's pull and margin; pull no harder on it than that.",
}


def worded(held: Held, system: str, *, part_of_setup: bool) -> str:
    """Every holding line as a paragraph, and what is not held. `part_of_setup`: the lines belong to the
    setup; else they are what the rest of the gear would do."""
    out = [line_worded(line, system, part_of_setup=part_of_setup) for line in held.lines]
    return "\n".join([*out, *(missing_worded(stretch, system) for stretch in held.missing)])


def line_worded(line: HoldingLine, system: str, *, part_of_setup: bool = True) -> str:
    """One holding line: what it holds, how it runs, what it takes."""
    force = show(line.force, Dimension.FORCE, system, Rounding.UP)
    tension = show(line.line, Dimension.FORCE, system, Rounding.UP)
    hand = show(line.hand, Dimension.FORCE, system, Rounding.UP)
    needed = show(line.rope_needed, Dimension.LENGTH, system, Rounding.UP)
    owned = show(line.rope.length or 0.0, Dimension.LENGTH, system, Rounding.DOWN)
    taken = show(line.taken, Dimension.LENGTH, system)
    margin = show(line.margin, Dimension.RATIO, rounding=Rounding.DOWN)
    does = "Hold it by" if part_of_setup else "The gear that is left would hold it:"
    does = "Steer it by" if line.way is Way.ASIDE else does
    ground = "across the path" if line.way is Way.ASIDE else "along the ground"
    return (
        f"{_where(line, system)}, held with up to {force} {ground}. "
        f"{does} {line.rope.name} at {line.attachment}: {run(line, system)}. The line carries up to "
        f"{tension}, the hand up to {hand}. On that stretch {_TENDED[line.way]} {taken}; rope needed "
        f"{needed} of {owned}. Gear: {gear(line)}.{_over(line, system)} Margin {margin}, after what the "
        f"haul puts on the same anchors and hitches; weakest: {line.weakest}. {_COUNTED[line.way]}"
    )


def brief(line: HoldingLine, system: str) -> str:
    """One second line in a sentence: where, what for, and how it runs."""
    margin = show(line.margin, Dimension.RATIO, rounding=Rounding.DOWN)
    a, b = (show(x, Dimension.LENGTH, system) for x in (line.from_m, line.to_m))
    verb = "steers" if line.way is Way.ASIDE else "holds"
    return (
        f"{line.rope.name} {verb} it from {a} to {b}, at {line.attachment}: {run(line, system)} "
        f"(margin {margin})."
    )


def missing_worded(stretch: Stretch, system: str) -> str:
    """A stretch for which the rest of the gear gives no holding line."""
    force = show(stretch.force, Dimension.FORCE, system, Rounding.UP)
    return (
        f"{_where(stretch, system)}, to be held with up to {force} along the "
        "ground. NOTHING that the haul leaves of the gear holds that from another trunk: chock the "
        "load all along, or see `bankhaul lower` for holds with all of the gear."
    )


def run(line: HoldingLine, system: str) -> str:
    """The rope from its standing end to the hand."""
    first, *turns, last = line.walk
    out = [f"standing end made fast to {spot(first, line.gear, system)}"]
    for node, place in enumerate(turns, start=1):
        met = line.walk[1:node].count(place)
        block = "a block" if met == 0 else f"a {ordinal(met + 1)} block"
        out.append(f"round {block} on {spot(place, line.gear, system)}")
    times = "turn" if line.turns == 1 else "turns"
    height = show(last.height, Dimension.LENGTH, system)
    out.append(f"{line.turns} full {times} round {last.name}, {height} up, then the hand")
    return "; ".join(out)


def _over(line: HoldingLine, system: str) -> str:
    """What it runs over; "" where it touches nothing."""
    text = needs(line.gear, line.contacts, system)
    return f" {text}" if text else ""


def gear(line: HoldingLine) -> str:
    """The pieces besides the rope, and how its end is made fast."""
    pieces: Sequence[str] = [
        f"{h.how} in the standing end" if h.role in (Role.END, Role.TIE) else f"{h.role} {h.item}"
        for h in line.gear
        if h.role is not Role.TURNS
    ]
    return ", ".join(pieces) or "none besides the rope"


def _where(held: HoldingLine | Stretch, system: str) -> str:
    a, b = (show(x, Dimension.LENGTH, system) for x in (held.from_m, held.to_m))
    runs = "runs" if held.rest is Rest.RUNS else "may run (too close to call)"
    return f"From {a} to {b} of the path {_DOES[held.way].format(runs=runs)}"


NOT_HELD: Record[NotHeld] = Record("not_held", "why nothing keeps the load in hand over a stretch", (
    Column("from", lambda n: n.stretch and n.stretch.from_m, LENGTH,
           "where it begins; nothing: it slews under the haul", none=True),
    Column("to", lambda n: n.stretch and n.stretch.to_m, LENGTH, "where it ends", none=True),
    Column("way", lambda n: str(n.way), TEXT, "which way the load would go: back, on or aside"),
    Column("reasons", lambda n: n.reasons, TEXTS, "what stops every line"),
    Column("cures", lambda n: n.cures, TEXTS, "what would do, each by itself"),
))  # fmt: skip


def not_held_blocks(found: Sequence[NotHeld], system: str) -> list[Block]:
    """Why nothing keeps the load in hand, and what would cure it, for people."""
    out: list[Block] = []
    for one in found:
        title = "No second line steers it"
        text = ""
        if one.stretch is not None:
            title = "No second line holds it"
            force = show(one.stretch.force, Dimension.FORCE, system, Rounding.UP)
            text = (
                f"{_where(one.stretch, system)}, to be held with up to {force} along the ground.\n"
            )
        text += "\n".join(f"- {reason}" for reason in one.reasons)
        cures = "\n".join(f"- {cure}" for cure in one.cures) or "- nothing by itself was found"
        late = "\nNot all of that was looked at, so less may do." if one.late else ""
        out += [(title, text), ("What would cure it, each by itself", f"{cures}{late}")]
    return out
