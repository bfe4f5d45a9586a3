"""One walk of an evaluation, seen by the gear: the worst that each of its nodes and parts carries.

Demands are the worst over all states (stations and spots of the puller), over the ranges of the
sheaves' efficiencies, and letting down over sheaves as rated and running free, times the dynamic factor of
the puller; the puller itself is checked against its pull alone. Every question of the program takes its
demands from here.
"""

from dataclasses import dataclass, replace
from functools import cached_property, reduce
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.line.bridle import leg_tensions
from optimiser.rig.forces.at_rest import ring_at_rest, sling_at_rest
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import corners, evaluate, turning
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.ways import one_way
from optimiser.rig.gear.over_edges import Touch, touches
from optimiser.rig.ground.scene import Scene
from optimiser.rig.once import Once
from optimiser.rig.two_ropes.second_rope import Tackle
from optimiser.rig.walk import Place, Walk
from optimiser.site.model import Anchor

if TYPE_CHECKING:
    from optimiser.rig.two_ropes.pairs import Pair


@dataclass(frozen=True, slots=True)
class Peak:
    """The worst value over the states, and the distance along the path where it comes, m."""

    value: float
    at: float


@dataclass(frozen=True)
class HoldOn:
    """Where a rope that lets down ends: on a trunk with so many turns (`trunk`: index of the site's anchor),
    or on a puller. `limit`, `comfort`: of the hand, N, in the rope behind the turns."""

    trunk: int | None
    turns: int
    ratio: float
    limit: float
    comfort: float


