"""Which weights, resistances and break-out factors agree with the pulls that were read, as intervals.

Everything may be anywhere between its ends. What is left is a box: of each quantity the least and the
greatest value that any agreeing set has. Not every point of the box agrees: a light load on rough
ground and a heavy one on smooth ground read alike, the heavy one on rough ground does not. `needs` keeps
that: what it takes to move the load along the ground of a leg, which is what was read.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf

from optimiser.mechanics.ground.moving import gained
from optimiser.mechanics.ground.pulled import resistance_pulled, weight_pulled

ROUNDING = 1e-9
"""Relative: ends that pass each other by less than this meet."""
ROUNDS = 200
"""Readings are gone through again until nothing changes, at most so often: whenever it ends, no agreeing
value is left out."""


@dataclass(frozen=True, slots=True)
class Ends:
    """From the least to the greatest value, SI."""

    low: float
    high: float

    @property
    def certain(self) -> bool:
        return self.low == self.high

    def met(self, low: float, high: float) -> "Ends | None":
        """What lies between other ends too; None: nothing."""
        least, most = max(self.low, low), min(self.high, high)
        if least <= most:
            return Ends(least, most)
        if least - most > ROUNDING * abs(least):
            return None
        inside = min(max(least, self.low), self.high)
        return Ends(inside, inside)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A leg: its `slope` (sin, cos), and what may be of it."""

    slope: tuple[float, float]
    resistance: Ends
    apparent: Ends = Ends(1.0, 1.0)
    breakout: Ends = Ends(1.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """What the load may weigh, N, and the ground of each leg."""

    weight: Ends
    grounds: tuple[Ground, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A steady pull [N] in a line on the load, on a leg (from 0). `advance`, `lift`: its parts along and
    away from the ground, per unit. `starting`: it broke the load out, else it kept it moving."""

    force: Ends
    leg: int
    advance: float = 1.0
    lift: float = 0.0
    starting: bool = False

    def gained(self, resistance: Ends) -> Ends:
        """What it gains on the load per unit, at either end of a resistance."""
        ends = [
            float(gained(advance=self.advance, lift=self.lift, resistance=c))
            for c in (resistance.low, resistance.high)
        ]
        return Ends(min(ends), max(ends))

    def stuck(self, ground: Ground) -> Ends:
        """What there is of break-out in it."""
        return ground.breakout if self.starting else Ends(1.0, 1.0)


def narrowed(box: Box, pulls: Sequence[Pull]) -> Box | None:
    """The least box that interval by interval holds whatever agrees with the pulls; None: nothing does."""
    for _ in range(ROUNDS):
        before = box
        for pull in pulls:
            found = _by(box, pull)
            if found is not None and pull.starting:
                found = _broken_out(found, pull, [other for other in pulls if not other.starting])
            if found is None:
                return None
            box = found
        if box == before:
            break
    return box


def _by(box: Box, pull: Pull) -> Box | None:
    """By one pull: each quantity between what it would be with all others at either end."""
    ground = box.grounds[pull.leg]
    (sin, cos), c = ground.slope, ground.resistance
    stuck = pull.stuck(ground)
    rests = ground.apparent
    line = {"slope_sin": sin, "slope_cos": cos, "advance": pull.advance, "lift": pull.lift}
    least = weight_pulled(pull=pull.force.low, resistance=c.high, **line)
    most = weight_pulled(pull=pull.force.high, resistance=c.low, **line)
    weight = box.weight.met(least / (rests.high * stuck.high), most / (rests.low * stuck.low))
    if weight is None:
        return None
    resistance = c.met(
        resistance_pulled(
            pull=pull.force.low, weight=weight.high * rests.high * stuck.high, **line
        ),
        resistance_pulled(pull=pull.force.high, weight=weight.low * rests.low * stuck.low, **line),
    )
    if resistance is None:
        return None
    grounds = list(box.grounds)
    grounds[pull.leg] = replace(ground, resistance=resistance)
    return Box(weight=weight, grounds=tuple(grounds))


def _broken_out(box: Box, pull: Pull, moving: Sequence[Pull]) -> Box | None:
    """By one pull that broke the load out: the break-out factor is that pull over what keeps it moving."""
    ground = box.grounds[pull.leg]
    along = needs(box, moving, pull.leg).moving
    gain = pull.gained(ground.resistance)
    most = pull.force.high * gain.high / along.low if along.low > 0.0 else inf
    stuck = ground.breakout.met(pull.force.low * gain.low / along.high, most)
    if stuck is None:
        return None
    grounds = list(box.grounds)
    grounds[pull.leg] = replace(ground, breakout=stuck)
    return replace(box, grounds=tuple(grounds))


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What it takes along the ground of a leg, N: by the box alone (`box`), and by what was read
    (`moving`). The same to break it out of its first metre (`box_starting`, `starting`)."""

    box: Ends
    moving: Ends
    box_starting: Ends
    starting: Ends


def needs(box: Box, pulls: Sequence[Pull], leg: int) -> Needs:
    """Of a box that the pulls have narrowed. No agreeing set needs more or less."""
    ground = box.grounds[leg]
    (sin, cos), c, stuck = ground.slope, ground.resistance, ground.breakout
    plain = Ends(
        box.weight.low * ground.apparent.low * (sin + c.low * cos),
        box.weight.high * ground.apparent.high * (sin + c.high * cos),
    )
    along, broken = plain, None
    for pull in pulls:
        if pull.leg != leg:
            continue
        gain = pull.gained(c)
        low, high = pull.force.low * gain.low, pull.force.high * gain.high
        if pull.starting:
            broken = Ends(low, high) if broken is None else _within(broken, low, high)
            low, high = low / stuck.high, high / stuck.low
        along = _within(along, low, high)
    out = Ends(along.low * stuck.low, along.high * stuck.high)
    starting = out if broken is None else _within(out, broken.low, broken.high)
    return Needs(box=plain, moving=along, box_starting=out, starting=starting)


def _within(ends: Ends, low: float, high: float) -> Ends:
    return ends.met(low, high) or ends


def counted(value: float, *, box: Ends, known: Ends) -> float:
    """What a figure that the box gives comes to by what is known: held between its ends. Further out than
    the box, where nothing was read, it grows and falls in proportion."""
    if value <= 0.0 or box.low <= 0.0:
        return value
    if value >= box.high:
        return value * known.high / box.high
    if value <= box.low:
        return value * known.low / box.low
    return min(max(value, known.low), known.high)
