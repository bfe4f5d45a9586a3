"""Lists the slots of tackle on tackle: those of both ropes, filled from one kit."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from catalogue.gear import Rope, Termination
from optimiser.mechanics.arrays import Array
from optimiser.rig.gear.ends import RopeEnd
from optimiser.rig.gear.kit import Kit, long_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import END_LENGTH, EndUse, Room, RopeUse, Variant
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.setup import Line, Role
from optimiser.rig.two_ropes.evaluate import CompoundEvaluation, evaluate
from optimiser.rig.two_ropes.pairs import Pair
from optimiser.rig.two_ropes.second_rope import Tackle
from optimiser.rig.two_ropes.work import Geometry, Work, most_out, work
from optimiser.rig.walk import GRIP, Walk
from optimiser.site.model import Owned

GRIP_LENGTH = 0.3
"""m that the grip itself takes on the first rope (project choice)."""
CLOSE = 0.3
"""m left between the second rope's blocks when the grip is moved back (project choice)."""


@dataclass(frozen=True)
class CompoundRow(RigRow):
    """One rig of a compound evaluation, seen by the gear. `pairs`: the ropes that are looked at; None:
    any two."""

    evaluation: CompoundEvaluation
    pairs: tuple[Pair, ...] | None = None

    @property
    def tackle(self) -> Tackle:
        return self.evaluation.tackle

    @property
    def path(self) -> tuple[int, ...]:
        return self.numbers[self.grip - 1 :: -1]

    def on(self, scene: Scene) -> "CompoundRow":
        etas = np.array([[eta for etas in self.eta_lists for eta in etas]])
        return CompoundRow(self._on(scene, etas), 0)  # with the ropes of whatever kit

    def _turned(self, etas: Array) -> CompoundEvaluation:
        """See the base; the sheaves of the first rope before those of the second."""
        return self._on(self.scene, etas)

    def _on(self, scene: Scene, etas: Array) -> CompoundEvaluation:
        first = np.tile(np.array(self.numbers[: self.grip]), (len(etas), 1))
        return evaluate(scene, first, self.tackle, etas)

    @property
    def runs(self) -> tuple[tuple[int, int], ...]:
        """The first rope's last one as far as the second's anchor; those to the grip lie along it."""
        own = (*self.numbers[: self.grip], self.tackle.anchor)
        return (
            *pairwise(own),
            *((self.numbers[k], self.numbers[k + 1]) for k in self.evaluation.beyond),
        )

    @property
    def grip(self) -> int:
        """The node at which the first rope ends."""
        return self.evaluation.grip

    @cached_property
    def walks(self) -> tuple[Walk, Walk]:
        """The walks of both ropes."""
        places = self.scene.walk(self.numbers)
        return places[: self.grip + 1], places[self.grip + 1 :]

    @cached_property
    def stands_badly(self) -> bool:
        """By both ropes as they lie: the first leads on to the second's anchor."""
        own, anchor, me = self.numbers[: self.grip], self.tackle.anchor, self.scene.puller_number
        beyond = self.tackle.numbers[self.tackle.numbers.index(anchor) :]
        after = [n for n in beyond if n not in (anchor, GRIP_NUMBER)]
        courses = ((*own, anchor, me), (own[-1], anchor, *after, me))
        return any(self.scene.stands_badly(course) for course in courses)

    @cached_property
    def groups(self) -> dict[int, tuple[int, ...]]:
        out: dict[int, tuple[int, ...]] = {}
        for node in self.turning:
            out[self.numbers[node]] = (*out.get(self.numbers[node], ()), node)
        return out

    @property
    def turning(self) -> tuple[int, ...]:
        """Nodes at which a rope turns on a sheave."""
        return tuple(
            n for n in range(1, len(self.numbers) - 1) if n not in (self.grip, self.grip + 1)
        )

    @cached_property
    def anchored(self) -> dict[int, tuple[int, ...]]:
        out: dict[int, tuple[int, ...]] = {}
        for node, number in enumerate(self.numbers[:-1]):
            if number not in (0, GRIP_NUMBER):
                out[number] = (*out.get(number, ()), node)
        return out

    @cached_property
    def eta_lists(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Efficiencies along each rope."""
        return self.etas[: self.grip - 1], self.etas[self.grip + 1 :]

    def geometry(self, kit: Kit) -> Geometry:
        """Lengths of the rig, with the longest gear of the kit wherever some may hang."""
        ev, scene = self.evaluation, self.scene
        shape = (len(scene.stations), len(scene.spots))
        assert ev.span is not None
        lengths = ev.lengths[:, self.index].reshape(len(ev.lengths), *shape)
        beyond = lengths[list(ev.beyond)].sum(axis=0)
        return Geometry(
            at=scene.stations.at,
            span=ev.span[self.index].reshape(shape)[:, 0],
            other=lengths[: self.grip - 1, :, 0].sum(axis=0),
            parts=self.tackle.parts,
            fixed_near=float(beyond[0, 0]),
            fixed_far=float(beyond[0, -1]),
            least_out=stand_off(scene, kit, self.numbers[self.grip - 1]) + out_takes(kit),
            least_in=stand_off(scene, kit, self.tackle.anchor) + in_takes(kit),
        )


def stand_off(scene: Scene, kit: Kit, number: int) -> float:
    """The most that a strap or chain at a place surely keeps the gear away from it, m."""
    if number == 0:
        return 0.0
    anchor = scene.anchor_at(number)
    return max((h.standoff for h in kit.sure.round_anchor(anchor)), default=0.0)


def out_takes(kit: Kit) -> float:
    """m between what is hung at the first rope's last place and the grip, with the longest gear."""
    return _hangs(kit) + GRIP_LENGTH


def in_takes(kit: Kit) -> float:
    """m between the grip and what is hung at the second rope's anchor, with the longest gear."""
    return 2.0 * _hangs(kit) + CLOSE


def _hangs(kit: Kit) -> float:
    block = max((long_of(p) for p in kit.sure.blocks), default=0.0)
    shackle = max((long_of(p) for p in kit.sure.shackles), default=0.0)
    return max(block, END_LENGTH) + shackle


@dataclass(frozen=True, kw_only=True)
class CompoundVariant(Variant):
    """A rig with both ropes and one way to make fast their ends. `rope`, `standing`: of the first;
    `hauling`: of the second."""

    row: CompoundRow
    second: Owned[Rope]
    second_standing: RopeEnd
    grip: Termination
    work: Work
    needed: tuple[float, float]  # m of either rope

    def on(self, row: RigRow) -> "CompoundVariant | None":
        """See the base. TypeError: a rig of one rope."""
        if not isinstance(row, CompoundRow):
            raise TypeError("tackle on tackle goes on as tackle on tackle")
        first, second = self.needed
        geometry = row.geometry(self.kit)
        ends = second - self.work.second
        most = most_out(self.second, ends + geometry.fixed_near, geometry.parts)
        found = work(geometry, puller=row.scene.puller, most_out=most)
        if found is None:
            return None
        needed = first - self.work.first + found.first, found.second + ends
        return replace(
            self, row=row, rope_needed=sum(needed), hauled=found.hauled, strokes=found.strokes,
            work=found, needed=needed,
        )  # fmt: skip

    @property
    def long_enough(self) -> bool:
        """Whether both ropes reach."""
        ropes = zip(self.needed, (self.rope, self.second), strict=True)
        return all(needed <= (rope.length or 0.0) + 1e-9 for needed, rope in ropes)

    @property
    def stops(self) -> tuple[float, ...]:
        return self.work.stops

    @property
    def moved(self) -> tuple[float, ...]:
        return self.work.moved

    @property
    def gripped(self) -> tuple[float, ...]:
        return self.work.gripped

    @property
    def lines(self) -> tuple[Line, ...]:
        """Both ropes, the first before the second."""
        gained = (float(self.row.evaluation.gained[self.row.index]), 1.0)
        ropes = (self.rope, self.second)
        return tuple(
            Line(walk=walk, rope=rope, etas=etas, rope_needed=needed, gained=times)
            for walk, rope, etas, needed, times in zip(
                self.row.walks, ropes, self.row.eta_lists, self.needed, gained, strict=True
            )
        )

    @cached_property
    def ropes(self) -> tuple[RopeUse, ...]:
        row, grip, last = self.row, self.row.grip, self.row.sheaves + 1
        alone = super().ropes[0]
        assert self.second_standing.termination is not None
        at_grip = EndUse(
            termination=self.grip, segment=grip - 1, node=grip, place=str(GRIP), word="grip",
            role=Role.GRIP, how=f"{self.grip.name}, on its hauling part",
        )  # fmt: skip
        knot = self.second_standing.termination
        standing = EndUse(
            termination=knot, segment=grip + 1, node=grip + 1,
            place=str(row.place(row.numbers[grip + 1])), word="standing end", role=Role.END,
            how=knot.name,
        )  # fmt: skip
        return (
            RopeUse(
                piece=self.rope, tightest=grip - 1, turns=range(1, grip), ends=(alone.ends[0], at_grip)
            ),
            RopeUse(
                piece=self.second, tightest=row.sheaves, turns=range(grip + 2, last),
                ends=(standing, alone.ends[1]),
            ),
        )  # fmt: skip

    @property
    def rope_pieces(self) -> tuple[Owned[Rope], ...]:
        return self.rope, self.second

    @cached_property
    def end_shackles(self) -> tuple[tuple[tuple[int, ...], int], ...]:
        node = self.row.grip + 1
        place = self.row.numbers[node]
        out = list(super().end_shackles)
        if self.second_standing.needs_shackle:
            out.append(((node,), place))
        return tuple(out)

    def eye_at(self, place: int) -> float | None:
        return None if place == GRIP_NUMBER else super().eye_at(place)

    def room(self) -> Iterator[Room]:
        """The runs between fixed places; what hangs on either side of the grip is in its run."""
        grip = self.row.grip
        for segment, least in enumerate(self.row.shortest_segments):
            pair = (self.row.numbers[segment], self.row.numbers[segment + 1])
            if segment != grip and GRIP_NUMBER not in pair:
                yield segment, (segment, segment + 1), least
