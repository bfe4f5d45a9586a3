"""Finds what would let the load down where nothing does: the nearest misses, by the limits and changes of
every other question."""

from optimiser.jobs.lower.hold_job import HoldJob
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.misses.of_a_job import misses_of
from optimiser.rig.ground.stations import Stations
from optimiser.rig.setup import Miss

PATIENCE = 4.0
"""Effort for one stretch."""
MOST = 5
"""Misses that are printed."""


def nearest(job: HoldJob, stations: Stations) -> tuple[Miss, ...]:
    """Holds over a stretch that nearly work, the nearest first; where not all was looked at, the last states
    that."""
    rules = job.rules
    over = Job(job.site, job.kit, stations, rules, job.floor, line=job.line)
    return misses_of(over, MOST, job.clock.within(PATIENCE))
