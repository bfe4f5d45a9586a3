"""Defines a question to the search that can be put again with one limit moved."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

from optimiser.jobs.hold.kept import kept_scenes
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.holders import holding_scenes
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.edging import Edging, edgings
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.sharing import Shared
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.order import Order
from optimiser.search.clock import Clock
from optimiser.search.line import HAULING, Line
from optimiser.search.prove import Stop, search
from optimiser.search.rules import Rules
from optimiser.site.counts import USUAL
from optimiser.site.model import Site

FINE_BAND = 0.05
"""Band of the margin while a setup is looked for: the beam then goes for the strongest."""
SHARE = 0.12
"""Share of the time or effort left that one search may take, so that no kind of limit is left without any."""
LEAST_SHARE = 0.3
"""s, or units of effort, that one search may always take if there is so much."""
MOST_SCENES = 100
"""Scenes whose tables are kept while near misses are looked for: each spot of a track has several."""
FAR = 4.0
"""Margin up to which more is better while a setup is looked for."""


@dataclass(frozen=True)
class Job:
    """Everything that defines a search. `floor`: least margin a setup must have."""

    site: Site
    kit: Kit
    stations: Stations
    rules: Rules
    floor: float
    strict: bool = False  # what has no rating never counts
    loose: bool = False  # it does
    kept: bool = False  # second lines keep the load in hand where it would run or slew
    line: Line = HAULING

    @staticmethod
    def of(
        site: Site, rules: Rules, *, kit: Kit | None = None, stations: Stations | None = None
    ) -> "Job":
        """The whole path with the gear that is owned, unless `stations` or a `kit` is given."""
        gear = kit_of(site) if kit is None else kit
        laid = lay_stations(site, gear=gear.pieces) if stations is None else stations
        return Job(site, gear, laid, rules, site.preferences.margin_wanted)

    @property
    def hauls(self) -> bool:
        return self.line.duty is Duty.HAUL

    @property
    def buying(self) -> str:
        """The command that finds the cheapest gear for it."""
        return "`bankhaul buy`" if self.hauls else "`bankhaul buy --down`"

    @property
    def units(self) -> str:
        return self.site.preferences.units

    @cached_property
    def edgings(self) -> tuple[Edging, ...]:
        """What can lie on edges, with the ropes that run over it."""
        return edgings(self.site, self.kit)

    def every_scene(self) -> list[Scene]:
        """The scenes, rated or not."""
        tabulated = kept_scenes if self.kept else scenes if self.hauls else holding_scenes
        return list(tabulated(self.site, self.stations, self.kit))

    def scenes(self) -> tuple[list[Scene], bool]:
        """The scenes to search, and whether only rated anchors and hitches count in them: unrated ones
        are let in only where there is nothing else."""
        every = self.every_scene()
        rated = [scene for scene in every if scene.rated]
        if self.loose:
            return every, False
        if self.strict:
            return rated, True
        strong = any(a.strength.capacity is not None for a in self.site.anchors)
        return (rated, True) if rated and (strong or not self.site.anchors) else (every, False)


class Searches(Protocol):
    """What looks for setups of a job."""

    def search(self, job: Job, *, top: int = 2) -> tuple[list[Filled], bool]:
        """Some setups, and whether the search came to its end."""


@dataclass
class Budget:
    """How long explaining may take: what is left is shared by all searches. `cut`: one of them was
    broken off before it had found anything or proven that there is nothing."""

    clock: Clock
    cut: bool = False
    _known: list[tuple[Job, tuple[list[Scene], bool]]] = field(default_factory=list)
    _shared: Shared = field(default_factory=lambda: Shared(MOST_SCENES))

    def scenes(self, job: Job) -> tuple[list[Scene], bool]:
        """The job's scenes; those of a job with other gear only are the same, tables and all, unless other
        things lie on edges, or its ropes rub otherwise there. Where only weights, pulls or ratings differ
        they keep their tables."""
        for other, found in self._known:
            same_place = other.site is job.site and other.stations is job.stations
            same_place = same_place and (other.kept, other.hauls) == (job.kept, job.hauls)
            same_edges = same_place and other.edgings == job.edgings
            if same_edges and (other.strict, other.loose) == (job.strict, job.loose):
                return found
        looked, only_rated = job.scenes()
        self._known.append((job, ([self._shared.ready(scene) for scene in looked], only_rated)))
        return self._known[-1][1]

    def search(
        self, job: Job, *, top: int = 2, stop: Stop = Stop.GOOD
    ) -> tuple[list[Filled], bool]:
        """Some setups of the job, strong ones first, and whether the search came to its end: nothing
        found and True means that there is none."""
        if not self.clock.runs():
            self.cut = True
            return [], False
        looked, only_rated = self.scenes(job)
        kit = job.kit.rated_only if only_rated else job.kit
        order = Order(USUAL, max(FAR, job.floor), FINE_BAND)
        outcome = search(
            looked,
            kit,
            order,
            job.rules,
            top=top,
            floor=job.floor,
            everything=True,
            clock=self.clock.share(SHARE, least=LEAST_SHARE),
            only_rated=only_rated,
            stop=stop,
            line=job.line,
        )
        found = [entry.filled for _, entry in outcome.board.leaders()]
        if not found and not outcome.proven:
            self.cut = True
        return found, outcome.proven
