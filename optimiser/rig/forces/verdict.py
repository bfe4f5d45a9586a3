"""The verdict on a rig, state by state: what can fail, where, by how much, and the words for it.

A rig works in a state where nothing fails. Searches read the masks only; amounts and words are worked
out on request. What the pieces bear is not looked at here.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Protocol, assert_never

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.ground import step
from optimiser.rig.ground.scene import Scene
from shared.units import Dimension, Rounding, show

SLACK = 1e-12
"""Of a side pull beyond its limit: rounding, no more."""
ANGLE_SLACK = 1e-9
"""rad, the same of the hauling line's angles."""


class Fault(Enum):
    """What can fail in a state, in the order in which it is reported."""

    CANNOT_MOVE = "cannot move"
    CANNOT_HOLD = "cannot hold"
    STEP = "step"
    RUNS_ON = "runs by itself"
    LIFTS_OFF = "lifts off"
    SLEWS = "slews"
    LINE_BLOCKED = "line blocked"
    OFF_RUN = "line off the puller's run"
    OFF_LEVEL = "line up or down against the puller's run"
    NO_GRIP = "no grip"
    PULLED_UP = "anchor pulled up"
    PULLED_ASIDE = "anchor pulled aside"
    NOT_MADE = "not enough to make an anchor"
    IN_THE_WAY = "anchor in the puller's way"
    SHARED = "sling between two trees"


HAULING = tuple(fault for fault in Fault if fault is not Fault.CANNOT_HOLD)
ON_ANCHORS = (
    Fault.PULLED_UP, Fault.PULLED_ASIDE, Fault.NOT_MADE, Fault.IN_THE_WAY, Fault.SHARED
)  # fmt: skip
"""Faults of anchors that are made: which pulls they stand, what there is to make them of, and whether what
pulls runs over them; and of a sling between two trees."""
LETTING_DOWN = (
    Fault.CANNOT_HOLD, Fault.STEP, Fault.LIFTS_OFF, Fault.SLEWS, Fault.LINE_BLOCKED, *ON_ANCHORS
)  # fmt: skip
"""A load that runs by itself is what a rope lets down; who holds it is looked at with what they stand."""


class States(Protocol):
    """Every station with the puller at every spot of its run."""

    @property
    def station(self) -> Numbers: ...


class Figures(Protocol):
    """The figures of n walks in X states, of which each has a limit; see `Evaluation`."""

    @property
    def scene(self) -> Scene: ...
    @property
    def states(self) -> States: ...
    @property
    def faults(self) -> tuple[Fault, ...]: ...
    @property
    def pull(self) -> Array: ...
    @property
    def forward(self) -> Array: ...
    @property
    def may_run_on(self) -> Mask: ...
    @property
    def reaction(self) -> Array: ...
    @property
    def side_pull(self) -> Array: ...
    @property
    def side_limit(self) -> Array: ...
    @property
    def clear(self) -> Mask: ...
    @property
    def puller_limit(self) -> Array: ...
    @property
    def hauling_angles(self) -> tuple[Array, Array]: ...
    @property
    def too_steep(self) -> Array: ...
    @property
    def too_far_aside(self) -> Array: ...
    @property
    def not_made(self) -> Mask: ...
    @property
    def run_over(self) -> Mask: ...
    @property
    def shared_wrongly(self) -> Mask: ...


