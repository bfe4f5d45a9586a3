"""Writes the sheet of a haul: the steps in order, when to stop, the resets."""

from collections.abc import Iterator

from optimiser.jobs.lower.words import newtons
from optimiser.mechanics.resting import Rest
from optimiser.rig.ground.stations import path_length
from optimiser.rig.setup import HoldingLine, StationRow, Way
from optimiser.rig.walk import PlaceKind
from optimiser.rig.where_it_stands import sentence
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.shown.ropes import Rope
from optimiser.sheet.wording.letters import at, force, length, pull, spot, times
from optimiser.sheet.wording.rigging import (
    FOLLOW,
    LOOK_OVER,
    MARK,
    comes_to,
    grip_from,
    hauled_to,
    laid_late,
    making,
    over_edges,
    rig,
)
from optimiser.sheet.wording.sights import on_anchors, on_gear, on_puller
from shared.units import Rounding

_NEAR = 1e-6
"""m along the path below which two places are one."""


def steps(rigged: Rigged) -> tuple[str, ...]:
    """The setup's steps: rope after rope, then what is held, then the haul."""
    done: set[tuple[str, str, str]] = set()
    return (
        *_before(rigged),
        *(
            step
            for rope in rigged.ropes
            for step in (*_opened(rigged, rope), *rig(rigged, rope, done))
        ),
        *_hauling(rigged),
    )


def _before(rigged: Rigged) -> Iterator[str]:
    yield LOOK_OVER
    yield from making(rigged)
    if rigged.number > 1:
        yield "Leave the load chocked from the stage before until this rig pulls."
    elif _runs_back_at_start(rigged):
        runs = "runs" if rigged.setup.profile[0].rest is Rest.RUNS else "may run"
        yield f"Chock the load. It {runs} back by itself where it stands now."
    elif rigged.setup.profile and rigged.setup.profile[0].runs_on > 0.0:
        runs = "runs" if rigged.setup.profile[0].rest is Rest.RUNS else "may run"
        yield f"Chock the load ahead. It {runs} on downhill by itself where it stands now."
    yield MARK.format(go="pull")
    if rigged.setup.standing is not None:
        units = rigged.site.preferences.units
        yield f"{sentence(rigged.setup.standing, units)} Put it there, and mark both ends of its run."


def _runs_back_at_start(rigged: Rigged) -> bool:
    rows = rigged.setup.profile
    return bool(rows) and rows[0].runs_back > 0.0


def _opened(rigged: Rigged, rope: Rope) -> Iterator[str]:
    """What is printed before a line that holds is rigged."""
    line = _line(rigged, rope)
    if line is None:
        return
    a, b = length(rigged, line.from_m), length(rigged, line.to_m)
    begins = line.from_m <= rigged.setup.from_m + _NEAR
    when = "the haul begins" if begins else f"the load comes to {a}"
    yield (
        f"{rope.called.capitalize()}: it is needed with the load from {a} to {b} of the path. Rig it, "
        f"tight, before {when}. It takes the load at {line.attachment}."
    )


def _line(rigged: Rigged, rope: Rope) -> HoldingLine | None:
    held = rigged.holding
    return rigged.setup.holding[held.index(rope)] if rope in held else None


def _hauling(rigged: Rigged) -> Iterator[str]:
    setup = rigged.setup
    yield FOLLOW
    yield (
        "Take up the slack slowly until the line is tight. Stop. Look at every anchor, knot and block "
        "from outside the hatched areas."
    )
    if rigged.grip is not None:
        yield (
            "See the grip bite under this light pull before anybody hauls. If it slips, stop and make "
            "it fast anew."
        )
    for rope in rigged.holding:
        line = _line(rigged, rope)
        assert line is not None
        yield _tended(rigged, rope, line)
    if _runs_back_at_start(rigged):
        yield (
            "Take the chocks away, from the side, only when the line holds the load. Bring them after it "
            "as it goes, from the side: nobody behind it."
        )
    most, where = force(rigged, setup.pull), length(rigged, setup.pull_at)
    yield f"Haul slowly, without jerks. It takes most, {most}, with the load at {where} of the path."
    for rope in rigged.ropes:
        yield from laid_late(rigged, rope)
    for rope in rigged.ropes:
        yield from comes_to(rigged, rope)
    if rigged.stops:
        yield "At each reset do what stands under “Resets”."
    end = length(rigged, setup.to_m)
    done = rigged.number == rigged.count or setup.to_m >= path_length(rigged.site) - 1e-6
    text = "the end of the path" if done else "the end of this stage"
    yield f"Stop with the load at {end}, {text}. Chock it before the line is slackened."


def _tended(rigged: Rigged, rope: Rope, line: HoldingLine) -> str:
    """What whoever holds does while the load moves."""
    does = {
        Way.BACK: "take in as the load comes up, never slack by more than a hand's breadth",
        Way.ON: "ease out as the load goes down; the hauling line pulls there only where it sticks",
        Way.ASIDE: "keep it just tight enough that the load goes straight, and ease as it goes",
    }[line.way]
    a, b = length(rigged, line.from_m), length(rigged, line.to_m)
    hand = newtons(line.hand, rigged.site.preferences.units)
    return (
        f"{rope.called.capitalize()}, at {spot(rigged, rope.walk[-1])}, with the load from {a} to {b}: "
        f"{does}, {length(rigged, line.taken)} in all. The hand holds up to {hand}, "
        f"the line carries up to {force(rigged, line.line)}. Never take a turn off under load."
    )