@dataclass(frozen=True)
class RigRow(Once):
    """One walk of an evaluation, seen by the gear. `held`: how the rope is held that lets down; None: it
    hauls, or that is not known yet. `pairs`: of two ropes those that are looked at; None: any two."""

    evaluation: Evaluation
    index: int
    held: HoldOn | None = None
    pairs: "tuple[Pair, ...] | None" = None

    @property
    def scene(self) -> Scene:
        return self.evaluation.scene

    def on(self, scene: Scene) -> "RigRow":
        """The same rig on another stretch of the path, held as it is, with the ropes of whatever kit."""
        etas = np.array([self.etas]).reshape(1, len(self.etas))
        ev = evaluate(scene, np.array([self.numbers]), etas, self.evaluation.duty)
        return RigRow(ev, 0, self.held)

    def held_on(self, held: HoldOn) -> "RigRow":
        """The same rig, held in some way; the rope's own forces are not worked out again."""
        out = replace(self, held=held)
        vars(out).update(corners=self.corners, pulls=self.pulls, forces=self.forces)
        return out

    def turning_at(self, etas: Array) -> Evaluation:
        """The rig with other efficiencies of its sheaves, (n, sheaves), rope by rope in its order, at every
        look that `corners` takes of a haul: n rows, where it runs over edges n more with the least friction
        there, and all of these once more where a bridle's ring or a sling's shackle comes to rest."""
        every, rubbing = self.course.spread(etas), None
        if self.evaluation.rubs(self.index):
            rubbing = np.repeat([True, False], len(every))
            every = np.concatenate([every, every])
        ev = turning(self.evaluation, self.index, every, rubbing)
        rows = slice(0, len(ev.walks))
        if self.slung:
            return sling_at_rest(ev, rows, self.slung[0])
        return ring_at_rest(ev, rows) if self.swings else ev

    @cached_property
    def course(self) -> Course:
        """Where the ropes begin and end."""
        return Course(self.numbers)

    @property
    def path(self) -> tuple[int, ...]:
        """As the search grows walks: the rope that pulls the load, from its hauling part backwards; from the
        trunk of the turns, where a hand holds; of two ropes the first, from before its grip."""
        if self.course.grip is not None:
            return self.numbers[self.course.grip - 1 :: -1]
        by_hand = self.lets_down and self.numbers[-1] != self.scene.puller_number
        return self.numbers[::-1] if by_hand else self.numbers[-2::-1]

    @property
    def tackle(self) -> Tackle | None:
        """The second rope, where its tackle hauls the first."""
        return self.course.tackle

    @property
    def runs(self) -> tuple[tuple[int, int], ...]:
        """The straight runs of rope between places, by number."""
        return tuple((self.numbers[a], self.numbers[b]) for a, b in self.course.runs)

    @property
    def walks(self) -> tuple[Walk, ...]:
        """The walk of each rope."""
        places = self.scene.walk(self.numbers)
        return tuple(places[own] for own in self.course.ropes)

    @property
    def eta_lists(self) -> tuple[tuple[float, ...], ...]:
        """Efficiencies of the sheaves along each rope."""
        return tuple(self.etas[own.start : own.stop - 2] for own in self.course.ropes)

    @cached_property
    def numbers(self) -> tuple[int, ...]:
        return tuple(int(i) for i in self.evaluation.walks[self.index])

    @cached_property
    def etas(self) -> tuple[float, ...]:
        return tuple(float(e) for e in self.evaluation.etas[self.index])

    @property
    def sheaves(self) -> int:
        return len(self.etas)

    @property
    def lets_down(self) -> bool:
        """Whether the rope pays the load out rather than hauls it."""
        return self.evaluation.duty is Duty.LOWER

    @property
    def dynamic(self) -> float:
        return self.scene.puller.dynamic

    @cached_property
    def pull(self) -> Array:
        """(X,) pull at the hauling end, N, with every sheave at the low end of its range."""
        return self.evaluation.pull[self.index]

    # ---- every combination of ends of the sheaves' ranges -------------------------------------------

    @cached_property
    def corners(self) -> tuple[Evaluation, slice]:
        """An evaluation and its rows (q) at which every figure of the rig is to be looked at; see
        `optimiser.rig.forces.evaluate.corners`.

        Any force on a piece, and what the rig lacks to move the load, keep it down and on line, is of
        the form (a + b eta) / (c + d eta) in each efficiency, or the length or greatest of such, the
        others left as they are. So its worst over all values within the ranges is at one of these.

        Under a bridle every one of them is looked at twice: with the ring straight ahead of the middle of
        the hitches, which the search's bounds know, and where it comes to rest under the parts. Of each
        figure the worse counts; lengths of rope are those with the ring ahead. So it is with the shackle on a
        sling between two trees: lines that lead to the middle between these, and to where it comes to rest.
        """
        ev, rows = corners(self.evaluation, self.index)
        twice = slice(0, 2 * (rows.stop - rows.start))
        if self.slung:
            return sling_at_rest(ev, rows, self.slung[0]), twice
        return (ring_at_rest(ev, rows), twice) if self.swings else (ev, rows)

    @property
    def looks(self) -> tuple[Numbers, ...]:
        """The rows of `corners`, look by look: with the sheaves as rated, and letting down with them running
        free."""
        ev, rows = self.corners
        every = np.arange(len(ev.walks))[rows]
        if ev.free is None:
            return (every,)
        return every[~ev.free[rows]], every[ev.free[rows]]

    @property
    def swings(self) -> bool:
        """Whether the line holds the load by a bridle whose ring is looked at where it comes to rest."""
        return self.scene.attachment.bridled

    @cached_property
    def slung(self) -> tuple[int, ...]:
        """The nodes at two trees that share the pull by a sling; empty where there are none."""
        if not self.scene.site.has_shared or self.evaluation.of_two_ropes:
            return ()
        return tuple(
            node
            for place, nodes in self.anchored.items()
            if self.anchor_at(place).sling is not None
            for node in nodes
        )

    def anchor_at(self, place: int) -> Anchor:
        """The anchor of an anchor place."""
        return self.scene.anchor_at(place)

    @cached_property
    def works_throughout(self) -> bool:
        """Whether what works with every sheave at the low end of its range does so at all other ends."""
        ev, rows = self.corners
        if rows.stop - rows.start > 1 and not bool(ev.works[rows].all()):
            return False
        return not self.scene.site.has_made or one_way(self.corners)

    @cached_property
    def pulls(self) -> Array:
        """(q, X) pull at the hauling end, N."""
        ev, rows = self.corners
        return ev.pull[rows]

    @cached_property
    def forces(self) -> Array:
        """(m + 2, 3, q, X) force of the rope on each node at working pull, N."""
        ev, rows = self.corners
        return ev.node_force[:, :, rows] * self.pulls

    def peak(self, values: Array) -> Peak:
        """The worst of (q, X) or (X,) values. Of equals (to a part in 10^9) the first along the path."""
        worst = float(values.max())
        met = np.atleast_2d(values >= worst * (1.0 - 1e-9)).any(axis=0)
        ev = self.evaluation
        return Peak(worst, float(self.scene.stations.at[ev.states.station[int(np.argmax(met))]]))

    def joint(self, nodes: tuple[int, ...]) -> Peak:
        """Worst force of the rope on some nodes together, N, with the dynamic factor."""
        found = self._known.get(nodes)
        if found is None:
            total = self.forces[list(nodes)].sum(axis=0)
            found = self.peak(np.sqrt((total**2).sum(axis=0)) * self.dynamic)
            self._known[nodes] = found
        return found

    def tension(self, segment: int) -> Peak:
        """Worst tension of a segment, N, with the dynamic factor."""
        found = self._known.get(segment)
        if found is None:
            ev, rows = self.corners
            tau = ev.tight[segment, rows]
            if tau.shape[1] > 1:
                peak = self.peak(self.pulls * tau)
                found = Peak(peak.value * self.dynamic, peak.at)
                self._known[segment] = found
                return found
            worst = self.pulls.max(axis=1) * tau[:, 0]
            most = int(np.argmax(worst))
            peak = self.line if len(self.pulls) == 1 else self.peak(self.pulls[most])
            found = Peak(float(tau[most, 0]) * peak.value * self.dynamic, peak.at)
            self._known[segment] = found
        return found

    def over_sheave(self, node: int) -> Peak:
        """Worst tension of the rope over the sheave at a node, N, with the dynamic factor: of the parts on
        both sides the tighter, which hauling is the one towards the puller, and letting down as a rule the
        one towards the standing end."""
        if not self.lets_down:
            return self.tension(node)
        return _worse(self.tension(node), self.tension(node - 1))

    @cached_property
    def touches(self) -> tuple[Touch, ...]:
        """Where the rope runs over edges."""
        return touches(self)

    def bends_in(self, segment: int) -> bool:
        """Whether a segment runs over an edge in any state."""
        over = self.evaluation.over
        return over is not None and bool(over.bent[segment, self.index].any())

    def tightest_from(self, segment: int) -> Peak:
        """Worst tension of the rope that is tightest in that segment when it hauls, N, with the dynamic
        factor; letting down that of any part."""
        if not self.lets_down:
            return self.tension(segment)
        return reduce(_worse, map(self.tension, range(self.sheaves + 1)))

    @cached_property
    def line(self) -> Peak:
        """Worst pull at the hauling end, or tension before the turns or the puller that hold, N, without the
        dynamic factor."""
        return self.peak(self.pulls)

    @cached_property
    def hand(self) -> Peak:
        """Worst force of the hand behind the turns, N; 0 where there is none."""
        if self.held is None or self.held.trunk is None:
            return Peak(0.0, self.line.at)
        return Peak(self.line.value / self.held.ratio, self.line.at)

    @cached_property
    def counted(self) -> Peak:
        """What the order of setups counts as pull, N: a hand's not below what is comfortable."""
        if self.held is None:
            return self.line
        return Peak(max(self.hand.value, self.held.comfort), self.hand.at)

    @cached_property
    def puller_use(self) -> Peak:
        """Worst pull / what the puller can pull there, or what the hand behind the turns may hold."""
        if self.held is not None and self.held.trunk is not None:
            return Peak(self.hand.value / self.held.limit, self.hand.at)
        ev, rows = self.corners
        return self.peak(self.pulls / np.maximum(ev.puller_limit[rows], 1e-9))

    def place(self, number: int) -> Place:
        """The place of a number in the walk."""
        return self.scene.walk((number,))[0]

    @cached_property
    def stands_badly(self) -> bool:
        """Whether the puller stands where a parted line or a load that runs back would reach it. Letting down
        that is not looked at: whoever holds stands behind the trunk of the turns, and the cautions say where
        nobody may be."""
        lie = () if self.lets_down else self.course.as_they_lie
        return any(self.scene.stands_badly(numbers) for numbers in lie)

    @cached_property
    def groups(self) -> dict[int, tuple[int, ...]]:
        """Sheave nodes of the walk by place number."""
        out: dict[int, tuple[int, ...]] = {}
        for node in self.course.turning:
            out[self.numbers[node]] = (*out.get(self.numbers[node], ()), node)
        return out

    @cached_property
    def anchored(self) -> dict[int, tuple[int, ...]]:
        """All nodes (standing ends included) by anchor place."""
        out: dict[int, tuple[int, ...]] = {}
        for node, number in enumerate(self.numbers[:-1]):
            if number > 0:
                out[number] = (*out.get(number, ()), node)
        return out

    @cached_property
    def on_load(self) -> tuple[int, ...]:
        """Nodes on the load."""
        return tuple(i for i, number in enumerate(self.numbers) if number == 0)

    @cached_property
    def longest(self) -> float:
        """Longest total of the segments with the puller at the near end, m."""
        ev = self.evaluation
        near = ev.states.spot == 0
        return float(ev.total_length[self.index][near].max())

    @cached_property
    def shortest_segments(self) -> tuple[float, ...]:
        """Shortest length of each segment over the states, m."""
        return tuple(float(v) for v in self.evaluation.lengths[:, self.index].min(axis=1))

    @cached_property
    def line_to(self) -> Array:
        """(m + 2, X) m of line from the standing end's place to each place."""
        parts = self.evaluation.lengths[:, self.index]
        return np.concatenate([np.zeros((1, parts.shape[1])), np.cumsum(parts, axis=0)])

    @cached_property
    def anchor_use(self) -> dict[int, tuple[Peak, float | None]]:
        """For each of the site's anchors in the walk: worst demand and capacity (None: unrated). The trunk of
        the turns carries the hand's pull too, whatever its way."""
        out = {}
        ev, rows = self.corners
        for a, (uses, demand) in ev.anchor_demand.items():
            if uses[rows.start]:
                strength = self.scene.site.anchors[a].strength.capacity
                worst = self.peak(demand[rows] * self.dynamic)
                if self.held is not None and a == self.held.trunk:
                    more = (
                        self.hand.value * float(self.scene.lever[self.numbers[-1]]) * self.dynamic
                    )
                    worst = Peak(worst.value + more, worst.at)
                out[a] = (worst, strength)
        return out

    @cached_property
    def hitch_use(self) -> tuple[tuple[Peak, float | None], ...]:
        """For each hitch of the attachment: worst demand and rating."""
        attachment = self.scene.attachment
        if not attachment.bridled:
            return ((self.joint(self.on_load), attachment.hitches[0].rating),)
        return tuple(
            (self.peak(tension), hitch.rating)
            for tension, hitch in zip(self.bridle_tensions, attachment.hitches, strict=True)
        )

    @cached_property
    def bridle_tensions(self) -> tuple[Array, Array]:
        """(q, X) tension of each bridle leg, N, with the dynamic factor."""
        pulls = self.forces[list(self.on_load)].sum(axis=0) * self.dynamic  # (3, q, X)
        station = np.tile(self.evaluation.states.station, pulls.shape[1])
        first, second = in_bridle(self.scene, station, pulls.reshape(3, -1).T)
        return first.reshape(pulls.shape[1:]), second.reshape(pulls.shape[1:])

    @cached_property
    def slack_legs(self) -> tuple[tuple[float, float] | None, ...]:
        """For each leg of a bridle, between which places of the path, m, it hangs slack with the ring at
        rest; None: nowhere."""
        out: list[tuple[float, float] | None] = []
        at = self.scene.stations.at[self.evaluation.states.station]
        for own in self.bridle_tensions:
            rest = own[len(own) // 2 :] if self.swings else own
            where = at[((rest <= 0.0) & (self.pulls[-len(rest) :] > 0.0)).any(axis=0)]
            out.append((float(where.min()), float(where.max())) if len(where) else None)
        return tuple(out)


def _worse(one: Peak, other: Peak) -> Peak:
    return other if other.value > one.value * (1.0 + 1e-9) else one


def in_bridle(scene: Scene, station: npt.NDArray[np.int64], pulls: Array) -> Array:
    """(2, n) tensions of the legs of a scene's bridle, N, under pulls (n, 3) with the load at the stations
    (n,)."""
    leg = scene.attachment.leg
    assert leg is not None
    first, second = scene.bridle_hitches(station)
    return leg_tensions(first=first, second=second, legs=(leg, leg), pull=pulls)
