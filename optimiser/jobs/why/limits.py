"""Defines the kinds of limit that can be moved by a factor, one class each.

A kind defines how a job looks with its limit moved (`relaxed`), by what factor a setup found that way
really needs it moved (`needs`), and reports the miss. To add one: a class, and a line in `LIMITS`.
"""

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from catalogue.gear import Block, Chain, Rope, Shackle, Strap
from optimiser.jobs.why import motion, rating_limits
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.rating_limits import (
    Rating,
    loaded,
    overload,
    walk_of,
    with_pieces,
    with_pullers,
)
from optimiser.rig.gear.assign import Filled
from optimiser.rig.ground.pulling import line_angles
from optimiser.rig.setup import Change, Line, Miss
from optimiser.site.model import Puller
from optimiser.site.roaming.stands import puller_of
from shared.units import Dimension, Rounding, show

RUNGS = (1.7, 2.5, 4.0, 8.0, 1000.0)
"""Factors tried where two limits are moved, the least first; the last stands for no limit at all."""

NEARER = "an anchor or the puller nearer to the line of the path"
"""What cures a side pull, where nothing more is known."""


class Limit(Protocol):
    """One kind of limit."""

    @property
    def name(self) -> str: ...
    def applies(self, job: Job) -> bool:
        """Whether there is anything to move."""

    def relaxed(self, job: Job, factor: float) -> Job:
        """The job with the limit moved."""

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        """The factor by which a setup found at `factor` really needs the limit moved."""

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss: ...


@dataclass(frozen=True)
class RopeLength:
    """How long the ropes are."""

    name: str = "length of rope"

    def applies(self, job: Job) -> bool:
        return bool(job.kit.ropes)

    def relaxed(self, job: Job, factor: float) -> Job:
        return with_pieces(
            job, lambda p: p if p.length is None else replace(p, length=p.length * factor)
        )

    def _shortest(self, job: Job, filled: Filled) -> tuple[float, Line, float]:
        """The line whose rope is shortest of all: needed / owned, the line, and m owned."""
        owned = {piece.name: piece.length or 0.0 for piece in job.kit.pieces}
        lines = ((line, owned[line.rope.name]) for line in filled.variant.lines)
        each = ((line.rope_needed / max(have, 1e-9), line, have) for line, have in lines)
        return max(each, key=lambda line: line[0])

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return self._shortest(job, filled)[0]

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        _, line, owned = self._shortest(job, filled)
        rope, short = line.rope.name, line.rope_needed - owned
        needed = show(line.rope_needed, Dimension.LENGTH, job.units, Rounding.UP)
        have = show(owned, Dimension.LENGTH, job.units, Rounding.DOWN)
        more = show(short, Dimension.LENGTH, job.units, Rounding.UP)
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=f"it takes {needed} of rope; {rope} is {have} long",
            short_by=self.needs(job, filled, factor),
            change=Change(text=f"{more} more rope like {rope}", amount=short, unit="m"),
        )


@dataclass(frozen=True)
class SidePull:
    """How far the pull on the load may point off the line of travel."""

    name: str = "side pull on the load"

    def applies(self, job: Job) -> bool:
        return True

    def relaxed(self, job: Job, factor: float) -> Job:
        p = job.site.preferences
        loose = replace(
            p,
            side_pull_rolling=p.side_pull_rolling * factor,
            side_pull_sliding=p.side_pull_sliding * factor,
        )
        return replace(job, site=replace(job.site, preferences=loose))

    def _worst(self, filled: Filled, factor: float) -> tuple[float, float, float]:
        """Side pull, limit, and m along the path, where it is worst."""
        row = filled.variant.row
        ev, limit = row.evaluation, row.evaluation.side_limit / factor
        side = motion.side_pull(row)
        worst = int(np.argmax(side / limit))
        at = row.scene.stations.at[ev.states.station[worst]]
        return float(side[worst]), float(limit[worst]), float(at)

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        side, limit, _ = self._worst(filled, factor)
        return side / limit

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        side, limit, at = self._worst(filled, factor)
        where = show(at, Dimension.LENGTH, job.units)
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=f"the line pulls {side:.2f} sideways for 1 forward with the load at {where}; "
            f"{limit:.2f} is the limit, beyond it the load slews",
            short_by=side / limit,
            change=Change(
                text=f"{NEARER}, or somebody who guides the load with a side line (side pull "
                f"{show(side - limit, Dimension.RATIO, rounding=Rounding.UP)} less)",
                amount=side - limit,
                unit="",
            ),
        )


