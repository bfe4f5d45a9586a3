"""What a picture sees of a site, with a rig on it or without: the path, what stands there, the ropes."""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from functools import cached_property
from math import degrees, dist
from typing import ClassVar, Protocol

import numpy as np

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array
from optimiser.mechanics.ground.lie import slope
from optimiser.rig.ground.keepout import Area
from optimiser.rig.ground.plan_view import load_at
from optimiser.rig.ground.stations import Stations
from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.drawing.labels import folded, plain
from optimiser.sheet.shown.ropes import Key, Rope, key
from optimiser.site.model import Anchor, AnchorKind, Hitch, Obstacle, Puller, Site
from shared.units import Dimension, Rounding, show


class Lies(Protocol):
    """Something that lies on an edge for ropes to run over."""

    @property
    def name(self) -> str: ...
    @property
    def lies(self) -> Protector: ...
    @property
    def middle(self) -> float:
        """m along the path."""

    @property
    def laid(self) -> tuple[float, float]:
        """From where to where it reaches, m left of the path."""


class Doubt(Protocol):
    """A place that was measured, and where the true one may be."""

    @property
    def name(self) -> str: ...
    @property
    def at(self) -> Array:
        """(3,) m."""

    @property
    def ring(self) -> Array:
        """(n, 2) m: the ellipse in plan that holds the true place in 95 of 100 surveys."""

    @property
    def height(self) -> float:
        """m by which its height may be off, up or down, alike."""

    @property
    def farthest(self) -> float:
        """m: the true place is no further away, whichever way, alike."""

    @property
    def mark(self) -> bool:
        """Whether nothing stands there but a mark."""


