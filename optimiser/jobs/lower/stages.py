"""Plans the way down in stages, where no one hold does all of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimiser.jobs.lower.hold_job import HoldJob
from optimiser.jobs.lower.nearly import nearest
from optimiser.jobs.lower.nothing_holds import what_stops
from optimiser.jobs.why.stops import NOT_ALL
from optimiser.rig.gear.assign import Filled
from optimiser.rig.ground.scene import Scene
from optimiser.rig.setup import Miss
from optimiser.search.stages.descent import Descent, descend
from optimiser.search.stages.finder import Caps, Finder, Task, TimeUp
from optimiser.search.stages.track import Track
from shared.units import Dimension, show

STEP = 0.25
"""m of the next piece of the way for which cures are looked for where none is known for the rest of it."""


@dataclass(frozen=True, kw_only=True)
class Staged:
    """The stages from the top down; `stuck_at`: m along the path beyond which none gets; `misses`: what
    nearly does there."""

    filled: tuple[Filled, ...]
    stuck_at: float | None
    reasons: tuple[str, ...] = ()
    misses: tuple[Miss, ...] = ()


def plan_stages(job: HoldJob, scenes: Sequence[Scene], between: tuple[float, float]) -> Staged:
    """The plan with the fewest stages; unrated pieces only where rated ones do not get down. Where none
    gets all the way, what comes nearest is reported with it. `between`: the part of the path where the load
    has to be held, m."""
    plan = _plan(job, scenes, between, rated=True)
    if plan.stuck_at is None or not job.clock.runs():
        return plan
    loose = _plan(job, scenes, between, rated=False)
    if loose.stuck_at is None or loose.stuck_at < plan.stuck_at - 1e-9:
        plan = loose
    if plan.stuck_at is None or not job.clock.runs():
        return plan
    track = Track(job.site, scenes, between=between)
    mark = int(np.argmin(np.abs(track.marks - plan.stuck_at)))
    reasons = what_stops(job, track.stretch(mark - 1, mark))
    nearly, misses = _nearly(job, track, mark)
    return replace(plan, reasons=(*reasons, *nearly), misses=misses)


def _plan(
    job: HoldJob, scenes: Sequence[Scene], between: tuple[float, float], *, rated: bool
) -> Staged:
    able = [scene for scene in scenes if scene.rated] if rated else scenes
    track = Track(job.site, able, between=between)
    top = Descent((track.end,))
    if not able:
        return Staged(filled=(), stuck_at=track.at(track.end))
    task = Task(
        track=track,
        kit=job.kit.rated_only if rated else job.kit,
        rules=job.rules,
        only_rated=rated,
        enough=job.site.preferences.enough,
        clock=job.clock,
        line=job.line,
    )
    finder, known = Finder[Caps](task), [top]
    try:
        descend(finder, job.floor, known.append)
    except TimeUp:
        job.clock.stopped = True
    plan = known[-1]
    filled, reached = [], track.end
    for low, high in plan.links:
        if not finder.needs_nothing(low, high):
            best = job.best(track.stretch(low, high), rated=rated)
            if best is None:
                break
            filled.append(best)
        reached = low
    return Staged(filled=tuple(filled), stuck_at=track.at(reached) if reached else None)


def _nearly(job: HoldJob, track: Track, mark: int) -> tuple[tuple[str, ...], tuple[Miss, ...]]:
    """What would let it down the rest of the way in one hold, or else at least the next piece of it: over
    which stretch, in words, and the misses."""
    units = job.site.preferences.units
    next_one = int(np.searchsorted(track.marks, track.at(mark) - STEP))
    words = []
    for begin in dict.fromkeys((0, min(next_one, mark - 1))):
        ends = [show(track.at(m), Dimension.LENGTH, units) for m in (mark, begin)]
        found = nearest(job, track.stretch(begin, mark)[0].stations)
        if any(miss.change.text and miss.limit != NOT_ALL for miss in found):
            words.append(
                f"from {ends[0]} down to {ends[1]} one hold would do with a change, as named below"
            )
            return tuple(words), found
        late = any(miss.limit == NOT_ALL for miss in found)
        which = "was found that would do; not all were looked at" if late else "would do"
        words.append(f"from {ends[0]} down to {ends[1]} no change of gear, hand or anchors {which}")
    return tuple(words), ()
