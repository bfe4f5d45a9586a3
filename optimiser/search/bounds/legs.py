"""Tabulates between which places a straight part of the rope may run at all, for growing walks."""

from dataclasses import dataclass
from functools import cached_property
from typing import assert_never

import numpy as np
import numpy.typing as npt

from catalogue.gear import MadeTo
from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.forces.duty import Duty
from optimiser.rig.gear.ends import END_LENGTH
from optimiser.rig.gear.kit import Kit, eye_of, long_of
from optimiser.rig.ground.scene import Scene
from optimiser.search.bounds.drive import Drive
from optimiser.search.line import HAULING, Line
from optimiser.search.rules import Rules


@dataclass(frozen=True)
class Legs:
    """Places and pairs of places that a walk may use, of one scene, kit and set of rules. P + 2 places."""

    scene: Scene
    kit: Kit
    rules: Rules
    floor: float  # least margin a setup must have
    only_rated: bool = True  # anchors without a rating are left out
    roomy: bool = True  # legs too short for any gear between their ends are left out
    given: Drive | None = None  # what hauls the line, where that is not the scene's puller itself
    line: Line = HAULING

    def __post_init__(self) -> None:
        """Only ropes that rub on edges as the scene was worked out for. The room in the legs of a rope that
        is held is looked at where its gear is chosen."""
        object.__setattr__(self, "kit", self.scene.edging.kit(self.kit))
        object.__setattr__(self, "roomy", self.roomy and self.line.duty is Duty.HAUL)

    @property
    def by_hand(self) -> bool:
        """Whether the rope is eased by hand round a trunk, the last place at which it turns."""
        return self.line.by_hand(self.scene)

    @cached_property
    def usable(self) -> Mask:
        """(P + 2,) places on anchors that may be used at all."""
        out = np.ones(len(self.scene.places), dtype=bool)
        if self.only_rated:
            for i, a in enumerate(self.scene.anchor_of):
                out[i] = a < 0 or self.scene.site.anchors[a].strength.capacity is not None
        return out

    @cached_property
    def from_load(self) -> Mask:
        """(P + 2,) places a part of line may lead to from the load."""
        sc = self.scene
        out = sc.clear_from_load.all(axis=1) & self.usable
        # A block hangs at one end of the part at least.
        turned = np.minimum(self.hung_block + self.hangs[0], self.hangs + self.hung_block[0])
        out &= sc.length.min(axis=1) + 1e-6 >= turned
        if not self.rules.backward:
            idle = self._idle
            out &= ((sc.forward > 0.0) | idle).all(axis=1)
            out[-1] &= self.by_hand or bool(((sc.forward_direct > 0.0) | idle).all())
        out[0] = False
        return np.asarray(out)

    @cached_property
    def _idle(self) -> Mask:
        """(S,) where a part of line may lead any way: there it has nothing to hold."""
        held_back = self.scene.stations.held_back
        match self.line.duty:
            case Duty.HAUL:
                return np.zeros(len(held_back), dtype=bool)
            case Duty.LOWER:
                return np.asarray(held_back <= 0.0)
            case _:
                assert_never(self.line.duty)

    @cached_property
    def direct(self) -> bool:
        """Whether the hauling line may come straight from the load."""
        if self.by_hand:
            return False
        sc = self.scene
        taken = self.given is None or bool(np.isfinite(self.given.beyond[0]))
        return bool(taken and self.from_load[sc.puller_number] and (sc.limit_from_load > 0.0).all())

    @cached_property
    def turns_direct(self) -> bool:
        """The same with a block on the load that turns the line."""
        near = float(self.scene.length[-1].min()) + 1e-6
        return self.direct and near >= float(self.hung_block[0])

    @cached_property
    def leads(self) -> Mask:
        """(P + 2,) places the hauling line may come from; where a hand holds, trunks to turn it round."""
        sc = self.scene
        if self.by_hand:
            around = [a >= 0 and sc.site.anchors[int(a)].ties_round for a in sc.anchor_of]
            return np.asarray(np.array(around) & self.usable)
        out = sc.clear[:, sc.puller_number] & (sc.limit_last > 0.0).all(axis=1) & self.usable
        if self.rules.one_height_per_leg:
            out &= ~((sc.anchor_of >= 0) & (sc.anchor_of == sc.anchor_of[-1]))
        if self.given is not None:
            out &= np.isfinite(self.given.beyond)
        out[0] = out[-1] = False
        return np.asarray(out)

    @property
    def begins(self) -> bool:
        """Whether any walk begins: a hauling line comes straight from the load, or from an anchor place."""
        return self.direct or bool(self.leads.any())

    @cached_property
    def hops(self) -> Mask:
        """(P + 2, P + 2) anchor places that may follow each other."""
        sc = self.scene
        out = sc.clear & self.usable[:, None] & self.usable[None, :]
        out[-1, :] = out[:, -1] = False
        near = np.nan_to_num(sc.distance) + 1e-6
        out &= near >= self.hangs[:, None] + self.hangs[None, :]
        if self.rules.one_height_per_leg:
            out &= sc.anchor_of[:, None] != sc.anchor_of[None, :]
        return out

    @cached_property
    def turned_hops(self) -> Mask:
        """(P + 2, P + 2) the same where blocks turn the rope at both."""
        near = np.nan_to_num(self.scene.distance) + 1e-6
        return np.asarray(self.hops & (near >= self.hung_block[:, None] + self.hung_block[None, :]))

    @cached_property
    def shortest_block(self) -> float:
        """Least length of a block with the shackle it hangs in, m."""
        shackle = min((long_of(p) for p in self.kit.shackles), default=0.0)
        blocks = (long_of(p) + (0.0 if eye_of(p) is None else shackle) for p in self.kit.blocks)
        return min(blocks, default=0.0)

    @cached_property
    def hung_block(self) -> Array:
        """(P + 2,) least length of what hangs between each place and the rope that a block turns there,
        m; [0]: the load."""
        if not self.roomy:
            return np.zeros(len(self.scene.places))
        return self.kit.once(("hung block", *self._where), self._hung_block)

    def _hung_block(self) -> Array:
        sc = self.scene
        out = np.full(len(sc.places), self.shortest_block)
        out[-1] = 0.0
        for i, a in enumerate(sc.anchor_of[:-1]):
            if a >= 0:
                around = self.kit.round_anchor(sc.site.anchors[a])
                out[i] += min((h.standoff for h in around), default=0.0)
        return out

    @property
    def _where(self) -> tuple[object, ...]:
        """What both depend on besides the kit: stretches of one path have the same places."""
        return (self.scene.places, tuple(anchor.radius for anchor in self.scene.site.anchors))

    @cached_property
    def hangs(self) -> Array:
        """(P + 2,) least length of what hangs between each place and the rope, m; [0]: the load."""
        if not self.roomy:
            return np.zeros(len(self.scene.places))
        return self.kit.once(("hangs", *self._where), self._hangs)

    def _hangs(self) -> Array:
        sc, kit = self.scene, self.kit
        block = self.shortest_block
        out = np.full(len(sc.places), min(block, END_LENGTH))
        out[-1] = 0.0
        standing_only = any(MadeTo.TRUNK in knot.made_to for knot in kit.knots)
        for i, a in enumerate(sc.anchor_of[:-1]):
            if a >= 0:
                around = kit.round_anchor(sc.site.anchors[a])
                standoff = min((h.standoff for h in around), default=0.0)
                end = END_LENGTH + (0.0 if standing_only else standoff)
                out[i] = min(block + standoff, end)
        return out

    @cached_property
    def anchors(self) -> npt.NDArray[np.int64]:
        """Numbers of the anchor places a part from the load may lead to."""
        return np.flatnonzero(self.from_load[:-1])
