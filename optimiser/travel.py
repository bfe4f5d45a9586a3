"""How much rope comes in and in how many strokes, from the geometry and not from the part count."""

import numpy as np
import numpy.typing as npt

from optimiser.site.model import Puller

Array = npt.NDArray[np.float64]


def hauled(total: Array) -> float:
    """Rope taken in over a stretch, m, from the total length (S,) at its stations with the puller at its
    near end. Where the length grows for a while (a bend) nothing is hauled until it has shrunk again."""
    return float(total[0] - np.minimum.accumulate(total)[-1])


def strokes(*, puller: Puller, near: Array, far: Array) -> int:
    """Strokes over a stretch: at least 1.

    `near`, `far` (S,): total rope length [m] with the puller at the near and far end of its run. A hand
    winch takes in its purchase each time. A puller that walks or drives holds a fixed length of rope in
    one stroke: begun with the length near(s0), it ends where far(s) has fallen to that length, and the
    next begins there with a new grip. A puller that does not move (hand over hand) needs one.
    """
    if puller.purchase is not None:
        return max(int(np.ceil(hauled(near) / puller.purchase - 1e-9)), 1)
    if puller.run <= 0.0:
        return 1
    near = np.minimum.accumulate(near)
    far = np.minimum.accumulate(far)
    count, held = 1, float(near[0])
    station = 0.0
    while held > far[-1] + 1e-9:
        # The stroke ends at the station where far(s) >= held still holds: beyond it the run is used up.
        ahead = _crossing(far, held, station)
        if ahead >= len(far) - 1:
            break
        if ahead <= station + 1e-9:
            return 10_000  # the run takes in next to nothing here
        station = ahead
        held = float(np.interp(station, np.arange(len(near)), near))
        count += 1
    return count


def stroke_ends(*, puller: Puller, at: Array, near: Array, far: Array) -> tuple[float, ...]:
    """Distances along the path, m, at which the puller stops to take a new grip."""
    out: list[float] = []
    if puller.purchase is not None:
        taken = near[0] - np.minimum.accumulate(near)
        for k in range(1, strokes(puller=puller, near=near, far=far)):
            out.append(float(np.interp(k * puller.purchase, taken, at)))
        return tuple(out)
    if puller.run <= 0.0:
        return ()
    near, far = np.minimum.accumulate(near), np.minimum.accumulate(far)
    held, station = float(near[0]), 0.0
    while held > far[-1] + 1e-9:
        ahead = _crossing(far, held, station)
        if ahead >= len(far) - 1 or ahead <= station + 1e-9:
            break
        station = ahead
        held = float(np.interp(station, np.arange(len(near)), near))
        out.append(float(np.interp(station, np.arange(len(at)), at)))
    return tuple(out)


def _crossing(far: Array, held: float, station: float) -> float:
    """The (fractional) index at which the falling far(s) = total length at the far end equals `held`.

    During a stroke the total length is `held`; with the puller at its far end the load stands where
    far(s) == held."""
    above = np.flatnonzero(far >= held - 1e-12)
    last = int(above[-1]) if len(above) else 0
    if last >= len(far) - 1:
        return float(len(far) - 1)
    drop = far[last] - far[last + 1]
    share = (far[last] - held) / drop if drop > 0.0 else 0.0
    return float(max(last + min(max(share, 0.0), 1.0), station))
