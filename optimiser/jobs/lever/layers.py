"""Computes one layer of blocking under one corner: what the bar lifts, and how the load stands
meanwhile."""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, inf

from optimiser.jobs.lever.stance import Stance, stances
from optimiser.mechanics.ground.bars import bar_effort, pivot_force
from optimiser.site.lever import LeverJob

Layers = tuple[int, ...]
"""Layers of blocking under each corner."""
LIFTED = 1e-6
"""m: a corner just off its blocks."""
LOOKED_AT = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of a lift at which the load is looked at: the force may be greatest on the way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A layer under `corner`. Forces in N; `spare` is the worst while and after."""

    corner: int
    to: Layers
    force: float
    hand: float
    bites: int
    fulcrum: float
    on: tuple[int, ...]
    spare: float
    over: tuple[int, int]


@dataclass(frozen=True)
class Yard:
    """The load on its blocks: every state of the stacks and what leads from one to the next."""

    job: LeverJob
    weight: float
    centre: tuple[float, float]

    @cached_property
    def bites(self) -> int:
        """Bites of the bar for one layer."""
        return ceil((self.job.block + self.job.clearance) / self.job.bite - 1e-9)

    def standing(self, layers: Layers) -> tuple[Stance, ...]:
        """How the load stands on its blocks."""
        return stances(self.job, self.centre, [k * self.job.block for k in layers])

    def raised(self, layers: Layers, corner: int, by: float) -> tuple[Stance, ...]:
        """How it stands with the bar holding one corner `by` metres above its blocks."""
        heights = [k * self.job.block for k in layers]
        heights[corner] += by
        return stances(self.job, self.centre, heights)

    def move(self, layers: Layers, corner: int) -> Move | None:
        """The next layer under a corner; None where the load tips over meanwhile."""
        to = tuple(k + (i == corner) for i, k in enumerate(layers))
        after, before = self.standing(to), self.standing(layers)
        if not after or not before:
            return None
        if all(stance.gaps[corner] >= self.job.block - 1e-9 for stance in before):
            worst = min((*before, *after), key=lambda s: s.spare)
            return Move(
                corner=corner,
                to=to,
                force=0.0,
                hand=0.0,
                bites=0,
                fulcrum=0.0,
                on=worst.on,
                spare=worst.spare,
                over=worst.over,
            )
        lift = self.job.block + self.job.clearance
        lifts = [self.raised(layers, corner, max(share * lift, LIFTED)) for share in LOOKED_AT]
        if not all(lifts):
            return None
        raised = [stance for lift in lifts for stance in lift]
        force = max(stance.shares[corner] for stance in raised) * self.weight
        worst = min((*before, *raised, *after), key=lambda s: s.spare)
        hand = self.hand_for(force)
        return Move(
            corner=corner,
            to=to,
            force=force,
            hand=hand,
            bites=self.bites,
            fulcrum=pivot_force(load=force, effort=hand, between=True),
            on=max(raised, key=lambda s: s.shares[corner]).on,
            spare=worst.spare,
            over=worst.over,
        )

    def hand_for(self, force: float) -> float:
        """Force on the bar's end for a force on its tip, N."""
        if force <= 0.0:
            return 0.0
        return bar_effort(
            load=force, load_arm=self.job.nose, effort_arm=self.job.bar - self.job.nose
        )

    def weight_limit(self, hand: float) -> float:
        """Most that the bar's tip lifts with this hand, within the bar's rating, N."""
        by_hand = hand * (self.job.bar - self.job.nose) / self.job.nose
        return min(by_hand, inf if self.job.bar_rating is None else self.job.bar_rating)
