"""What stops every rig, where no change of gear or pull would cure it."""

from collections.abc import Iterator

import numpy as np

from optimiser.explain.job import Job
from optimiser.explain.others import YES_OR_NO
from optimiser.results import Change, Miss
from optimiser.rig import Walk
from optimiser.scene import Scene
from optimiser.search.tables import Tables
from shared.units import Dimension, Rounding, show


def stopped_by(job: Job, *, finished: bool) -> Iterator[Miss]:
    """Reasons that hold for every setup, so of no rig by itself. `finished`: every change was looked
    at, and none cures it."""
    looked, only_rated = job.scenes()
    reasons: dict[tuple[str, str], Walk] = {}
    for scene in looked:
        tables = Tables(scene, job.kit, job.rules, job.floor, only_rated)
        for limit, text in _reasons(job, scene, tables):
            reasons.setdefault((limit, text), ())
    if not reasons:
        limit, text = SEVERAL if finished else UNFINISHED
        reasons[limit, text] = ()
    for (limit, text), walk in reasons.items():
        cure = CURES.get(limit, "haul in stages, or use other anchors or another path")
        yield Miss(
            walk=walk,
            limit=limit,
            text=text,
            short_by=YES_OR_NO,
            change=Change(text=cure, amount=0.0, unit=""),
        )


def unfinished(text: str) -> Miss:
    """That the time was up, as the last of the misses: it is of no rig."""
    return Miss(
        walk=(),
        limit="time limit",
        text=text,
        short_by=YES_OR_NO,
        change=Change(text=CURES["time limit"], amount=0.0, unit=""),
    )


NOT_ALL = "not all looked at: the time was up, so there may be nearer ones"
SEVERAL = (
    "several limits",
    "every rig breaks more than two limits at once, however far any two are moved",
)
UNFINISHED = (
    "time limit",
    "the time was up before a change that cures it was found",
)
CURES = {
    "time limit": "allow more time, such as --time-limit 60",
    "step": "lay a ramp over the step, or lever the load over it",
    "line to the puller": "stand the puller where its line is free and within its angles, or give it "
    "an anchor to lead the line round",
    "line to the anchors": "haul in stages with anchors for each, or clear the lines",
    "no rope": "add a rope to the gear",
    "no puller": "add a puller to the site",
}


def _reasons(job: Job, scene: Scene, tables: Tables) -> Iterator[tuple[str, str]]:
    radius, steps = job.site.load.wheel_radius, job.stations.step
    if steps.max() > 0.0 and (radius is None or steps.max() >= radius):
        told = show(float(steps.max()), Dimension.LENGTH, job.units, Rounding.UP)
        yield (
            "step",
            f"no pull gets the load over the step of {told}: it is not lower than the axle",
        )
    if not job.kit.ropes:
        yield "no rope", "there is no rope to haul with"
    if not tables.direct and not tables.leads.any():
        yield (
            "line to the puller",
            f"no line reaches {scene.puller.name} free of obstacles and within its angles",
        )
    if not tables.direct and not tables.from_load.any():
        far = _longest_reach(scene)
        told = show(far, Dimension.LENGTH, job.units, Rounding.DOWN)
        yield (
            "line to the anchors",
            "no anchor can be pulled towards over the whole stretch: each is behind a trunk, an obstacle "
            f"or the ground, or is passed on the way; the best of them serves for {told}",
        )


def _longest_reach(scene: Scene) -> float:
    """The longest part of the path, m, over which one anchor can be pulled towards."""
    good = scene.clear_from_load & (scene.forward > 0.0)
    at, best = scene.stations.at, 0.0
    for row in good[1:-1]:
        runs = np.split(np.arange(len(row)), np.flatnonzero(np.diff(row)) + 1)
        best = max([best, *(float(at[r[-1]] - at[r[0]]) for r in runs if row[r[0]])])
    return best
