"""Makes rigs that let the load down of complete walks: each looked at with its sheaves as rated and running
free, of which the worse counts.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.ground.scene import Scene
from optimiser.search.bounds.partial import Bound
from optimiser.search.made_rigs import OneRope
from optimiser.search.sought import Sought


class HeldRope(OneRope):
    """Rigs of one rope that is held: by a hand behind turns, or by a puller that pays out."""

    def __init__(self, sought: Sought, hand: HandLimit) -> None:
        super().__init__(sought)
        self._hand = hand

    def evaluate(self, scene: Scene, walks: Numbers, etas: Array) -> Evaluation:
        return evaluate(scene, walks, etas, Duty.LOWER)

    def eaten(self, places: Numbers) -> Array:
        """See the base; wherever the standing end is."""
        return np.full(len(places), self.sought.tables.drive.eaten)

    def _bound(self, ev: Evaluation, rows: Numbers) -> Bound:
        """See the base; with what turns take of the rope, and what they leave to the hand."""
        tables, out = self.sought.tables, super()._bound(ev, rows)
        pull = np.max([look.pull[rows].max(axis=1) for look in _looks(ev)], axis=0)
        counted = replace(out, pull=pull * tables.drive.counts)
        if not tables.by_hand:
            return counted
        last = ev.walks[rows, -1]
        rope = out.rope + tables.drive.beyond[last]
        margin = np.minimum(out.margin, tables.drive.limit[last] / np.maximum(pull, 1e-9))
        margin = np.where(rope > tables.drive.longest + 1e-6, 0.0, margin)
        return replace(counted, margin=margin, rope=rope)

    def margin(self, ev: Evaluation, rows: Numbers) -> Array:
        return np.min([super(HeldRope, self).margin(look, rows) for look in _looks(ev)], axis=0)

    def mark(self, numbers: Sequence[int]) -> tuple[object, ...]:
        return (*super().mark(numbers), self.sought.scene.puller.name)

    def variants(self, row: RigRow, kit: Kit, paid: Callable[[float], bool]) -> Iterator[Variant]:
        """See the base; with every number of turns."""
        return let_down_variants(row, kit, self._hand)


def _looks(ev: Evaluation) -> tuple[Evaluation, Evaluation]:
    """Walks that let down with their sheaves as rated, and running free."""
    assert ev.twin is not None
    return ev, ev.twin