@dataclass(frozen=True, slots=True)
class Failure:
    """One fault of one walk: the first place along the path where it comes (state, and m), the worst
    amount (unit as in `Verdict.amount`; inf where it is a matter of yes or no) and its words."""

    fault: Fault
    state: int
    at: float
    amount: float
    words: str
    where: str

    @property
    def text(self) -> str:
        return f"{self.words}, first with the load at {self.where}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What fails in the states of some walks, all in arrays (n, X)."""

    figures: Figures

    @property
    def works(self) -> Mask:
        """(n, X) where nothing fails. The quick way: faults of one cause are looked at together."""
        return self.works_but(())

    def works_but(self, left_out: Collection[Fault]) -> Mask:
        """(n, X) where nothing fails but perhaps some faults that are looked at elsewhere."""
        f = self.figures
        bad = ~np.isfinite(f.pull)  # of these steps are a part
        for fault in f.faults:
            if fault in _MOTION and fault not in left_out:
                bad |= self.fails(fault)
        if f.scene.site.has_made:
            for fault in ON_ANCHORS:
                bad |= self.fails(fault)
        if Fault.NO_GRIP in f.faults:  # so has a line that leads off the run or up and down
            bad |= self._no_pull
        return np.logical_not(bad, out=bad)

    @property
    def _no_pull(self) -> Mask:
        """(n, X) where the puller can give its line nothing."""
        return np.asarray(~(self.figures.puller_limit > 0.0))

    def fails(self, fault: Fault) -> Mask:
        """(n, X) where a fault is."""
        f = self.figures
        match fault:
            case Fault.CANNOT_HOLD:
                out = ~np.isfinite(f.pull) & ~self._too_high
            case Fault.CANNOT_MOVE:
                out, high = ~np.isfinite(f.pull), self._too_high
                if high.any():  # without the step it might move
                    out = out & ~(high & (f.forward > 0.0))
            case Fault.STEP:
                out = np.broadcast_to(self._too_high, f.pull.shape)
            case Fault.RUNS_ON:
                least = 0.0 if f.scene.kept else np.nextafter(0.0, 1.0)
                out = (f.pull < least) | f.may_run_on
            case Fault.LIFTS_OFF:  # no reaction is known where the load cannot be moved
                with np.errstate(invalid="ignore"):
                    out = ~(f.reaction >= 0.0) & np.isfinite(f.pull)
            case Fault.SLEWS:
                with np.errstate(invalid="ignore"):
                    out = ~(f.side_pull <= f.side_limit + SLACK)
            case Fault.LINE_BLOCKED:
                out = ~f.clear
            case Fault.OFF_RUN:
                out = self._no_pull & (self.amount(fault) > ANGLE_SLACK)
            case Fault.OFF_LEVEL:
                out = self._no_pull & (self.amount(fault) > ANGLE_SLACK)
            case Fault.NO_GRIP:
                led = self.fails(Fault.OFF_RUN) | self.fails(Fault.OFF_LEVEL)
                out = self._no_pull & ~led
            case Fault.PULLED_UP | Fault.PULLED_ASIDE:
                out = self.amount(fault) > ANGLE_SLACK
            case Fault.NOT_MADE:
                out = np.broadcast_to(f.not_made[:, None], f.pull.shape)
            case Fault.IN_THE_WAY:
                out = np.broadcast_to(f.run_over[:, None], f.pull.shape)
            case Fault.SHARED:
                out = f.shared_wrongly
            case _:
                assert_never(fault)
        return np.asarray(out)

    def amount(self, fault: Fault) -> Array:
        """(n, X) how far the figure lies beyond its limit, at 0 or below where it does not; inf where a
        fault has no figure.

        Cannot move: forward pull that is lacking, per unit of pull at the hauling end [-]. Step: its
        height above the axle, m. Runs by itself: what a holding line would have to bear, N. Lifts off: N.
        Slews: sideways over forward pull [-]. Off the run, up or down against it, an anchor pulled up or
        aside: rad.
        """
        f = self.figures
        scene, station = f.scene, f.states.station
        match fault:
            case Fault.CANNOT_MOVE:
                out = np.where(f.forward > 0.0, np.inf, -f.forward)
            case Fault.STEP:
                out = scene.stations.step[station] - (scene.site.load.wheel_radius or 0.0)
            case Fault.RUNS_ON:
                out = scene.stations.held_on[station]
            case Fault.LIFTS_OFF:
                out = -f.reaction
            case Fault.SLEWS:
                out = f.side_pull - f.side_limit
            case Fault.OFF_RUN:
                out = f.hauling_angles[0] - scene.puller.angle_limit
            case Fault.OFF_LEVEL:
                out = f.hauling_angles[1] - scene.puller.rise_limit
            case Fault.PULLED_UP:
                out = f.too_steep
            case Fault.PULLED_ASIDE:
                out = f.too_far_aside
            case (
                Fault.CANNOT_HOLD
                | Fault.LINE_BLOCKED
                | Fault.NO_GRIP
                | Fault.NOT_MADE
                | Fault.IN_THE_WAY
                | Fault.SHARED
            ):
                out = np.where(self.fails(fault), np.inf, 0.0)
            case _:
                assert_never(fault)
        return np.broadcast_to(out, f.pull.shape)

    @property
    def _too_high(self) -> Mask:
        """(X,) where the wheels meet a step that they cannot climb."""
        scene = self.figures.scene
        radius, steps = scene.site.load.wheel_radius, scene.stations.step
        high = [not step.climbable(wheel_radius=radius, step=float(s)) for s in steps]
        return np.array(high, dtype=bool)[self.figures.states.station]

    def failures(self, row: int) -> Iterator[Failure]:
        """What fails of one walk, each fault once, in the order of `Fault`."""
        scene = self.figures.scene
        for fault in self.figures.faults:
            bad = np.flatnonzero(self.fails(fault)[row])
            if not len(bad):
                continue
            amounts = self.amount(fault)[row]
            worst = int(bad[np.argmax(np.nan_to_num(amounts[bad], nan=-np.inf, posinf=np.inf))])
            at = float(scene.stations.at[self.figures.states.station[bad[0]]])
            yield Failure(
                fault=fault,
                state=int(bad[0]),
                at=at,
                amount=float(amounts[worst]),
                words=self._words(fault, row, worst),
                where=show(at, Dimension.LENGTH, scene.site.preferences.units),
            )

    def first(self, row: int, left_out: Collection[Fault] = ()) -> Failure | None:
        """What fails of one walk at the first place along the path; None where it works."""
        found = (failure for failure in self.failures(row) if failure.fault not in left_out)
        return min(found, key=lambda failure: failure.state, default=None)

    def _words(self, fault: Fault, row: int, worst: int) -> str:
        """A fault in words, with its amount in its worst state."""
        f, units = self.figures, self.figures.scene.site.preferences.units
        amount = float(self.amount(fault)[row, worst])
        match fault:
            case Fault.CANNOT_MOVE:
                return "the rig cannot move the load"
            case Fault.CANNOT_HOLD:
                return "the rig cannot hold the load"
            case Fault.STEP:
                high = float(f.scene.stations.step[f.states.station[worst]])
                shown = show(high, Dimension.LENGTH, units, Rounding.UP)
                return (
                    f"the load does not get over the step of {shown}: it is not lower than the axle"
                )
            case Fault.RUNS_ON:
                holds = show(amount, Dimension.FORCE, units, Rounding.UP)
                return (
                    f"the load runs downhill by itself: it needs a holding line that bears {holds}"
                )
            case Fault.LIFTS_OFF:
                by = ""
                if np.isfinite(amount):
                    by = f" by up to {show(amount, Dimension.FORCE, units, Rounding.UP)}"
                return f"the load lifts off the ground{by}"
            case Fault.SLEWS:
                side, limit = float(f.side_pull[row, worst]), float(f.side_limit[worst])
                how = f"{side:.2f} sideways for 1 forward, {limit:.2f} is the limit"
                if not np.isfinite(side):
                    how = "it is not pulled forward at all"
                return f"the load slews: pulled too far sideways ({how})"
            case Fault.LINE_BLOCKED:
                return "a line meets the ground, a trunk, a post or the load's nose"
            case Fault.OFF_RUN:
                limit = f.scene.puller.angle_limit
                return f"the hauling line leads off the puller's run{_angle(amount, limit, units)}"
            case Fault.OFF_LEVEL:
                limit = f.scene.puller.rise_limit
                turned = _angle(amount, limit, units)
                return f"the hauling line leads up or down against the puller's run{turned}"
            case Fault.NO_GRIP:
                return "the puller has no grip that it could pull with"
            case Fault.PULLED_UP:
                over = show(amount, Dimension.ANGLE, units, Rounding.UP)
                return f"an anchor is pulled up {over} more steeply than it stands"
            case Fault.PULLED_ASIDE:
                over = show(amount, Dimension.ANGLE, units, Rounding.UP)
                return f"an anchor is pulled {over} further aside than it stands, whichever way it faces"
            case Fault.NOT_MADE:
                return "there is not enough to make its anchors of, or two would stand on one spot"
            case Fault.IN_THE_WAY:
                return f"{f.scene.puller.name} would go over an anchor that is made for the rig"
            case Fault.SHARED:
                return (
                    "two trees that share a pull take one block or one end, no bridle, nothing on either "
                    "tree besides, and no line that passes them almost straight"
                )
            case _:
                assert_never(fault)


_MOTION = frozenset({Fault.RUNS_ON, Fault.LIFTS_OFF, Fault.SLEWS, Fault.LINE_BLOCKED})
"""Faults whose masks are cheap and of no common cause."""


def _angle(over: float, limit: float, units: str) -> str:
    """How far a line leads off, and how far it may."""
    leads = show(limit + over, Dimension.ANGLE, units, Rounding.UP)
    return f" by {leads}; {show(limit, Dimension.ANGLE, units, Rounding.DOWN)} is the limit"
