"""Tabulates the geometry of one way to take hold of the load and one puller.

A scene numbers the places: 0 is the load, then every anchor at every strap height, last the puller.
Everything that depends on a pair of places, or on a place and a station, is computed once here and
read by the search, the tables, the sheet and the sweeps.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from catalogue.gear import Block
from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground import keepout, plan_view, standing
from optimiser.rig.ground.attachments import Attachment, attachments
from optimiser.rig.ground.edging import BARE, Edging, edgings
from optimiser.rig.ground.from_load import Reach
from optimiser.rig.ground.places import Places
from optimiser.rig.ground.pulling import line_pull_limit
from optimiser.rig.ground.stations import Stations, join_stations
from optimiser.rig.ground.steering import Leads, leads
from optimiser.rig.ground.strings import Strings, edges_of
from optimiser.rig.once import Once
from optimiser.rig.walk import GRIP, Guide, Place, Walk
from optimiser.site.model import Anchor, Puller, Site
from optimiser.site.roaming.stands import stands

GRIP_NUMBER = -2
"""Stands for the grip on another rope among the numbers of places."""


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
    edging: Edging = BARE  # what the rig lays on edges, and the ropes this is for
    # Tables of another scene that hold for this one too; worked out where left out.
    known_places: Places | None = field(default=None, compare=False, repr=False)
    known_reach: Reach | None = field(default=None, compare=False, repr=False)
    known_limits: Array | None = field(default=None, compare=False, repr=False)
    other_stand: "Scene | None" = field(default=None, compare=False, repr=False)
    """One of the same, but for where the puller stands."""

    @cached_property
    def fixed(self) -> Places:
        """What depends only on where things stand."""
        if self.known_places is not None:
            return self.known_places
        laid = self.edging.protector
        edges = edges_of(self.site, None if laid is None else laid.gear)
        beside = self.other_stand
        known = None if beside is None or edges is not None else beside.fixed
        return Places(self.site, self.puller, edges, beside=known)

    @cached_property
    def reach(self) -> Reach:
        """What depends on where the load is."""
        beside = None if self.fixed.beside is None or self.other_stand is None else self.other_stand
        return self.known_reach or Reach(
            self.site, self.stations, self.attachment, self.puller, self.fixed,
            beside=None if beside is None else beside.reach,
        )  # fmt: skip

    @property
    def rated(self) -> bool:
        """Whether the hitches of the load and the puller and what the puller is made fast to have a
        rating."""
        puller = self.puller
        hitch = not puller.needs_termination or puller.has_hook or puller.hitch_rating is not None
        rated = (
            puller.anchor is None or self.site.anchor(puller.anchor).strength.capacity is not None
        )
        return hitch and rated and not self.attachment.unrated

    @property
    def puller_number(self) -> int:
        return len(self.places) - 1

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

    # ---- where things stand ---------------------------------------------------------------------

    @property
    def places(self) -> tuple[Place, ...]:
        """All places in the order of their numbers."""
        return self.fixed.every

    @property
    def number(self) -> dict[Place, int]:
        """The number of each place."""
        return self.fixed.number

    @property
    def anchor_of(self) -> Numbers:
        """(P + 2,) index into the site's anchors; -1 for the load and a puller that stands free."""
        return self.fixed.anchor_of

    @property
    def lever(self) -> Array:
        """(P + 2,) what a force at the place is multiplied with to compare with its anchor."""
        return self.fixed.lever

    @property
    def spots(self) -> Array:
        """(R, 3) where the hauling line ends, from the near to the far end of the puller's run."""
        return self.fixed.spots

    @property
    def position(self) -> Array:
        """(P + 2, 3) of the places; the load's is NaN, the puller's its near end."""
        return self.fixed.position

    def post(self, number: int) -> str:
        """The anchor that a place is at, "" for the load and a puller that stands free."""
        if number == self.puller_number:
            return self.puller.anchor or ""
        return self.places[number].name

    def anchor_at(self, number: int) -> Anchor:
        """The anchor of an anchor place."""
        return self.site.anchors[int(self.anchor_of[number])]

    def where(self, number: int, station: Numbers, spot: Numbers) -> Array:
        """(X, 3) of a place with the load at `station` (X,) and the puller at `spot` (X,)."""
        if number == 0:
            return self.hitch[station]
        if number == self.puller_number:
            return self.spots[spot]
        return np.broadcast_to(self.position[number], (len(station), 3))

    @property
    def clear(self) -> Mask:
        """(P + 2, P + 2) the line between two fixed places runs free; False for the load's row."""
        return self.fixed.clear

    @property
    def distance(self) -> Array:
        """(P + 2, P + 2) between fixed places, m, with the puller at its near end; NaN for the load."""
        return self.fixed.distance

    @property
    def stroke_last(self) -> Array:
        """(P + 2,) rope one run of the puller takes in, m, with the line coming from each place."""
        return self.fixed.stroke_last

    # ---- from the load, at every station --------------------------------------------------------

    @property
    def hitch(self) -> Array:
        """(S, 3) where the line takes hold of the load."""
        return self.reach.hitch

    @property
    def length(self) -> Array:
        """(P + 2, S) length of a part between the load and each place, m."""
        return self.reach.length

    @property
    def forward(self) -> Array:
        """(P + 2, S) u.t of a part of line to each place."""
        return self.reach.forward

    @property
    def forward_direct(self) -> Array:
        """(R, S) u.t of a hauling line straight from the load to each spot of the puller."""
        return self.reach.forward_direct

    @property
    def lift_direct(self) -> Array:
        """(R, S) u.n of the same."""
        return self.reach.lift_direct

    @property
    def lift(self) -> Array:
        """(P + 2, S) u.n of a part of line to each place."""
        return self.reach.lift

    @property
    def sideways(self) -> Array:
        """(P + 2, S) u.b of a part of line to each place."""
        return self.reach.sideways

    @property
    def unit(self) -> Array:
        """(P + 2, S, 3) from the hitch to each place."""
        return self.reach.unit

    @property
    def at_place(self) -> Array:
        """(P + 2, S, 3) from each place along the line to the hitch."""
        return self.reach.at_place

    @property
    def clear_from_load(self) -> Mask:
        """(P + 2, S): the line from the load to the place runs free of trunks, posts and ground, and
        the load's nose has not reached the anchor."""
        return self.reach.clear

    def nose_free(self, place: int) -> Mask:
        """(S,) whether the load's nose has not come to the anchor of a place, or passes beside it."""
        return self.reach.nose_free(place)

    def stands_for(self, other: "Scene") -> bool:
        """Whether it is the same way to take hold of the load with the same puller over the same edges; of
        two ropes, which run over none, whatever they are made of."""
        return (
            self.attachment == other.attachment
            and self.puller == other.puller
            and (
                self.edging == other.edging
                or (other.edging == BARE and self.edging.protector is None)
            )
        )

    @cached_property
    def for_any_rope(self) -> "Scene":
        """The scene for two ropes, which run over no edge, whatever they are made of."""
        if self.edging == BARE:
            return self
        return replace(self, edging=BARE, known_places=self.fixed, known_reach=self.reach)

    # ---- lines over edges ------------------------------------------------------------------------

    @property
    def over_edges(self) -> bool:
        """Whether something may lie on the ground for lines to run over."""
        return self.fixed.edges is not None

    @cached_property
    def bends(self) -> bool:
        """Whether any line that is free runs over what lies there; where the rig lays something, over
        that."""
        edges, laid = self.fixed.edges, self.edging.protector
        if edges is None or (laid is not None and all(edges.known)):
            return False
        kinds = [laid is None or kind == laid.gear for kind in edges.kinds]
        others = slice(1, None)  # place 0 is the load: only `reach` knows where it is
        tables = (
            (self.fixed.between, (others, others)), (self.fixed.to_puller, others),
            (self.reach.strings, others), (self.reach.strings_direct, ...),
        )  # fmt: skip
        return any(
            table is not None and bool((table.runs_over(kinds) & table.free)[rows].any())
            for table, rows in tables
        )

    def with_strings_of(self, other: "Scene") -> "Scene":
        """The scene with the strings of another, over things as high in the same places."""
        places = replace(self.fixed, like=other.fixed)
        reach = Reach(
            self.site, self.stations, self.attachment, self.puller, places,
            parts=((other.reach, slice(None)),),
        )  # fmt: skip
        return replace(self, known_places=places, known_reach=reach)

    @cached_property
    def frictions(self) -> Array:
        """(K, 2) of the ropes on each thing that lies there, low and high."""
        edges = self.fixed.edges
        assert edges is not None
        return np.array([self.edging.friction(kind) for kind in edges.kinds]).reshape(-1, 2)

    def lines(self, one: Numbers, two: Numbers, station: Numbers, spot: Numbers) -> Strings:
        """(n, X) how the lines between two places (n,) of each walk run, with the load at `station` (X,) and
        the puller at `spot` (X,); only where something may lie on the ground."""
        between = self.fixed.between
        assert between is not None
        out = between.pick((one, two)).spread((len(one), len(station)))
        for rows, found in self._moving(one, two, station, spot):
            out.put(rows, found)
        for rows, found in self._moving(two, one, station, spot):
            out.put(rows, found.back())
        return out

    def _moving(
        self, one: Numbers, two: Numbers, station: Numbers, spot: Numbers
    ) -> Iterator[tuple[Mask, Strings]]:
        """Of the lines whose first place is the load or whose second is the puller: which, and how they
        run."""
        to_puller, from_load = two == self.puller_number, one == 0
        tables = self.fixed.to_puller, self.reach.strings, self.reach.strings_direct
        rows = to_puller & ~from_load
        if rows.any() and tables[0] is not None:
            yield rows, tables[0].pick((one[rows][:, None], spot[None, :]))
        rows = from_load & ~to_puller
        if rows.any() and tables[1] is not None:
            yield rows, tables[1].pick((two[rows][:, None], station[None, :]))
        rows = from_load & to_puller
        if rows.any() and tables[2] is not None:
            yield rows, tables[2].pick((spot[None, :], station[None, :]))

    # ---- a second line --------------------------------------------------------------------------

    @cached_property
    def leads(self) -> Leads:
        """Where the steering lines lead, at every station."""
        return leads(self.site, self.stations, self.guides, self.fixed.edges)

    # ---- the puller -----------------------------------------------------------------------------

    def _limit(self, target: Array) -> Array:
        """Greatest line pull, N, (..., R), with the line leading to `target` (..., 3); 0 where the
        line's angle to the run is beyond the puller's limits."""
        way = target[..., None, :] - self.spots
        return line_pull_limit(puller=self.puller, way=way)

    @cached_property
    def limit_last(self) -> Array:
        """(P + 2, R) greatest pull with the hauling line coming from each fixed place."""
        if self.known_limits is not None:
            return self.known_limits
        if self.fixed.to_puller is not None:
            return line_pull_limit(puller=self.puller, way=self.fixed.to_puller.end)
        return self._limit(np.nan_to_num(self.position))

    @cached_property
    def limit_from_load(self) -> Array:
        """(S, R) greatest pull with the hauling line coming straight from the load."""
        if self.reach.strings_direct is not None:
            way = self.reach.strings_direct.end.swapaxes(0, 1)
            return line_pull_limit(puller=self.puller, way=way)
        return self._limit(self.hitch)

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
        known: dict[tuple[int, ...], bool] = {}
        return self.reach.once(("reaches the puller",), lambda: known)

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
        parts = tuple((s.reach, part) for s, part in pieces)
        return replace(out, known_reach=replace(out.reach, parts=parts))

    def at(self, stations: Numbers) -> "Scene":
        """The same scene at some of its stations only."""

        def some() -> Reach:
            return Scene.spliced([(self, stations)]).reach

        known = self.reach.once(("at", stations.tobytes()), some)
        return replace(self.with_stations(self.stations.pick(stations)), known_reach=known)

    def with_stations(self, stations: Stations) -> "Scene":
        """The same scene over other stations. What does not depend on them is not computed again."""
        return Scene(
            self.site, stations, self.attachment, self.puller, self.kept, self.guides, self.edging,
            known_places=self.fixed, known_limits=self.limit_last,
        )  # fmt: skip


