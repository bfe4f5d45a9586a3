"""What a page is about, as its pictures see it: a haul over a stretch of the path, or a way down.

Nothing is computed here that the evaluators do not give; this picks from it what is drawn.
"""

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np

from optimiser.jobs.lower.results import LoweringSetup
from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.laid_edges import Edge, edges
from optimiser.rig.setup import Component, Setup
from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.shown.most_pull import Limits, least
from optimiser.sheet.shown.seen import Seen
from optimiser.site.model import Puller, Site
from shared.units import Dimension, Rounding, in_unit, show, unit_name

MOST_LOOKED_AT = 40
"""Stations at which the lines are checked against the ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Least height of a part of line above the ground of the path, m."""

    height: float
    part: int  # its number
    at: float  # m along the path, of the load
    ground: Vec


class Drawn(Seen):
    """See the module's text. `number` of `count`: which stage of the plan it is."""

    word: ClassVar[str]  # what one of a list is called
    site: Site
    setup: Setup | LoweringSetup
    number: int
    count: int

    @property
    def rank(self) -> int:
        """Its number in the list it is from."""
        return self.setup.rank

    @property
    def called(self) -> str:
        """What it is called where several are compared."""
        return f"{self.word} {self.rank}" if self.count == 1 else f"stage {self.number}"

    @property
    def components(self) -> tuple[Component, ...]:
        """Every piece that the force of the chart loads."""
        return self.setup.components

    @property
    def faces(self) -> Mapping[str, float]:
        return {one.anchor: one.way for one in self.setup.made if one.way is not None}

    # ---- what each kind gives ---------------------------------------------------------------------

    @property
    @abstractmethod
    def evaluation(self) -> Evaluation:
        """The walk of its main rope over the stations, in the order of the path."""

    @property
    @abstractmethod
    def puller(self) -> Puller | None:
        """What pulls or pays out; None where hands do behind turns."""

    @property
    @abstractmethod
    def forces(self) -> Array:
        """(S,) N at the end of the rope: the force of the chart."""

    @property
    @abstractmethod
    def limits_of(self) -> tuple[Limits, ...]:
        """The words for the limit of every piece; the least of several counts."""

    @property
    @abstractmethod
    def force_name(self) -> str:
        """What the chart shows."""

    @property
    def force_unit(self) -> tuple[float, str]:
        """What the chart's forces are printed in: units in a newton, and the unit's name."""
        system = self.site.preferences.units
        return in_unit(1.0, Dimension.FORCE, system), unit_name(Dimension.FORCE, system)

    def force_worded(self, value: float, rounding: Rounding) -> str:
        """One of the chart's forces as the texts print it."""
        return show(value, Dimension.FORCE, self.site.preferences.units, rounding)

    @property
    def pullers(self) -> tuple[Puller, ...]:
        return () if self.puller is None else (self.puller,)

    @cached_property
    def straps(self) -> Mapping[str, tuple[float, ...]]:
        heights: dict[str, set[float]] = {}
        for place in self.places:
            if place.kind is PlaceKind.ANCHOR:
                heights.setdefault(place.name, set()).add(place.height)
        return {name: tuple(sorted(straps)) for name, straps in heights.items()}

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """What lies on edges for any of the ropes, each place once."""
        found = [e for rope in self.ropes if rope.over for e in edges(self.site, rope.over)]
        return tuple({(e.name, e.from_m, e.to_m, e.laid): e for e in found}.values())

    # ---- what follows from it ---------------------------------------------------------------------

    @property
    def scene(self) -> Scene:
        return self.evaluation.scene

    @property
    def stations(self) -> Stations:
        return self.scene.stations

    @cached_property
    def worst(self) -> int:
        """The station of the greatest force."""
        return int(np.argmax(np.where(np.isfinite(self.forces), self.forces, -np.inf)))

    def station(self, at: float) -> int:
        """The station next to a distance along the path; of two at a bend the one of more force."""
        return self.limits_of[0].station(at)

    @cached_property
    def limits(self) -> Array:
        """(S,) N at the end of the rope at which the first piece reaches what it stands."""
        return least(self._limited, len(self.at))

    @cached_property
    def first_to_go(self) -> str:
        """The piece whose limit is the least of all."""
        return min(self._limited, key=lambda pair: float(pair[1].min()))[0]

    @cached_property
    def _limited(self) -> list[tuple[str, Array]]:
        return [(part.name, self.limit_of(part)) for part in self.components]

    def limit_of(self, part: Component) -> Array:
        """(S,) N at the end of the rope at which a piece reaches what it stands."""
        return least([(part.name, known.of(part)) for known in self.limits_of], 0)

    def letter_of(self, text: str) -> str:
        """The letter of a place as lists of pieces name it; "" for what has none."""
        return self._by_text.get(text, "")

    @cached_property
    def _by_text(self) -> dict[str, str]:
        named = {p.name: self.letter(p) for p in self.places if p.name}
        return named | {str(p): self.letter(p) for p in self.places}

    @cached_property
    def used_anchors(self) -> set[str]:
        """Names of the anchors that carry something."""
        anchor = self.puller.anchor if self.puller is not None else None
        return super().used_anchors | ({anchor} if anchor else set())

    def shares_of_load(self, nodes: Sequence[Place]) -> Array:
        """(segments,) share that each part gives at the worst station of the forward pull on the load;
        0 for a part that does not end there. `nodes`: those of the evaluated walk."""
        ev, state = self.evaluation, self.worst * len(self.scene.spots)
        along = self.stations.along[self.worst]
        forward = np.einsum("kc,c->k", ev.units[:, :, 0, state], along) * ev.tau[:, 0, 0]
        load = np.array([place.kind is PlaceKind.LOAD for place in nodes], dtype=float)
        return of_sum(forward * (load[:-1] - load[1:]))

    @cached_property
    def clearance(self) -> Clearance | None:
        """The least height of the parts between load and anchors above the ground of the path, at any
        station; None where no part runs over ground that is known. Ground close to the load itself and
        to the anchor is left out, as in `optimiser.rig.ground.clearance`."""
        within = self.site.preferences.ground_known_within
        profile = lay_stations(self.site).point
        lowest: Clearance | None = None
        for rope in self.ropes:
            first, last = rope.station(0), rope.station(len(self.at) - 1)
            for station in range(first, last + 1, max(1, len(self.at) // MOST_LOOKED_AT)):
                for k in range(len(rope.walk) - 1):
                    if "load" not in {place.kind for place in rope.ends(k)}:
                        continue
                    if (station, k) in rope.bent:  # what lies there is drawn instead
                        continue
                    a, b = rope.near[station, k : k + 2]
                    begin, end = (a, b) if rope.walk[k].kind is PlaceKind.LOAD else (b, a)
                    found = _least_height(begin, end, profile, within)
                    if found is not None and (lowest is None or found[0] < lowest.height):
                        x, y, z = (float(v) for v in profile[found[1]])
                        lowest = Clearance(
                            height=found[0], part=rope.first + k, at=float(self.at[station]),
                            ground=(x, y, z),
                        )  # fmt: skip
        return lowest


def of_sum(parts: Array) -> Array:
    """Each as a share of their sum; 0 where that is not above 0."""
    total = parts.sum()
    return np.asarray(parts / total + 0.0) if total > 0.0 else np.zeros_like(parts)


def _least_height(
    begin: Array, end: Array, profile: Array, within: float
) -> tuple[float, int] | None:
    """Least height of the line above the points of a profile that lie under it, and which point."""
    way = end - begin
    flat = float(np.hypot(way[0], way[1]))
    if flat < 1.0:
        return None
    off = profile[:, :2] - begin[:2]
    share = (off[:, 0] * way[0] + off[:, 1] * way[1]) / flat**2
    aside = np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]) / flat
    under = (share * flat > 0.5) & ((1.0 - share) * flat > 0.5) & (aside <= within)
    if not under.any():
        return None
    height = np.where(under, begin[2] + share * way[2] - profile[:, 2], np.inf)
    which = int(np.argmin(height))
    return float(height[which]), which
