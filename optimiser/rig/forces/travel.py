"""Computes how much rope comes in, and in how many strokes, from the geometry and not from the part
count."""

from collections.abc import Collection, Sequence
from functools import lru_cache

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.site.model import Puller

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
    return list(
        _grips_of(np.ascontiguousarray(near).tobytes(), np.ascontiguousarray(far).tobytes())
    )


@lru_cache(maxsize=2000)
def _grips_of(near: bytes, far: bytes) -> tuple[float, ...]:
    """The same of lengths as they are stored: rigs that differ in bearings or pieces, and sites that differ
    in weights, have the same."""
    return tuple(grips(near=np.frombuffer(near), far=np.frombuffer(far)))


def grips(*, near: Array, far: Array) -> list[float]:
    """The (fractional) indices of stations at which whatever takes in rope takes a new grip, from the
    least and the greatest length of rope (S,) it can hold at each; ENDLESS - 1 of them where it takes
    in next to nothing."""
    return joint_grips([(near, far)])


def joint_grips(
    bands: Sequence[tuple[Array, Array]], *, whole: Collection[int] = ()
) -> list[float]:
    """The same where several things take in rope together and all of them take a new grip at once: for
    each its (near, far). `whole`: stations between which and the next no new grip is taken."""
    tracks = [(near.tolist(), far.tolist()) for near, far in bands]
    out: list[float] = []
    longest = [nears[0] for nears, _ in tracks]  # what each grip must lie between
    shortest = [fars[0] for _, fars in tracks]
    station = 0.0
    for i in range(len(tracks[0][0]) - 1):
        while True:
            share, begin = 2.0, max(station - i, 0.0)
            for k, (n, f) in enumerate(tracks):
                if max(longest[k], n[i + 1]) > min(shortest[k], f[i + 1]) + _NEAR:
                    ends = (n[i], n[i + 1]), (f[i], f[i + 1])
                    share = min(share, _runs_out(*ends, longest[k], shortest[k], begin))
            if share > 1.0:
                break
            if i in whole:
                share = 0.0
            last, station = station, i + share
            for k, (n, f) in enumerate(tracks):
                longest[k] = n[i] + share * (n[i + 1] - n[i])
                shortest[k] = f[i] + share * (f[i + 1] - f[i])
            stuck = any(s <= most + _NEAR for most, s in zip(longest, shortest, strict=True))
            if stuck or (bool(out) and station <= last + _NEAR) or len(out) >= ENDLESS:
                return [station] * (ENDLESS - 1)
            out.append(station)
        for k, (n, f) in enumerate(tracks):
            longest[k], shortest[k] = max(longest[k], n[i + 1]), min(shortest[k], f[i + 1])
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
