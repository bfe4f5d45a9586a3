"""Puts in words what is done at a change of stage."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from optimiser.jobs.lower import words as lowering
from optimiser.jobs.stages.changeover import Rig, change
from optimiser.jobs.stages.results import Change, Move, Plan
from optimiser.mechanics.resting import Rest
from optimiser.rig.naming import run_of_ropes, spot
from optimiser.rig.setup import Role, Setup, names
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

_LENGTH, _FORCE = Dimension.LENGTH, Dimension.FORCE


def _run(setup: Rig, system: str) -> str:
    """The rope, or both ropes, by name, and how they run."""
    if not isinstance(setup, Setup):
        return f"{setup.rope.name}: {lowering.run_of_rope(setup, system)}"
    text = run_of_ropes(setup, system)
    return text if setup.second is not None else f"{setup.rope.name}: {text}"


def between(plan: Plan, index: int, system: str) -> str:
    """Words for what happens at one change of stage, as points in the order in which they are done."""
    done = plan.changes[index]
    before, after = plan.reaches[index], plan.reaches[index + 1]
    at = show(done.at, _LENGTH, system)
    points = [f"The load stands at {at} of the path. {_why(done, index, system)}"]
    early, late = max(after.from_m, before.from_m), min(before.to_m, after.to_m)
    if late - early > 0.005:
        window = f"{show(early, _LENGTH, system)} to {show(late, _LENGTH, system)}"
        points.append(
            f"Both rigs work with the load anywhere from {window}; elsewhere in there the change "
            "may cost a reset or margin."
        )
    points.append(holding(done, system))
    if done.turns > 0.01:
        angle = show(done.turns, Dimension.ANGLE, system)
        points.append(
            f"The path bends by {angle} here: turn the load on the spot to its new direction, "
            "with the line slack, before the next stage."
        )
    setup = plan.stages[index + 1]
    spots = _spots(plan.stages[index], system) | _spots(setup, system)
    points += [*_rerigged(done, spots), f"Then run {_run(setup, system)}."]
    return "\n".join(f"- {point}" for point in points)


def between_trips(site: Site, before: Rig, after: Rig, system: str) -> tuple[str, ...]:
    """Words for what is re-rigged between a haul and a way down of one load, or the reverse, as points.
    `site`: with its path from the lower end to the upper one."""
    found = change(site, before, after, "")
    found = replace(found, moves=tuple(sorted(found.moves, key=_off_first)))
    spots = _spots(before, system) | _spots(after, system)
    return (
        f"The load stands at {show(found.at, _LENGTH, system)} of the path.",
        holding(found, system),
        *_rerigged(found, spots),
        f"Then run {_run(after, system)}.",
    )


def _off_first(one: Move) -> int:
    """What is taken off comes before what moves, and what is added last: a rope is free before it is led
    anew."""
    return 0 if one.target is None else 2 if one.origin is None else 1


def _rerigged(change: Change, spots: Mapping[str, str]) -> Iterator[str]:
    """What changes its place, and what stays."""
    yield from (move(m, spots) for m in change.moves)
    if change.stays:
        kept = [f"{_piece(m)} at {_place(m.origin, spots)}" for m in change.stays]
        yield f"Stays as it is: {names(kept)}."


def _why(change: Change, index: int, system: str) -> str:
    if not change.why_here:
        return f"Stage {index + 1} could go on, but the plan as a whole is no better for it."
    return f"Stage {index + 1} goes no further in this plan: {change.why_here}."


def holding(change: Change, system: str) -> str:
    """Whether the load holds by itself while the line is off."""
    if change.rest is not Rest.RESTS:
        force = show(max(change.runs_back, change.runs_on), _FORCE, system, Rounding.UP)
        way = "back" if change.runs_back >= change.runs_on else "on downhill"
        does = (
            f"it does not hold by itself on that slope and runs {way}"
            if change.rest is Rest.RUNS
            else f"whether it holds by itself on that slope is too close to call, it may run {way}"
        )
        return f"Chock the load before the line goes slack: {does}. The chocks must hold {force}."
    spare = show(change.to_spare, _FORCE, system, Rounding.DOWN)
    return (
        f"The load holds by itself on that slope: it takes {spare} or more to start it downhill. "
        "Chock it all the same before anyone steps behind it."
    )


def move(change: Move, spots: Mapping[str, str]) -> str:
    """One piece that changes its place, in words. `spots`: places as they are called."""
    what = _piece(change)
    origin, target = _place(change.origin, spots), _place(change.target, spots)
    if change.role in (Role.PULLER, Role.HOLD):
        return f"{what[:1].upper()}{what[1:]} changes from {origin} to {target}."
    if change.role is Role.PROTECTOR:
        return _laid(change)
    if change.origin is None:
        return f"Add {what} at {target}."
    if change.target is None:
        return f"Take off {what} at {origin}."
    return f"Move {what} from {origin} to {target}."


def _laid(change: Move) -> str:
    """What lies on an edge, laid, taken up, or laid elsewhere."""
    if change.origin is None:
        return f"Lay {change.item} on {change.target}, before the rope is led over it."
    if change.target is None:
        return f"Take up {change.item} from {change.origin}."
    return f"Lay {change.item} from {change.origin} on {change.target}, before the rope is led over it."


def _piece(change: Move) -> str:
    parts = (Role.END, Role.TURNS, Role.PULLER, Role.HOLD)
    named = change.role in change.item or change.role in parts
    return change.item if named else f"{change.role} {change.item}"


def _place(place: str | None, spots: Mapping[str, str]) -> str:
    where, _, knot = (place or "").partition(": ")
    return spots.get(where, where) + (f" ({knot})" if knot else "")


def _spots(setup: Rig, system: str) -> dict[str, str]:
    """What each place of a setup is called."""
    holding, nodes = (setup.holding, setup.nodes) if isinstance(setup, Setup) else ((), setup.walk)
    found = {str(place): spot(place, line.gear, system) for line in holding for place in line.walk}
    return found | {str(place): spot(place, setup.gear, system) for place in nodes}
