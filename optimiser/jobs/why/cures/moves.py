"""Defines single changes to where things are, each with one amount: what they make of a rig, and their
words.

To add one: a class with the members of `Move`, and a line in `moves_for` (`jobs.why.cures.searching`).
"""

from dataclasses import dataclass, replace
from math import ceil, cos, degrees, floor, pi, radians, sin
from typing import Any, Protocol, cast

import numpy as np

from optimiser.jobs.why.cures.trying import Rig, Trial, at_height
from optimiser.mechanics.values import Vec
from optimiser.rig.setup import Change
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Anchor, Puller
from shared.units import Dimension, Rounding, show

GRAIN = 0.01
"""m: changes are printed in whole centimetres, on the sufficient side."""
MOST_MOVED = 15.0
"""m that a puller or an anchor is looked for elsewhere."""
MOST_HITCH = 1.0
"""m that a hitch on the load is looked for higher or lower."""


class Move(Protocol):
    """One change that can be made by more or less."""

    @property
    def most(self) -> float:
        """The greatest amount that is tried, m."""

    @property
    def tier(self) -> int:
        """How readily it is made: -1 it is what the fault needs, whatever the amount; 0 anybody can;
        1 what stands there serves, or can be made of that; 2 in stages; 3 something that is not there is
        needed."""

    def trial(self, amount: float) -> Trial | None:
        """The rig with the change; None where it cannot be made by so much."""

    def settled(self, amount: float) -> float:
        """The amount that is printed: not less than `amount`."""

    def change(self, amount: float) -> Change: ...


def _up(amount: float) -> float:
    return ceil(amount / GRAIN - 1e-6) * GRAIN


@dataclass(frozen=True)
class StrapMoved:
    """All straps of the rig on one anchor, higher or lower."""

    rig: Rig
    anchor: Anchor
    sign: int
    tier: int = 0

    @property
    def _heights(self) -> list[float]:
        return [
            p.height
            for p in self.rig.walk
            if p.kind is PlaceKind.ANCHOR and p.name == self.anchor.name
        ]

    @property
    def most(self) -> float:
        if self.sign > 0:
            return max(self.anchor.heights) - max(self._heights)
        return min(self._heights) - min(self.anchor.heights)

    def settled(self, amount: float) -> float:
        """So that the height that is printed is in whole centimetres."""
        now = self._heights[0]
        to = now + self.sign * amount
        whole = (ceil if self.sign > 0 else floor)(to / GRAIN - self.sign * 1e-6) * GRAIN
        return min(abs(whole - now), self.most)

    def trial(self, amount: float) -> Trial | None:
        walk = at_height(self.rig.walk, self.anchor.name, self.sign * amount)
        return Trial(self.rig.site, walk, self.rig.stations)

    def change(self, amount: float) -> Change:
        units = self.rig.site.preferences.units
        word, way = ("higher", Rounding.UP) if self.sign > 0 else ("lower", Rounding.DOWN)
        by = show(amount, Dimension.LENGTH, units, Rounding.UP)
        places = dict.fromkeys(round(h + self.sign * amount, 6) for h in self._heights)
        at = " and ".join(show(h, Dimension.LENGTH, units, way) for h in places)
        return Change(
            text=f"strap on {self.anchor.name} {by} {word}, at {at}", amount=amount, unit="m"
        )


@dataclass(frozen=True)
class HitchMoved:
    """The point at which the line takes hold of the load, higher or lower on it."""

    rig: Rig
    names: tuple[str, ...]
    sign: int
    tier: int = 0

    @property
    def most(self) -> float:
        if self.sign > 0:
            return MOST_HITCH
        return min(h.height for h in self.rig.site.load.hitches if h.name in self.names)

    def settled(self, amount: float) -> float:
        return min(_up(amount), self.most)

    def trial(self, amount: float) -> Trial | None:
        load, by = self.rig.site.load, self.sign * amount
        hitches = tuple(
            replace(h, height=h.height + by) if h.name in self.names else h for h in load.hitches
        )
        site = replace(self.rig.site, load=replace(load, hitches=hitches))
        return Trial(site, self.rig.walk, self.rig.stations)

    def change(self, amount: float) -> Change:
        units = self.rig.site.preferences.units
        by = show(amount, Dimension.LENGTH, units, Rounding.UP)
        word = "higher" if self.sign > 0 else "lower"
        of = " and ".join(self.names)
        text = f"take hold of the load {by} {word} than at its {of}, where it has a point that stands it"
        return Change(text=text, amount=amount, unit="m")


