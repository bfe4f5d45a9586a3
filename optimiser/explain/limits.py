"""The kinds of limit that can be moved by a factor, one class each.

A kind says how a job looks with its limit moved (`relaxed`), by what factor a setup found that way
really needs it moved (`needs`), and tells the miss. To add one: a class, and a line in `LIMITS`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from catalogue.gear import AnyGear, Block, Chain, Rope, Shackle, Strap
from optimiser.components import components
from optimiser.explain.job import Job
from optimiser.gear.assign import Filled
from optimiser.gear.kit import Kit
from optimiser.pulling import line_angles
from optimiser.results import Change, Component, Miss, names
from optimiser.rig import Walk
from optimiser.site.model import Owned, Puller, Site
from shared.units import Dimension, Rounding, show

RUNGS = (1.1, 1.3, 1.7, 2.5, 4.0, 8.0, 1000.0)
"""Factors tried, the least first; the last stands for no limit at all."""


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
class Rating:
    """What pieces of one family stand: `takes` picks their components, `scaled` moves their rating."""

    name: str
    takes: Callable[[Component, Job], bool]
    scaled: Callable[[Job, float], Job]
    cure: Callable[[Component, float, Job], Change]

    def applies(self, job: Job) -> bool:
        return True

    def relaxed(self, job: Job, factor: float) -> Job:
        return self.scaled(job, factor)

    def _short(self, job: Job, filled: Filled, factor: float) -> list[tuple[float, Component]]:
        """Pieces that do not do, the worst first: (need / have, component with its real capacity)."""
        out = []
        for part in components(filled):
            if part.capacity is not None and self.takes(part, job):
                real = replace(part, capacity=part.capacity / factor)
                need = job.floor / real.margin
                if need > 1.0 + 1e-9:
                    out.append((need, real))
        return sorted(out, key=lambda e: (-e[0], e[1].name))

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return max((need for need, _ in self._short(job, filled, factor)), default=1.0)

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        short = self._short(job, filled, factor)
        text = "; ".join(overload(part, job.floor, job.units) for _, part in short)
        changes = [self.cure(part, need, job) for need, part in short]
        told = names(list(dict.fromkeys(change.text for change in changes)))
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=text,
            short_by=short[0][0],
            change=replace(changes[0], text=told),
        )


def overload(part: Component, floor: float, units: str) -> str:
    """A piece that carries more than it stands, in words."""
    dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
    demand = show(part.demand, dimension, units, Rounding.UP)
    at = show(part.at, Dimension.LENGTH, units)
    assert part.capacity is not None
    stands = show(part.capacity, dimension, units, Rounding.DOWN)
    told = f"{part.name} carries {demand} with the load at {at}; it stands {stands}"
    return told if floor <= 1.0 else f"{told}, and margin {floor:g} is wanted"


def walk_of(filled: Filled) -> Walk:
    """The setup's walk."""
    row = filled.variant.row
    return row.scene.walk(row.numbers)


# ---- families of pieces ---------------------------------------------------------------------------


def _stronger(piece: Owned, factor: float) -> Owned:
    gear: AnyGear = piece.gear
    if gear.wll is not None:
        gear = replace(gear, wll=gear.wll * factor)
    if isinstance(gear, Rope) and gear.mbs is not None:
        gear = replace(gear, mbs=gear.mbs * factor)
    return replace(piece, gear=gear)


def with_pieces(job: Job, changed: Callable[[Owned], Owned]) -> Job:
    """The job with every piece changed."""
    return replace(job, kit=Kit(tuple(changed(p) for p in job.kit.pieces), job.kit.knots))


