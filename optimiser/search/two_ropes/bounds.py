"""Bounds tackles on tackles, rig by rig, for each two ropes at hand.

Between two stops of a stroke the first rope's other runs and the way to the second's anchor come
nearer by no more than the grip has to go, nor than the puller takes in over the parts at the grip.
"""

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.kit import Kit
from optimiser.rig.two_ropes.pairs import Pair, pairs
from optimiser.rig.two_ropes.work import LEAST_RUN, in_takes, stand_off, stroke_of
from optimiser.search.bounds.of_ropes import RopeBounds
from optimiser.search.bounds.partial import Bound
from optimiser.search.two_ropes.space import ROUNDED, Tackles


def bounds_of_pairs(
    below: Tackles, kit: Kit, ev: Evaluation, rows: Numbers, margin: Array
) -> RopeBounds[Pair]:
    """For some rigs of an evaluation, over all stations or some with the first and the last; `margin`:
    (n,) by whatever is no rope."""
    real = ev.scene
    near = ev.states.spot == 0
    spare = real.site.preferences.rope_spare
    grip, tackle = ev.course.grip, ev.course.tackle
    assert grip is not None
    assert tackle is not None
    parts, last = tackle.parts, ev.walks[rows, grip - 1]
    span = ev.lengths[grip - 1, rows][:, near]
    way = ev.lengths[: grip - 1, rows].sum(axis=0)[:, near] + span
    # The longest way over all stations, where only some are at hand.
    at_load = float(below.real.length[below.place].max())
    longest = np.where(last == 0, at_load, span.max(axis=1))
    beyond = ev.lengths[list(ev.course.beyond)][:, rows]
    fixed = beyond[:, :, 0].sum(axis=0)
    taken = beyond[:, :, len(real.spots) - 1].sum(axis=0) - fixed
    run = stroke_of(real.puller, 0.0)
    out_least = below.out_least[last]
    in_least = stand_off(real, kit, below.place) + in_takes(kit)
    tight = real.puller.dynamic * np.maximum(ev.pull[rows].max(axis=1), 1e-9)
    found = pairs(kit, real.puller.fixture)
    first_length, first_takes, kept, hauled, left = (
        np.array(column)[:, None] for column in zip(*map(_figures, found), strict=True)
    )
    # All that the second rope's length decides, once for each length that there is.
    lengths, which = np.unique(left[:, 0], return_inverse=True)
    reach = (lengths[:, None] - spare - fixed) / parts
    least_out, most_out, longest_first = (np.empty(reach.shape) for _ in range(3))
    for i, most in enumerate(reach):
        out = np.minimum(span - out_least[:, None], most[:, None])
        least_out[i], most_out[i] = out.min(axis=1), out.max(axis=1)
        longest_first[i] = (way - out).max(axis=1)
    room = np.minimum(longest - out_least, reach) - in_least
    if run is not None:
        room = np.minimum(room, (taken if real.puller.purchase is None else run) / parts)
    with np.errstate(divide="ignore", invalid="ignore"):
        strokes = np.ceil((way[:, 0] - way[:, -1]) / room - 1e-6)
    strokes = np.where(room > 0.0, strokes, np.inf)[which]
    first = longest_first[which] + first_takes + spare
    ends = np.array([[pair.eaten[1]] for pair in found]) + spare
    works = (least_out[which] - in_least >= LEAST_RUN - ROUNDED) & (first <= first_length + ROUNDED)
    least = np.minimum(margin, kept / (tight * ev.gained[rows]))
    least = np.minimum(least, hauled / tight)
    rope = first + parts * most_out[which] + fixed + ends - ROUNDED
    return RopeBounds(
        found,
        Bound(
            np.where(works, least, 0.0).ravel(),
            np.maximum(strokes - 1.0, 0.0).ravel(),
            rope.ravel(),
        ),
    )


def _figures(pair: Pair) -> tuple[float, float, float, float, float]:
    """Of two ropes: the first's length and what its ends take [m], what it holds at the grip and what the
    second stands at its hauling end [N], m of the second that its ends leave."""
    assert pair.first.length is not None
    assert pair.second.length is not None
    left = pair.second.length - pair.eaten[1]
    return pair.first.length, pair.eaten[0], pair.kept, pair.hauled, left
