"""Ways down in words that leave no doubt what is fixed and what runs."""

from collections.abc import Sequence
from math import ceil, floor

from optimiser.lowering.results import Lowering, LoweringSetup, Zone
from optimiser.results import names
from optimiser.rig import LOAD, Place
from optimiser.words import ordinal, spot
from shared.asked import cut_short
from shared.units import Dimension, Rounding, show

ROUNDING = 1e-6
"""N: less than this is the rounding of sums."""

ORDER = {
    "margin": "margin (in bands of 0.1, up to the margin that is enough)",
    "pull": "least force in the hand (down to what is comfortable)",
    "resets": "fewest new grips",
    "rope": "least rope",
}
"""What ways down are ordered by, in words."""


def run_of_rope(setup: LoweringSetup, system: str = "metric") -> str:
    """The rope from its standing end to where it is held."""
    first, *turns, last = setup.walk
    told = [f"standing end made fast to {spot(first, setup.gear, system)}"]
    for node, place in enumerate(turns, start=1):
        back = "back " if place in setup.walk[:node] else ""
        met = setup.walk[1:node].count(place)
        block = "a block" if met == 0 else f"a {ordinal(met + 1)} block"
        told.append(f"{back}round {block} on {spot(place, setup.gear, system)}")
    if setup.turns:
        told.append(f"{round_turns(setup.turns)} round {_trunk(last, system)}, then the hand")
    else:
        told.append(f"held by {last.name}, which pays out")
    return "; ".join(told)


def round_turns(turns: int) -> str:
    """How often the rope goes round: "2 full turns"."""
    return f"{turns} full {'turn' if turns == 1 else 'turns'}"


def newtons(value: float, system: str, rounding: Rounding = Rounding.UP) -> str:
    """A force of a hand: whole newtons, or pounds."""
    if system == "imperial":
        return show(value, Dimension.FORCE, system, rounding)
    whole = ceil(value - ROUNDING) if rounding is Rounding.UP else round(value)
    whole = floor(value + ROUNDING) if rounding is Rounding.DOWN else whole
    return f"{whole} N"


def zone(one: Zone, system: str) -> str:
    """What the load does on a stretch."""
    force = show(one.force, Dimension.FORCE, system, Rounding.UP)
    push = show(one.push, Dimension.FORCE, system, Rounding.UP)
    if one.kind == "runs":
        sticks = f"; it may stick and need a push of {push} to start" if one.push > 0.0 else ""
        return f"RUNS AWAY if let go of, with up to {force} along the ground{sticks}"
    if one.kind == "climbs":
        return f"the way down rises here: it has to be hauled with {push}"
    return f"rests by itself: it needs a push of up to {push} to go down"


def proof(answer: Lowering) -> str:
    """What the search has shown, and what it has not."""
    rules = f" under the rules: {names(answer.rules)}" if answer.rules else ", with every rule off"
    walks = f"{answer.space:,} {'walk' if answer.space == 1 else 'walks'} of the rope"
    space = (
        f"{walks} with at most {answer.most_sheaves} sheaves, held by turns "
        f"round a tree or post or by a puller that pays out{rules}"
    )
    if not answer.proven:
        return f"NOT proven ({cut_short()}): something better may exist among {space}."
    if answer.setups:
        return f"Proven: no better hold exists among {space}."
    if answer.stages and answer.stuck_at is None:
        return f"Proven: no hold does it in one stage, and none in fewer stages, among {space}."
    return f"Proven: nothing gets it all the way down among {space}."


def order(criteria: Sequence[str]) -> str:
    """The order of the list."""
    return ", then ".join(ORDER.get(key, key) for key in criteria)


def hand(answer: Lowering, system: str) -> str:
    """What the hand on the rope is asked for, and whose figure it is."""
    most = newtons(answer.hand_limit, system, Rounding.NEAREST)
    comfort = newtons(answer.hand_comfort, system, Rounding.NEAREST)
    whose = (
        "as you say"
        if answer.hand_source == "site"
        else f"what a person starts or stops a load with [{answer.hand_source}]; --hold changes it"
    )
    return (
        f"The hand on the rope is asked for {most} at most ({whose}); less than {comfort} counts "
        "as no better. It is reckoned with the ground's lowest resistance and free-running sheaves."
    )


def _trunk(place: Place, system: str) -> str:
    if place == LOAD:
        return "the load"
    return f"{place.name}, {show(place.height, Dimension.LENGTH, system)} up"