def _family(name: str, article: str, *kinds: type) -> Rating:
    def takes(part: Component, job: Job) -> bool:
        return any(p.name == part.item and isinstance(p.gear, kinds) for p in job.kit.pieces)

    def scaled(job: Job, factor: float) -> Job:
        return with_pieces(job, lambda p: _stronger(p, factor) if isinstance(p.gear, kinds) else p)

    def cure(part: Component, need: float, job: Job) -> Change:
        piece = next(p for p in job.kit.pieces if p.name == part.item)
        gear = piece.gear
        sound = piece.condition.keeps * need
        if isinstance(gear, Rope) and gear.mbs is not None:
            strength = gear.mbs * sound
            told = show(strength, Dimension.FORCE, job.units, Rounding.UP)
            text = f"a rope in place of {piece.name} with a breaking strength of {told} when new"
            return Change(text=text, amount=strength - gear.mbs, unit="N")
        strength = (gear.wll or 0.0) * sound
        told = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"{article} with a WLL of {told} or more in place of {piece.name} at {part.place}"
        if isinstance(gear, Rope):
            text = f"a rope with a WLL of {told} or more in place of {piece.name}"
        return Change(text=text, amount=strength - (gear.wll or 0.0), unit="N")

    return Rating(name=name, takes=takes, scaled=scaled, cure=cure)


def _load_hitch() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        hitches = tuple(
            replace(h, rating=None if h.rating is None else h.rating * factor)
            for h in job.site.load.hitches
        )
        return replace(job, site=replace(job.site, load=replace(job.site.load, hitches=hitches)))

    def cure(part: Component, need: float, job: Job) -> Change:
        assert part.capacity is not None
        strength = part.capacity * need
        told = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"take hold of the load at a point that stands {told} (now {part.item})"
        return Change(text=text, amount=strength - part.capacity, unit="N")

    return Rating(
        name="hitch of the load",
        takes=lambda part, job: part.name.startswith("load: hitch "),
        scaled=scaled,
        cure=cure,
    )


def _puller_hitch() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        return _pullers(
            job,
            lambda p: replace(
                p, hitch_rating=None if p.hitch_rating is None else p.hitch_rating * factor
            ),
        )

    def cure(part: Component, need: float, job: Job) -> Change:
        assert part.capacity is not None
        strength = part.capacity * need
        told = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"make the line fast to a point of the {part.item} that stands {told}"
        return Change(text=text, amount=strength - part.capacity, unit="N")

    return Rating(
        name="hitch of the puller",
        takes=lambda part, job: any(part.name == f"{p.name}: hitch" for p in job.site.pullers),
        scaled=scaled,
        cure=cure,
    )


def _pullers(job: Job, changed: Callable[[Puller], Puller]) -> Job:
    return replace(job, site=replace(job.site, pullers=tuple(changed(p) for p in job.site.pullers)))


def _pull() -> Rating:
    def times(value: float | None, factor: float) -> float | None:
        return None if value is None else value * factor

    def scaled(job: Job, factor: float) -> Job:
        return _pullers(
            job,
            lambda p: replace(
                p,
                limit=p.limit * factor,
                weight=times(p.weight, factor),
                driven_weight=times(p.driven_weight, factor),
            ),
        )

    def cure(part: Component, need: float, job: Job) -> Change:
        assert part.capacity is not None
        wanted = part.capacity * need
        more = show(wanted - part.capacity, Dimension.FORCE, job.units, Rounding.UP)
        told = show(wanted, Dimension.FORCE, job.units, Rounding.UP)
        puller = next(p for p in job.site.pullers if p.name == part.item)
        text = f"{more} more pull from {puller.name} ({told} in all)"
        if puller.kind == "people":
            text += ": more people"
        return Change(text=text, amount=wanted - part.capacity, unit="N")

    return Rating(
        name="pull of the puller",
        takes=lambda part, job: any(part.name == f"{p.name}: pull" for p in job.site.pullers),
        scaled=scaled,
        cure=cure,
    )


def _anchors() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        return replace(job, site=_with_anchors(job.site, factor))

    def cure(part: Component, need: float, job: Job) -> Change:
        dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
        assert part.capacity is not None
        wanted = part.capacity * need
        told = show(wanted, dimension, job.units, Rounding.UP)
        text = f"an anchor that stands {told} in place of {part.item}"
        return Change(text=text, amount=wanted - part.capacity, unit=part.unit)

    return Rating(
        name="strength of an anchor",
        takes=lambda part, job: any(
            a.name == part.name.partition(" (")[0] and part.item == a.name for a in job.site.anchors
        ),
        scaled=scaled,
        cure=cure,
    )


