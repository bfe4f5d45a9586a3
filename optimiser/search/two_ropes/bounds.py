"""Bounds tackles on tackles, rig by rig, for each two ropes at hand.

Between two stops of a stroke the first rope's other runs and the way to the second's anchor come
nearer by no more than the grip has to go, nor than the puller takes in over the parts at the grip.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.gear.kit import Kit
from optimiser.rig.order import Order
from optimiser.rig.two_ropes.evaluate import CompoundEvaluation
from optimiser.rig.two_ropes.pairs import Pair, pairs
from optimiser.rig.two_ropes.slots import in_takes, stand_off
from optimiser.rig.two_ropes.work import LEAST_RUN, stroke_of
from optimiser.search.bounds.partial import Bound
from optimiser.search.two_ropes.space import ROUNDED, TackleScene

Keep = Callable[[Bound], Mask]


@dataclass(frozen=True, slots=True)
class PairBounds:
    """Bounds on n rigs with each two ropes. `each` (pairs * n,): those of the first pair come first."""

    pairs: tuple[Pair, ...]
    each: Bound

    @property
    def count(self) -> int:
        """n."""
        return len(self.each.margin) // max(len(self.pairs), 1)

    def hopeful(self, keep: Keep) -> Mask:
        """(n,) which may be of use with any two ropes."""
        return np.asarray(keep(self.each).reshape(len(self.pairs), -1).any(axis=0))

    def able(self, number: int, keep: Keep) -> tuple[Pair, ...]:
        """The ropes with which one of them may be of use."""
        kept = keep(self.each.pick(self._rigs(np.array([number])).ravel()))
        return tuple(pair for pair, on in zip(self.pairs, kept, strict=True) if on)

    def pick(self, index: Numbers | Mask) -> "PairBounds":
        return PairBounds(self.pairs, self.each.pick(self._rigs(index).ravel()))

    def best(self, order: Order) -> Bound:
        """The bound of the ropes that come first by the order, rig by rig."""
        rig = np.tile(np.arange(self.count), len(self.pairs))
        ranked = np.lexsort([*reversed(self.each.columns(order)), rig])
        return self.each.pick(ranked[:: len(self.pairs)])

    def _rigs(self, index: Numbers | Mask) -> Numbers:
        """(pairs, k) where the bounds of some rigs are."""
        return np.arange(len(self.each.margin)).reshape(len(self.pairs), -1)[:, index]


def bounds_of_pairs(
    scene: TackleScene, kit: Kit, ev: CompoundEvaluation, rows: Numbers, margin: Array
) -> PairBounds:
    """For some rigs of an evaluation, over all stations or some with the first and the last; `margin`:
    (n,) by whatever is no rope."""
    real = ev.scene
    near = ev.states.spot == 0
    spare = real.site.preferences.rope_spare
    parts, last = ev.tackle.parts, ev.walks[rows, ev.grip - 1]
    assert ev.span is not None
    span = ev.span[rows][:, near]
    way = ev.lengths[: ev.grip - 1, rows].sum(axis=0)[:, near] + span
    # The longest way over all stations, where only some are at hand.
    at_load = float(scene.length[scene.place].max())
    longest = np.where(last == 0, at_load, span.max(axis=1))
    beyond = ev.lengths[list(ev.beyond)][:, rows]
    fixed = beyond[:, :, 0].sum(axis=0)
    taken = beyond[:, :, len(real.spots) - 1].sum(axis=0) - fixed
    run = stroke_of(real.puller, 0.0)
    out_least = scene.ends.out_least[last]
    in_least = stand_off(real, kit, scene.place) + in_takes(kit)
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
    below = np.array([[pair.eaten[1]] for pair in found]) + spare
    works = (least_out[which] - in_least >= LEAST_RUN - ROUNDED) & (first <= first_length + ROUNDED)
    least = np.minimum(margin, kept / (tight * ev.gained[rows]))
    least = np.minimum(least, hauled / tight)
    rope = first + parts * most_out[which] + fixed + below - ROUNDED
    return PairBounds(
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
