"""Computes what a rig costs at least, before it is known which piece hangs where.

Every slot is priced by itself at the cheapest new piece that is strong enough; pieces that are owned and
strong enough serve where they save most. Sums of such prices never exceed the real bill.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np

from optimiser.rig.forces.evaluate import subsets
from optimiser.rig.gear.kit import trunk_of
from optimiser.rig.gear.loads import open_slots, worst
from optimiser.rig.gear.over_edges import pieces_laid
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.setup import Role
from optimiser.search.stock.purse import NEAR, Purse

Slot = tuple[float, bool]
"""Least price of something new that suffices, and whether something owned suffices."""


@dataclass(frozen=True)
class Bill:
    """Bounds on what one rig costs. `need`: least capacity / demand."""

    row: RigRow
    purse: Purse
    need: float

    def paid(self, *amounts: float) -> bool:
        """Whether the purse covers the amounts together."""
        return bool(self.purse.covers(np.array(sum(amounts))))

    def pays(self, variant: Variant) -> bool:
        """Whether the purse covers the rig with that rope and those ends."""
        ropes = sum(self.purse.price_of(rope) for rope in variant.rope_pieces)
        rest = (ropes, self.straps, self.ends(variant), self.laid)
        with_shackles = self.paid(*rest, self.blocks, self.shackles(variant))
        return with_shackles and self.paid(*rest, self.hung_blocks)

    @cached_property
    def rope(self) -> float:
        """A rope that is long enough, knots left out."""
        spare = self.row.scene.site.preferences.rope_spare
        return float(self.purse.rope(np.array([self.row.longest + spare]))[0])

    @cached_property
    def laid(self) -> float:
        """What the rig lays on edges."""
        piece = self.row.scene.edging.protector
        return 0.0 if piece is None else self.laid_pieces * self.purse.price_each(piece)

    @cached_property
    def laid_pieces(self) -> int:
        """How many pieces of that are new."""
        piece = self.row.scene.edging.protector
        new = piece is not None and any(o.name == piece.name for o in self.purse.offers)
        return pieces_laid(self.row) if new else 0

    # ---- blocks -----------------------------------------------------------------------------------

    @cached_property
    def _nodes(self) -> list[tuple[float, list[tuple[float, int]]]]:
        """For each sheave: efficiency, and (force [N], sheaves) of every choice of nodes at its place that
        may share its block."""
        row, out = self.row, []
        for nodes in (slot.nodes for slot in open_slots(row) if slot.role is Role.BLOCK):
            for node in nodes:
                eta = row.etas[node - 1]
                choices = [
                    (row.joint(s).value * self.need, len(s))
                    for s in subsets(nodes)
                    if node in s and all(row.etas[n - 1] == eta for n in s)
                ]
                out.append((eta, choices))
        return out

    @cached_property
    def blocks(self) -> float:
        """Blocks, without what they hang in."""
        purse, slots = self.purse, []
        for eta, choices in self._nodes:
            new = [purse.new_sheave(eta, many)(force) for force, many in choices]
            own = purse.strongest_owned(eta) >= min(force for force, _ in choices)
            slots.append((min(new), own))
        return total(slots, purse.owned.sheave_count)

    @cached_property
    def hung_blocks(self) -> float:
        """Blocks, each new one with a shackle where no owned one goes through its eye."""
        purse, slots = self.purse, []
        for eta, choices in self._nodes:
            least = min(purse.hung_sheave(eta, many)(force) for force, many in choices)
            own = purse.strongest_owned(eta) >= min(force for force, _ in choices)
            slots.append((least, own))
        return total(slots, purse.owned.sheave_count)

    # ---- straps and shackles ----------------------------------------------------------------------

    @cached_property
    def straps(self) -> float:
        """A strap for every place with a block that needs one."""
        slots = []
        for slot in open_slots(self.row):
            if slot.role is not Role.STRAP or slot.nodes == (0,):
                continue
            anchor = self.row.anchor_at(self.row.numbers[slot.nodes[0]])
            if anchor.sling is not None:
                continue  # what a sling costs at least is not counted
            trunk = trunk_of(anchor)
            force = worst(self.row, slot.force).value * self.need
            own = self.purse.strongest_strap(trunk) >= force
            slots.append((self.purse.new_strap(trunk)(force), own))
        return total(slots, self.purse.owned_straps)

    def shackles(self, variant: Variant) -> float:
        """A shackle for every block with an eye. Where a block with a hook may take the place, what the
        hook saves is granted; where several nodes may share a block, nothing is counted."""
        row, purse, slots = self.row, self.purse, []
        for slot in open_slots(row):
            if slot.role is not Role.BLOCK:
                continue
            nodes, place = slot.nodes, row.numbers[slot.nodes[0]]
            force, eta = worst(row, slot.force).value * self.need, row.etas[nodes[0] - 1]
            if len(nodes) > 1 or purse.strongest_owned(eta, hooked=True) >= force:
                continue
            least, own = self._shackle(variant, nodes, place)
            hook = purse.new_sheave(eta, 1, hooked=True)(force)
            if hook < inf:
                least = min(least, max(hook - purse.new_sheave(eta, 1)(force), 0.0))
            slots.append((least, own))
        return total(slots, sum(s.count for s in purse.owned.shackles))

    def ends(self, variant: Variant) -> float:
        """Shackles at the rope's ends, where none that is owned would do."""
        slots = [self._shackle(variant, nodes, place) for nodes, place in variant.end_shackles]
        return total(slots, len(slots))

    def _shackle(self, variant: Variant, nodes: tuple[int, ...], place: int) -> Slot:
        eye = variant.eye_at(place)
        force = variant.shackle_demand(nodes) * self.need * (1.0 - NEAR)
        return self.purse.new_shackle(eye)(force), self.purse.strongest_shackle(eye) >= force


def total(slots: Iterable[Slot], there: int) -> float:
    """What the slots cost at least, `there` of them filled by something owned where that may be."""
    spent = 0.0
    saved: list[float] = []
    for price, own in slots:
        if own:
            saved.append(price)
        else:
            spent += price
    return spent + sum(sorted(saved)[: max(len(saved) - there, 0)])