def _with_anchors(site: Site, factor: float) -> Site:
    out = []
    for anchor in site.anchors:
        known = anchor.strength.capacity
        strength = replace(anchor.strength, capacity=None if known is None else known * factor)
        out.append(replace(anchor, strength=strength))  # type: ignore[type-var]
    return replace(site, anchors=tuple(out))


# ---- limits that are not ratings ------------------------------------------------------------------


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

    def _owned(self, job: Job, filled: Filled) -> float:
        rope = next(p for p in job.kit.pieces if p.name == filled.variant.rope.name)
        return rope.length or 0.0

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return filled.variant.rope_needed / max(self._owned(job, filled), 1e-9)

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        rope, owned = filled.variant.rope.name, self._owned(job, filled)
        short = filled.variant.rope_needed - owned
        needed = show(filled.variant.rope_needed, Dimension.LENGTH, job.units, Rounding.UP)
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
        side = ev.side_pull[row.index]
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
                text="an anchor or the puller nearer to the line of the path, or somebody who guides "
                f"the load with a side line (side pull {side - limit:.2f} less)",
                amount=side - limit,
                unit="",
            ),
        )


@dataclass(frozen=True)
class LineAngle:
    """How far the hauling line may lead off the run of the puller, in plan or in rise."""

    name: str = "angle of the hauling line"

    def applies(self, job: Job) -> bool:
        return any(p.run > 0.0 for p in job.site.pullers)

    def relaxed(self, job: Job, factor: float) -> Job:
        return _pullers(
            job,
            lambda p: replace(
                p, angle_limit=p.angle_limit * factor, rise_limit=p.rise_limit * factor
            ),
        )

    def _worst(self, job: Job, filled: Filled) -> tuple[str, float, float, Puller]:
        row = filled.variant.row
        puller = next(p for p in job.site.pullers if p.name == row.scene.puller.name)
        last = row.evaluation.walks[row.index, -2]
        scene = row.scene
        target = scene.hitch if last == 0 else scene.position[[last]]
        angle, rise = line_angles(puller=puller, way=target[:, None, :] - scene.spots)
        found = [
            ("off the run", float(angle.max()), puller.angle_limit, puller),
            ("up or down against the run", float(np.abs(rise).max()), puller.rise_limit, puller),
        ]
        return max(found, key=lambda e: e[1] / max(e[2], 1e-9))

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        _, angle, limit, _ = self._worst(job, filled)
        return angle / max(limit, 1e-9)

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        which, angle, limit, puller = self._worst(job, filled)
        told = show(angle, Dimension.ANGLE, job.units, Rounding.UP)
        allowed = show(limit, Dimension.ANGLE, job.units, Rounding.DOWN)
        less = show(angle - limit, Dimension.ANGLE, job.units, Rounding.UP)
        cure = (
            f"turn the run of {puller.name} by {less} towards the line"
            if which == "off the run"
            else f"stand {puller.name} further off or level with the line, so that it leads {less} less "
            "up or down"
        )
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=f"the hauling line leads {told} {which} of {puller.name}; {allowed} is the limit",
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
        least = min(components(filled), key=lambda part: part.margin)
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


PIECES: tuple[Limit, ...] = (
    _family("strength of the rope", "a rope", Rope),
    _family("WLL of a block", "a block", Block),
    _family("WLL of a shackle", "a shackle", Shackle),
    _family("WLL of a strap", "a strap", Strap, Chain),
    _load_hitch(),
    _puller_hitch(),
)
GROUPS: tuple[tuple[Limit, ...], ...] = (
    (MarginWanted(),),
    (RopeLength(),),
    (_pull(),),
    (_anchors(),),
    PIECES,
    (SidePull(), LineAngle()),
)
"""All kinds. Where moving a whole group does not do, none of its kinds by itself does."""

LIMITS: tuple[Limit, ...] = tuple(limit for group in GROUPS for limit in group)