def for_two_ropes(scenes: Iterable[Scene]) -> Iterator[Scene]:
    """The scenes for two ropes, which run over no edge: each way to take hold of the load with each puller
    once."""
    known: list[Scene] = []
    for scene in scenes:
        if scene.edging.protector is None:
            some = scene.for_any_rope
            if not any(some.stands_for(other) for other in known):
                known.append(some)
                yield some


def scenes(site: Site, stations: Stations, kit: Kit | None = None) -> Iterator[Scene]:
    """Every way to take hold of the load with every puller, wherever it may stand, and with what can be laid
    on edges for lines to run over. `kit`: the gear that counts; None: what the site owns."""
    laid = edgings(site, kit_of(site) if kit is None else kit)
    for puller in site.pullers:
        for attachment in attachments(site):
            yield from wherever_it_stands(site, stations, attachment, puller, laid)


def at_stand(scene: Scene, puller: Puller) -> Scene:
    """The scene with its puller at another stand."""
    return replace(
        scene,
        puller=puller,
        known_places=None,
        known_reach=None,
        known_limits=None,
        other_stand=scene,
    )


def wherever_it_stands(
    site: Site, stations: Stations, attachment: Attachment, puller: Puller, laid: Sequence[Edging]
) -> Iterator[Scene]:
    """One way to take hold of the load with a puller at each of its candidate spots, and with each of the
    things that can be laid on edges."""
    first: Scene | None = None
    for stood in stands(site, puller):
        scene = Scene(site, stations, attachment, stood, other_stand=first)
        first = first or scene
        yield from over_edges(scene, laid)


def over_edges(plain: Scene, laid: Sequence[Edging]) -> Iterator[Scene]:
    """A scene with each of the things that can be laid on edges, as far as that makes a difference."""
    known: dict[object, Scene] = {}
    for protector in dict.fromkeys(edging.protector for edging in laid):
        groups = [edging for edging in laid if edging.protector == protector]
        first = replace(plain, edging=groups[0])
        if (edges := first.fixed.edges) is not None:
            alike = known.setdefault(edges.course, first)
            first = first if alike is first else first.with_strings_of(alike)
        if first.bends:
            yield first
            for edging in groups[1:]:
                yield replace(
                    first, edging=edging, known_places=first.fixed, known_reach=first.reach
                )
        elif protector is None:  # laid where no line runs over it, it changes nothing
            yield replace(first, edging=BARE)
