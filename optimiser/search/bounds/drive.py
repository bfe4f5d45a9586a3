"""Gives the bounds what they know of the drive of the line that pulls the load: a puller, a hand behind turns
round a trunk, or the tackles of a second rope. All have the same figures, so no bound asks which it is.
"""

from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.fastening import at_best
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.ground.scene import Scene


@dataclass(frozen=True, kw_only=True, eq=False)
class Drive:
    """Arrays by the line's last place (P + 2,), [0] the load. `beyond`: least rope, m, from there on, that of
    a second line included (infinite where the drive cannot take the line); `stroke`: most rope of the line
    that one stroke takes in, m; `limit`: the most the line may carry, N. `eaten`: least rope, m, that all
    ends take with what is kept in hand; `longest`: rope at hand in all lines, m, of ropes whose ends can be
    made fast. `sheaves`: fewest of the drive's own; `priced`: what two ropes measure together, m, the longest
    last, and the least that two at least as long cost (None: one rope, priced by its strength); `counts`:
    what the order of setups counts of the line's pull at the least: of a hand what its turns leave, of a
    puller that pays out nothing."""

    beyond: Array
    stroke: Array
    limit: Array
    eaten: float
    longest: float
    sheaves: int = 0
    priced: tuple[Array, Array] | None = None
    counts: float = 1.0

    @property
    def whole(self) -> bool:
        """Whether the line is all that is rigged: its parts, its pull and its marks are the setup's."""
        return self.sheaves == 0


def of_hand(scene: Scene, kit: Kit, hand: HandLimit) -> Drive:
    """A hand that holds the line behind turns round the trunk it comes from: one turn at least."""
    girths = [0.0 if a < 0 else scene.site.anchors[int(a)].girth or 0.0 for a in scene.anchor_of]
    grips = (grip_of(rope.gear) for rope in kit.ropes)
    ratio = max((grip.best_ratio for grip in grips if grip is not None), default=0.0)
    limit = min(hand.most * ratio, _line(scene, kit) / scene.puller.dynamic)
    ends = at_best(kit, scene)
    return Drive(
        beyond=np.array(girths),
        stroke=np.zeros(len(girths)),
        limit=np.full(len(girths), limit),
        eaten=ends.eaten + scene.site.preferences.rope_spare,
        longest=ends.longest,
        counts=1.0 / max(ratio, 1e-12),
    )


def of_puller(scene: Scene, kit: Kit) -> Drive:
    """The puller of a scene."""
    beyond = scene.distance[:, -1].copy()
    beyond[0] = scene.length[-1, 0]
    ends = at_best(kit, scene)
    return Drive(
        beyond=beyond,
        stroke=_stroke(scene),
        limit=_limit(scene, kit),
        eaten=ends.eaten + scene.site.preferences.rope_spare,
        longest=ends.longest,
    )


def gain_direct(scene: Scene) -> Array:
    """(S,) rope a run of the puller takes in with the hauling line straight from the load, m."""
    if scene.reach.strings_direct is not None:
        near, far = scene.reach.strings_direct.length[[0, -1]]
    else:
        near, far = (np.linalg.norm(spot - scene.hitch, axis=1) for spot in scene.spots[[0, -1]])
    return np.asarray(far - near)


def _stroke(scene: Scene) -> Array:
    out = scene.stroke_last.copy()
    purchase = scene.puller.purchase
    out[0] = gain_direct(scene).max() if purchase is None else purchase
    return out


def _limit(scene: Scene, kit: Kit) -> Array:
    """By the puller, its hitch, and the strongest hauling end at hand."""
    pull = scene.limit_last.min(axis=1)
    pull[0] = scene.limit_from_load.max()
    line = _line(scene, kit)
    if scene.puller.hitch_rating is not None and not scene.puller.has_hook:
        line = min(line, scene.puller.hitch_rating)
    return np.minimum(pull, line / scene.puller.dynamic)


def _line(scene: Scene, kit: Kit) -> float:
    """The strongest hauling end at hand, N."""
    return kit.once(("hauled", scene.puller.fixture), lambda: _strongest_end(scene, kit))


def _strongest_end(scene: Scene, kit: Kit) -> float:
    rated = []
    for rope in kit.ropes:
        ends = kit.ends(rope, scene.puller.fixture)
        keeps = max((e.termination.keeps if e.termination else 1.0 for e in ends), default=0.0)
        strength = rope_capacity(rope)
        rated.append(np.inf if strength is None else strength * keeps)
    return max(rated, default=0.0)
