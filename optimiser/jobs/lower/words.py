"""Puts ways down in words that leave no doubt what is fixed and what runs."""

from collections.abc import Sequence
from math import ceil, floor

from optimiser.jobs.lower.results import Lowering, LoweringSetup, Zone, ZoneKind
from optimiser.mechanics.resting import Rest
from optimiser.rig.naming import ordinal, spot
from optimiser.rig.setup import Hung, names
from optimiser.rig.status import Status
from optimiser.rig.walk import LOAD, Place, PlaceKind, Walk
from optimiser.site.counts import Count
from optimiser.site.model import Site
from shared.interrupt import cut_short
from shared.units import Dimension, Rounding, show
from shared.words import counted

ROUNDING = 1e-6
"""N: less than this is the rounding of sums."""

_LET_GO = {
    Rest.RESTS: "let go of, it rests",
    Rest.TOO_CLOSE: "let go of, it may run back: chock it at every stop",
    Rest.RUNS: "let go of, it RUNS BACK: chock it at every stop",
}

ORDER = {
    Count.MARGIN: "margin (in bands of 0.1, up to the margin that is enough)",
    Count.PULL: "least force in the hand (down to what is comfortable)",
    Count.RESETS: "fewest new grips",
    Count.ROPE: "least rope",
}
"""What ways down are ordered by, in words."""


def run_of_rope(setup: LoweringSetup, system: str = "metric") -> str:
    """The rope from its standing end to where it is held."""
    return run_of_nodes(setup.walk, system, setup.gear, round_turns(setup.turns))


def run_of_nodes(
    walk: Walk, system: str = "metric", gear: Sequence[Hung] = (), turned: str = "turns"
) -> str:
    """The same of a walk, with what hangs on it. `turned`: what it takes round a trunk that holds it."""
    first, *between, last = walk
    clauses = [f"standing end made fast to {spot(first, gear, system)}"]
    for node, place in enumerate(between, start=1):
        back = "back " if place in walk[:node] else ""
        met = walk[1:node].count(place)
        block = "a block" if met == 0 else f"a {ordinal(met + 1)} block"
        clauses.append(f"{back}round {block} on {spot(place, gear, system)}")
    if last.kind is PlaceKind.PULLER:
        clauses.append(f"held by {last.name}, which pays out")
    else:
        clauses.append(f"{turned} round {_trunk(last, system)}, then the hand")
    return "; ".join(clauses)


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
    if one.kind is ZoneKind.CLIMBS:
        return f"the way down rises here: it has to be hauled with {push}; {_LET_GO[one.status]}"
    if one.status is Rest.RESTS:
        return f"rests by itself: it needs a push of up to {push} to go down"
    sticks = f"; it may stick and need a push of {push} to start" if one.push > 0.0 else ""
    if one.status is Rest.RUNS:
        return f"RUNS AWAY if let go of: it takes up to {force} along the ground to hold it{sticks}"
    return f"TOO CLOSE TO CALL, it may run away: rig a hold, for up to {force} along the ground{sticks}"


def proof(answer: Lowering) -> str:
    """What the search has shown, and what it has not."""
    rules = f" under the rules: {names(answer.rules)}" if answer.rules else ", with every rule off"
    walks = f"{answer.space:,} {'walk' if answer.space == 1 else 'walks'} of the rope"
    space = (
        f"{walks} with at most {counted(answer.most_sheaves, 'sheave')}, held by turns "
        f"round a tree or post or by a puller that pays out{rules}"
    )
    if answer.status in (Status.CUT_SHORT, Status.UNDECIDED):
        return f"NOT proven ({cut_short()}): something better may exist among {space}.{_at_best(answer)}"
    if answer.setups:
        return f"Proven: no better hold exists among {space}."
    if answer.stages and answer.stuck_at is None:
        return f"Proven: no hold does it in one stage, and none in fewer stages, among {space}."
    return f"Proven: nothing gets it all the way down among {space}."


def _at_best(answer: Lowering) -> str:
    """What no hold betters, as a sentence after others; "" where that is not known."""
    rest = answer.unsearched
    if rest is None or rest.margin is None or rest.rope is None:
        return ""
    margin = show(rest.margin, Dimension.RATIO, rounding=Rounding.UP)
    rope = show(rest.rope, Dimension.LENGTH, answer.site.preferences.units, Rounding.DOWN)
    return f" No hold of the whole way reaches a margin above {margin} or does with less than {rope} of rope."


def share(site: Site) -> str:
    """What of the ground's resistance is counted on, and whose choice that is."""
    counted = show(site.preferences.resistance_counted_on, Dimension.RATIO)
    return (
        f"{counted} times the ground's lowest resistance (slope and ground are guesses; the factor is a "
        "choice, and the site can set another: preferences.resistance_counted_on)"
    )


def nothing_to_hold(answer: Lowering) -> str:
    """What is printed where no stretch of the way down needs a hold."""
    climbs = any(z.kind is ZoneKind.CLIMBS and z.status is not Rest.RESTS for z in answer.zones)
    rising = (
        " Where the way down rises it may run back all the same: chock it there at every stop."
        if climbs
        else ""
    )
    return (
        "Wherever this way down falls the load rests by itself, so no rope has to hold it; it has to be "
        f"pushed or hauled. That is said where the load rests on {share(answer.site)}.{rising} Ground "
        "differs from its figure: keep chocks at hand all the same, and nobody below it."
    )


def order(criteria: Sequence[Count]) -> str:
    """The order of the list."""
    return ", then ".join(ORDER[key] for key in criteria)


def hand(answer: Lowering, system: str) -> str:
    """What the hand on the rope has to give, and whose figure it is."""
    most = newtons(answer.hand_limit, system, Rounding.NEAREST)
    comfort = newtons(answer.hand_comfort, system, Rounding.NEAREST)
    whose = (
        "as you say"
        if answer.hand_source == "site"
        else f"what a person starts or stops a load with [{answer.hand_source}]; --hold changes it"
    )
    return (
        f"The hand on the rope is asked for {most} at most ({whose}); less than {comfort} counts "
        "as no better. It is worked out with free-running sheaves and "
        f"{share(answer.site)}."
    )


def _trunk(place: Place, system: str) -> str:
    if place == LOAD:
        return "the load"
    return f"{place.name}, {show(place.height, Dimension.LENGTH, system)} up"
