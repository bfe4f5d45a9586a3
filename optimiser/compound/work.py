"""How a tackle on a tackle takes in its ropes: how far the grip goes, how often it is moved back.

The grip starts as near to the first rope's last place as gear and the second rope's length allow, is
hauled towards the anchor until the blocks are close, and is moved back. All lengths run between
places, hardware not taken off: that is on the safe side for the rope needed.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from optimiser import travel
from optimiser.site.model import Puller

Array = npt.NDArray[np.float64]
LEAST_RUN = 0.5
"""m: a grip that goes less far before it must be moved back is no use (project choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """A rig's lengths, m. `at`, `span`, `other` (S,): distance along the path; from the first rope's
    last place to the second's anchor; the first rope's other runs. `fixed_near`, `fixed_far`: the
    second rope beyond the standing block, with the puller at either end of its run. `parts` at the
    grip. `least_out`, `least_in`: what gear takes on either side of the grip."""

    at: Array
    span: Array
    other: Array
    parts: int
    fixed_near: float
    fixed_far: float
    least_out: float
    least_in: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What the haul takes: rope between places of either line, rope taken in by the puller [m], all
    strokes of the puller, and where it stops (`moved`: of those, where the grip is moved back).
    `gripped`: m of the first rope between places up to the grip, on each way between two moves."""

    first: float
    second: float
    hauled: float
    strokes: int
    stops: tuple[float, ...]
    moved: tuple[float, ...]
    gripped: tuple[float, ...]
    run: float  # m, the most the grip goes between two moves


def work(geometry: Geometry, *, puller: Puller, most_out: float) -> Work | None:
    """`most_out`: the farthest the grip may be from the second rope's anchor, m (what the second rope
    reaches). None where the grip could not go LEAST_RUN everywhere."""
    g = geometry
    out = np.minimum(g.span - g.least_out, most_out)
    longest, shortest = g.other + g.span - g.least_in, g.other + g.span - out
    if float((longest - shortest).min()) < LEAST_RUN:
        return None
    moves = travel.grips(near=shortest, far=longest)
    if len(moves) >= travel.ENDLESS - 1:
        return None
    index = np.arange(len(g.at), dtype=float)
    edges = [0.0, *moves, float(len(g.at) - 1)]
    first = second = hauled = run = 0.0
    strokes, stops, moved, gripped = 0, [], [], []
    for begin, end in pairwise(edges):
        inside = np.concatenate([[begin], index[(index > begin) & (index < end)], [end]])
        line = float(np.interp(inside, index, shortest).max())
        from_anchor = np.interp(inside, index, g.other + g.span) - line
        at = np.interp(inside, index, g.at)
        near, far = g.parts * from_anchor + g.fixed_near, g.parts * from_anchor + g.fixed_far
        if begin > 0.0:
            moved.append(float(at[0]))
            stops.append(float(at[0]))
        taken = travel.stroke_ends(puller=puller, at=at, near=near, far=far)
        stops += taken
        strokes += len(taken) + 1
        gripped.append(line)
        first, second = max(first, line), max(second, float(near.max()))
        hauled += travel.hauled(near)
        run = max(run, float(from_anchor.max() - from_anchor.min()))
    return Work(
        first=first, second=second, hauled=hauled, strokes=strokes, stops=tuple(stops),
        moved=tuple(moved), gripped=tuple(gripped), run=run,
    )  # fmt: skip
