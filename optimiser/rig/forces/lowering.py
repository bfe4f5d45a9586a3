"""Computes forces while the load is let down, on the evaluator and the gear slots that hauling uses.

Friction is turned round: the ground helps with the part of its lowest resistance that is counted on
(`mechanics.ground.rest`), and a sheave passes 1/eta towards the standing end. How much a sheave really helps
is no more certain than how much it costs, so each rig is looked at with its sheaves as rated, which loads
the standing part most, and with sheaves that run free, which loads the hand most; and, since what hangs
several parts on one anchor may bear most in between, with some of them this way and some the other. Every
piece has to stand the worst of all.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import ClassVar, Self

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.ground import moving, step
from optimiser.rig.forces.evaluate import Evaluation, evaluate
from optimiser.rig.forces.verdict import LETTING_DOWN, Fault
from optimiser.rig.gear.row import Peak, RigRow
from optimiser.rig.ground.scene import Scene


@dataclass(frozen=True)
class LoweringEvaluation(Evaluation):
    """An evaluation whose `pull` is the tension at the held end; `etas` are as in hauling.

    `free`: its sheaves run free, whatever their efficiencies; `twin`: of one with its sheaves as rated the
    same walks with them running free, where a walk works only if it works in both.
    """

    free: bool = False
    twin: "LoweringEvaluation | None" = None

    faults: ClassVar[tuple[Fault, ...]] = LETTING_DOWN

    def alone(self, row: int) -> Self:
        twin = None if self.twin is None else self.twin.alone(row)
        return replace(super().alone(row), twin=twin)

    @cached_property
    def works(self) -> Mask:
        own = self.verdict.works
        return own if self.twin is None else np.asarray(own & self.twin.works)

    def turning(self, row: int, etas: Array, rubbing: Mask | None = None) -> "LoweringEvaluation":
        walks = np.tile(self.walks[row], (len(etas), 1))
        return _looked_at(self.scene, walks, etas, 1.0 / etas, rubbing=rubbing)

    @property
    def ranged(self) -> bool:
        return self.sheaves > 0 if self.free else super().ranged

    def ends(self, row: int) -> Array:
        """See the base. Of sheaves that run free: some of them and some as rated at the low end of its range,
        all free first; all as rated only where the walk runs over an edge, which then rubs least."""
        if not self.free:
            return super().ends(row)
        rated = self.etas[row].tolist()
        mixed = list(product(*((1.0, eta) for eta in rated)))
        if not self.rubs(row):
            mixed = mixed[:-1]
        return np.array(mixed, dtype=float).reshape(len(mixed), len(rated))

    def rubs(self, row: int) -> bool:
        """Whether edges are looked at with the most and the least friction: as rated it is the most, with all
        sheaves free the least, and both in between."""
        return self.free and self.sheaves > 0 and super().rubs(row)

    @cached_property
    def pull(self) -> Array:
        """(n, X) N: 0 where the load rests by itself, +inf where it may run and is not held."""
        st, i = self.scene.stations, self.states.station
        out = moving.hold_needed(
            along=st.held_back[i],
            resistance=st.resistance_sure[i],
            advance=self.advance,
            lift=self.lift,
        )
        load = self.scene.site.load
        for s in np.flatnonzero(st.step > 0.0):
            here = i == s
            if not step.climbable(wheel_radius=load.wheel_radius, step=float(st.step[s])):
                out[:, here] = np.inf  # it would drop, and no steady force holds that
                continue
            assert load.wheel_radius is not None
            over = step.pull_over_step(
                wheel_radius=load.wheel_radius,
                step=float(st.step[s]),
                slope_sin=st.slope_sin[s],
                slope_cos=st.slope_cos[s],
                axle_weight=st.resting[s] * load.axle_share,
                advance=self.advance[:, here],
                lift=self.lift[:, here],
            )
            with np.errstate(invalid="ignore"):  # all of it on the axle, and it cannot be held
                rest = np.nan_to_num(out[:, here] * (1.0 - load.axle_share), nan=0.0, posinf=np.inf)
            out[:, here] = np.maximum(out[:, here], over + rest)
        return out

    @cached_property
    def reaction(self) -> Array:
        """(n, X) ground reaction under the load, N; NaN where it is not held."""
        st, i = self.scene.stations, self.states.station
        pull = np.where(np.isfinite(self.pull), self.pull, np.nan)
        return np.asarray(
            moving.ground_reaction(
                weight=st.resting[i], slope_cos=st.slope_cos[i], pull=pull, lift=self.lift
            )
        )

    @cached_property
    def side_pull(self) -> Array:
        """(n, X) as in hauling; 0 where the load rests and the line is slack."""
        return np.where(self.pull > 0.0, super().side_pull, 0.0)


def evaluate_lowering(
    scene: Scene, walks: Numbers, etas: Array
) -> tuple[LoweringEvaluation, LoweringEvaluation]:
    """Walks of equal length (n, m + 2) with sheave efficiencies (n, m): as rated, and free."""
    free = _looked_at(scene, walks, etas, np.ones_like(etas), free=True)
    return _looked_at(scene, walks, etas, 1.0 / etas), free


def in_both_looks(scene: Scene, walks: Numbers, etas: Array) -> LoweringEvaluation:
    """The same as one: as rated, with its twin."""
    rated, free = evaluate_lowering(scene, walks, etas)
    return replace(rated, twin=free)


def _looked_at(
    scene: Scene, walks: Numbers, etas: Array, passed: Array, *, free: bool = False,
    rubbing: Mask | None = None,
) -> LoweringEvaluation:  # fmt: skip
    """The evaluation with `passed` of the tension passed on by each sheave; `etas`: as rated. `rubbing` (n,):
    with the most friction on edges; left out: unless the sheaves run free."""
    rubbing = np.full(len(walks), not free) if rubbing is None else rubbing
    ev = evaluate(scene, walks, passed, rubbing, letting_down=True)
    return LoweringEvaluation(
        scene, walks, etas, ev.states, ev.units, ev.lengths, ev.tau, over=ev.over, free=free
    )


@dataclass(frozen=True)
class HoldOn:
    """Where the rope ends: on a trunk with so many turns (`trunk`: index of the site's anchor), or
    on a puller. `limit`, `comfort`: of the hand, N, in the rope behind the turns."""

    trunk: int | None
    turns: int
    ratio: float
    limit: float
    comfort: float


@dataclass(frozen=True)
class LetDown(RigRow):
    """One walk that lets the load down, seen by the gear before it is known how its rope is held: with its
    sheaves as rated, and `free`."""

    free: RigRow

    @property
    def lets_down(self) -> bool:
        return True

    @property
    def path(self) -> tuple[int, ...]:
        """As the search grows walks: from the trunk of the turns backwards, where a hand holds."""
        last = self.numbers[-1]
        return self.numbers[-2::-1] if last == self.scene.puller_number else self.numbers[::-1]

    @cached_property
    def rated(self) -> RigRow:
        """The same walk with its sheaves as rated alone, whatever the rating within its range."""
        return RigRow(self.evaluation, self.index)

    @cached_property
    def works_throughout(self) -> bool:
        """See the base; in both looks, each with a bridle's ring or a sling's shackle where it comes to
        rest."""
        return self.rated.works_throughout and self.free.works_throughout


@dataclass(frozen=True)
class LoweringRow(LetDown):
    """One walk seen by the gear: every demand is the worst of sheaves as rated and running free, all or some
    of them."""

    held: HoldOn

    def on(self, scene: Scene) -> "LoweringRow":
        """See the base; held as it is."""
        etas = np.array([self.etas]).reshape(1, self.sheaves)
        rated, free = evaluate_lowering(scene, np.array([self.numbers]), etas)
        return LoweringRow(rated, 0, RigRow(free, 0), self.held)

    @cached_property
    def stands_badly(self) -> bool:
        """Not checked here: whoever holds stands behind the trunk the turns are on, and the cautions say
        where nobody may be."""
        return False

    def joint(self, nodes: tuple[int, ...]) -> Peak:
        return _worse(self.rated.joint(nodes), self.free.joint(nodes))

    def tension(self, segment: int) -> Peak:
        return self.parts_tension[segment]

    def over_sheave(self, node: int) -> Peak:
        """See the base; letting down, the tighter part is as a rule the one towards the standing end."""
        return _worse(self.parts_tension[node], self.parts_tension[node - 1])

    @cached_property
    def parts_tension(self) -> tuple[Peak, ...]:
        """Worst tension of each part from the standing end on, N, with the dynamic factor."""
        return tuple(
            _worse(self.rated.tension(k), self.free.tension(k)) for k in range(self.sheaves + 1)
        )

    @property
    def looks(self) -> tuple[tuple[Evaluation, slice], ...]:
        """See the base; sheaves as rated, and running free."""
        return self.rated.corners, self.free.corners

    def tightest_from(self, segment: int) -> Peak:
        """See the base: letting down, the tightest part lies elsewhere."""
        return self.tightest

    @cached_property
    def tightest(self) -> Peak:
        """Worst tension of any part of the rope, N, with the dynamic factor."""
        worst = self.parts_tension[0]
        for peak in self.parts_tension[1:]:
            worst = _worse(worst, peak)
        return worst

    @cached_property
    def bridle_tensions(self) -> tuple[Array, Array]:
        rated, free = self.rated.bridle_tensions, self.free.bridle_tensions
        first, second = (
            np.maximum(one.max(axis=0), other.max(axis=0))
            for one, other in zip(rated, free, strict=True)
        )
        return first, second

    @cached_property
    def slack_legs(self) -> tuple[tuple[float, float] | None, ...]:
        return self.rated.slack_legs

    @cached_property
    def line(self) -> Peak:
        """Worst tension at the held end, before the turns, N, without the dynamic factor."""
        return _worse(self.rated.hauling, self.free.hauling)

    @cached_property
    def hand(self) -> Peak:
        """Worst force of the hand behind the turns, N; 0 where a puller holds."""
        if self.held.trunk is None:
            return Peak(0.0, self.line.at)
        return Peak(self.line.value / self.held.ratio, self.line.at)

    @cached_property
    def hauling(self) -> Peak:
        """What the order of setups counts as people's force: not below what is comfortable."""
        return Peak(max(self.hand.value, self.held.comfort), self.hand.at)

    @cached_property
    def puller_use(self) -> Peak:
        """Worst force of the hand, or of the puller that holds, over what it may be."""
        if self.held.trunk is not None:
            return Peak(self.hand.value / self.held.limit, self.hand.at)
        return _worse(self.rated.puller_use, self.free.puller_use)

    @cached_property
    def anchor_use(self) -> dict[int, tuple[Peak, float | None]]:
        """As in hauling; the trunk of the turns carries the hand's pull too, whatever its way."""
        out = {}
        free = self.free.anchor_use
        for a, (peak, strength) in self.rated.anchor_use.items():
            worst = _worse(peak, free[a][0])
            if a == self.held.trunk:
                more = self.hand.value * float(self.scene.lever[self.numbers[-1]]) * self.dynamic
                worst = Peak(worst.value + more, worst.at)
            out[a] = (worst, strength)
        return out


def _worse(one: Peak, other: Peak) -> Peak:
    return other if other.value > one.value * (1.0 + 1e-9) else one