class Seen(ABC):
    """See the module's text."""

    site: Site
    decimals: ClassVar[int] = 0  # of a slope in degrees
    level: ClassVar[float] = 0.5  # degrees below which a leg is called level

    @property
    @abstractmethod
    def stations(self) -> Stations:
        """Where the load is looked at."""

    @property
    @abstractmethod
    def pullers(self) -> tuple[Puller, ...]:
        """What pulls or pays out; none where hands do behind turns."""

    @property
    @abstractmethod
    def straps(self) -> Mapping[str, tuple[float, ...]]:
        """By the names of the anchors that stand in the side view: m up of their straps, from the lowest."""

    @property
    def downward(self) -> bool:
        """Whether the load goes down the path, from its end towards its start."""
        return False

    @property
    def stop_word(self) -> str:
        """What is done where the load stands on the way."""
        return "new grip" if self.downward else "reset"

    @property
    def ropes(self) -> tuple[Rope, ...]:
        """Every rope, the main one first."""
        return ()

    @property
    def stops(self) -> tuple[float, ...]:
        """m along the path at which the load stands for a reset, in the order in which they come."""
        return ()

    @property
    def areas(self) -> tuple[Area, ...]:
        """Where nobody may stand."""
        return ()

    @property
    def edges(self) -> tuple[Lies, ...]:
        """What lies on edges for any of the ropes, each place once."""
        return ()

    @property
    def hitches(self) -> tuple[Hitch, ...]:
        """The hitches that are marked on the load."""
        return ()

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """The places that were measured."""
        return ()

    @property
    def north(self) -> float | None:
        """The direction to north in plan, rad from x to the left; None: not known."""
        return None

    @property
    def besides(self) -> Array:
        """(n, 3) m: what has to be on the page besides path, load and ropes."""
        return np.empty((0, 3))

    # ---- what follows from it ---------------------------------------------------------------------

    @property
    def at(self) -> Array:
        """(S,) m along the path."""
        return self.stations.at

    @property
    def begin(self) -> int:
        """The station at which the load stands first."""
        return len(self.at) - 1 if self.downward else 0

    @property
    def end(self) -> int:
        """The station at which it stands last."""
        return 0 if self.downward else len(self.at) - 1

    def station(self, at: float) -> int:
        """The station next to a distance along the path."""
        return int(np.argmin(np.abs(self.at - at)))

    def run(self, puller: Puller) -> Array:
        """(2, 3) m: where a puller makes the line fast at the beginning of its run, and at its end."""
        near = np.array(puller.position) + np.array((0.0, 0.0, puller.height))
        far = near + puller.run * np.array(puller.heading)
        return np.array([far, near] if self.downward else [near, far])

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """The places of all ropes one after the other."""
        return tuple(place for rope in self.ropes for place in rope.walk)

    lettered: tuple[Place, ...] = ()
    """Places that have letters on another page of the same sheet, in their order: they keep them here."""

    @cached_property
    def letters(self) -> dict[Key, str]:
        """A letter for every place, from the main rope's standing end on."""
        own = {key(place) for place in self.places}
        keys = dict.fromkeys(key(place) for place in (*self.lettered, *self.places))
        every = {k: chr(ord("A") + i) if i < 26 else f"Z{i}" for i, k in enumerate(keys)}
        return {k: letter for k, letter in every.items() if k in own}

    def letter(self, place: Place) -> str:
        return self.letters[key(place)]

    def name(self, place: Place) -> str:
        """What a place is called: the anchor, the puller, the load by its name, the grip."""
        return place.name or (self.site.load.name if place.kind is PlaceKind.LOAD else place.kind)

    @property
    def used_anchors(self) -> set[str]:
        """Names of the anchors that carry something."""
        return {p.name for p in self.places if p.kind is PlaceKind.ANCHOR}

    def runs_at(self, name: str) -> Array | None:
        """(3,) m: where the shackle that runs on the sling between two trees is, with the load where its rope
        is first in use; None where none runs there."""
        for rope in self.ropes:
            for k, place in enumerate(rope.walk):
                if place.kind is PlaceKind.ANCHOR and place.name == name:
                    return np.asarray(rope.near[rope.station(self.begin), k])
        return None

    @property
    def faces(self) -> Mapping[str, float]:
        """By name, which way in plan the anchors face that have to be made, rad from x."""
        return {}

    @property
    def shown_anchors(self) -> tuple[Anchor, ...]:
        """The anchors that are there: one that is not used is not made."""
        used = self.used_anchors
        return tuple(
            a for a in self.site.anchors if a.name in used or not (a.uses or a.sling is not None)
        )

    @cached_property
    def heading(self) -> float:
        """The direction in plan, rad from x, in which the path rises over the stretch: up the page."""
        first, last = float(self.at[0]), float(self.at[-1])
        a, b = load_at(self.site, first), load_at(self.site, last)
        if dist(a[:2], b[:2]) < 1e-6:
            a, b = self.site.legs[0].start, self.site.legs[-1].end
        return float(np.arctan2(b[1] - a[1], b[0] - a[0]))

    def steepness(self, number: int) -> str:
        """The slope of a leg, the way the load goes: "14° up"."""
        leg = self.site.legs[number]
        steep = degrees(slope(start=leg.start, end=leg.end))
        steep = -steep if self.downward else steep
        way = "up" if steep > self.level else "down" if steep < -self.level else "level"
        return way if way == "level" else f"{abs(steep):.{self.decimals}f}° {way}"

    def leg_words(self, number: int) -> str:
        """What stands below a leg in the side view."""
        return self.steepness(number)

    def ground_words(self, number: int) -> str:
        """What stands beside a leg in the plan."""
        return folded(self.site.legs[number].surface, 16)

    def strap_words(self, name: str) -> str:
        """Where the straps of an anchor sit, for the side view: "0.30 m, 0.60 m up"; "": nothing."""
        return f"{', '.join(self.length(strap) for strap in self.straps[name])} up"

    def anchor_words(self, anchor: Anchor) -> str:
        """What stands below the name of an anchor in the plan: what a tape round its trunk has to read where
        it is in use; how thick the others are; what is no tree."""
        if anchor.kind is not AnchorKind.TREE:
            return plain(anchor.kind)
        if anchor.name in self.used_anchors and anchor.girth is not None:
            return f"girth {self.length(anchor.girth)}"
        return self.across(anchor.radius)

    def sling_words(self, anchor: Anchor) -> str:
        """What stands below the name of a sling between two trees in the plan; "" for any other anchor."""
        if anchor.sling is None:
            return ""
        spread = show(anchor.sling.angle, Dimension.ANGLE, self.site.preferences.units)
        return f"{plain(anchor.kind)}, sling\nlegs {spread} apart"

    def post_words(self, post: Obstacle) -> str:
        """What stands below the name of something in the way; "": nothing."""
        return ""

    def across(self, radius: float) -> str:
        """ "⌀ 0.40 m"."""
        return f"⌀ {show(2 * radius, Dimension.SIZE, self.site.preferences.units)}"

    @cached_property
    def good_to(self) -> Mapping[str, str]:
        """By name, how sure each measured place is, in words."""
        system = self.site.preferences.units
        return {
            doubt.name: f"good to {show(doubt.farthest, Dimension.LENGTH, system, Rounding.UP)}"
            for doubt in self.doubts
        }

    def length(self, metres: float) -> str:
        """A length as people read it."""
        return show(metres, Dimension.LENGTH, self.site.preferences.units)
