"""Turns a few stations of a scene into rows that are linear in the parts of line, for the bounds.

A row k requires sum over parts of tau * gain[p, k] >= need[k] / H: one for the pull at each bound station,
and, hauling, one for each step a wheel must climb.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import assert_never

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.duty import Duty
from optimiser.rig.ground.strings import Strings
from optimiser.search.bounds.legs import Legs

BOUND_STATIONS = 5
IDLE = 1e-9
"""N: of a row that needs no more nothing is required."""


@dataclass(frozen=True)
class Demands(Legs):
    """What the load needs of the rope, and what a part of line to each place gives. P + 2 places, K rows."""

    @cached_property
    def needed(self) -> Array:
        """(S,) N along the ground that the rope has to give at each station: to haul the load, or to keep it
        from running. 0 or less where it has to give nothing."""
        st = self.scene.stations
        match self.line.duty:
            case Duty.HAUL:
                return np.asarray(st.weight * (st.slope_sin + st.resistance * st.slope_cos))
            case Duty.LOWER:
                return st.held_back
            case _:
                assert_never(self.line.duty)

    @cached_property
    def resistance(self) -> Array:
        """(S,) what a line that lifts the load by 1 N saves of that, N; less than 0: it costs so much."""
        st = self.scene.stations
        match self.line.duty:
            case Duty.HAUL:
                return st.resistance
            case Duty.LOWER:
                return np.asarray(-st.resistance_sure)
            case _:
                assert_never(self.line.duty)

    @cached_property
    def rows(self) -> npt.NDArray[np.int64]:
        """Stations of the rows: first, last, the hardest ones, and those between."""
        needed, leg = self.needed, self.scene.stations.leg
        able = np.arange(len(needed))
        if self.line.duty is Duty.LOWER and (needed > 0.0).any():
            able = np.flatnonzero(needed > 0.0)  # elsewhere the rope may be slack
        picks = {int(able[0]), int(able[-1]), int(np.argmax(needed))}
        for one in np.unique(leg[able]):
            inside = able[leg[able] == one]
            picks |= {int(inside[0]), int(inside[-1])} if len(picks) < BOUND_STATIONS else set()
        spread = np.linspace(0, len(able) - 1, BOUND_STATIONS).astype(int)
        for station in able[spread]:
            if len(picks) < BOUND_STATIONS:
                picks.add(int(station))
        return np.array(sorted(picks))

    @cached_property
    def stepped(self) -> npt.NDArray[np.int64]:
        """Stations with a step that can be climbed; letting down, exact forces alone look at them."""
        if self.line.duty is Duty.LOWER:
            return np.zeros(0, dtype=np.int64)
        radius = self.scene.site.load.wheel_radius or 0.0
        st = self.scene.stations
        return np.flatnonzero((st.step > 0.0) & (st.step < radius))

    @cached_property
    def stations(self) -> npt.NDArray[np.int64]:
        """Station of each row."""
        return np.concatenate([self.rows, self.stepped])

    @cached_property
    def need(self) -> Array:
        """(K,) N."""
        st, load = self.scene.stations, self.scene.site.load
        plain = self.needed[self.rows]
        out = [plain]
        for s in self.stepped:
            rise, run = self._wheel(int(s))
            out.append(
                np.array(
                    [
                        st.carried[s]
                        * load.axle_share
                        * (st.slope_sin[s] * rise + st.slope_cos[s] * run)
                    ]
                )
            )
        return np.maximum(np.concatenate(out), IDLE)

    @cached_property
    def gain(self) -> Array:
        """(P + 2, K) what a part of line to each place gives to each row, per unit of tension; to the
        puller: at the spot of its run where that is least, for it must do at every one."""
        sc, at, (along, up) = self.scene, self.stations, self.axes
        out = sc.forward[:, at] * along + sc.lift[:, at] * up
        out[-1] = (sc.forward_direct[:, at] * along + sc.lift_direct[:, at] * up).min(axis=0)
        return np.nan_to_num(out)

    @cached_property
    def axes(self) -> tuple[Array, Array]:
        """(K,) each: what 1 N along the load's way, and 1 N that lifts it, give to each row."""
        forward, lift = [np.ones(len(self.rows))], [self.resistance[self.rows]]
        for s in self.stepped:
            rise, run = self._wheel(int(s))
            forward.append(np.array([rise]))
            lift.append(np.array([run]))
        return np.concatenate(forward), np.concatenate(lift)

    @cached_property
    def most_given(self) -> Array:
        """(K,) the most that a pull of 1 N on the load can give to each row. Seen from the side, what several
        parts of line pull together leads between the lowest and the steepest of them; the nearer that is to
        the best way to pull, the better."""
        sc, at, (along, up) = self.scene, self.stations, self.axes
        best = np.arctan2(up, along)
        places = np.flatnonzero(self.from_load[:-1])
        forward, lift = sc.forward[places][:, at], sc.lift[places][:, at]
        if self.direct:
            forward = np.concatenate([forward, sc.forward_direct[:, at]])
            lift = np.concatenate([lift, sc.lift_direct[:, at]])
        if len(forward):
            leads = np.arctan2(lift, forward)
            low, high = leads.min(axis=0), leads.max(axis=0)
            best = np.where(high - low < np.pi, np.clip(best, low, high), best)
        return np.asarray(along * np.cos(best) + up * np.sin(best))

    def _wheel(self, station: int) -> tuple[float, float]:
        radius = self.scene.site.load.wheel_radius
        assert radius is not None
        height = float(self.scene.stations.step[station])
        return radius - height, float(np.sqrt(2 * radius * height - height * height))

    # ---- friction on edges ------------------------------------------------------------------------

    @cached_property
    def _rubs(self) -> Array:
        """(P + 2, K) what a part between the load and each place passes on over edges, tension where the rope
        comes from / where it goes; the puller at its near end. (1, 1) where nothing lies there."""
        table = self.scene.reach.strings
        if table is None:
            return np.ones((1, 1))
        return self._passed(table.pick((slice(None), self.stations)))

    @property
    def rubbed(self) -> int:
        """Columns of what walks keep of their tension over edges: K, or 1 where nothing lies there."""
        return self._rubs.shape[1]

    @cached_property
    def passed_direct(self) -> tuple[Array, Array]:
        """(1, K) or (1, 1) the same of a hauling line straight from the load: the most and the least over the
        spots of the puller's run."""
        direct = self.scene.reach.strings_direct
        if direct is None or self.by_hand:
            return np.ones((1, 1)), np.ones((1, 1))
        found = self._passed(direct.pick((slice(None), self.stations)))
        return found.max(axis=0)[None], found.min(axis=0)[None]

    def passed(self, place: Numbers) -> Array:
        """(n, K) or (n, 1) what a part between the load and each of the places (n,) passes on over edges."""
        return self._rubs[place] if len(self._rubs) > 1 else np.ones((len(place), 1))

    @cached_property
    def _rubs_between(self) -> Array | None:
        between = self.scene.fixed.between
        return None if between is None else self._passed(between)

    def passed_between(self, one: Numbers, two: Numbers) -> Array:
        """(n, K) or (n, 1) the same of parts between two anchor places (n,)."""
        if self._rubs_between is None:
            return np.ones((len(one), 1))
        return np.repeat(self._rubs_between[one, two][:, None], self.rubbed, axis=1)

    @cached_property
    def _rubs_last(self) -> Array | None:
        to_puller = self.scene.fixed.to_puller
        return None if to_puller is None or self.by_hand else self._passed(to_puller)

    def passed_last(self, place: Numbers, *, most: bool) -> Array:
        """(n, K) or (n, 1) the same of the hauling line from places (n,), over the spots of the puller's run:
        the most, or the least."""
        if self._rubs_last is None:
            return np.ones((len(place), self.rubbed))
        found = self._rubs_last[place]
        kept = found.max(axis=1) if most else found.min(axis=1)
        return np.repeat(kept[:, None], self.rubbed, axis=1)

    def _passed(self, lines: Strings) -> Array:
        """(...) what lines pass on over edges: hauling with as much friction as there may be, letting down
        with as little."""
        match self.line.duty:
            case Duty.HAUL:
                return lines.passed(self.scene.frictions[:, 1])
            case Duty.LOWER:
                return np.asarray(1.0 / lines.passed(self.scene.frictions[:, 0]))
            case _:
                assert_never(self.line.duty)

    @cached_property
    def passed_most(self) -> float:
        """The most that any part passes on over edges; 1 or less hauling."""
        tables = (self._rubs, self._rubs_between, self._rubs_last, *self.passed_direct)
        if self.line.duty is Duty.HAUL:
            return 1.0
        return max(1.0, *(float(np.nanmax(t)) for t in tables if t is not None and t.size))