@dataclass(frozen=True)
class PullerMoved:
    """The puller stands elsewhere, on the same level; its run keeps its direction."""

    rig: Rig
    way: tuple[float, float]
    words: str
    tier: int = 0
    most: float = MOST_MOVED

    def settled(self, amount: float) -> float:
        return _up(amount)

    def trial(self, amount: float) -> Trial | None:
        name = self.rig.walk[-1].name
        pullers = tuple(
            replace(p, position=_shifted(p.position, self.way, amount)) if p.name == name else p
            for p in self.rig.site.pullers
        )
        return Trial(replace(self.rig.site, pullers=pullers), self.rig.walk, self.rig.stations)

    def change(self, amount: float) -> Change:
        by = show(amount, Dimension.LENGTH, self.rig.site.preferences.units, Rounding.UP)
        text = f"stand {self.rig.walk[-1].name} {by} {self.words}, on the same level"
        return Change(text=text, amount=amount, unit="m")


@dataclass(frozen=True)
class RunTurned:
    """The run of the puller turned about its near end, to its left or right; `amount` in radians."""

    rig: Rig
    sign: int
    tier: int = 0
    most: float = pi

    def settled(self, amount: float) -> float:
        return min(radians(ceil(degrees(amount) - 1e-6)), self.most)

    def trial(self, amount: float) -> Trial | None:
        name = self.rig.walk[-1].name
        c, s = cos(amount), self.sign * sin(amount)

        def turned(p: Puller) -> Puller:
            x, y, z = p.heading
            return replace(p, heading=(c * x - s * y, s * x + c * y, z))

        pullers = tuple(turned(p) if p.name == name else p for p in self.rig.site.pullers)
        return Trial(replace(self.rig.site, pullers=pullers), self.rig.walk, self.rig.stations)

    def change(self, amount: float) -> Change:
        shown = show(amount, Dimension.ANGLE, self.rig.site.preferences.units, Rounding.UP)
        side = "left" if self.sign > 0 else "right"
        text = f"turn the run of {self.rig.walk[-1].name} by {shown} to its {side}"
        return Change(text=text, amount=self.sign * amount, unit="rad")


@dataclass(frozen=True)
class AnchorMoved:
    """An anchor elsewhere: a holdfast or a vehicle is set there, a tree would have to stand there."""

    rig: Rig
    anchor: Anchor
    way: tuple[float, float]
    words: str
    most: float = MOST_MOVED

    @property
    def _sets(self) -> bool:
        return self.anchor.kind.is_set_down

    @property
    def tier(self) -> int:
        return 1 if self._sets else 3

    def settled(self, amount: float) -> float:
        return _up(amount)

    def trial(self, amount: float) -> Trial | None:
        moved = cast(
            Anchor,
            replace(
                cast(Any, self.anchor), position=_shifted(self.anchor.position, self.way, amount)
            ),
        )
        anchors = tuple(moved if a.name == moved.name else a for a in self.rig.site.anchors)
        site = replace(self.rig.site, anchors=anchors)
        return Trial(site, self.rig.walk, self.rig.laid(site))

    def change(self, amount: float) -> Change:
        by = show(amount, Dimension.LENGTH, self.rig.site.preferences.units, Rounding.UP)
        name = self.anchor.name
        text = (
            f"set {name} {by} {self.words}"
            if self._sets
            else f"in place of {name} an anchor {by} {self.words}"
        )
        return Change(text=text, amount=amount, unit="m")


def _shifted(position: Vec, way: tuple[float, float], by: float) -> Vec:
    x, y, z = position
    return (x + by * way[0], y + by * way[1], z)


@dataclass(frozen=True)
class Ramp:
    """A ramp before every step that is too high: `amount` is by how much the highest gets lower."""

    rig: Rig
    tier: int = -1

    @property
    def most(self) -> float:
        return float(self.rig.stations.step.max())

    def settled(self, amount: float) -> float:
        left = floor((self.most - amount) / GRAIN + 1e-6) * GRAIN
        return self.most - max(left, 0.0)

    def trial(self, amount: float) -> Trial | None:
        highest = max(self.most - amount, 0.0)
        legs = tuple(replace(leg, step=min(leg.step, highest)) for leg in self.rig.site.legs)
        stations = replace(self.rig.stations, step=np.minimum(self.rig.stations.step, highest))
        return Trial(replace(self.rig.site, legs=legs), self.rig.walk, stations)

    def change(self, amount: float) -> Change:
        units = self.rig.site.preferences.units
        left = self.most - amount
        at = [float(a) for a in self.rig.stations.at[self.rig.stations.step > left + 1e-9]]
        where = " and ".join(show(a, Dimension.LENGTH, units) for a in at)
        by = show(amount, Dimension.LENGTH, units, Rounding.UP)
        least = show(left, Dimension.LENGTH, units, Rounding.DOWN)
        text = (
            f"a ramp at {where} of the path that takes {by} off the step, so that no more than {least} "
            "is left to climb"
            if left > 0.0
            else f"a ramp at {where} of the path over the whole step ({by})"
        )
        return Change(text=text, amount=amount, unit="m")
