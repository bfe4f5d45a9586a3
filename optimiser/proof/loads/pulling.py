"""Works out what the puller can pull along one line, and how often it must take a new grip."""

from collections.abc import Sequence
from functools import lru_cache
from math import acos, asin, hypot, sin, sqrt

from optimiser.mechanics.values import Vec
from optimiser.site.model import Puller

HOPELESS = 10_000
"""Strokes stated where a stroke takes in nothing."""
SLACK = 1e-9
"""m of rope, or share of the way between two points, that does not count."""


def most_pull(puller: Puller, line: Vec) -> float:
    """Greatest pull, N, in a line that leaves the puller along the unit vector `line`; 0 where it
    is too far off the run, in plan or in rise."""
    if puller.purchase is not None or puller.run <= 0.0:
        return puller.limit
    hx, hy, climb = puller.heading
    level, flat = hypot(hx, hy), hypot(line[0], line[1])
    if level < 1e-9 or flat < 1e-9:
        return 0.0
    aside = acos(max(-1.0, min(1.0, -(hx * line[0] + hy * line[1]) / (level * flat))))
    rise = asin(max(-1.0, min(1.0, line[2]))) + asin(climb)
    if aside > puller.angle_limit + 1e-8 or abs(rise) > puller.rise_limit + 1e-8:
        return 0.0
    uphill = max(climb, 0.0)
    if puller.traction is not None and puller.driven_weight is not None:
        # Grip: mu (driven weight cos - T sin rise) = T + weight sin.
        whole = puller.driven_weight if puller.weight is None else puller.weight
        cos = sqrt(max(1.0 - climb * climb, 0.0))
        spare = puller.traction * puller.driven_weight * cos - whole * uphill
        grip = max(spare, 0.0) / (1.0 + puller.traction * max(sin(rise), 0.0))
        return min(puller.limit, grip)
    if puller.weight is not None:
        # Its pull is stated for level ground and a level line; at worst all of its grip is lost as a line
        # lifts it: T = limit - weight sin - T sin rise.
        return max(puller.limit - puller.weight * uphill, 0.0) / (1.0 + max(sin(rise), 0.0))
    return puller.limit


def taken_in(near: list[float]) -> float:
    """Rope hauled in over the stretch, m, from the total length at each point."""
    return near[0] - min(near)


def stops(puller: Puller, at: Sequence[float], near: list[float], far: list[float]) -> list[float]:
    """m along the path (`at` of the points) at which the puller takes a new grip, as few as can be.
    One stroke keeps one length of rope from the puller to the standing end; it reaches as far as some
    length is enough at the near end of the run all along it (no point needs more) and not too much
    at the far end."""
    if puller.purchase is not None:
        far = [length + puller.purchase for length in near]
    elif puller.run <= 0.0:
        return []
    return list(_stops(tuple(at), tuple(near), tuple(far)))


@lru_cache(maxsize=200)
def _stops(
    at: tuple[float, ...], near: tuple[float, ...], far: tuple[float, ...]
) -> tuple[float, ...]:
    """The same of the lengths that may be between the puller and the standing end. Kept for a few rigs: no
    weight changes it."""
    end, begun = len(near) - 1, 0.0
    out: list[float] = []
    while True:
        reached = _reach(near, far, begun)
        if reached >= end:
            return tuple(out)
        if reached <= begun + SLACK or len(out) >= HOPELESS - 1:
            return (_between(at, reached),) * (HOPELESS - 1)
        out.append(_between(at, reached))
        begun = reached


def _reach(near: Sequence[float], far: Sequence[float], begun: float) -> float:
    """How far, in points and shares of the way to the next, a stroke gets from `begun`."""
    most, least = _between(near, begun), _between(far, begun)
    here = begun
    while here < len(near) - 1:
        ahead = float(int(here) + 1)
        if max(most, _between(near, ahead)) > min(least, _between(far, ahead)) + SLACK:
            break
        most, least = max(most, _between(near, ahead)), min(least, _between(far, ahead))
        here = ahead
    else:
        return here
    low, high = here, ahead
    for _ in range(60):
        middle = (low + high) / 2.0
        if max(most, _between(near, middle)) <= min(least, _between(far, middle)):
            low = middle
        else:
            high = middle
    return low


def _between(values: Sequence[float], place: float) -> float:
    i = min(int(place), len(values) - 2)
    return values[i] + (place - i) * (values[i + 1] - values[i])
