"""Finds the nearest misses of a haul, with the smallest change of where things stand where that is less."""

from dataclasses import replace

from optimiser.jobs.question import MISSES, MissesQuestion, WhyQuestion
from optimiser.jobs.why import motion
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.limits import (
    NEARER,
    LineAngle,
    SidePull,
)
from optimiser.jobs.why.misses.of_a_job import misses_of
from optimiser.jobs.why.why import explain
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.stations import Stations
from optimiser.rig.setup import Miss
from optimiser.rig.walk import by_rope
from optimiser.search.clock import Clock
from optimiser.site.model import Site

PATIENCE = 7.0
"""Effort that explaining may take where no time limit is given."""
MOVING = 2.0
"""Effort for finding where things would have to stand instead."""
BY_PLACE = {
    SidePull().name: (motion.IN_LINE,),
    LineAngle().name: (motion.ANGLE, motion.RISE),
}
"""Kinds of limit that depend on where things stand, and their checks."""


def nearest_misses(
    site: Site,
    question: MissesQuestion = MISSES,
    *,
    kit: Kit | None = None,
    stations: Stations | None = None,
    clock: Clock | None = None,
) -> tuple[Miss, ...]:
    """Setups that nearly work, the nearest first, each with what stops it and the change that cures it.

    One kind of limit is moved at a time, and the same search as `rank` finds what needs it moved the
    least; only where no single change does, two are moved together. Nothing is missed where a setup
    works. Where the time ran out before all was looked at, the last of them states it. `kit`: gear in place
    of what the site owns; `stations`: a stretch of the path instead of the whole; `clock`: in place of the
    question's limit, the rest of another job's.
    """
    rules = replace(question.rules(site), compound=question.compound)
    whole = replace(Job.of(site, rules, kit=kit, stations=stations), strict=question.rated_only)
    patient = (clock or Clock(question.time_limit, None)).patient(PATIENCE)
    return tuple(_moved(whole, miss, patient) for miss in misses_of(whole, question.many, patient))


def _moved(job: Job, miss: Miss, clock: Clock) -> Miss:
    """A miss by where things stand, with the smallest change of that which cures it by itself."""
    two_ropes = len(by_rope(miss.walk)) > 1
    if not job.hauls or miss.limit not in BY_PLACE or two_ropes or not clock.runs():
        return miss
    explained = explain(
        job.site,
        miss.walk,
        WhyQuestion(without=tuple(job.site.preferences.rules.difference(job.rules.names))),
        stations=job.stations,
        kit=job.kit,
        clock=clock.within(MOVING),
    )
    checks = [check for check in explained.failed if check.name in BY_PLACE[miss.limit]]
    change = checks[0].change if len(checks) == len(explained.failed) == 1 else None
    if change is None or not change.unit:
        return miss
    text = miss.change.text.replace(NEARER, change.text)
    if text == miss.change.text:
        text = change.text
    return replace(miss, change=replace(change, text=text))
