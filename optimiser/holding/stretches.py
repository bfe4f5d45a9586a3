"""Where along the path a load has to be kept in hand, and which way it would run."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from optimiser.mechanics import haul
from optimiser.stations import Stations

Array = npt.NDArray[np.float64]
BACK, ON, ASIDE = "back", "on", "aside"
"""What a second line keeps a load from: running back the way it came, or on downhill, by itself; or
slewing aside under the haul."""
SURE_OF = 1.0
"""N along the ground from which a load is said to run; less is the rounding of sums."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """From the first to the last place, m along the path, at which the load runs that way; `force`
    along the ground that keeps it, N, at worst."""

    way: str
    from_m: float
    to_m: float
    force: float


def runs(stations: Stations, way: str) -> Array:
    """(S,) N along the ground with which the load runs that way by itself; 0 where it does not. No
    help is taken from the ground beyond its lowest resistance."""
    sign = 1.0 if way == BACK else -1.0
    force = haul.runs_back(
        weight=stations.resting,
        slope_sin=sign * stations.slope_sin,
        slope_cos=stations.slope_cos,
        resistance=stations.resistance_low,
    )
    return np.where(np.asarray(force) >= SURE_OF, force, 0.0)


def stretches(stations: Stations) -> tuple[Stretch, ...]:
    """The stretches in order; two that run the same way with a rest between are one."""
    back, on = runs(stations, BACK), runs(stations, ON)
    out: list[Stretch] = []
    for i in range(len(stations)):
        force = float(max(back[i], on[i]))
        if force <= 0.0:
            continue
        way, at = BACK if back[i] > 0.0 else ON, float(stations.at[i])
        if out and out[-1].way == way:
            last = out.pop()
            out.append(Stretch(way=way, from_m=last.from_m, to_m=at, force=max(last.force, force)))
        else:
            out.append(Stretch(way=way, from_m=at, to_m=at, force=force))
    return tuple(out)
