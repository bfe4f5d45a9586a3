"""Finds what stops every rig, where no change of gear or pull would cure it."""

from collections.abc import Collection, Iterator

import numpy as np

from optimiser.jobs.why.job import Job
from optimiser.jobs.why.meets import THE_LOAD, met_between, met_from_load
from optimiser.jobs.why.misses.clearing import YES_OR_NO
from optimiser.mechanics.arrays import Mask
from optimiser.rig.gear.fastening import every_fixture, fastenings
from optimiser.rig.ground.pulling import line_angles
from optimiser.rig.ground.scene import Scene
from optimiser.rig.setup import Change, Miss, names
from optimiser.rig.walk import PlaceKind
from optimiser.search.bounds.bound_rows import Tables
from optimiser.site.roaming.rooms import within
from shared.units import Dimension, Rounding, show


def stopped_by(job: Job, *, finished: bool) -> Iterator[Miss]:
    """Reasons that apply to every setup, so of no rig by itself. `finished`: every change was looked
    at, and none cures it."""
    looked, only_rated = job.scenes()
    reasons: dict[tuple[str, str], str] = {}
    every = [(s, Tables(s, job.kit, job.rules, job.floor, only_rated)) for s in looked]
    reached = frozenset(s.puller.name for s, t in every if t.direct or t.leads.any())
    for scene, tables in every:
        for limit, text, cure in _reasons(job, scene, tables, reached):
            reasons.setdefault((limit, text), cure)
    if not reasons and finished:
        reasons[SEVERAL] = ""
    for (limit, text), cure in reasons.items():
        yield Miss(
            walk=(),
            limit=limit,
            text=text,
            short_by=YES_OR_NO,
            change=Change(text=cure, amount=0.0, unit=""),
        )


def unfinished(*, interrupted: bool, limited: bool) -> Miss:
    """That not every change was looked at, as the last of the misses, of no rig. `interrupted`: somebody
    requested the answer so far; `limited`: somebody set a time limit."""
    if interrupted:
        why, cure = "it was stopped", ""
    elif limited:
        why, cure = "the time limit was reached", "a longer --time-limit"
    else:
        why, cure = "there are too many to look at all", "`--time-limit 120` looks further"
    return Miss(
        walk=(),
        limit=NOT_ALL,
        text=f"not every change was looked at, as {why}: there may be nearer ones",
        short_by=YES_OR_NO,
        change=Change(text=cure, amount=0.0, unit=""),
    )


NOT_ALL = "not finished"
"""Limit of the miss that states it."""
SEVERAL = (
    "several limits",
    "every rig breaks more than two limits at once, however far any two are moved",
)
MOST_ANCHORS = 4
"""Anchors with what stops them, at most so many are printed."""


def _reasons(
    job: Job, scene: Scene, tables: Tables, reached: Collection[str]
) -> Iterator[tuple[str, str, str]]:
    """What stops every rig of a scene: kind of limit, how, and what would cure it. `reached`: names of the
    pullers that a line leads to, wherever they stand."""
    radius, steps = job.site.load.wheel_radius, job.stations.step
    if steps.max() > 0.0 and (radius is None or steps.max() >= radius):
        shown = show(float(steps.max()), Dimension.LENGTH, job.units, Rounding.UP)
        yield (
            "step",
            f"no pull gets the load over the step of {shown}: it is not lower than the axle",
            "a ramp over the step, or lever the load over it",
        )
    if not job.kit.ropes:
        yield "no rope", "there is no rope to haul with", "a rope"
    else:
        yield from _not_fast(job, scene)
    if scene.puller.room is not None:
        if scene.puller.name not in reached:
            where = f"wherever it stands {within(scene.puller.room)}"
            yield (
                "line to the puller",
                f"no line reaches {scene.puller.name} free and within its angles, {where}",
                f"other ground for {scene.puller.name}, or another anchor to lead the line round",
            )
    elif not tables.direct and not tables.leads.any():
        yield "line to the puller", *_to_puller(job, scene)
    if not tables.direct and not tables.from_load.any():
        yield "line to the anchors", *_to_anchors(job, scene)


STAGES = "haul in stages, with another anchor for each (`bankhaul stages` looks for that)"


def _not_fast(job: Job, scene: Scene) -> Iterator[tuple[str, str, str]]:
    """Where no rope's end can be made fast with what is on it and the knots that are known."""
    kit, puller = job.kit, scene.puller
    if fastenings(kit, every_fixture(scene), puller.fixture):
        return
    if puller.fixture and not any(kit.ends(rope, puller.fixture) for rope in kit.ropes):
        where = f"the {puller.fixture.kind.value} of {puller.name}"
    elif not any(kit.ends(rope, to) for rope in kit.ropes for to in every_fixture(scene)):
        where = "the load, nor on any anchor"
    else:
        where = "both places where its ends go: each end is there once, and a knot takes a bare one"
    yield (
        "rope's end",
        f"no knot that you tie and nothing on a rope's ends holds on {where}",
        "a knot that holds there (`bankhaul gear knot` says on what each one does), such as a bowline in a "
        "bare end, or an eye on the rope and a shackle",
    )


