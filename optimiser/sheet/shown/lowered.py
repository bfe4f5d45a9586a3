"""Works out a way down, with its rope where it runs at every station."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.jobs.lower.results import LoweringSetup
from optimiser.jobs.lower.words import newtons
from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.holders import hand
from optimiser.rig.forces.travel import stroke_ends
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import of_setup
from optimiser.rig.ground.keepout import Area, areas, standing_faults
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations, join_stations, lay_stations, station_at
from optimiser.rig.laid_edges import letting_down
from optimiser.rig.walk import Place
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lying import At, Lying
from optimiser.sheet.shown.most_pull import Limits
from optimiser.sheet.shown.ropes import PLAIN, Rope, bent, lies, own_gear, positions, style
from optimiser.site.model import Puller, Site
from shared.units import Rounding

_SAME = 1e-6
"""m within which two places along the path are one."""


@dataclass(frozen=True, eq=False)
class Lowered(Drawn):
    """A hold, or a stage of a way down, on its site."""

    word = "hold"
    site: Site
    setup: LoweringSetup
    number: int = 1
    count: int = 1
    lettered: tuple[Place, ...] = ()

    @property
    def downward(self) -> bool:
        return True

    @property
    def puller(self) -> Puller | None:
        return self.setup.holder

    @property
    def force_name(self) -> str:
        return "force in the hand" if self.setup.turns else f"line at {self.setup.walk[-1].name}"

    @property
    def force_unit(self) -> tuple[float, str]:
        """A hand's force in newtons, as everywhere else."""
        metric = self.site.preferences.units != "imperial"
        return (1.0, "N") if self.setup.turns and metric else super().force_unit

    def force_worded(self, value: float, rounding: Rounding) -> str:
        if self.setup.turns:
            return newtons(value, self.site.preferences.units, rounding)
        return super().force_worded(value, rounding)

    @cached_property
    def _both(self) -> tuple[Evaluation, Evaluation]:
        """With the sheaves as rated, and running free. KeyError for a hold of another site."""
        setup = self.setup
        attachment = {a.name: a for a in attachments(self.site)}[setup.attachment]
        scene = Scene(
            self.site, _stations(self.site, setup), attachment, setup.holder or hand(self.site),
            edging=of_setup(self.site, setup),
        )  # fmt: skip
        walk = np.array([[scene.number[place] for place in setup.walk]])
        rated = evaluate(scene, walk, np.array([setup.etas]).reshape(1, -1), Duty.LOWER)
        assert rated.twin is not None
        return rated, rated.twin

    @property
    def evaluation(self) -> Evaluation:
        return self._both[0]

    @cached_property
    def forces(self) -> Array:
        rows = reversed(self.setup.profile)
        return np.array([row.line if row.hand is None else row.hand for row in rows])

    @cached_property
    def limits_of(self) -> tuple[Limits, ...]:
        """With the sheaves either way: the least counts. The hand pulls on the trunk too."""
        setup, added = self.setup, {}
        if setup.turns:
            last = self.scene.number[setup.walk[-1]]
            added = {setup.walk[-1].name: float(self.scene.lever[last]) / setup.ratio}
        return tuple(Limits(ev, self.forces, setup.walk, added) for ev in self._both)

    @cached_property
    def stops(self) -> tuple[float, ...]:
        """Where whoever pays out takes a new grip, from the top down."""
        setup, ev = self.setup, self.evaluation
        if setup.holder is None or not setup.resets:
            return ()
        total = ev.total_length[0].reshape(len(self.at), -1)
        found = stroke_ends(puller=setup.holder, at=self.at, near=total[:, 0], far=total[:, -1])
        return tuple(reversed(found))

    @cached_property
    def ropes(self) -> tuple[Rope, ...]:
        setup, scene = self.setup, self.scene
        near = positions(scene, setup.walk, scene.hitch, far=True)
        return (
            Rope(
                called=PLAIN,
                piece=setup.rope,
                walk=setup.walk,
                first=1,
                needed=setup.rope_needed,
                style=style(0),
                near=near,
                far=positions(scene, setup.walk, scene.hitch),
                gear=own_gear(setup.gear, 0, len(setup.walk), last=True),
                shares=self.shares_of_load(setup.walk),
                carries=self._carries,
                lies=lies(setup.walk),
                bent=bent(self.site, setup.walk, near, setup.contacts),
                over=letting_down(setup) if setup.contacts else None,
                turns=setup.turns,
            ),
        )

    @cached_property
    def _carries(self) -> Array:
        """(parts,) N, the worse of both looks, without the dynamic factor."""
        rated, free = (float(np.nanmax(ev.pull)) for ev in self._both)
        return np.maximum(rated * self.evaluation.tau[:, 0, 0], free)

    @cached_property
    def _lying(self) -> Lying:
        setup = self.setup
        rows = [At(at=row.at, runs_back=row.runs) for row in reversed(setup.profile)]
        return Lying(walk=setup.walk, puller=setup.holder or hand(self.site), profile=tuple(rows))

    @cached_property
    def areas(self) -> tuple[Area, ...]:
        return areas(self.site, self._lying)

    @property
    def standing(self) -> tuple[str, ...]:
        """What is wrong with where the puller stands that pays out."""
        return () if self.setup.holder is None else standing_faults(self.site, self._lying)


def _stations(site: Site, setup: LoweringSetup) -> Stations:
    """The stations of a hold's profile; a stage may begin and end between those of the whole path.
    ValueError for a hold of another site."""
    rows = setup.profile[::-1]
    at, slope = np.array([row.at for row in rows]), np.array([row.slope for row in rows])
    laid = lay_stations(site)
    inside = np.flatnonzero((laid.at > at[0] + _SAME) & (laid.at < at[-1] - _SAME))
    ends = (station_at(site, float(at[0])), station_at(site, float(at[-1])))
    laid = join_stations([ends[0], laid.pick(inside), ends[1]])
    for begin in range(len(laid) - len(rows) + 1):
        here = laid.pick(slice(begin, begin + len(rows)))
        same = np.allclose(here.at, at) and np.allclose(np.arcsin(here.slope_sin), slope)
        if same:
            return here
    raise ValueError(f"hold {setup.rank} is not of this site")
