"""What the puller can pull along one line, and how often it must take a new grip."""

from math import acos, asin, ceil, hypot, sin, sqrt

from optimiser.site.model import Puller, Vec

HOPELESS = 10_000
"""Strokes said where a stroke takes in nothing."""


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
        return max(puller.limit - puller.weight * uphill, 0.0)
    return puller.limit


def taken_in(near: list[float]) -> float:
    """Rope hauled in over the stretch, m, from the total length at each point."""
    return near[0] - min(near)


def strokes(puller: Puller, near: list[float], far: list[float]) -> int:
    """Strokes over the stretch: each begins with the puller at its near end and a fresh grip, and
    holds its length of rope until, at the far end, no longer one would do."""
    if puller.purchase is not None:
        return max(ceil(taken_in(near) / puller.purchase - 1e-9), 1)
    if puller.run <= 0.0:
        return 1
    low_near, low_far = _falling(near), _falling(far)
    end, held, done, count = len(near) - 1, near[0], 0.0, 1
    while held > low_far[end] + 1e-9:
        i = int(done)
        while i < end and low_far[i + 1] >= held - 1e-12:
            i += 1
        if i == end:
            break
        drop = low_far[i] - low_far[i + 1]
        share = min(max((low_far[i] - held) / drop, 0.0), 1.0) if drop > 0.0 else 0.0
        reached = max(i + share, done)
        if reached <= done + 1e-9:
            return HOPELESS
        done = reached
        i, share = int(done), done - int(done)
        held = low_near[i]
        if i < end:
            held += share * (low_near[i + 1] - low_near[i])
        count += 1
    return count


def _falling(values: list[float]) -> list[float]:
    out = [values[0]]
    for value in values[1:]:
        out.append(min(out[-1], value))
    return out