def _to_puller(job: Job, scene: Scene) -> tuple[str, str]:
    """What keeps every line off the puller, at the anchor that comes nearest; and what would cure it."""
    puller = scene.puller
    anchors = [i for i, place in enumerate(scene.places) if place.kind is PlaceKind.ANCHOR]
    text = f"no line reaches {puller.name}"
    if not anchors:
        return f"{text}: there is no anchor to lead it round", "an anchor to lead the line round"

    def over(number: int) -> float:
        angle, rise = line_angles(puller=puller, way=scene.position[number] - scene.spots)
        return max(
            float(angle.max()) - puller.angle_limit, float(np.abs(rise).max()) - puller.rise_limit
        )

    nearest = min(anchors, key=lambda number: (over(number), str(scene.places[number])))
    place, excess = scene.places[nearest], over(nearest)
    if puller.run > 0.0 and excess > 0.0:
        angle, rise = line_angles(puller=puller, way=scene.position[nearest] - scene.spots)
        aside = float(angle.max()) - puller.angle_limit
        sideways = aside >= excess - 1e-9
        worst, limit, way = (
            (float(angle.max()), puller.angle_limit, "off its run")
            if sideways
            else (float(np.abs(rise).max()), puller.rise_limit, "up or down against its run")
        )
        leads = show(worst, Dimension.ANGLE, job.units, Rounding.UP)
        allowed = show(limit, Dimension.ANGLE, job.units, Rounding.DOWN)
        less = show(excess, Dimension.ANGLE, job.units, Rounding.UP)
        cure = (
            f"turn the run of {puller.name} by {less} towards {place.name}, or lead the line round an "
            "anchor nearer to its run"
            if sideways
            else f"stand {puller.name} further off, or level with {place.name}"
        )
        return (
            f"{text} within its angles: from {place}, the nearest, it leads {leads} {way}; {allowed} is the "
            "limit"
        ), cure
    ways = list(met_between(scene, nearest, scene.puller_number))
    meets = names([way.worded(job.units, str(place)) for way in ways]) or "something"
    return (
        f"{text} free: from {place} it meets {meets}",
        f"stand {puller.name} where its line is free, or lead the line round another anchor",
    )


def _to_anchors(job: Job, scene: Scene) -> tuple[str, str]:
    """What keeps the line from the load off each anchor, the one that serves furthest first; and what
    frees the line to that one, if anything does."""
    best: dict[str, tuple[float, int]] = {}
    good = scene.clear_from_load & (scene.forward > 0.0)
    for number, place in enumerate(scene.places):
        if place.kind is PlaceKind.ANCHOR:
            reach = _longest(scene, good[number])
            if place.name not in best or reach > best[place.name][0]:
                best[place.name] = (reach, number)
    if not best:
        return "there is no anchor to pull towards", STAGES
    clauses = []
    ordered = sorted(best.items(), key=lambda e: (-e[1][0], e[0]))
    for _, (reach, number) in ordered[:MOST_ANCHORS]:
        far = show(reach, Dimension.LENGTH, job.units, Rounding.DOWN)
        clauses.append(f"{scene.places[number]} serves for {far}: {_stopped(job, scene, number)}")
    if len(ordered) > MOST_ANCHORS:
        clauses.append(f"{len(ordered) - MOST_ANCHORS} more serve for less")
    text = f"no anchor can be pulled towards over the whole stretch: {'; '.join(clauses)}"
    first = ordered[0][1][1]
    frees = [way.change for way in met_from_load(scene, first)]
    if not frees or any(change is None for change in frees):
        return text, STAGES
    cures = names([change.text for change in frees if change is not None])
    return text, f"for the line to {scene.places[first]} {cures}; or {STAGES}"


def _stopped(job: Job, scene: Scene, number: int) -> str:
    """What is in the way of the line from the load to an anchor."""
    at = scene.stations.at
    clauses = [
        f"the line meets {way.worded(job.units, THE_LOAD)}" for way in met_from_load(scene, number)
    ]
    behind = ~(scene.forward[number] > 0.0)
    if behind.any():
        first = show(float(at[np.flatnonzero(behind)[0]]), Dimension.LENGTH, job.units)
        clauses.append(
            f"with the load at {first} it is abeam or behind, so that nothing pulls ahead"
        )
    return ", and ".join(clauses) or "something thin stands in its way"


def _longest(scene: Scene, good: Mask) -> float:
    """The longest part of the path, m, over which an anchor can be pulled towards. `good`: (S,)."""
    at = scene.stations.at
    runs = np.split(np.arange(len(good)), np.flatnonzero(np.diff(good)) + 1)
    return max((float(at[r[-1]] - at[r[0]]) for r in runs if good[r[0]]), default=0.0)
