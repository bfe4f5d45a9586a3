"""How much rope comes in and in how many strokes, from the geometry and not from the part count."""

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from optimiser.site.model import Puller

Array = npt.NDArray[np.float64]

ENDLESS = 10_000
"""Strokes where a run of the puller takes in next to nothing: far beyond what anyone would do."""
_NEAR = 1e-9


def hauled(total: Array) -> float:
    """Rope taken in over a stretch, m, from the total length (S,) at its stations with the puller
    at its near end. Where the length grows for a while (a bend) nothing is hauled until it has
    shrunk again."""
    return float(total[0] - np.minimum.accumulate(total)[-1])


def strokes(*, puller: Puller, near: Array, far: Array) -> int:
    """Strokes over a stretch: at least 1.

    `near`, `far` (S,): total rope length [m] with the puller at the near and far end of its run. A
    hand winch takes in its purchase each time. A puller that walks or drives holds a fixed length
    of rope in one stroke; a piece of the way can be done in one if some length lies between near(s)
    and far(s) all along it. So every piece of a stroke is a stroke: taking each as far as it goes
    gives the fewest, and a shorter stretch never takes more. A puller that does not move (hand over
    hand) needs one.
    """
    return len(_grips(puller, near, far)) + 1


def stroke_ends(*, puller: Puller, at: Array, near: Array, far: Array) -> tuple[float, ...]:
    """Distances along the path, m, at which the puller stops to take a new grip."""
    index = np.arange(len(at))
    return tuple(float(np.interp(x, index, at)) for x in _grips(puller, near, far))


def _grips(puller: Puller, near: Array, far: Array) -> list[float]:
    """The (fractional) indices of stations at which the puller takes a new grip."""
    if puller.purchase is not None:
        far = near + puller.purchase
    elif puller.run <= 0.0:
        return []
    return grips(near=near, far=far)


def grips(*, near: Array, far: Array) -> list[float]:
    """The (fractional) indices of stations at which whatever takes in rope takes a new grip, from the
    least and the greatest length of rope (S,) it can hold at each; ENDLESS - 1 of them where it takes
    in next to nothing."""
    out: list[float] = []
    nears, fars = near.tolist(), far.tolist()
    longest, shortest = nears[0], fars[0]  # what the grip must lie between
    station = 0.0
    for i, (n, f) in enumerate(zip(pairwise(nears), pairwise(fars), strict=True)):
        while max(longest, n[1]) > min(shortest, f[1]) + _NEAR:
            last, share = station, _runs_out(n, f, longest, shortest, max(station - i, 0.0))
            station = i + share
            longest, shortest = n[0] + share * (n[1] - n[0]), f[0] + share * (f[1] - f[0])
            stuck = shortest <= longest + _NEAR or (bool(out) and station <= last + _NEAR)
            if stuck or len(out) >= ENDLESS:
                return [station] * (ENDLESS - 1)
            out.append(station)
        longest, shortest = max(longest, n[1]), min(shortest, f[1])
    return out


def _runs_out(
    near: tuple[float, float],
    far: tuple[float, float],
    longest: float,
    shortest: float,
    begin: float,
) -> float:
    """The share of the way between two stations, from `begin` on, at which the grip is used up."""
    falls, rises = far[0] - far[1], near[1] - near[0]
    found = [1.0]
    if falls > 0.0:
        found.append((far[0] - longest) / falls)
    if rises > 0.0:
        found.append((shortest - near[0]) / rises)
    if falls + rises > 0.0:
        found.append((far[0] - near[0]) / (falls + rises))
    return min(max(share, begin) for share in found)
