"""Tabulates the geometry of one way to take hold of the load and one puller.

A scene numbers the places: 0 is the load, then every anchor at every strap height, last the puller.
Everything that depends on a pair of places, or on a place and a station, is computed once here and
read by the search, the tables, the sheet and the sweeps.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from catalogue.gear import Block, MadeTo
from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.ground import clearance, keepout, plan_view, standing
from optimiser.rig.ground.pulling import line_pull_limit
from optimiser.rig.ground.stations import Stations, join_stations
from optimiser.rig.ground.steering import Leads, leads
from optimiser.rig.once import Once
from optimiser.rig.walk import GRIP, LOAD, Guide, Place, PlaceKind, Walk
from optimiser.site.model import Fixture, Hitch, Puller, Site
from shared.effort import Effort, note

_WITHOUT_STATIONS = (
    "places", "number", "anchor_of", "lever", "spots", "position", "clear", "distance", "limit_last",
    "stroke_last",
)  # fmt: skip

_BY_STATION = {
    "hitch": 0, "limit_from_load": 0, "forward": 1, "lift": 1, "sideways": 1, "clear_from_load": 1,
}  # fmt: skip
"""Axis of the stations in each table that has one."""
GRIP_NUMBER = -2
"""Stands for the grip on another rope among the numbers of places."""
PULLER_SPOTS = 3
"""Near end, middle and far end of the puller's run at which the hauling line's direction is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """How the line takes hold of the load: at one hitch point, or by a bridle between two."""

    name: str
    hitches: tuple[Hitch, ...]
    ahead: float  # m, of the point where the line acts, from the load's reference point
    left: float
    height: float
    leg: float | None = None  # m, length of a bridle leg

    @property
    def bridled(self) -> bool:
        return len(self.hitches) == 2

    @property
    def fixture(self) -> Fixture:
        """What a rope's end is made fast to: the hitch, or the ring in which a bridle's legs meet."""
        return Fixture(kind=MadeTo.EYE) if self.bridled else self.hitches[0].fixture

    @property
    def unrated(self) -> tuple[str, ...]:
        return tuple(f"hitch {hitch.name}" for hitch in self.hitches if hitch.rating is None)


def attachments(site: Site) -> tuple[Attachment, ...]:
    """Every hitch by itself and, where the load may be bridled, every pair that a leg can span."""
    load = site.load
    hitches = sorted(load.hitches, key=lambda hitch: hitch.name)  # whatever their order in the file
    out = [
        Attachment(name=h.name, hitches=(h,), ahead=h.ahead, left=h.left, height=h.height)
        for h in hitches
    ]
    if load.may_bridle:
        for i, a in enumerate(hitches):
            for b in hitches[i + 1 :]:
                half = 0.5 * float(
                    np.hypot(a.left - b.left, np.hypot(a.ahead - b.ahead, a.height - b.height))
                )
                if half <= 0.0 or half >= 0.87 * load.bridle_leg:  # legs wider than 120 degrees
                    continue
                reach = float(np.sqrt(load.bridle_leg**2 - half**2))
                out.append(
                    Attachment(
                        name=f"bridle {a.name} + {b.name}",
                        hitches=(a, b),
                        ahead=(a.ahead + b.ahead) / 2 + reach,
                        left=(a.left + b.left) / 2,
                        height=(a.height + b.height) / 2,
                        leg=load.bridle_leg,
                    )
                )
    return tuple(out)


