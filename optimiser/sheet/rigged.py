"""One setup with everything its pictures need: where every part of line runs at every station.

Nothing is computed here that the evaluator does not give; this picks from it what is drawn.
"""

import itertools
from dataclasses import dataclass
from functools import cached_property
from math import dist

import numpy as np
import numpy.typing as npt

from optimiser.evaluate import Evaluation, evaluate
from optimiser.results import Component, Setup
from optimiser.rig import Place
from optimiser.scene import Scene, attachments
from optimiser.site.model import Site, Vec
from optimiser.stations import join_stations, lay_stations, station_at
from optimiser.travel import stroke_ends

Array = npt.NDArray[np.float64]
_SAME = 1e-6
"""m along the path below which two places are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Least height of a part of line above the ground of the path, m."""

    height: float
    part: int  # number of the part, 1 at the standing end
    at: float  # m along the path, of the load
    ground: Vec


@dataclass(frozen=True)
class Rigged:
    """A setup on its site. `number` of `count`: which stage of the plan it is."""

    site: Site
    setup: Setup
    number: int = 1
    count: int = 1

    @property
    def called(self) -> str:
        """What it is called where several are compared."""
        return f"setup {self.setup.rank}" if self.count == 1 else f"stage {self.number}"

    @cached_property
    def evaluation(self) -> Evaluation:
        """The setup's walk over the stations of its stretch. KeyError for a setup of another site.

        Where the stretch begins at a bend only the leg ahead counts, where it ends at one only the leg
        behind: the load is turned between two stages.
        """
        begin, end = self.setup.from_m, self.setup.to_m
        laid = lay_stations(self.site)
        inside = np.flatnonzero((laid.at > begin + _SAME) & (laid.at < end - _SAME))
        first = station_at(self.site, begin).pick(slice(-1, None))
        last = station_at(self.site, end).pick(slice(0, 1))
        stations = join_stations([first, laid.pick(inside), last])
        held = {a.name: a for a in attachments(self.site)}[self.setup.attachment]
        scene = Scene(self.site, stations, held, self.setup.puller)
        row = np.array([[scene.number[place] for place in self.setup.walk]])
        return evaluate(scene, row, np.array([self.setup.etas]).reshape(1, -1))

    @property
    def scene(self) -> Scene:
        return self.evaluation.scene

    @cached_property
    def at(self) -> Array:
        """(S,) m along the path."""
        return self.scene.stations.at

    @cached_property
    def _spots(self) -> int:
        return len(self.scene.spots)

    @cached_property
    def worst(self) -> int:
        """The station of the worst pull."""
        return int(np.argmax(np.where(np.isfinite(self.pulls), self.pulls, -np.inf)))

    @cached_property
    def stops(self) -> tuple[float, ...]:
        """m along the path at which the puller stops for a reset."""
        total = self.evaluation.total_length[0].reshape(-1, self._spots)
        return self.setup.stops or stroke_ends(
            puller=self.setup.puller, at=self.at, near=total[:, 0], far=total[:, -1]
        )

    def station(self, at: float) -> int:
        """The station next to a distance along the path; at a bend, where there are two, the one with
        the greater pull: there a piece has its worst."""
        off = np.abs(self.at - at)
        near = np.flatnonzero(off <= off.min() + 1e-9)
        return int(near[np.argmax(self.pulls[near])])

    def points(self, station: int, *, far: bool = False) -> Array:
        """(nodes, 3) the places of the walk in order, with the load at a station and the puller at the
        near or far end of its run."""
        out = np.empty((len(self.setup.walk), 3))
        for i, place in enumerate(self.setup.walk):
            out[i] = self._point(place, station, far)
        return out

    def _point(self, place: Place, station: int, far: bool) -> Array:
        scene = self.scene
        if place.kind == "load":
            return np.asarray(scene.hitch[station])
        if place.kind == "puller":
            return np.asarray(scene.spots[-1 if far else 0])
        return np.asarray(scene.position[scene.number[place]])

    @cached_property
    def shares(self) -> Array:
        """(parts,) share of the forward pull on the load that each part gives at the worst station;
        0 for a part that does not end at the load."""
        ev, state = self.evaluation, self.worst * self._spots
        along = self.scene.stations.along[self.worst]
        forward = np.einsum("kc,c->k", ev.units[:, :, 0, state], along) * ev.tau[:, 0]
        load = np.array([place.kind == "load" for place in self.setup.walk], dtype=float)
        pulls = forward * (load[:-1] - load[1:])
        total = pulls.sum()
        return np.asarray(pulls / total + 0.0) if total > 0.0 else np.zeros_like(pulls)

    @cached_property
    def tensions(self) -> Array:
        """(parts,) tension at the worst station, N, without the dynamic factor."""
        return np.asarray(self.evaluation.tau[:, 0] * self.setup.pull)

    @cached_property
    def letters(self) -> dict[str, str]:
        """A letter for every place, by the name of it ("" for the load), from the standing end on."""
        names = list(dict.fromkeys(place.name for place in self.setup.walk))
        return {name: chr(ord("A") + i) if i < 26 else f"Z{i}" for i, name in enumerate(names)}

    @cached_property
    def clearance(self) -> Clearance | None:
        """The least height of the parts between load and anchors above the ground of the path, at any
        station; None where no part runs over ground that is known. Ground close to the load itself and
        to the anchor is left out, as in `optimiser.clearance`."""
        within = self.site.preferences.ground_known_within
        profile = lay_stations(self.site).point
        least: Clearance | None = None
        for station in range(0, len(self.at), max(1, len(self.at) // 40)):
            points = self.points(station)
            for k, (a, b) in enumerate(itertools.pairwise(points)):
                kinds = {self.setup.walk[k].kind, self.setup.walk[k + 1].kind}
                if "load" not in kinds:
                    continue
                begin, end = (a, b) if self.setup.walk[k].kind == "load" else (b, a)
                found = _least_height(begin, end, profile, within)
                if found is not None and (least is None or found[0] < least.height):
                    x, y, z = (float(v) for v in profile[found[1]])
                    least = Clearance(
                        height=found[0], part=k + 1, at=float(self.at[station]), ground=(x, y, z)
                    )
        return least

    @cached_property
    def pulls(self) -> Array:
        """(S,) pull at the hauling end, N, the worst over the puller's run."""
        return np.asarray(self.evaluation.pull[0].reshape(-1, self._spots).max(axis=1))

    @cached_property
    def limits(self) -> Array:
        """(S,) pull at the hauling end, N, at which the first piece reaches what it stands.

        A piece's capacity over its demand at its worst station gives the limit there; elsewhere that is
        scaled by how the force on its place grows or falls per newton of pull. Where several blocks
        hang at one place the one whose force grows most counts for all: on the safe side.
        """
        rows = [row for _, row in self._limited]
        return np.asarray(np.min(rows, axis=0)) if rows else np.full(len(self.at), np.inf)

    @cached_property
    def first_to_go(self) -> str:
        """The piece whose limit is the least of all."""
        return min(self._limited, key=lambda pair: float(pair[1].min()))[0]

    @cached_property
    def _limited(self) -> list[tuple[str, Array]]:
        """The limit (S,) of each rated piece that carries something."""
        out = []
        for part in self.setup.components:
            if part.capacity is None or part.demand <= 0.0:
                continue
            here = self.station(part.at)
            limit = self.pulls[here] * part.margin / self._growth(part, here)
            out.append((part.name, limit))
        return out

    def _growth(self, part: Component, station: int) -> Array:
        """(S,) force on a piece per newton of pull, over the same at one station."""
        key = part.place.partition("@")[0]
        walk = self.setup.walk
        shape = (-1, self._spots)
        ev = self.evaluation
        names = [anchor.name for anchor in self.site.anchors]
        if part.item == part.place and part.place in names:
            sizes = [ev.anchor_demand[names.index(key)][1][0] / ev.pull[0]]
        else:
            nodes = [i for i, p in enumerate(walk[:-1]) if (p.name or "load") == key]
            groups = [[n] for n in nodes] + ([nodes] if len(nodes) > 1 else [])
            sizes = [
                np.linalg.norm(ev.node_force[group, :, 0].sum(axis=0), axis=0) for group in groups
            ]
        ratios = [np.ones(len(self.at))] if not sizes else []
        for size in sizes:
            most = size.reshape(shape).max(axis=1)
            ratios.append(most / max(float(most[station]), 1e-9))
        return np.asarray(np.max(ratios, axis=0))


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


def heading(site: Site, setup: Setup) -> float:
    """The direction in plan, rad from x, that the load travels over the stretch, start to finish."""
    from optimiser.plan_view import load_at

    a, b = load_at(site, setup.from_m), load_at(site, setup.to_m)
    if dist(a[:2], b[:2]) < 1e-6:
        a, b = site.legs[0].start, site.legs[-1].end
    return float(np.arctan2(b[1] - a[1], b[0] - a[0]))
