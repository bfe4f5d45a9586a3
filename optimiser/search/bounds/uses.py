"""Computes the use of the pieces at a block that a walk turns on, per newton of pull: margin = 1 / (use
* pull).

Only what no later choice can make less is counted: each force is the least it can be.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.partial import Partial


@dataclass(frozen=True)
class Uses:
    """What the blocks of walks of one scene do to block, straps and anchor."""

    t: Tables

    def turned(self, walks: Partial) -> Array:
        """(n, K) greatest use of walks with the block before their last place, which is at the load for
        all of them or for none."""
        if self.t.by_hand and walks.depth == 2:
            return walks.used  # the rope turns round the trunk itself
        on_load = walks.path[0, -2] == 0
        return self._with_load_block(walks) if on_load else self._with_anchor_block(walks)

    @cached_property
    def toward(self) -> Array:
        """(P + 2, K, 3) unit vectors from the load to each place at the rows' stations."""
        return np.asarray(np.nan_to_num(self.t.scene.unit[:, self.t.stations]))

    @cached_property
    def _home(self) -> Array:
        """(P + 2, K, 3) unit vectors from each place along the line to the load."""
        return np.asarray(np.nan_to_num(self.t.scene.at_place[:, self.t.stations]))

    @cached_property
    def _level(self) -> Array:
        """(P + 2, K, 3) level unit vectors from each place to the load."""
        flat = self._home.copy()
        flat[..., 2] = 0.0
        flat /= np.maximum(np.linalg.norm(flat, axis=2), 1e-9)[..., None]
        return np.asarray(flat)

    @cached_property
    def _position(self) -> Array:
        return np.nan_to_num(self.t.scene.position)

    def _directions(self, at: Numbers, to: Numbers) -> Array:
        """(n, K, 3) unit vectors from anchor places to other places, or to the load."""
        between = self.t.scene.fixed.between
        if between is None:
            way = self._position[to] - self._position[at]
            way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
        else:
            way = between.begin[at, to]
        out = np.repeat(way[:, None, :], len(self.t.need), axis=1)
        home = to == 0
        out[home] = self._home[at[home]]
        return out

    @property
    def _dynamic(self) -> float:
        return self.t.scene.puller.dynamic

    def _tau_low(self, depth: int) -> float:
        return float(self.t.eta_worst**depth)

    def _before(self, walks: Partial) -> Numbers:
        """The place from which the line comes to the last block that turns it."""
        if walks.depth >= 3:
            return walks.path[:, -3]
        return np.full(len(walks), self.t.scene.puller_number)

    def _least_joint(self, cosine: Array) -> Array:
        """Least |u + eta v| over the efficiencies at hand, from u.v."""
        low, high = self.t.eta_worst, self.t.eta_best
        at = np.clip(-cosine, low, high)
        return np.asarray(np.sqrt(np.maximum(1.0 + at * at + 2.0 * at * cosine, 0.0)))

    def _with_load_block(self, walks: Partial) -> Array:
        """Use with the block on the load that turns the line towards the last place."""
        if not np.isfinite(self.t.block_limit):
            return walks.used
        before, place = self._before(walks), walks.path[:, -1]
        if self.t.kit.many_sheaved:
            if self.t.rules.backward:
                return walks.used
            # Several nodes may hang on one block: what each adds in the direction of travel counts.
            ahead = self.t.scene.forward[:, self.t.stations]
            force = ahead[before] + self.t.eta_worst * ahead[place]
        else:
            force = self._least_joint(
                np.einsum("nkc,nkc->nk", self.toward[before], self.toward[place])
            )
        force = self._tau_low(walks.depth - 2) * walks.came * force
        return np.maximum(walks.used, force * self._dynamic / max(self.t.block_limit, 1e-9))

    def _with_anchor_block(self, walks: Partial) -> Array:
        """Use with the block on an anchor that turns the line towards the last place."""
        t, at, to = self.t, walks.path[:, -2], walks.path[:, -1]
        before, depth = self._before(walks), walks.depth - 1
        used = walks.used
        tau = self._tau_low(depth - 1) * walks.came
        by_block = not t.kit.many_sheaved and bool(np.isfinite(t.block_limit))
        by_anchor = not (t.rules.tail or t.rules.backward)
        if not (by_block or by_anchor):
            return used
        comes, goes = self._directions(at, before), self._directions(at, to)
        if by_block:
            force = tau * self._least_joint(np.einsum("nkc,nkc->nk", comes, goes)) * self._dynamic
            used = np.maximum(used, force / max(t.block_limit, 1e-9))
        if not by_anchor:
            return used
        # On the anchor: the part of the pull towards the load. Whatever else may be hung on this anchor
        # later pulls it that way too, except for a block that passes the line on to another anchor,
        # which may pull it back by what the friction of its sheave leaves.
        level = self._level[at]
        go = np.einsum("nkc,nkc->nk", goes, level)
        pulls = np.einsum("nkc,nkc->nk", comes, level)
        pulls += np.minimum(t.eta_worst * go, t.eta_best * go)
        hops_left = max(t.nodes - depth, 0) // 2
        most = float(t.tau_most[depth - 1]) * t.passed_most ** (t.nodes + 1)
        back = hops_left * self._hop_back * most * t.lever_ratio[at]
        towards = np.maximum(tau * pulls - back[:, None], 0.0)
        # An anchor met before in this walk carries more than is looked at here: leave it out.
        anchor = t.scene.anchor_of[walks.path[:, :-1]]
        again = (anchor[:, :-1] == anchor[:, -1:]).any(axis=1) | (
            anchor[:, -1] == t.scene.anchor_of[t.scene.puller_number]
        )
        towards[again] = 0.0
        return np.asarray(np.maximum(used, towards * self._dynamic / t.strength[at][:, None]))

    @property
    def _hop_back(self) -> float:
        """How much a block that passes the line on to another anchor may pull its anchor away from the
        load, per unit of tension: 1 - eta where its leg to the load is level; that leg's rise costs
        more, so the steepest one is taken."""
        flat = np.hypot(self._home[..., 0], self._home[..., 1])
        level = float(flat[self.t.anchors].min()) if len(self.t.anchors) else 1.0
        return 1.0 - self.t.eta_worst * level
