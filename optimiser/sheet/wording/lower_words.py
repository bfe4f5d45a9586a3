"""Writes the sheet of a way down: the steps in order, when to stop, the new grips."""

from collections.abc import Iterator
from itertools import groupby
from math import atan2

from catalogue.pullers import PulledBy
from optimiser.jobs.lower.results import HoldRow
from optimiser.jobs.lower.words import newtons
from optimiser.mechanics.resting import Rest
from optimiser.rig.ground.stations import path_length, station_at
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.wording.letters import force, length, spot, turns
from optimiser.sheet.wording.rigging import (
    FOLLOW,
    LOOK_OVER,
    MARK,
    laid_late,
    making,
    over_edges,
    rig,
)
from optimiser.sheet.wording.sights import on_anchors, on_gear
from optimiser.site.model import AnchorKind
from shared.units import Dimension, Rounding, show
from shared.words import does

_LEAST_BEND = 0.01
"""rad: a bend of less is none."""
_NEAR = 1e-6
"""m along the path below which two places are one."""


def steps(lowered: Lowered) -> tuple[str, ...]:
    """Rig, let down, chock."""
    done: set[tuple[str, str, str]] = set()
    return (
        LOOK_OVER,
        *making(lowered),
        *_before(lowered),
        MARK.format(go="let down"),
        *(step for rope in lowered.ropes for step in rig(lowered, rope, done)),
        FOLLOW,
        *_letting_down(lowered),
    )


def _before(lowered: Lowered) -> Iterator[str]:
    top = lowered.setup.profile[0]
    if lowered.number > 1:
        yield "Leave the load chocked from the stage before until this rig holds."
        angle = _bend(lowered)
        if angle > _LEAST_BEND:
            shown = show(angle, Dimension.ANGLE, lowered.site.preferences.units)
            yield (
                f"The path bends by {shown} here: turn the load on the spot to its new direction, chocked "
                "all the while, before the line is made fast to it."
            )
    elif top.at < path_length(lowered.site) - _NEAR:
        where = length(lowered, top.at)
        yield (
            f"From the top of the path down to {where} the load does not run by itself: bring it to "
            f"{where} first, with a chock below it all the way."
        )
    if top.runs > 0.0:
        does = "runs down by itself" if top.rest is Rest.RUNS else "may run down by itself"
        yield (
            f"Chock the load below its wheels or runners. It {does} where it stands: what keeps it there "
            f"is made for {force(lowered, top.runs)}."
        )
    else:
        yield "Chock the load below. It stands by itself here, and may run further down."
    rope = lowered.ropes[0]
    if rope.turns and lowered.site.anchor(rope.walk[-1].name).kind is AnchorKind.TREE:
        yield f"Wrap {spot(lowered, rope.walk[-1])} with slats or stout hose where the turns will lie."


def _bend(lowered: Lowered) -> float:
    """The angle in plan, rad, by which the path bends where the stage begins."""
    ways = station_at(lowered.site, lowered.setup.from_m).along[:, :2]
    if len(ways) < 2:
        return 0.0
    (a, b), (c, d) = ways
    return abs(atan2(a * d - b * c, a * c + b * d))


def _letting_down(lowered: Lowered) -> Iterator[str]:
    setup, rope = lowered.setup, lowered.ropes[0]
    if rope.turns:
        yield (
            f"With the load still chocked, pull the rope tight against the {turns(rope)} and let the hand "
            "hold it. Look at every anchor, knot and block from outside the hatched areas."
        )
        yield (
            "Take the chocks away from the side, never from below. If the hand feels more than "
            f"{_hand(lowered, setup.hand)}, put them back and stop."
        )
    else:
        holder = setup.walk[-1].name
        far = ", at the far end of its run," if setup.holder and setup.holder.run > 0.0 else ""
        yield (
            f"With the load still chocked, let {holder}{far} take the line tight. Look at every "
            "anchor, knot and block from outside the hatched areas. Take the chocks away from the side, "
            "never from below."
        )
    yield from laid_late(lowered, rope)
    for _, rows in groupby(setup.profile, key=lambda row: (row.rest, row.climbs)):
        yield _stretch(lowered, list(rows))
    end = length(lowered, setup.to_m)
    done = lowered.number == lowered.count
    text = "the end of the way that has to be held" if done else "the end of this stage"
    rests = " From there on down it does not run by itself." if done and setup.to_m > _NEAR else ""
    yield (
        f"Stop with the load at {end}, {text}. Chock it below and see that the chock holds before the line "
        f"is slackened or a turn comes off.{rests}"
    )


