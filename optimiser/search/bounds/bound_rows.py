"""Tabulates what walks of one scene and kit can still give, take and cost at best, for the bounds."""

from dataclasses import dataclass, replace
from functools import cached_property
from math import dist, sqrt

import numpy as np
import numpy.typing as npt

from catalogue.gear import Block
from optimiser.mechanics.arrays import Array, Mask
from optimiser.mechanics.line.tackle import tension_left
from optimiser.rig.forces.duty import Duty
from optimiser.rig.gear.kit import capacity as piece_capacity
from optimiser.search.bounds.demands import IDLE, Demands
from optimiser.search.bounds.drive import Drive, gain_direct, of_hand, of_puller
from optimiser.search.bounds.marks import Marks
from optimiser.search.bounds.reach import Reach, reach
from optimiser.search.stock.purse import NEAR, Purse

MULTIPLIERS = 8


@dataclass(frozen=True)
class Tables(Demands):
    """Bounds' data for one scene and kit. P + 2 places, K rows. `purse`: what may be spent, where only a part
    of the kit can be bought; None: all of it is there."""

    purse: Purse | None = None

    @cached_property
    def drive(self) -> Drive:
        """What hauls or holds the line."""
        if self.given is not None:
            return self.given
        hand = self.line.hand
        if hand is None:
            return of_puller(self.scene, self.kit)
        if self.by_hand:
            return of_hand(self.scene, self.kit, hand)
        return replace(of_puller(self.scene, self.kit), counts=0.0)

    @property
    def whole(self) -> bool:
        """Whether a walk is all that is rigged."""
        return self.drive.whole

    @property
    def limits(self) -> tuple[Purse, ...]:
        """What may be spent, count by count: money, pieces, or shares of both."""
        return () if self.purse is None else self.purse.limits

    @cached_property
    def marks(self) -> Marks | None:
        """What marks a setup down for where the puller stands; None where that is not looked at. Whoever
        holds stands behind the trunk of the turns, and cautions say where nobody may be."""
        return Marks(self.scene) if self.whole and self.line.duty is Duty.HAUL else None

    @cached_property
    def sheaves(self) -> int:
        """Most sheaves in a walk: of the blocks at hand, and of those only what can be hung and paid for,
        beside the drive's own."""
        kit = self.kit
        eyed = [b.gear.sheaves for b in kit.blocks if b.gear.eye is not None]
        hooked = sum(b.count * b.gear.sheaves for b in kit.blocks if b.gear.eye is None)
        hung = hooked + sum(s.count for s in kit.shackles) * max(eyed, default=0)
        wanted = self.line.most_sheaves
        most = self.scene.site.preferences.most_sheaves if wanted is None else wanted
        most = min(most, kit.sheave_count, hung)
        most = min([most, *(limit.most_sheaves for limit in self.limits)])
        return max(most - (0 if self.given is None else self.given.sheaves), 0)

    @property
    def nodes(self) -> int:
        """Most places at which the rope turns: at sheaves, and round the trunk where a hand holds it."""
        return self.sheaves + int(self.by_hand)

    @cached_property
    def straps(self) -> int:
        """Straps and chains at hand."""
        return sum(s.count for s in self.kit.straps)

    @cached_property
    def needs_strap(self) -> Mask:
        """(P + 2,) places at which a block hangs on a strap."""
        sc = self.scene
        girths = [None if a < 0 else sc.site.anchors[a].girth for a in sc.anchor_of]
        out = np.array([girth is not None for girth in girths])
        out[-1] = False
        return out

    @cached_property
    def etas(self) -> tuple[float, ...]:
        """What one sheave may pass on, as far as bounds look at it; none: all that it gets."""
        return self.kit.etas if self.line.duty is Duty.HAUL else ()

    @cached_property
    def eta_best(self) -> float:
        return max(self.etas, default=1.0)

    @cached_property
    def eta_worst(self) -> float:
        return min(self.etas, default=1.0)

    @cached_property
    def tau_most(self) -> Array:
        """(B + 3,) most tension / pull that so many sheaves pass on, with the blocks there are, or that can
        be paid for."""
        if not self.etas:
            return np.ones(self.nodes + 3)
        if self.limits:
            most = [limit.tau_most(self.sheaves + 2) for limit in self.limits]
            return np.asarray(np.min(most, axis=0))
        etas: list[float] = []
        for piece in self.kit.blocks:
            if isinstance(piece.gear, Block):
                etas += [piece.gear.eta] * (piece.count * piece.gear.sheaves)
        etas = sorted(etas, reverse=True)[: self.sheaves + 2]
        etas += [etas[-1] if etas else 1.0] * (self.sheaves + 2 - len(etas))
        return tension_left(passed=np.array(etas))

    def gain_at(self, depth: int) -> Array:
        """(P + 2, K) most that a part beyond so many sheaves gives, per unit of pull. Where a part holds
        the load back, the least tension is the best."""
        return self._gains[depth]

    @cached_property
    def _gains(self) -> Array:
        most = self.tau_most[:, None, None]
        least = self.eta_worst ** np.arange(len(self.tau_most))[:, None, None]
        return np.asarray(np.where(self.gain >= 0.0, most, least) * self.gain)

    # ---- what a walk costs at least ---------------------------------------------------------------

    @cached_property
    def first_length(self) -> Array:
        """(P + 2,) of a part between load and place at the stretch's start, m; beyond it too to the drive."""
        out = np.nan_to_num(self.scene.length[:, 0])
        out[-1] = self.drive.beyond[0]
        return out

    @property
    def lengthens(self) -> bool:
        """Whether a part of line may be longer at the end of the stretch than at its start."""
        return self.rules.backward or self.line.duty is Duty.LOWER

    @cached_property
    def travel(self) -> Array:
        """(P + 2,) m by which a part between load and place shortens over the stretch."""
        return np.nan_to_num(self.scene.length[:, 0] - self.scene.length[:, -1])

    @cached_property
    def reach(self) -> Reach | None:
        """The fewest strokes of a hauling line straight from the load; None: the drive's stroke is enough."""
        sc = self.scene
        if not self.whole:
            return None  # no part of it is hauled straight from the load
        moves = sc.puller.purchase is None and sc.puller.run > 0.0
        if self.lengthens or not moves or not self.direct:
            return None

        def work() -> Reach | None:
            length = np.concatenate([sc.length[self.anchors], sc.length[-1:]])
            return reach(length[:, :1] - length, gain_direct(sc))

        # Kits differ by the places alone that a part may lead to.
        return sc.reach.once(("fewest strokes", self.anchors.tobytes()), work)

    def fewest_resets(self, last: npt.NDArray[np.int64], taken: Array, net: Array) -> Array:
        """(n,) fewest resets with the hauling line from the places `last` (0: the load) that take in
        `taken` m of rope, where the line is `net` m shorter in the end."""
        stroke = self.drive.stroke[last]
        with np.errstate(divide="ignore", invalid="ignore"):
            strokes = np.where(stroke > 0.0, np.ceil(taken / stroke - 1e-6), 1.0)
        if self.reach is not None:
            direct = last == 0
            strokes[direct] = np.maximum(strokes[direct], self.reach.fewest(net[direct]))
        return np.asarray(np.maximum(strokes - 1.0, 0.0))

    # ---- what the gear stands at best -------------------------------------------------------------

    def rope_price(self, limit: Purse, needed: Array, pull: Array) -> Array:
        """The least that the ropes cost by a limit of the purse: one that long, m, whose hauling end stands
        the pull, N, with the least margin; of two together that long, whatever they stand (their pieces are
        left to the solver)."""
        if self.drive.priced is None:
            puller = self.scene.puller
            force = pull * puller.dynamic * (self.floor - NEAR) * (1.0 - 1e-9)
            return limit.strong_rope(needed, force, puller.fixture)
        if limit is not self.purse:
            return np.zeros(len(needed))
        length, least = self.drive.priced
        return np.asarray(least[np.searchsorted(length, needed - 1e-3)])

    @cached_property
    def block_limit(self) -> float:
        """The most a block at hand stands with what it hangs in, N; 0 without blocks."""
        blocks = [(b, b.gear.eye) for b in self.kit.blocks]
        hooked = _most(piece_capacity(b) for b, eye in blocks if eye is None)
        eyed = _most(piece_capacity(b) for b, eye in blocks if eye is not None)
        return max(hooked, min(eyed, _most(piece_capacity(s) for s in self.kit.shackles)))

    @cached_property
    def hitch_strength(self) -> float:
        """The most the rig may pull at the load, N: by the rating of its hitch; where a bridle takes hold, by
        two equal legs and what each stands, its hitch or itself (the angle between them is given)."""
        attachment = self.scene.attachment
        most = _most(hitch.rating for hitch in attachment.hitches)
        if not attachment.bridled:
            return most
        one, two = ((h.ahead, h.left, h.height) for h in attachment.hitches)
        leg = attachment.leg or 0.0
        half = min(dist(one, two) / 2.0, leg)
        straps = _most(piece_capacity(strap) for strap in self.kit.straps)
        # Where one leg hangs loose the other has all.
        return min(most, straps) * max(2.0 * sqrt(1.0 - (half / leg) ** 2), 1.0)

    @cached_property
    def hitch_margin(self) -> float:
        """The best margin of the load's hitch with any rig: to move the load at all, the rig pulls at least
        so hard, whichever way its parts of line lead."""
        if self.scene.guides:
            return float("inf")  # they pull too
        share = np.where(self.need > IDLE, np.maximum(self.most_given, IDLE), np.inf)
        least = float((self.need / share).max())
        return float(self.hitch_strength / (self.scene.puller.dynamic * max(least, IDLE)))

    @cached_property
    def strength(self) -> Array:
        """(P + 2,) what each place stands on a horizontal pull, N: its anchor's strength / the lever,
        the strongest strap that goes round it, and the strongest block."""
        sc = self.scene
        out = np.full(len(sc.places), max(self.block_limit, 1e-9))
        for i, a in enumerate(sc.anchor_of):
            if a >= 0:
                anchor = sc.site.anchors[a]
                known = anchor.strength.capacity
                if known is not None:
                    out[i] = min(out[i], max(known, 1e-9) / sc.lever[i])
                if self.needs_strap[i]:
                    best = _most(h.capacity for h in self.kit.round_anchor(anchor))
                    out[i] = min(out[i], max(best, 1e-9))
        return out

    @cached_property
    def lever_ratio(self) -> Array:
        """(P + 2,) greatest lever on the same anchor / the place's own."""
        sc = self.scene
        out = np.ones(len(sc.places))
        for a in np.unique(sc.anchor_of[sc.anchor_of >= 0]):
            same = sc.anchor_of == a
            out[same] = sc.lever[same].max() / sc.lever[same]
        return out

    # ---- what the rest of a walk may still give ---------------------------------------------------

    @cached_property
    def best_gain(self) -> Array:
        """(K,) most any part may give."""
        if not len(self.anchors):
            return np.zeros(len(self.need))
        return np.maximum(self.gain[self.anchors].max(axis=0), 0.0)

    @cached_property
    def rest_from_load(self) -> Array:
        """(B + 1, K) most the rest of a walk gives beyond a block on the load, by sheaves left, per unit
        of tension in the next segment."""
        tau = self.tau_most
        depth = self.nodes - np.arange(self.nodes + 1)
        sums = np.array([tau[d : self.nodes + 1].sum() / tau[d] for d in depth])
        return np.asarray(sums[:, None] * self.best_gain[None, :])

    @cached_property
    def rest_from_anchor(self) -> Array:
        """(B + 1, P + 2, K) the same beyond a block on each anchor place."""
        tau = self.tau_most
        out = np.zeros((self.nodes + 1, *self.gain.shape))
        for left in range(self.nodes + 1):
            e, ee = tau[self.nodes - left + 1 : self.nodes - left + 3] / tau[self.nodes - left]
            on = self.gain_at(self.nodes - left) / tau[self.nodes - left]
            straight = on + (e * self.rest_from_load[left - 1] if left >= 1 else 0.0)
            straight = np.where(self.from_load[:, None], straight, 0.0)
            hop = np.zeros_like(self.best_gain)
            if left >= 1:
                hop = e * self.best_gain + (
                    ee * self.rest_from_load[left - 2] if left >= 2 else 0.0
                )
            if self.rules.most_in_a_row > 2:
                hop = np.maximum(hop, self.rest_from_load[left])
            out[left] = np.maximum(straight, hop[None, :])
        return out

    # ---- pull still wanted, priced in metres (Lagrangian) -----------------------------------------

    @cached_property
    def multipliers(self) -> Array:
        """(Q,) metres per unit of gain."""
        if not len(self.anchors):
            return np.zeros(1)
        gain = np.maximum(self.gain[self.anchors].mean(axis=1), 1e-3)
        low = float((np.maximum(self.travel[self.anchors], 0.1) / gain).min())
        high = float((self.first_length[self.anchors] / gain).min())
        return np.geomspace(0.7 * min(low, high), 4.0 * max(low, high), MULTIPLIERS)


def _most(values: object) -> float:
    found = [np.inf if v is None else float(v) for v in values]  # type: ignore[attr-defined]
    return max(found, default=0.0)
