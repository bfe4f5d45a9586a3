"""Finds where along the path a load has to be kept in hand, and which way it would run."""

from dataclasses import dataclass

from optimiser.mechanics.resting import Rest
from optimiser.rig.ground.stations import Stations
from optimiser.rig.setup import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """From the first to the last place, m along the path, at which the load may run that way; `force`
    along the ground that keeps it, N, at worst. `rest`: what it does there at worst when let go of."""

    way: Way
    from_m: float
    to_m: float
    force: float
    rest: Rest = Rest.RUNS


def stretches(stations: Stations) -> tuple[Stretch, ...]:
    """The stretches in order; two that run the same way with a rest between are one."""
    back, on = stations.held_back, stations.held_on
    out: list[Stretch] = []
    for i in range(len(stations)):
        force = float(max(back[i], on[i]))
        if force <= 0.0:
            continue
        way, at = Way.BACK if back[i] > 0.0 else Way.ON, float(stations.at[i])
        begin, rest = at, Rest(int(stations.rest[i]))
        if out and out[-1].way == way:
            last = out.pop()
            begin, force, rest = last.from_m, max(last.force, force), max(last.rest, rest)
        out.append(Stretch(way=way, from_m=begin, to_m=at, force=force, rest=rest))
    return tuple(out)