@dataclass(frozen=True)
class Scene(Once):
    """See the module's text. P anchor places, S stations, R spots of the puller."""

    site: Site
    stations: Stations
    attachment: Attachment
    puller: Puller
    kept: bool = (
        False  # where the load runs on downhill a holding line keeps it, and this one is slack
    )
    guides: tuple[Guide, ...] = ()  # steering lines one of which keeps the load on line

    @property
    def rated(self) -> bool:
        """Whether the hitches of the load and the puller and what the puller is made fast to have a
        rating."""
        puller = self.puller
        hitch = not puller.needs_termination or puller.has_hook or puller.hitch_rating is not None
        held = (
            puller.anchor is None or self.site.anchor(puller.anchor).strength.capacity is not None
        )
        return hitch and held and not self.attachment.unrated

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """All places in the order of their numbers."""
        strapped = [
            Place(PlaceKind.ANCHOR, anchor.name, height)
            for anchor in self.site.anchors
            for height in anchor.heights
        ]
        return (LOAD, *strapped, Place(PlaceKind.PULLER, self.puller.name))

    @cached_property
    def number(self) -> dict[Place, int]:
        """The number of each place."""
        return {place: index for index, place in enumerate(self.places)}

    @property
    def puller_number(self) -> int:
        return len(self.places) - 1

    @cached_property
    def anchor_of(self) -> npt.NDArray[np.int64]:
        """(P + 2,) index into the site's anchors; -1 for the load and a puller that stands free."""
        index = {anchor.name: i for i, anchor in enumerate(self.site.anchors)}
        out = [
            index.get(place.name, -1) if place.kind is PlaceKind.ANCHOR else -1
            for place in self.places
        ]
        out[-1] = index.get(self.puller.anchor or "", -1)
        return np.array(out)

    @cached_property
    def lever(self) -> Array:
        """(P + 2,) what a force at the place is multiplied with to compare with its anchor."""
        out = np.zeros(len(self.places))
        for i, place in enumerate(self.places):
            anchor = self.anchor_of[i]
            if anchor >= 0:
                height = self.puller.height if place.kind is PlaceKind.PULLER else place.height
                out[i] = self.site.anchors[anchor].lever(height)
        return out

    @cached_property
    def hitch(self) -> Array:
        """(S, 3) where the line takes hold of the load."""
        st, a = self.stations, self.attachment
        up = np.array((0.0, 0.0, a.height))
        return st.point + a.ahead * st.along + a.left * st.across + up

    def bridle_hitches(self, station: npt.NDArray[np.int64]) -> tuple[Array, Array]:
        """Where the two hitches of the bridle are with the load at the stations (n,), each (n, 3) m."""
        st = self.stations
        one, two = (
            (st.point + h.ahead * st.along + h.left * st.across + np.array((0.0, 0.0, h.height)))[
                station
            ]
            for h in self.attachment.hitches
        )
        return one, two

    @cached_property
    def spots(self) -> Array:
        """(R, 3) where the hauling line ends, from the near to the far end of the puller's run."""
        p = self.puller
        base = np.array(p.position) + np.array((0.0, 0.0, p.height))
        if p.run <= 0.0:
            return base[None, :]
        return base + np.linspace(0.0, p.run, PULLER_SPOTS)[:, None] * np.array(p.heading)

    @cached_property
    def position(self) -> Array:
        """(P + 2, 3) of the places; the load's is NaN, the puller's its near end."""
        out = np.full((len(self.places), 3), np.nan)
        for i, place in enumerate(self.places):
            if place.kind is PlaceKind.ANCHOR:
                x, y, z = self.site.anchors[self.anchor_of[i]].position
                out[i] = (x, y, z + place.height)
        out[-1] = self.spots[0]
        return out

    # ---- from the load, at every station --------------------------------------------------------

    @cached_property
    def _reach(self) -> tuple[Array, Array]:
        """Unit vectors (P + 2, S, 3) from the hitch to each place, and the lengths (P + 2, S)."""
        with np.errstate(invalid="ignore"):
            way = self.position[:, None, :] - self.hitch[None, :, :]
            length = np.linalg.norm(way, axis=2)
            return way / np.maximum(length, 1e-9)[:, :, None], length

    @property
    def length(self) -> Array:
        """(P + 2, S) length of a part between the load and each place, m."""
        return self._reach[1]

    @cached_property
    def forward(self) -> Array:
        """(P + 2, S) u.t of a part of line to each place."""
        return np.einsum("psi,si->ps", self._reach[0], self.stations.along)

    @cached_property
    def forward_direct(self) -> Array:
        """(R, S) u.t of a hauling line straight from the load to each spot of the puller."""
        return np.asarray(np.einsum("rsi,si->rs", self._straight, self.stations.along))

    @cached_property
    def lift_direct(self) -> Array:
        """(R, S) u.n of the same."""
        return np.asarray(np.einsum("rsi,si->rs", self._straight, self.stations.normal))

    @cached_property
    def _straight(self) -> Array:
        """(R, S, 3) from the hitch to each spot of the puller."""
        way = self.spots[:, None, :] - self.hitch[None, :, :]
        return np.asarray(way / np.maximum(np.linalg.norm(way, axis=2), 1e-9)[:, :, None])

    @cached_property
    def lift(self) -> Array:
        """(P + 2, S) u.n of a part of line to each place."""
        return np.einsum("psi,si->ps", self._reach[0], self.stations.normal)

    @cached_property
    def sideways(self) -> Array:
        """(P + 2, S) u.b of a part of line to each place."""
        return np.einsum("psi,si->ps", self._reach[0], self.stations.across)

    @cached_property
    def unit(self) -> Array:
        """(P + 2, S, 3) from the hitch to each place."""
        return self._reach[0]

    @cached_property
    def clear_from_load(self) -> Mask:
        """(P + 2, S): the line from the load to the place runs free of trunks, posts and ground, and
        the load's nose has not reached the anchor."""
        out = np.zeros(self.length.shape, dtype=bool)
        note(Effort.PLACE, out.size)
        ends = np.concatenate([self.position[1:-1], self.spots])
        own = [place.name for place in self.places[1:-1]]
        own += [self.puller.anchor or ""] * len(self.spots)
        free = clearance.from_load(self.site, self.stations, self.hitch, ends, own)
        out[1:-1] = free[: len(self.places) - 2]
        out[-1] = free[len(self.places) - 2 :].all(axis=0)
        for i in range(1, len(self.places) - 1):
            out[i] &= self.nose_free(i)
        return out

    def nose_free(self, place: int) -> Mask:
        """(S,) whether the load's nose has not come to the anchor of a place, or passes beside it."""
        load = self.site.load
        radius = self.site.anchors[self.anchor_of[place]].radius
        gap = self.position[place] - self.stations.point
        ahead = np.einsum("si,si->s", gap, self.stations.along) - load.overhang
        aside = np.abs(np.einsum("si,si->s", gap, self.stations.across))
        beside = aside > load.width / 2 + radius
        passed = ahead < -load.length - radius
        return beside | passed | (ahead >= radius)

    # ---- between fixed places -------------------------------------------------------------------

    @cached_property
    def clear(self) -> Mask:
        """(P + 2, P + 2) the line between two fixed places runs free; False for the load's row."""
        fixed = clearance.Fixed(
            [place.name for place in self.places], self.position, self.spots, self.puller.anchor
        )
        note(Effort.PLACE, len(self.places) ** 2)
        return clearance.between_places(self.site, self.stations, fixed)

    @cached_property
    def distance(self) -> Array:
        """(P + 2, P + 2) between fixed places, m, with the puller at its near end; NaN for the load."""
        gap = self.position[:, None, :] - self.position[None, :, :]
        return np.linalg.norm(gap, axis=2)

    # ---- a second line --------------------------------------------------------------------------

    @cached_property
    def leads(self) -> Leads:
        """Where the steering lines lead, at every station."""
        return leads(self.site, self.stations, self.guides)

    # ---- the puller -----------------------------------------------------------------------------

    def _limit(self, target: Array) -> Array:
        """Greatest line pull, N, (..., R), with the line leading to `target` (..., 3); 0 where the
        line's angle to the run is beyond the puller's limits."""
        way = target[..., None, :] - self.spots
        return line_pull_limit(puller=self.puller, way=way)

    @cached_property
    def limit_last(self) -> Array:
        """(P + 2, R) greatest pull with the hauling line coming from each fixed place."""
        return self._limit(np.nan_to_num(self.position))

    @cached_property
    def limit_from_load(self) -> Array:
        """(S, R) greatest pull with the hauling line coming straight from the load."""
        return self._limit(self.hitch)

    @cached_property
    def stroke_last(self) -> Array:
        """(P + 2,) rope one run of the puller takes in, m, with the line coming from each place."""
        far, near = self.spots[-1], self.spots[0]
        with np.errstate(invalid="ignore"):
            gain = np.linalg.norm(self.position - far, axis=1) - np.linalg.norm(
                self.position - near, axis=1
            )
        if self.puller.purchase is not None:
            gain = np.full(len(self.places), self.puller.purchase)
        return np.nan_to_num(gain)

    # ---- where the puller stands ------------------------------------------------------------------

    @cached_property
    def _below_the_load(self) -> bool:
        st = self.stations
        from_here = st.at[st.held_back > 0.0]
        upto = float(from_here.max()) if len(from_here) else None
        return keepout.stands_below(self.site, self.puller, upto)

    def stands_badly(self, numbers: Sequence[int]) -> bool:
        """Whether the puller of a walk stands where a parted line, or a load that runs back, would
        reach it, with the load at any station (see `rig.ground.standing`). The part the puller itself
        hauls on is left out: it always stands in line with that."""
        if self._below_the_load:
            return True
        turns = zip(numbers, numbers[1:], numbers[2:-1], strict=False)
        return any(self._reached(turn) for turn in turns) or any(
            self._reached(leg) for leg in pairwise(numbers[:-1])
        )

    @cached_property
    def _reaches(self) -> dict[tuple[int, ...], bool]:
        return {}

    def _reached(self, part: tuple[int, ...]) -> bool:
        """Whether the puller stands inside the angle of three places, or in line with two. Many walks
        have the same parts."""
        if part not in self._reaches:
            load = self.stations.point[:, :2]
            seen = [load if number == 0 else self.position[number, :2] for number in part]
            spots = np.array(plan_view.spots(self.puller))
            self._reaches[part] = (
                standing.in_bight((seen[0], seen[1], seen[2]), spots)
                if len(part) == 3
                else standing.in_line((seen[0], seen[1]), spots)
            )
        return self._reaches[part]

    @cached_property
    def eta_ends(self) -> dict[float, float]:
        """The high end of each efficiency that is the low end of a range."""
        out: dict[float, float] = {}
        for piece in self.site.gear:
            block = piece.gear
            if isinstance(block, Block) and block.eta_most is not None:
                out[block.eta] = max(block.eta_most, out.get(block.eta, 0.0))
        return out

    # ---- words ----------------------------------------------------------------------------------

    def walk(self, numbers: Sequence[int]) -> Walk:
        """Numbers to places."""
        return tuple(GRIP if i == GRIP_NUMBER else self.places[i] for i in numbers)

    @staticmethod
    def spliced(pieces: "Sequence[tuple[Scene, slice | npt.NDArray[np.int64]]]") -> "Scene":
        """A scene over stretches of the stations of others of the same site, attachment and puller; what
        they have tabulated is taken over, not computed again."""
        first = max((s for s, _ in pieces), key=lambda s: len(s.stations))
        out = first.with_stations(join_stations([s.stations.pick(part) for s, part in pieces]))
        known = out.__dict__
        for name in _WITHOUT_STATIONS:
            known[name] = getattr(first, name)
        for name, axis in _BY_STATION.items():
            cut = (slice(None),) * axis
            known[name] = np.concatenate(
                [getattr(s, name)[(*cut, p)] for s, p in pieces], axis=axis
            )
        known["_reach"] = tuple(
            np.concatenate([s._reach[i][:, p] for s, p in pieces], axis=1) for i in range(2)
        )
        return out

    def with_stations(self, stations: Stations) -> "Scene":
        """The same scene over other stations. What does not depend on them is not computed again."""
        out = Scene(self.site, stations, self.attachment, self.puller, self.kept, self.guides)
        known = self.__dict__
        out.__dict__.update((n, known[n]) for n in _WITHOUT_STATIONS if n in known)
        return out


def scenes(site: Site, stations: Stations) -> Iterator[Scene]:
    """Every way to take hold of the load with every puller."""
    for puller in site.pullers:
        for attachment in attachments(site):
            yield Scene(site, stations, attachment, puller)