@dataclass(frozen=True)
class LineAngle:
    """How far the hauling line may lead off the run of the puller, in plan or in rise."""

    name: str = "angle of the hauling line"

    def applies(self, job: Job) -> bool:
        return job.hauls and any(p.run > 0.0 for p in job.site.pullers)

    def relaxed(self, job: Job, factor: float) -> Job:
        return with_pullers(
            job,
            lambda p: replace(
                p, angle_limit=p.angle_limit * factor, rise_limit=p.rise_limit * factor
            ),
        )

    def _worst(self, job: Job, filled: Filled) -> tuple[bool, float, float, Puller]:
        """Whether the line leads off most sideways, the angle and its limit, rad, and the puller."""
        row = filled.variant.row
        puller = puller_of(job.site, row.scene.puller)
        last = row.evaluation.walks[row.index, -2]
        scene = row.scene
        target = scene.hitch if last == 0 else scene.position[[last]]
        angle, rise = line_angles(puller=puller, way=target[:, None, :] - scene.spots)
        found = [
            (True, float(angle.max()), puller.angle_limit, puller),
            (False, float(np.abs(rise).max()), puller.rise_limit, puller),
        ]
        return max(found, key=lambda e: e[1] / max(e[2], 1e-9))

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        _, angle, limit, _ = self._worst(job, filled)
        return angle / max(limit, 1e-9)

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        sideways, angle, limit, puller = self._worst(job, filled)
        which = "off the run" if sideways else "up or down against the run"
        shown = show(angle, Dimension.ANGLE, job.units, Rounding.UP)
        allowed = show(limit, Dimension.ANGLE, job.units, Rounding.DOWN)
        less = show(angle - limit, Dimension.ANGLE, job.units, Rounding.UP)
        cure = (
            f"turn the run of {puller.name} by {less} towards the line"
            if sideways
            else f"stand {puller.name} further off or level with the line, so that it leads {less} less "
            "up or down"
        )
        if puller.room is not None:
            cure = f"let {puller.name} pull from elsewhere than from its {puller.room.word}"
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=f"the hauling line leads {shown} {which} of {puller.name}; {allowed} is the limit",
            short_by=angle / max(limit, 1e-9),
            change=Change(text=cure, amount=angle - limit, unit="rad"),
        )


@dataclass(frozen=True)
class MarginWanted:
    """The margin the owner wants: never less than 1, the limit of the ratings."""

    name: str = "margin wanted"

    def applies(self, job: Job) -> bool:
        return job.floor > 1.0

    def relaxed(self, job: Job, factor: float) -> Job:
        return replace(job, floor=max(job.floor / factor, min(job.floor, 1.0)))

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return job.floor / filled.margin

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        least = min(loaded(filled), key=lambda part: part.margin)
        text = f"margin {filled.margin:.2f}, {job.floor:g} is wanted: {overload(least, 1.0, job.units)}"
        reached = show(filled.margin, Dimension.RATIO, rounding=Rounding.DOWN)
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=text,
            short_by=job.floor / filled.margin,
            change=Change(
                text=f"be content with margin {reached}", amount=job.floor - filled.margin, unit=""
            ),
        )


@dataclass(frozen=True)
class LoadWeight:
    """How heavy the load is, where it can be made lighter: every force is proportional to it."""

    name: str = "weight of the load"

    def applies(self, job: Job) -> bool:
        return job.site.load.lightest is not None

    def _least(self, job: Job, factor: float) -> float:
        """The factor, but no more than the load can be lightened by."""
        assert job.site.load.lightest is not None
        return min(factor, job.site.load.weight / job.site.load.lightest)

    def relaxed(self, job: Job, factor: float) -> Job:
        st, factor = job.stations, self._least(job, factor)
        load = replace(job.site.load, weight=job.site.load.weight / factor)
        lighter = replace(st, weight=st.weight / factor, resting=st.resting / factor)
        return replace(job, site=replace(job.site, load=load), stations=lighter)

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return self._least(job, factor) * job.floor / filled.margin

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        need, weight = self.needs(job, filled, factor), job.site.load.weight
        most = weight / need * (1.0 - 1e-6)
        shown = show(most, Dimension.WEIGHT, job.units, Rounding.DOWN)
        whole = show(weight, Dimension.WEIGHT, job.units)
        off = show(weight - most, Dimension.WEIGHT, job.units, Rounding.UP)
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=f"it {'hauls' if job.hauls else 'lets down'} {shown}; the load weighs {whole}",
            short_by=need,
            change=Change(
                text=f"take {off} off the load, down to {shown}",
                amount=weight - most,
                unit="N",
            ),
        )


PIECES: tuple[Rating, ...] = (
    rating_limits.family("strength of the rope", "a rope", Rope),
    rating_limits.family("WLL of a block", "a block", Block),
    rating_limits.family("WLL of a shackle", "a shackle", Shackle),
    rating_limits.family("WLL of a strap", "a strap", Strap, Chain),
    rating_limits.load_hitch(),
    rating_limits.puller_hitch(),
)
GROUPS: tuple[tuple[Limit, ...], ...] = (
    (MarginWanted(),),
    (RopeLength(),),
    (rating_limits.pull(), rating_limits.hold()),
    (rating_limits.anchors(),),
    PIECES,
    (SidePull(), LineAngle()),
)
"""All kinds. Where moving a whole group does not do, none of its kinds by itself does."""

LIMITS: tuple[Limit, ...] = tuple(limit for group in GROUPS for limit in group)
