"""Works out a setup that hauls, with every rope where it runs at every station."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import gear_of, of_setup
from optimiser.rig.ground.keepout import Area, areas
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import join_stations, lay_stations, station_at
from optimiser.rig.laid_edges import hauling
from optimiser.rig.refit import evaluated
from optimiser.rig.setup import Setup, Way
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.shown.drawn import Drawn, of_sum
from optimiser.sheet.shown.holding import called, drawn_line, line_areas
from optimiser.sheet.shown.most_pull import Limits
from optimiser.sheet.shown.ropes import (
    HAULING,
    MAIN,
    PLAIN,
    SECOND,
    Rope,
    bent,
    key,
    own_gear,
    positions,
    style,
)
from optimiser.site.model import Puller, Site

_SAME = 1e-6
"""m along the path below which two places are one."""


@dataclass(frozen=True, eq=False)
class Rigged(Drawn):
    """A setup on its site. `number` of `count`: which stage of the plan it is."""

    word = "setup"
    site: Site
    setup: Setup
    number: int = 1
    count: int = 1

    @property
    def downward(self) -> bool:
        return False

    @property
    def puller(self) -> Puller:
        return self.setup.puller

    @property
    def stops(self) -> tuple[float, ...]:
        return self.setup.stops

    @property
    def force_name(self) -> str:
        return "pull at the hauling end"

    @cached_property
    def evaluation(self) -> Evaluation:
        """The setup's ropes over the stations of its stretch. KeyError for a setup of another site.

        Where the stretch begins at a bend only the leg ahead counts, where it ends at one only the leg
        behind: the load is turned between two stages.
        """
        setup = self.setup
        laid = lay_stations(self.site, gear=gear_of(self.site, setup))
        inside = np.flatnonzero((laid.at > setup.from_m + _SAME) & (laid.at < setup.to_m - _SAME))
        first = station_at(self.site, setup.from_m).pick(slice(-1, None))
        last = station_at(self.site, setup.to_m).pick(slice(0, 1))
        stations = join_stations([first, laid.pick(inside), last])
        held = {a.name: a for a in attachments(self.site)}[setup.attachment]
        kept = any(line.way is Way.ON for line in setup.holding)
        guides = () if setup.steered is None else (setup.steered,)
        edging = of_setup(self.site, setup)
        scene = Scene(self.site, stations, held, setup.puller, kept, guides, edging)
        return evaluated(scene, setup, [eta for line in setup.lines for eta in line.etas])

    @cached_property
    def _spots(self) -> int:
        return len(self.scene.spots)

    @cached_property
    def forces(self) -> Array:
        """(S,) pull at the hauling end, N, the worst over the puller's run."""
        return np.asarray(self.evaluation.pull[0].reshape(-1, self._spots).max(axis=1))

    @cached_property
    def limits_of(self) -> tuple[Limits, ...]:
        return (Limits(self.evaluation, self.forces, self.setup.nodes, {}),)

    @cached_property
    def ropes(self) -> tuple[Rope, ...]:
        hauling = self._hauling
        first, out = hauling[-1].last + 1, list(hauling)
        names = called(self.setup.holding)
        for i, line in enumerate(self.setup.holding):
            out.append(drawn_line(self.scene, line, names[i], first, style(2 + i)))
            first = out[-1].last + 1
        return tuple(out)

    @property
    def holding(self) -> tuple[Rope, ...]:
        """The ropes that hold or steer."""
        return self.ropes[len(self.setup.lines) :]

    @cached_property
    def _hauling(self) -> list[Rope]:
        lines, begin, first = self.setup.lines, 0, 1
        alone = HAULING if self.setup.holding else PLAIN
        words = (alone,) if len(lines) == 1 else (MAIN, SECOND)
        out = []
        for i, line in enumerate(lines):
            count = len(line.walk)
            own = slice(begin, begin + count - 1)
            near = positions(self.scene, line.walk, self.scene.hitch, grip=self.grip)
            touched = self.setup.contacts if i == 0 else ()
            out.append(
                Rope(
                    called=words[i],
                    piece=line.rope,
                    walk=line.walk,
                    first=first,
                    needed=line.rope_needed,
                    style=style(i),
                    near=near,
                    far=positions(
                        self.scene, line.walk, self.scene.hitch, grip=self.grip, far=True
                    ),
                    gear=own_gear(self.setup.gear, begin, count, last=line is lines[-1]),
                    shares=self._shares[own],
                    carries=self.tensions[own],
                    lies=tuple((key(a), key(b)) for a, b in list(pairwise(self.setup.nodes))[own]),
                    bent=bent(self.site, line.walk, near, touched),
                    over=hauling(self.setup) if touched else None,
                )
            )
            begin, first = begin + count, first + count - 1
        return out

    @cached_property
    def grip(self) -> Array | None:
        """(S, 3) m where the grip on the main rope is; None without one."""
        ev, at = self.evaluation, self.scene.stations.at
        node, tackle = ev.course.grip, ev.course.tackle
        if node is None or tackle is None:
            return None
        shape = (len(at), self._spots)
        span = ev.lengths[node - 1, 0].reshape(shape)[:, 0]
        other = ev.lengths[: node - 1, 0].sum(axis=0).reshape(shape)[:, 0]
        way = np.searchsorted(np.array(self.setup.moved), at - _SAME)
        left = np.clip(other + span - np.array(self.setup.gripped)[way], 0.0, span)
        last = positions(self.scene, self.setup.walk[-2:-1], self.scene.hitch)[:, 0]
        anchor = np.nan_to_num(self.scene.position[tackle.anchor])
        return np.asarray(anchor + (last - anchor) * (left / np.maximum(span, 1e-9))[:, None])

    @cached_property
    def tensions(self) -> Array:
        """(segments,) tension at the worst station, N, without the dynamic factor; 0 between two
        ropes."""
        return np.asarray(self.evaluation.tau[:, 0, 0] * self.setup.pull)

    @cached_property
    def _shares(self) -> Array:
        """(segments,) share that each part gives at the worst station of the forward pull on the load,
        or of the pull on the grip; 0 for a part that ends at neither."""
        out = self.shares_of_load(self.setup.nodes)
        begin = len(self.setup.walk)
        grip = np.array([p.kind is PlaceKind.GRIP for p in self.setup.nodes[begin:]], dtype=float)
        if grip.any():
            out[begin:] = of_sum(self.evaluation.tau[begin:, 0, 0] * (grip[:-1] + grip[1:]))
        return out

    @cached_property
    def areas(self) -> tuple[Area, ...]:
        own = areas(self.site, self.setup)
        held = (line_areas(self.site, self.at, line) for line in self.setup.holding)
        return (*own, *(area for some in held for area in some))
