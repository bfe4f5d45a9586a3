"""One rope as the sheet draws and describes it: where it runs, what hangs on it, what it carries.

A setup of one rope has one of these, tackle on tackle two, and every holding line is one more. The
parts of all ropes on a page are numbered through, so that a number stands for one part only.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from optimiser.mechanics.anchor.shackle_at_rest import settled
from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.clearance import Runs
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.strings import bends, edges_of
from optimiser.rig.laid_edges import Over
from optimiser.rig.setup import Contact, Hung, Role
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.sheet.drawing.style import ROPES, Line
from optimiser.site.model import Owned, Site

Key = tuple[str, str]
Bent = Mapping[tuple[int, int], Array]

PLAIN, HAULING, MAIN, SECOND = "rope", "hauling rope", "main rope", "second rope"
HOLDING, STEERING = "holding line", "steering line"
"""What a rope is called."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Rope:
    """See the module's text. S stations, n nodes from the standing end on.

    `near`, `far`: (S, n, 3) where its nodes are, m, with the puller where its run begins and ends
    (paying out it begins at the far end). `gear`:
    nodes counted from its own standing end. `shares`: of each part in the pull on what the rope hauls,
    None where that is not printed. `carries`: N, the most each part has on it, without dynamic factor.
    `turns`: round turns about the last place, with a hand behind them. `bent`: by station and part, where a
    part touches ground, (c, 3) m from its beginning on; what is not in it runs straight. `held`: how it
    runs from the first to the last station at which it is in use.
    """

    called: str
    piece: Owned
    walk: Walk
    first: int  # number of its first part
    needed: float  # m
    style: Line
    near: Array
    far: Array
    gear: tuple[Hung, ...]
    shares: Array | None
    carries: Array
    lies: tuple[tuple[Key, Key], ...]  # for each part the places it leads between on the ground
    turns: int = 0
    holds: bool = False  # a line beside the haul that holds or steers
    used: tuple[int, int] = (0, -1)  # first and last station at which it is in use
    bent: Bent = field(default_factory=dict)
    over: Over | None = None  # the edges it runs over; None: none

    @property
    def last(self) -> int:
        """The number of its last part."""
        return self.first + len(self.walk) - 2

    @property
    def numbers(self) -> str:
        """ "parts 1 to 3"."""
        if self.first == self.last:
            return f"part {self.first}"
        return f"parts {self.first} to {self.last}"

    @property
    def pulled(self) -> PlaceKind:
        """The kind of place it hauls on or holds: the load, or the grip on another rope."""
        load = any(p.kind is PlaceKind.LOAD for p in self.walk)
        return PlaceKind.LOAD if load else PlaceKind.GRIP

    def ends(self, part: int) -> tuple[Place, Place]:
        """The places of its part of that index."""
        return self.walk[part], self.walk[part + 1]

    def pulls(self, part: int) -> bool:
        """Whether a part ends at what the rope hauls or holds."""
        return self.pulled in {place.kind for place in self.ends(part)}

    def course(self, station: int, part: int) -> Array:
        """(m, 3) m: how a part runs at a station, over whatever it touches on its way."""
        begin, end = self.near[station, part], self.near[station, part + 1]
        return np.vstack([begin, self.bent.get((station, part), self.near[:0, 0]), end])

    def station(self, station: int) -> int:
        """The station nearest to one at which the rope is in use."""
        begin, end = self.used
        stop = len(self.near) - 1 if end < 0 else end
        return min(max(station, begin), stop)


def key(place: Place) -> Key:
    """What distinguishes a place: its kind and the anchor's or puller's name, not the height."""
    return place.kind, place.name


def style(number: int) -> Line:
    """How the rope of that index is drawn."""
    return ROPES[min(number, len(ROPES) - 1)]


def positions(
    scene: Scene, walk: Walk, hitch: Array, *, far: bool = False, grip: Array | None = None
) -> Array:
    """(S, n, 3) m of the places of a walk: `hitch`, `grip` (S, 3) move with the load, the puller stands
    at one end of its run."""
    out = np.empty((len(hitch), len(walk), 3))
    for i, place in enumerate(walk):
        if place.kind is PlaceKind.LOAD:
            out[:, i] = hitch
        elif place.kind is PlaceKind.GRIP:
            assert grip is not None
            out[:, i] = grip
        elif place.kind is PlaceKind.PULLER:
            out[:, i] = scene.spots[-1 if far else 0]
        else:
            x, y, z = scene.site.anchor(place.name).position
            out[:, i] = (x, y, z + place.height)
    return _at_slings(scene.site, walk, out)


def _at_slings(site: Site, walk: Walk, nodes: Array) -> Array:
    """The nodes (S, n, 3), m, with a shackle that runs on a sling between two trees where its lines draw it;
    what its block loses by friction turns it by less than a drawing shows."""
    for i, place in enumerate(walk):
        sling = site.anchor(place.name).sling if place.kind is PlaceKind.ANCHOR else None
        if sling is not None:
            beside = [k for k in (i - 1, i + 1) if 0 <= k < len(walk)]
            ends = np.stack([nodes[:, k] for k in beside])
            first, second = (np.array(tie) for tie in sling.ties)
            nodes[:, i] = settled(
                first=first,
                second=second,
                legs=sling.legs,
                ends=ends,
                tensions=np.ones(ends.shape[:2]),
            )
    return nodes


def bent(site: Site, walk: Walk, near: Array, contacts: Sequence[Contact]) -> Bent:
    """Where the parts of a rope touch ground at every station; `near`: where its nodes are."""
    laid = next((c.owned.gear for c in contacts if c.owned is not None), None)
    edges = edges_of(site, laid) if contacts else None
    out: dict[tuple[int, int], Array] = {}
    if edges is None:
        return out
    for part in {contact.part - 1 for contact in contacts}:
        ends = walk[part].kind, walk[part + 1].kind
        back = ends[1] is PlaceKind.LOAD or ends[0] is PlaceKind.PULLER
        begin, end = near[:, part + back], near[:, part + (not back)]
        found = bends(edges, Runs.between(begin, end), both_ends=PlaceKind.LOAD not in ends)
        flat = end[:, :2] - begin[:, :2]
        long = np.maximum(np.hypot(flat[:, 0], flat[:, 1]), 1e-9)
        for station, column in enumerate(found.point):
            which = np.flatnonzero(column >= 0)
            if len(which):
                share = found.knots[station, which + 1] / long[station]
                level = begin[station, :2] + share[:, None] * flat[station]
                points = np.column_stack([level, found.heights[station, which + 1]])
                out[station, part] = points[::-1] if back else points
    return out


def own_gear(gear: Sequence[Hung], begin: int, count: int, *, last: bool) -> tuple[Hung, ...]:
    """The pieces that serve `count` nodes from `begin` on, their nodes counted from there. What is said
    by a number below zero belongs to the load (of the first rope) or to the hauling end (of the last)."""
    out = []
    for hung in gear:
        if hung.role is Role.PROTECTOR and begin == 0:
            out.append(hung)
        here = tuple(n - begin for n in hung.nodes if begin <= n < begin + count)
        if min(hung.nodes, default=0) < 0:
            mine = last if hung.nodes == (-1,) else begin == 0
            here = hung.nodes if mine else ()
        if here:
            out.append(replace(hung, nodes=here))
    return tuple(out)


def lies(walk: Walk) -> tuple[tuple[Key, Key], ...]:
    """Between which places each part leads."""
    return tuple((key(a), key(b)) for a, b in pairwise(walk))
