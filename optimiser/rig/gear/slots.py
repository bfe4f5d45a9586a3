"""What a rig asks of the gear: every slot that a piece must fill, with the demand on it.

Demands are the worst over all states (stations and spots of the puller), times the dynamic factor of
the puller; the puller itself is held against its pull alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TypeVar

from catalogue.gear import Block, Chain, Rope, Shackle, Strap, Termination
from optimiser.rig.forces.evaluate import subsets
from optimiser.rig.forces.travel import hauled, stroke_ends, strokes
from optimiser.rig.gear.ends import RopeEnd
from optimiser.rig.gear.kit import Hanging, Kit, bend_keeps, capacity, fits_eye, rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import Line
from optimiser.site.model import Owned

T = TypeVar("T")
END_LENGTH = 0.2
"""m from the bearing point of an end to where the plain rope begins: a bowline's loop or a thimble
(project choice)."""
UNLIMITED = float("inf")


@dataclass(frozen=True, slots=True)
class BlockOption:
    """A block that serves some nodes at one place. `ratio`: capacity / demand, of block and of the rope
    over its sheaves, whichever is less; inf where unrated."""

    place: int
    nodes: tuple[int, ...]
    piece: Owned
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
    role: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeUse:
    """A rope in a rig: the segment in which it is tightest, its turns, and its ends."""

    piece: Owned
    tightest: int
    turns: range
    ends: tuple[EndUse, ...]


@dataclass(frozen=True)
class Variant:
    """A rig with one rope and one way to make fast its ends: what is left is which piece goes where."""

    row: RigRow
    kit: Kit
    rope: Owned
    standing: RopeEnd
    hauling: RopeEnd
    rope_needed: float
    hauled: float
    strokes: int
    join: Join | None = None

    @property
    def resets(self) -> int:
        return self.strokes - 1

    def on(self, row: RigRow) -> "Variant | None":
        """The same with its rig on another stretch, however long the rope; the join left where it was.
        None where it cannot work there."""
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
    def parts(self) -> int:
        """Parts of line that pull on the load: every end of a run of rope at it."""
        return sum((a == 0) + (b == 0) for a, b in pairwise(self.row.numbers))

    @property
    def pull(self) -> float:
        """Worst pull at the hauling end, N."""
        return self.row.hauling.value

    @property
    def marked_down(self) -> bool:
        """Whether the puller stands where a rope that parts may reach it."""
        return self.row.stands_badly

    # ---- what no choice of pieces changes ---------------------------------------------------------

    @cached_property
    def fixed_margin(self) -> float:
        """Least capacity / demand over puller, anchors, hitches and rope; unrated ones left out."""
        row = self.row
        found = [row.once(("fixed",), self._fixed)]
        for rope in self.ropes:
            found.append(_ratio(rope_capacity(rope.piece), row.tension(rope.tightest).value))
            for end in rope.ends:
                if end.termination is not None:
                    strength = rope_capacity(rope.piece, keeps=end.termination.keeps)
                    found.append(_ratio(strength, row.tension(end.segment).value))
        if self.join is not None:
            found.append(_ratio(self.join_strength, row.tension(self.join.segment).value))
        return min(found)

    def _fixed(self) -> float:
        """The same over what is in the rig with any rope: puller, anchors and hitches."""
        row = self.row
        found = [1.0 / row.puller_use.value]
        for peak, strength in row.anchor_use.values():
            found.append(_ratio(strength, peak.value))
        for peak, rating in row.hitch_use:
            found.append(_ratio(rating, peak.value))
        haul = row.tension(row.sheaves)
        if row.scene.puller.needs_termination and not row.scene.puller.has_hook:
            found.append(_ratio(row.scene.puller.hitch_rating, haul.value))
        return min(found)

    @property
    def join_strength(self) -> float | None:
        """What the join stands, N: the bend, or the strap or chain at the standing end."""
        joined = self.rope.joined
        assert joined is not None
        if joined.bend is None:
            return capacity(joined.first)
        return rope_capacity(self.rope, keeps=joined.bend.keeps)

    @cached_property
    def unrated_fixed(self) -> tuple[str, ...]:
        """Names of what has no rating and is in the rig whatever pieces are chosen."""
        row, puller = self.row, self.row.scene.puller
        out = [
            row.scene.site.anchors[a].name
            for a, (_, known) in row.anchor_use.items()
            if known is None
        ]
        out += [
            f"hitch {h.name} on the load" for h in row.scene.attachment.hitches if h.rating is None
        ]
        if puller.needs_termination and not puller.has_hook and puller.hitch_rating is None:
            out.append(f"hitch of the {puller.name}")
        out += [rope.piece.name for rope in self.ropes if rope_capacity(rope.piece) is None]
        if self.join is not None and self.join_strength is None:
            out.append(self.rope.joined.first.name if self.rope.joined else self.rope.name)
        return tuple(out)

    @property
    def lines(self) -> tuple[Line, ...]:
        """The ropes of the rig with their walks."""
        row = self.row
        walk = row.scene.walk(row.numbers)
        return (Line(walk=walk, rope=self.rope, etas=row.etas, rope_needed=self.rope_needed),)

    @property
    def stops(self) -> tuple[float, ...]:
        """m along the path at which the puller stops to take a new grip."""
        row = self.row
        st = row.scene.stations
        total = row.evaluation.total_length[row.index].reshape(len(st), -1)
        return stroke_ends(puller=row.scene.puller, at=st.at, near=total[:, 0], far=total[:, -1])

    @property
    def moved(self) -> tuple[float, ...]:
        """Of these, where a grip on a rope is moved back."""
        return ()

    @property
    def gripped(self) -> tuple[float, ...]:
        """m of the main rope up to a grip on it, before and after each move."""
        return ()

    @property
    def ropes(self) -> tuple[RopeUse, ...]:
        """The ropes of the rig with their ends."""
        row = self.row
        held = self.hauling.termination
        assert self.standing.termination is not None
        round_it = ", round the trunk" if self.tied else ""
        standing = EndUse(
            termination=self.standing.termination, segment=0, node=0,
            place=str(row.place(row.numbers[0])), word="standing end",
            role="tie" if self.tied else "end", how=self.standing.termination.name + round_it,
        )  # fmt: skip
        hauling = EndUse(
            termination=held, segment=row.sheaves, node=row.sheaves + 1,
            place=row.scene.puller.name, word="hauling end", role="end",
            how="held by hand" if held is None else held.name,
        )  # fmt: skip
        turns = range(1, row.sheaves + 1)
        return (
            RopeUse(piece=self.rope, tightest=row.sheaves, turns=turns, ends=(standing, hauling)),
        )

    # ---- slots ------------------------------------------------------------------------------------

    @property
    def tied(self) -> bool:
        """Whether the standing end is tied straight round a trunk."""
        return self.standing.round_trunk

    @cached_property
    def strap_places(self) -> tuple[int, ...]:
        """Anchor places that need a strap."""
        out = []
        for place, nodes in self.row.anchored.items():
            anchor = self.row.scene.site.anchors[int(self.row.scene.anchor_of[place])]
            if anchor.girth is not None and not (self.tied and nodes == (0,)):
                out.append(place)
        return tuple(out)

    def strap_options(self, place: int) -> list[tuple[Hanging, float]]:
        """Straps and chains for an anchor place with capacity / demand."""
        return self.row.once(("straps", place, self.kit), lambda: self._strap_options(place))

    def _strap_options(self, place: int) -> list[tuple[Hanging, float]]:
        scene = self.row.scene
        anchor = scene.site.anchors[int(scene.anchor_of[place])]
        demand = self.row.joint(self.row.anchored[place]).value
        return [(h, _ratio(h.capacity, demand)) for h in self.kit.round_anchor(anchor)]

    @cached_property
    def block_options(self) -> tuple[BlockOption, ...]:
        """Every block for every choice of nodes at a place that may hang on it."""
        return self.row.once(("blocks", self.rope_names, self.kit), self._block_options)

    @property
    def rope_pieces(self) -> tuple[Owned, ...]:
        """The ropes themselves; one that is put together is one."""
        return (self.rope,)

    @property
    def rope_names(self) -> tuple[str, ...]:
        """Names of the ropes: what the blocks that can serve depend on."""
        return tuple(rope.name for rope in self.rope_pieces)

    def _block_options(self) -> tuple[BlockOption, ...]:
        out = []
        for use in self.ropes:
            rope = use.piece.gear
            assert isinstance(rope, Rope)
            for place, nodes in self.row.groups.items():
                for chosen in subsets(tuple(n for n in nodes if n in use.turns)):
                    etas = {self.row.etas[n - 1] for n in chosen}
                    demand: float | None = None
                    for piece in self.kit.blocks:
                        block = piece.gear
                        assert isinstance(block, Block)
                        if block.sheaves < len(chosen) or etas != {block.eta}:
                            continue
                        bend = bend_keeps(rope, block)
                        if bend is None:
                            continue
                        if demand is None:
                            demand = self.row.joint(chosen).value
                        ratio = _ratio(capacity(piece), demand)
                        if bend < 1.0:
                            tight = max(self.row.tension(n).value for n in chosen)
                            ratio = min(ratio, _ratio(rope_capacity(use.piece, bend=bend), tight))
                        out.append(BlockOption(place, chosen, piece, ratio))
        return tuple(out)

    def shackle_ratio(self, piece: Owned, nodes: tuple[int, ...]) -> float:
        """Capacity / demand of a shackle that carries these nodes' block (or end)."""
        return _ratio(capacity(piece), self.shackle_demand(nodes))

    def shackle_demand(self, nodes: tuple[int, ...]) -> float:
        """Force on the shackle that carries these nodes' block (or end), N."""
        peak = self.row.tension(self.row.sheaves) if nodes == (-1,) else self.row.joint(nodes)
        return peak.value

    def shackle_fits(self, piece: Owned, place: int, eye: float | None) -> bool:
        """Whether a shackle goes through the block's eye and that of what it hangs in:
        the load's hitch, the puller's, or an anchor's."""
        shackle = piece.gear
        assert isinstance(shackle, Shackle)
        return fits_eye(shackle, eye) and fits_eye(shackle, self.eye_at(place))

    def eye_at(self, place: int) -> float | None:
        """Clear width of the eye that a shackle at a place goes through, m; None where it hangs in a
        strap or ring."""
        scene = self.row.scene
        if place == 0:
            attachment = scene.attachment
            return None if attachment.bridled else attachment.hitches[0].eye
        if place == scene.puller_number:
            return scene.puller.hitch_eye
        anchor = scene.site.anchors[int(scene.anchor_of[place])]
        return anchor.eye if anchor.girth is None else None

    @cached_property
    def end_shackles(self) -> tuple[tuple[tuple[int, ...], int], ...]:
        """Shackles the rope's ends need: (nodes, place); nodes (-1,) is the hauling end."""
        out: list[tuple[tuple[int, ...], int]] = []
        if self.standing.needs_shackle:
            out.append(((0,), self.row.numbers[0]))
        if self.hauling.needs_shackle:
            out.append(((-1,), self.row.scene.puller_number))
        return tuple(out)

    @cached_property
    def bridle_legs(self) -> tuple[tuple[int, float], ...]:
        """(leg, demand) of a bridle; empty without one."""
        if not self.row.scene.attachment.bridled:
            return ()
        return tuple((i, peak.value) for i, (peak, _) in enumerate(self.row.hitch_use))

    def leg_options(self, demand: float) -> list[tuple[Owned, float]]:
        """Straps and chains that can be a bridle leg, pulled straight, with capacity / demand."""
        least = self.row.scene.attachment.leg or 0.0
        out = []
        for piece in self.kit.straps:
            gear = piece.gear
            assert isinstance(gear, Strap | Chain)
            most = gear.length if gear.length_most is None else gear.length_most
            long_enough = gear.length >= least
            if isinstance(gear, Strap):
                long_enough = max(abs(gear.length - least), abs(most - least)) < 0.25
            if long_enough:
                out.append((piece, _ratio(capacity(piece), demand)))
        return out

    def room(self) -> Iterator[Room]:
        """Gear at both ends of a segment must fit into its shortest length, and gear at the places before
        a bend must leave it clear of the next block."""
        joined, join = self.rope.joined, self.join
        lengthened = joined is not None and joined.bend is None
        for segment, least in enumerate(self.row.shortest_segments):
            taken = join.least if lengthened and join is not None and segment == 0 else 0.0
            yield segment, (segment, segment + 1), least - taken
        if join is not None and not lengthened:
            passed = [node for node in range(1, join.segment + 1) for _ in range(2)]
            yield join.segment, (0, *passed, join.segment + 1), join.most - join.least


def _ratio(strength: float | None, demand: float) -> float:
    if strength is None or demand <= 0.0:
        return UNLIMITED
    return strength / demand
