"""A line that holds or lets down, as the keep-out areas look at it."""

from collections.abc import Iterable
from dataclasses import dataclass

from optimiser.rig.ground.keepout import Area, areas
from optimiser.rig.walk import Walk
from optimiser.site.model import Puller, Site


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """The load at one place of the path, and the force with which it runs back, N."""

    at: float
    runs_back: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """One rope over a stretch; see `optimiser.rig.ground.plan_view.Laid`."""

    walk: Walk
    puller: Puller
    profile: tuple[At, ...]
    stops: tuple[float, ...] = ()

    @property
    def courses(self) -> tuple[Walk, ...]:
        return (self.walk,)

    @property
    def from_m(self) -> float:
        return min(row.at for row in self.profile)

    @property
    def to_m(self) -> float:
        return max(row.at for row in self.profile)


def areas_of(site: Site, walk: Walk, puller: Puller, rows: Iterable[At]) -> tuple[Area, ...]:
    """The keep-out areas of a line with the load at each of some places."""
    return areas(site, Lying(walk=walk, puller=puller, profile=tuple(rows)))
