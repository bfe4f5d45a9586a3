"""Divides the path into where the load runs down by itself, where it rests, and where the way down
rises."""

from itertools import groupby

import numpy as np

from optimiser.jobs.lower.results import Zone, ZoneKind
from optimiser.mechanics.ground import moving
from optimiser.mechanics.resting import LEVEL, Rest
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations


def pushes(stations: Stations) -> np.ndarray:
    """(S,) N along the ground that start the load downwards, with the resistance of a haul."""
    return moving.push_needed(
        weight=stations.resting,
        slope_sin=stations.slope_sin,
        slope_cos=stations.slope_cos,
        resistance=stations.resistance,
    )


def zones(scene: Scene) -> tuple[Zone, ...]:
    """The stretches of the path from the top down. Adjoining ones share their end."""
    st = scene.stations
    force, push = st.held_back + st.held_on, pushes(st)
    out: list[Zone] = []
    down = list(range(len(st)))[::-1]
    climbs = st.slope_sin < -LEVEL
    for (status, rises), group in groupby(
        down, key=lambda i: (Rest(int(st.rest[i])), bool(climbs[i]))
    ):
        some = list(group)
        end = min(some[-1], len(st) - 1)
        out.append(
            Zone(
                kind=ZoneKind.CLIMBS if rises else ZoneKind(status.word),
                status=status,
                from_m=out[-1].to_m if out else float(st.at[some[0]]),
                to_m=float(st.at[end]),
                force=float(force[some].max()),
                push=float(push[some].max()),
            )
        )
    return tuple(out)


def held_stretch(scene: Scene) -> slice | None:
    """The same of a scene's stations."""
    return stretch_to_hold(scene.stations)


def stretch_to_hold(stations: Stations) -> slice | None:
    """The stations between the first and the last place where the load may run down, with the next ones
    on either side; None where it rests everywhere. Outside of them a line has nothing to hold."""
    live = np.flatnonzero(stations.held_back > 0.0)
    if not len(live):
        return None
    top = min(int(live[-1]) + 1, len(stations) - 1)
    return slice(max(int(live[0]) - 1, 0), top + 1)
