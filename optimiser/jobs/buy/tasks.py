"""Lists what has to be done at some sites: their loads hauled, let down, or both."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimiser.jobs.buy.descents import rests
from optimiser.jobs.lower.downhill import falls_both_ways
from optimiser.jobs.question import BuyQuestion
from optimiser.site.model import Site, Trip


@dataclass(frozen=True, slots=True)
class Task:
    """One trip of the load of a site. `name`: what it is called: the file, and the trip where the load makes
    several; `place`: the number of its site, from 0."""

    site: Site
    name: str
    trip: Trip
    place: int

    @property
    def rests(self) -> bool:
        """Whether no rope is needed for it: the load is let down, and rests by itself all along."""
        return self.trip is Trip.DOWN and rests(self.site)


def tasks(sites: Sequence[Site], names: Sequence[str], question: BuyQuestion) -> Iterator[Task]:
    """Each trip of each site, site by site. Raises ValueError for a path that leads downhill where the load
    goes both ways: nothing says how it gets up."""
    for place, (site, name) in enumerate(zip(sites, names, strict=True)):
        trips, fault = question.trips(site), falls_both_ways(site, name)
        if len(trips) > 1 and fault:
            raise ValueError(fault)
        for trip in trips:
            yield Task(site, f"{name}, {trip}" if len(trips) > 1 else name, trip, place)
