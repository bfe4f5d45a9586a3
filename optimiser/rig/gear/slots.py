"""Lists the slots of a rig that a piece must fill, each with the demand on it.

Demands are the worst over all states (stations and spots of the puller), times the dynamic factor of
the puller; the puller itself is checked against its pull alone.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TypeVar

from catalogue.gear import Block, Chain, Protector, Rope, Shackle, Strap, Termination
from optimiser.rig.forces.evaluate import subsets
from optimiser.rig.forces.travel import hauled, stroke_ends, strokes
from optimiser.rig.gear.ends import RopeEnd
from optimiser.rig.gear.kit import Hanging, Kit, bend_keeps, capacity, fits_eye, rope_capacity
from optimiser.rig.gear.loads import (
    UNLIMITED,
    Load,
    OfPiece,
    OfRope,
    OverSheaves,
    Tension,
    Tightest,
    of_puller,
    of_site,
    open_slots,
    ratio,
    shackle,
    strap_force,
    worst,
)
from optimiser.rig.gear.over_edges import Place, places
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.scene import GRIP_NUMBER
from optimiser.rig.setup import Line, Role
from optimiser.rig.slings import between, plainest
from optimiser.rig.two_ropes.work import Work, geometry, most_out, work
from optimiser.rig.walk import GRIP
from optimiser.site.model import Joined, Owned

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BlockOption:
    """A block that serves some nodes at one place. `ratio`: capacity / demand, of block and of the rope
    over its sheaves, whichever is less; inf where unrated."""

    place: int
    nodes: tuple[int, ...]
    piece: Owned[Block]
    ratio: float


Room = tuple[int, tuple[int, ...], float]
"""A part of the line, the nodes whose gear has to fit in together (one twice where it counts twice), and
what room there is, m."""


@dataclass(frozen=True, slots=True)
class Join:
    """Where two pieces of a rope are joined: the part of the line, from the standing end, in which the
    join stays all along the stretch. m from the standing end: the least, the most were there no gear at
    the places before it, and how far the first piece reaches."""

    segment: int
    least: float
    most: float
    reach: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EndUse:
    """One end of a rope, or the grip on it. `termination` None: held by hand. `word`: which end;
    `role`, `how`: as in a list of pieces."""

    termination: Termination | None
    segment: int
    node: int
    place: str
    word: str
    role: Role
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeUse:
    """A rope in a rig: the segment in which it is tightest, its turns, and its ends."""

    piece: Owned[Rope]
    tightest: int
    turns: range
    ends: tuple[EndUse, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Second:
    """The second rope of a rig: its standing end, what grips the first, how both are taken in, and m that
    each of the two takes."""

    rope: Owned[Rope]
    standing: RopeEnd
    grip: Termination
    work: Work
    needed: tuple[float, float]

    def on(self, row: RigRow, kit: Kit) -> "Second | None":
        """The same with its rig on another stretch; None where it cannot work there."""
        first, second = self.needed
        lengths, ends = geometry(row, kit), second - self.work.second
        most = most_out(self.rope, ends + lengths.fixed_near, lengths.parts)
        found = work(lengths, puller=row.scene.puller, most_out=most)
        if found is None:
            return None
        needed = first - self.work.first + found.first, found.second + ends
        return replace(self, work=found, needed=needed)


@dataclass(frozen=True)
class Variant:
    """A rig with its rope and one way to make fast its ends: what is left is which piece goes where. With a
    `second`, `rope` and `standing` are of the first, `hauling` of the second, `rope_needed` of both."""

    row: RigRow
    kit: Kit
    rope: Owned[Rope]
    standing: RopeEnd
    hauling: RopeEnd
    rope_needed: float
    hauled: float
    strokes: int
    join: Join | None = None
    second: Second | None = None

    @property
    def resets(self) -> int:
        return self.strokes - 1

    def on(self, row: RigRow) -> "Variant | None":
        """The same with its rig on another stretch, however long the rope; the join left where it was.
        None where it cannot work there."""
        if self.second is not None:
            second = self.second.on(row, self.kit)
            if second is None:
                return None
            found, needed = second.work, sum(second.needed)
            return replace(
                self, row=row, rope_needed=needed, hauled=found.hauled, strokes=found.strokes,
                second=second,
            )  # fmt: skip
        total = row.evaluation.total_length[row.index].reshape(len(row.scene.stations), -1)
        near, far = total[:, 0], total[:, -1]
        return replace(
            self,
            row=row,
            rope_needed=self.rope_needed - self.row.longest + row.longest,
            hauled=hauled(near),
            strokes=strokes(puller=row.scene.puller, near=near, far=far),
        )

    @property
    def long_enough(self) -> bool:
        """Whether its ropes reach."""
        return all(line.rope_needed <= (line.rope.length or 0.0) + 1e-9 for line in self.lines)

    @property
    def parts(self) -> int:
        """Parts of line that pull on the load: every end of a run of rope at it."""
        return sum((a == 0) + (b == 0) for a, b in pairwise(self.row.numbers))

    @property
    def pull(self) -> float:
        """Worst pull at the hauling end, N."""
        return self.row.counted.value

    @property
    def marked_down(self) -> bool:
        """Whether the puller stands where a rope that parts may reach it."""
        return self.row.stands_badly

    # ---- what no choice of pieces changes ---------------------------------------------------------

    @cached_property
    def fixed_margin(self) -> float:
        """Least capacity / demand over puller, anchors, hitches and rope; unrated ones left out."""
        row = self.row
        with_any_rope = row.once(("fixed",), lambda: _least(row, (*of_puller(row), *of_site(row))))
        return min(with_any_rope, *(_least(row, self.loads_of(use)) for use in self.ropes))

    def loads_of(self, use: RopeUse) -> Iterator[Load]:
        """A rope by itself, its ends, and the join in it, whatever blocks it runs over."""
        yield Load(Role.ROPE, (), Tightest(use.tightest), OfRope(use.piece))
        for end in use.ends:
            if end.termination is not None:
                bears = OfRope(use.piece, end.termination)
                yield Load(end.role, (end.node,), Tension((end.segment,)), bears, end.word)
        if use.piece.joined is not None and self.join is not None:
            yield self._join_load(use.piece.joined, self.join)

    def _join_load(self, joined: Joined, join: Join) -> Load:
        """The bend between two ropes, or the strap or chain that lengthens one."""
        force = Tension((join.segment,))
        if joined.bend is None:
            return Load(Role.EXTENSION, (0,), force, OfPiece(joined.first))
        nodes = (join.segment, join.segment + 1)
        return Load(Role.BEND, nodes, force, OfRope(self.rope, joined.bend))

    @property
    def lines(self) -> tuple[Line, ...]:
        """The ropes of the rig with their walks."""
        row = self.row
        if self.second is None:
            needed, gained = [self.rope_needed], [1.0]
        else:
            needed = list(self.second.needed)
            gained = [float(row.evaluation.gained[row.index]), 1.0]
        every = zip(row.walks, self.rope_pieces, row.eta_lists, needed, gained, strict=True)
        return tuple(
            Line(walk=walk, rope=rope, etas=etas, rope_needed=length, gained=times)
            for walk, rope, etas, length, times in every
        )

    @property
    def stops(self) -> tuple[float, ...]:
        """m along the path at which the puller stops to take a new grip."""
        if self.second is not None:
            return self.second.work.stops
        row = self.row
        st = row.scene.stations
        total = row.evaluation.total_length[row.index].reshape(len(st), -1)
        return stroke_ends(puller=row.scene.puller, at=st.at, near=total[:, 0], far=total[:, -1])

    @property
    def moved(self) -> tuple[float, ...]:
        """Of these, where a grip on a rope is moved back."""
        return () if self.second is None else self.second.work.moved

    @property
    def gripped(self) -> tuple[float, ...]:
        """m of the main rope up to a grip on it, before and after each move."""
        return () if self.second is None else self.second.work.gripped

    @cached_property
    def ropes(self) -> tuple[RopeUse, ...]:
        """The ropes of the rig with their ends."""
        row = self.row
        knot = self.hauling.termination
        assert self.standing.termination is not None
        round_it = ", round the trunk" if self.tied else ""
        standing = EndUse(
            termination=self.standing.termination, segment=0, node=0,
            place=str(row.place(row.numbers[0])), word="standing end",
            role=Role.TIE if self.tied else Role.END, how=self.standing.termination.name + round_it,
        )  # fmt: skip
        hauling = EndUse(
            termination=knot, segment=row.sheaves, node=row.sheaves + 1,
            place=row.scene.puller.name, word="hauling end", role=Role.END,
            how="held by hand" if knot is None else knot.name,
        )  # fmt: skip
        last, second = row.sheaves, self.second
        if second is None:
            turns = range(1, last + 1)
            return (RopeUse(piece=self.rope, tightest=last, turns=turns, ends=(standing, hauling)),)
        assert row.course.grip is not None
        assert second.standing.termination is not None
        node, below = row.course.grip, second.standing.termination
        grip = EndUse(
            termination=second.grip, segment=node - 1, node=node, place=str(GRIP), word="grip",
            role=Role.GRIP, how=f"{second.grip.name}, on its hauling part",
        )  # fmt: skip
        its_own = EndUse(
            termination=below, segment=node + 1, node=node + 1,
            place=str(row.place(row.numbers[node + 1])), word="standing end", role=Role.END,
            how=below.name,
        )  # fmt: skip
        return (
            RopeUse(piece=self.rope, tightest=node - 1, turns=range(1, node), ends=(standing, grip)),
            RopeUse(
                piece=second.rope, tightest=last, turns=range(node + 2, last + 1), ends=(its_own, hauling)
            ),
        )  # fmt: skip

    @cached_property
    def laid(self) -> tuple[tuple[Owned[Protector], Place], ...]:
        """What the rig lays on edges, and where."""
        piece = self.row.scene.edging.protector
        if piece is None:
            return ()
        return tuple((piece, place) for place in places(self.row.touches, piece.gear))

    # ---- slots ------------------------------------------------------------------------------------

    @property
    def tied(self) -> bool:
        """Whether the standing end is tied straight round a trunk."""
        return self.standing.round_trunk

    @cached_property
    def slots(self) -> tuple[Load, ...]:
        """What has to be hung, with the force on it and nothing chosen yet: the same whatever goes where,
        but for the shackles of blocks and which nodes share a block."""
        ends = (shackle(self.row, nodes) for nodes, _ in self.end_shackles)
        return (*ends, *self._beside_ends)

    @cached_property
    def _beside_ends(self) -> tuple[Load, ...]:
        slots = self.row.once(("slots",), lambda: open_slots(self.row))
        if not self.tied:
            return slots
        return tuple(s for s in slots if not (s.role is Role.STRAP and s.nodes == (0,)))

    @cached_property
    def strap_places(self) -> tuple[int, ...]:
        """Anchor places that need a strap."""
        return tuple(
            self.row.numbers[slot.nodes[0]] for slot in self._beside_ends if slot.role is Role.STRAP
        )

    def strap_options(self, place: int) -> list[tuple[Hanging, float]]:
        """Straps and chains for an anchor place with capacity / demand."""
        key = ("straps", place, self.kit, *self.not_in_slings)
        return self.row.once(key, lambda: self._strap_options(place))

    def _strap_options(self, place: int) -> list[tuple[Hanging, float]]:
        anchor = self.row.anchor_at(place)
        demand = worst(self.row, strap_force(self.row, place)).value
        if anchor.sling is None:
            return [(h, ratio(h.capacity, demand)) for h in self.kit.round_anchor(anchor)]
        every = between(self.kit, self.row.scene.site, anchor)
        free = plainest(h for h in every if h.piece.name not in self.not_in_slings)
        return [(h, ratio(h.capacity, demand)) for h in free]

    @cached_property
    def not_in_slings(self) -> tuple[str, ...]:
        """Where a sling hangs between two trees: the ropes that run, and so are none, unless there is
        another like them."""
        if not self.row.slung:
            return ()
        parts = [p.joined for p in self.rope_pieces if p.joined is not None]
        joined = [part.name for both in parts for part in (both.first, both.second)]
        return (*(p.name for p in self.rope_pieces if p.count < 2), *joined)

    @cached_property
    def block_options(self) -> tuple[BlockOption, ...]:
        """Every block for every choice of nodes at a place that may hang on it."""
        return self.row.once(("blocks", self.rope_names, self.kit), self._block_options)

    @property
    def rope_pieces(self) -> tuple[Owned[Rope], ...]:
        """The ropes themselves; one that is put together is one."""
        return (self.rope,) if self.second is None else (self.rope, self.second.rope)

    @property
    def rope_names(self) -> tuple[str, ...]:
        """Names of the ropes: what the blocks that can serve depend on."""
        return tuple(rope.name for rope in self.rope_pieces)

    def _block_options(self) -> tuple[BlockOption, ...]:
        out = []
        for use in self.ropes:
            rope = use.piece.gear
            for place, nodes in self.row.groups.items():
                for chosen in subsets(tuple(n for n in nodes if n in use.turns)):
                    etas = {self.row.etas[n - 1] for n in chosen}
                    demand: float | None = None
                    for piece in self.kit.blocks:
                        block = piece.gear
                        if block.sheaves < len(chosen) or etas != {block.eta}:
                            continue
                        if block.eye is None and chosen[0] in self.row.slung:
                            continue  # a hook may slip off a sling on which it runs
                        bend = bend_keeps(rope, block)
                        if bend is None:
                            continue
                        if demand is None:
                            demand = self.row.joint(chosen).value
                        least = ratio(capacity(piece), demand)
                        if bend < 1.0:
                            tight = worst(self.row, OverSheaves(chosen)).value
                            least = min(least, ratio(rope_capacity(use.piece, bend=bend), tight))
                        out.append(BlockOption(place, chosen, piece, least))
        return tuple(out)

    def shackle_ratio(self, piece: Owned[Shackle], nodes: tuple[int, ...]) -> float:
        """Capacity / demand of a shackle that carries these nodes' block (or end)."""
        return ratio(capacity(piece), self.shackle_demand(nodes))

    def shackle_demand(self, nodes: tuple[int, ...]) -> float:
        """Force on the shackle that carries these nodes' block (or end), N."""
        return worst(self.row, shackle(self.row, nodes).force).value

    def shackle_fits(self, piece: Owned[Shackle], place: int, eye: float | None) -> bool:
        """Whether a shackle goes through the block's eye and that of what it hangs in:
        the load's hitch, the puller's, or an anchor's."""
        gear = piece.gear
        return fits_eye(gear, eye) and fits_eye(gear, self.eye_at(place))

    def hangs_in(self, slot: Load) -> float | None:
        """Clear width of the eye that what fills a slot hangs in, m; None for a strap, ring or hook."""
        node = slot.nodes[0]
        if node <= -2:
            return self.row.scene.attachment.hitches[-2 - node].eye
        return self.eye_at(self.row.scene.puller_number if node == -1 else self.row.numbers[node])

    def eye_at(self, place: int) -> float | None:
        """Clear width of the eye that a shackle at a place goes through, m; None where it hangs in a
        strap or ring."""
        scene = self.row.scene
        if place == GRIP_NUMBER:
            return None
        if place == 0:
            attachment = scene.attachment
            return None if attachment.bridled else attachment.hitches[0].eye
        if place == scene.puller_number:
            return scene.puller.hitch_eye
        anchor = scene.anchor_at(place)
        return anchor.eye if anchor.girth is None else None

    @cached_property
    def end_shackles(self) -> tuple[tuple[tuple[int, ...], int], ...]:
        """Shackles the rope's ends need: (nodes, place); nodes (-1,) is the hauling end."""
        out: list[tuple[tuple[int, ...], int]] = []
        if self.standing.needs_shackle:
            out.append(((0,), self.row.numbers[0]))
        if self.hauling.needs_shackle:
            out.append(((-1,), self.row.scene.puller_number))
        if self.second is not None and self.second.standing.needs_shackle:
            assert self.row.course.grip is not None
            node = self.row.course.grip + 1
            out.append(((node,), self.row.numbers[node]))
        return tuple(out)

    @cached_property
    def bridle_legs(self) -> tuple[tuple[int, float], ...]:
        """(leg, demand) of a bridle; empty without one."""
        legs = (slot for slot in self._beside_ends if slot.role is Role.LEG)
        return tuple((i, worst(self.row, leg.force).value) for i, leg in enumerate(legs))

    def leg_options(self, demand: float) -> list[tuple[Owned[Strap | Chain], float]]:
        """Straps and chains that can be a bridle leg, pulled straight, with capacity / demand."""
        least = self.row.scene.attachment.leg or 0.0
        out = []
        for piece in self.kit.straps:
            gear = piece.gear
            most = gear.length if gear.length_most is None else gear.length_most
            long_enough = gear.length >= least
            if isinstance(gear, Strap):
                long_enough = max(abs(gear.length - least), abs(most - least)) < 0.25
            if long_enough:
                out.append((piece, ratio(capacity(piece), demand)))
        return out

    def room(self) -> Iterator[Room]:
        """Gear at both ends of a segment must fit into its shortest length, and gear at the places before
        a bend must leave it clear of the next block. What hangs on either side of a grip is in its run."""
        joined, join = self.rope.joined, self.join
        lengthened = joined is not None and joined.bend is None
        numbers, grip = self.row.numbers, self.row.course.grip
        for segment, least in enumerate(self.row.shortest_segments):
            if segment == grip or GRIP_NUMBER in (numbers[segment], numbers[segment + 1]):
                continue
            taken = join.least if lengthened and join is not None and segment == 0 else 0.0
            yield segment, (segment, segment + 1), least - taken
        if join is not None and not lengthened:
            passed = [node for node in range(1, join.segment + 1) for _ in range(2)]
            yield join.segment, (0, *passed, join.segment + 1), join.most - join.least


def _least(row: RigRow, loads: Iterable[Load]) -> float:
    return min((load.ratio(row) for load in loads), default=UNLIMITED)