def stops(rigged: Rigged) -> tuple[str, ...]:
    """When to stop: at what sight, each with its limit, and at which pull."""
    setup = rigged.setup
    least = float(rigged.limits.min())
    where = length(rigged, float(rigged.at[int(rigged.limits.argmin())]))
    most = pull(rigged, least, Rounding.DOWN)
    if least > setup.pull:
        line = (
            f"Stop at a pull of {most} at the hauling end, wherever the load is. The first piece to "
            f"reach what it stands: {rigged.first_to_go}."
        )
    else:
        worst = pull(rigged, float(rigged.limits[rigged.worst]), Rounding.DOWN)
        line = (
            f"Stop at a pull of {most} at the hauling end with the load at {where}, and of {worst} with "
            f"the load at {length(rigged, setup.pull_at)}: see the chart for the places between."
        )
    expected = pull(rigged, setup.pull, Rounding.UP)
    watched = [
        on_puller(rigged, rigged.puller),
        *on_anchors(rigged),
        *on_gear(rigged),
        *over_edges(rigged),
    ]
    if any(rope.piece.joined is not None for rope in rigged.ropes):
        watched.append("Stop before the join of the rope runs into a block.")
    watched += [
        f"Stop when the {rope.called} runs through the hand or goes slack."
        for rope in rigged.holding
    ]
    if rigged.grip is not None:
        watched.append(
            "Stop when the grip slips on its rope, or when its block comes near the block at "
            f"{spot(rigged, hauled_to(rigged))}."
        )
    watched += [
        "Stop when the load slews off its path or tips.",
        "Stop when a block on the load comes near a block or strap at an anchor.",
        "Stop when anybody steps into a hatched area.",
        f"{line} Expected is {expected} at most. More than expected means that something holds the "
        "load: stop and look.",
        "Limits: the pull at the hauling end at which such a piece reaches what is planned with.",
    ]
    return tuple(watched)


def resets(rigged: Rigged) -> tuple[str, ...]:
    """Where each reset comes and what to do there."""
    puller, moved = rigged.setup.puller, rigged.setup.moved
    if not rigged.stops:
        return ("No reset: one run of the puller is enough.",)
    new_grip = (
        "run the line out again and take a new grip"
        if puller.purchase is not None
        else "go back to the start of the run and make the line fast there, as short as it has become"
    )
    out = [f"At each reset: chock the load, ease the line until the chock holds it, {new_grip}."]
    if moved:
        out.append(_moving(rigged))
    for number, stop in enumerate(rigged.stops, start=1):
        text = f"Reset {number}: load at {length(rigged, stop)}"
        if stop in moved:
            text += f". MOVE THE GRIP BACK, to {_grip_after(rigged, stop)}"
        row = _row(rigged, stop)
        if row.rest is not Rest.RESTS:
            held = force(rigged, max(row.runs_back, row.runs_on))
            runs = "RUNS" if row.rest is Rest.RUNS else "MAY RUN"
            way = "BACK" if row.runs_back >= row.runs_on else "ON"
            out.append(f"{text}. IT {runs} {way} here: the chock must hold {held}.")
        else:
            out.append(f"{text}. It stands by itself here; chock it all the same.")
    return tuple(out)


def _moving(rigged: Rigged) -> str:
    """How the grip is moved back, and how often."""
    main = next(rope for rope in rigged.ropes if rope.walk[-1].kind is PlaceKind.GRIP)
    grip = at(rigged, main.walk[-1]).partition(" ")[0]
    return (
        f"The grip {grip} is moved back {times(len(rigged.setup.moved))}. Each time: chock the load and "
        f"see that the chock holds it; slack both ropes; take the grip off {main.piece.name} and pull "
        "the second rope's blocks apart; pull the slack of the main rope through by hand; make the grip "
        "fast again where it is stated; take up the slack and see it bite. Never take the grip off a rope "
        "under load."
    )


def _grip_after(rigged: Rigged, stop: float) -> str:
    """Where the grip goes when it is moved at a stop: its place with the load at the next station."""
    main = next(rope for rope in rigged.ropes if rope.walk[-1].kind is PlaceKind.GRIP)
    after = next((s for s, a in enumerate(rigged.at) if a > stop + 1e-6), rigged.end)
    return grip_from(rigged, main, after)


def _row(rigged: Rigged, stop: float) -> StationRow:
    """The station next to a stop; of two at a bend the one where the load runs back or on more."""
    off = min(abs(row.at - stop) for row in rigged.setup.profile)
    near = [row for row in rigged.setup.profile if abs(row.at - stop) <= off + 1e-9]
    return max(near, key=lambda row: max(row.runs_back, row.runs_on))
