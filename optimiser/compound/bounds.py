"""What tackles on tackles can be at best, rig by rig, with each two ropes at hand.

Between two stops of a stroke the first rope's other runs and the way to the second's anchor come
nearer by no more than the grip has to go, nor than the puller takes in over the parts at the grip.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from optimiser.compound.evaluate import CompoundEvaluation
from optimiser.compound.pairs import pairs
from optimiser.compound.slots import in_takes, stand_off
from optimiser.compound.space import ROUNDED, TackleScene
from optimiser.compound.work import LEAST_RUN, stroke_of
from optimiser.gear.kit import Kit
from optimiser.keys import Order
from optimiser.search.partial import Bound

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.int64]
Keep = Callable[[Bound], Mask]


@dataclass(frozen=True, slots=True)
class PairBounds:
    """One bound on n rigs for each two ropes, with their names."""

    names: tuple[tuple[str, str], ...]
    bounds: tuple[Bound, ...]

    def hopeful(self, keep: Keep) -> Mask:
        """(n,) which may be of use with any two ropes."""
        return np.asarray(np.any([keep(bound) for bound in self.bounds], axis=0))

    def able(self, number: int, keep: Keep) -> tuple[tuple[str, str], ...]:
        """The ropes with which one of them may be of use."""
        one = np.array([number])
        told = zip(self.names, self.bounds, strict=True)
        return tuple(names for names, bound in told if keep(bound.pick(one))[0])

    def pick(self, index: Numbers | Mask) -> "PairBounds":
        return PairBounds(self.names, tuple(bound.pick(index) for bound in self.bounds))

    def best(self, order: Order) -> Bound:
        """The bound of the ropes that come first by the order, rig by rig."""
        count = len(self.bounds[0].margin)
        rig = np.tile(np.arange(count), len(self.bounds))
        columns = [
            np.concatenate(c) for c in zip(*(b.columns(order) for b in self.bounds), strict=True)
        ]
        ranked = np.lexsort([*reversed(columns), rig])
        first = ranked[:: len(self.bounds)]
        whole = Bound(
            np.concatenate([b.margin for b in self.bounds]),
            np.concatenate([b.resets for b in self.bounds]),
            np.concatenate([b.rope for b in self.bounds]),
        )
        return whole.pick(first)


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
    names, bounds = [], []
    for pair in pairs(kit, hands=not real.puller.needs_termination):
        assert pair.first.length is not None
        above, below = (eaten + spare for eaten in pair.eaten)
        assert pair.second.length is not None
        reach = (pair.second.length - below - fixed) / parts
        out = np.minimum(span - out_least[:, None], reach[:, None])
        first = (way - out).max(axis=1) + above
        works = (out.min(axis=1) - in_least >= LEAST_RUN - ROUNDED) & (
            first <= pair.first.length + ROUNDED
        )
        least = np.minimum(margin, pair.held / (tight * ev.gained[rows]))
        least = np.minimum(least, pair.hauled / tight)
        room = np.minimum(longest - out_least, reach) - in_least
        if run is not None:
            room = np.minimum(room, (taken if real.puller.purchase is None else run) / parts)
        with np.errstate(divide="ignore", invalid="ignore"):
            strokes = np.ceil((way[:, 0] - way[:, -1]) / room - 1e-6)
        strokes = np.where(room > 0.0, strokes, np.inf)
        rope = first + parts * out.max(axis=1) + fixed + below - ROUNDED
        names.append(pair.names)
        bounds.append(Bound(np.where(works, least, 0.0), np.maximum(strokes - 1.0, 0.0), rope))
    return PairBounds(tuple(names), tuple(bounds))