def _stretch(lowered: Lowered, rows: list[HoldRow]) -> str:
    """What is done over a stretch on which the load does one thing when it is let go of."""
    a, b = length(lowered, rows[0].at), length(lowered, rows[-1].at)
    where = f"With the load at {a}" if a == b else f"With the load from {a} down to {b}"
    push = max(row.push for row in rows)
    rest = rows[0].rest
    if rows[0].climbs:
        back = (
            f", and let go of it {'runs' if rest is Rest.RUNS else 'may run'} back: chock it behind at "
            "every stop"
            if rest is not Rest.RESTS
            else ""
        )
        return (
            f"{where}: the way rises. Haul it over, with {force(lowered, push)}; the line that lets it "
            f"down does not do that{back}."
        )
    if rest is Rest.RESTS:
        pushed = f" with up to {force(lowered, push)}" if push > 0.0 else ""
        return (
            f"{where}: it rests by itself. Push it down{pushed}, from above or from the side, never from "
            "below, and keep the line tight."
        )
    row = max(rows, key=lambda r: (r.hand or 0.0, r.line))
    most, at = force(lowered, max(r.line for r in rows)), length(lowered, row.at)
    does = "Ease out at a slow walk, without stops and rushes. If the rope does not run, feed it."
    held = f"the hand holds up to {_hand(lowered, row.hand)} (load at {at})" if row.hand else ""
    if not lowered.ropes[0].turns:
        does, held = "Pay out at a slow walk, without stops and rushes.", ""
    text = f"{held}, the line carries up to {most}" if held else f"the line carries up to {most}"
    runs = (
        "it runs by itself"
        if rest is Rest.RUNS
        else "too close to call, it may run or rest (push it from above where it rests)"
    )
    return f"{where}: {runs}. {does} Here {text}."


def _hand(lowered: Lowered, value: float, rounding: Rounding = Rounding.UP) -> str:
    return newtons(value, lowered.site.preferences.units, rounding)


def stops(lowered: Lowered) -> tuple[str, ...]:
    """When to stop letting down, and chock."""
    setup, rope = lowered.setup, lowered.ropes[0]
    out = []
    if rope.turns:
        limit = _hand(lowered, float(lowered.limits.min()), Rounding.DOWN)
        least = _hand(lowered, setup.hand_least, Rounding.NEAREST)
        out.append(
            f"Expected in the hand is {_hand(lowered, setup.hand)} at most. Stop and chock when it feels "
            "more: the turns do not grip as reckoned. At "
            f"{limit} the first piece reaches what it stands: {lowered.first_to_go}. The turns may grip "
            f"better: then the hand feels as little as {least}, and the line carries as much as ever."
        )
        out.append("Stop and chock when the rope at the turns smells, smokes or glazes.")
    else:
        limit = force(lowered, float(lowered.limits.min()), Rounding.DOWN)
        out.append(
            f"Stop and chock when the line carries more than {force(lowered, setup.line)}. At {limit} the "
            f"first piece reaches what it stands: {lowered.first_to_go}."
        )
        out.append(_holder_gives(lowered))
    out += [
        "Stop and chock when the load runs faster than a slow walk, slews off its path or tips.",
        *on_anchors(lowered),
        *on_gear(lowered),
        "Stop when the line goes slack while the load stands: it may start with a jerk.",
        "Stop when anybody steps into a hatched area.",
        f"Limits: the {lowered.force_name} at which such a piece reaches what is planned with.",
    ]
    out[2:2] = over_edges(lowered)
    if rope.piece.joined is not None:
        out.insert(2, "Stop before the join of the rope runs into a block or onto the turns.")
    return tuple(out)


def _holder_gives(lowered: Lowered) -> str:
    """What one sees of the one that pays out when it cannot hold."""
    holder, name = lowered.setup.holder, lowered.setup.walk[-1].name
    wheels = ": its wheels turn or skid" if holder and holder.kind is PulledBy.VEHICLE else ""
    acts = f"{does(name, 'slip')} or {does(name, 'slide')}"
    return f"Stop and chock when {name} {acts}, pulled down the slope{wheels}."


def resets(lowered: Lowered) -> tuple[str, ...]:
    """Where whoever pays out takes a new grip."""
    setup = lowered.setup
    if setup.holder is None:
        return ("No new grip: the rope is eased out all the way.",)
    if not lowered.stops:
        name = setup.holder.name
        return (f"No new grip: {name} {does(name, 'pay')} out all the way.",)
    again = (
        "wind the line in and take a new grip on the rope"
        if setup.holder.purchase is not None
        else "go back to the far end of the run and make the line fast there, as long as it has become"
    )
    out = [
        f"At each new grip: chock the load below, ease the line until the chock holds it, {again}."
    ]
    for number, stop in enumerate(lowered.stops, start=1):
        row = min(setup.profile, key=lambda r: abs(r.at - stop))
        text = f"New grip {number}: load at {length(lowered, stop)}"
        if row.runs > 0.0:
            runs = "IT RUNS" if row.rest is Rest.RUNS else "IT MAY RUN"
            out.append(f"{text}. {runs} here: the chock must hold {force(lowered, row.runs)}.")
        else:
            out.append(f"{text}. It stands by itself here; chock it all the same.")
    return tuple(out)
