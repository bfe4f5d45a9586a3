"""Checks tackle on tackle from first principles: two ropes, met at the grip on the first.

The grip is put at its true place between the first rope's last place and the second's anchor, and
what both ropes pull there has to come to nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import inf

import numpy as np

from catalogue.gear import Block, Rope
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.loads.forces import at_every_end, fixed_places, spots_of
from optimiser.proof.loads.states import Duty, Found, Group, Pulled, accounted
from optimiser.proof.loads.stretched import units
from optimiser.proof.loads.tight import limits
from optimiser.proof.made_fast import each_end_once, for_rope
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.hanging import End, Hanging
from optimiser.proof.pieces.strength import Loaded, Strength, Tension
from optimiser.proof.place.course import Course
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.proof.ring import ring_at_rest
from optimiser.rig.setup import Line as RopeLine
from optimiser.rig.setup import Role
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Owned, Site


def grip_node(claim: Claim) -> int:
    """The node, of all, at which the first rope ends; the next is the second's standing end."""
    return len(claim.walk) - 1


def anchor_of_tackle(claim: Claim) -> Place | None:
    """The one place to which every part of the second rope at the grip leads; None without one."""
    met = {
        a if b.kind is PlaceKind.GRIP else b
        for a, b in pairwise(claim.second_rope.walk)
        if PlaceKind.GRIP in (a.kind, b.kind)
    }
    return met.pop() if len(met) == 1 else None


def place_of_tackle(claim: Claim) -> Place:
    """See `anchor_of_tackle`. Raises ValueError without one: then the claim is not sound."""
    place = anchor_of_tackle(claim)
    if place is None:
        raise ValueError("the second rope's tackle leads to no one place")
    return place


def sound(claim: Claim, notes: Notes) -> None:
    """The second rope's walk is one, and the first ends where it begins."""
    second = claim.second_rope
    notes.need(claim.walk[-1].kind is PlaceKind.GRIP, "the first rope does not end at the grip")
    notes.need(
        all(p.kind is not PlaceKind.GRIP for p in claim.walk[:-1]),
        "the first rope passes its own grip",
    )
    notes.need(second.walk[-1].name == claim.puller.name, "the second rope ends at no puller")
    notes.need(
        all(p.kind in (PlaceKind.GRIP, PlaceKind.ANCHOR) for p in second.walk[:-1]), "a walk astray"
    )
    notes.need(second.walk[-2].kind is PlaceKind.ANCHOR, "the hauling part leaves no anchor")
    place = anchor_of_tackle(claim)
    notes.need(place is not None and place.kind is PlaceKind.ANCHOR, "the grip is pulled two ways")
    notes.need(len(second.etas) == len(second.walk) - 2, "sheaves and efficiencies differ")
    grips = [h for h in claim.gear if h.role is Role.GRIP]
    notes.need(len(grips) == 1, "not one grip on the first rope")
    twice = claim.rope.name == second.rope.name
    notes.need(not twice or claim.rope.count >= 2, "one rope cannot be both")
    for rope in (claim.rope, second.rope):
        notes.need(rope.joined is None, f"{rope.name} is put together of two")


def runs(claim: Claim) -> list[tuple[Place, Place]]:
    """Every straight run of rope; the first rope's last one taken as far as the anchor."""
    if claim.second is None:
        return list(pairwise(claim.walk))
    place = place_of_tackle(claim)
    own = [*claim.walk[:-1], place]
    beyond = [
        (a, b) for a, b in pairwise(claim.second.walk) if PlaceKind.GRIP not in (a.kind, b.kind)
    ]
    return [*pairwise(own), *beyond]


def work_out_both(
    site: Site, claim: Claim, duty: Duty, hold: Hold, points: list[Point], groups: Iterable[Group],
    owned: Mapping[str, Owned], notes: Notes,
) -> Found:  # fmt: skip
    """Every state: the puller's pull, and the forces on the nodes of both ropes together."""
    second = claim.second_rope
    grip, nodes = grip_node(claim), claim.nodes
    loads = [i for i, place in enumerate(nodes) if place.kind is PlaceKind.LOAD]
    grips = [i for i, place in enumerate(nodes) if place.kind is PlaceKind.GRIP]
    tackle_place = place_of_tackle(claim)
    every = np.array([tensions(one) for one in at_every_end(claim, owned)])
    fixed = fixed_places(site, nodes)
    end = fixed_places(site, (tackle_place,))[0]
    assert end is not None
    course, spots = Course.of(points), spots_of(claim.puller)
    hitch = course.carried(hold.ahead, hold.left, hold.height)
    # A bridle's ring: straight ahead of the middle of the hitches, and where it comes to rest.
    rings = [[hitch] for _ in every]
    if hold.leg is not None:
        for both, taus in zip(rings, every.tolist(), strict=True):
            rest = [_at_rest(point, hold, nodes, fixed, end, taus) for point in points]
            both.append(np.array(rest))
    variants = [
        (s, look) for s in range(len(spots)) for look, both in enumerate(rings) for _ in both
    ]
    straight = [kind == 0 for _ in spots for both in rings for kind in range(len(both))]
    ring = np.stack([at for _ in spots for both in rings for at in both], axis=1)
    where = np.empty((len(points), len(variants), len(nodes), 3))
    last = ring if fixed[grip - 1] is None else np.array(fixed[grip - 1])
    moving = {
        PlaceKind.LOAD: ring,
        PlaceKind.PULLER: np.array([spots[s] for s, _ in variants]),
        PlaceKind.GRIP: np.broadcast_to((last + np.array(end)) / 2.0, ring.shape),
    }
    for node, (place, at) in enumerate(zip(nodes, fixed, strict=True)):
        where[:, :, node] = moving[place.kind] if at is None else at
    ways = where[:, :, 1:] - where[:, :, :-1]
    parts = units(ways)
    parts[:, :, grip] = 0.0  # between the ropes there is none
    signs = np.array([(k in loads) - (k + 1 in loads) for k in range(len(nodes) - 1)])
    ideal = (parts * signs[:, None]).sum(axis=2) * parts_at_grip(second)
    spot, look = (np.array(each, dtype=np.int64) for each in zip(*variants, strict=True))
    tau = np.broadcast_to(every[look], (len(points), *every[look].shape))
    force = np.zeros(where.shape)
    force[:, :, :-1] = parts * tau[..., None]
    force[:, :, 1:] -= parts * tau[..., None]
    left = np.abs(force[:, :, grips].sum(axis=2)).max(axis=2)
    notes.need(bool((left < 1e-6 * tau[:, :, grip - 1]).all()), "the grip is not in balance")
    limit = limits(claim.puller, -parts[:, :, -1])
    needs = duty.needs(course, Pulled(force[:, :, loads].sum(axis=2), ideal, limit))
    worst, faces = accounted(course, hold, force, needs, list(groups))
    long = np.sqrt((ways * ways).sum(axis=3))[:, straight].min(axis=(0, 1))
    met = [
        k == grip or PlaceKind.GRIP in (nodes[k].kind, nodes[k + 1].kind) for k in range(len(long))
    ]
    return Found(
        course=course, spot=spot, look=look, needs=needs, tau=tau, worst=worst, near=[], far=[],
        shortest=np.where(met, inf, long).tolist(), looks=len(every), ways=faces,
        rated=len(every),
    )  # fmt: skip


def _at_rest(
    point: Point, hold: Hold, nodes: Sequence[Place], fixed: Sequence[Vec | None], end: Vec,
    taus: Sequence[float],
) -> Vec:  # fmt: skip
    """Where the ring of a bridle comes to rest under the first rope's parts. The grip hangs in the line to
    the second's anchor (`end`), so a part to the grip pulls the ring towards that."""
    assert hold.leg is not None
    a, b = (carried(point, h.ahead, h.left, h.height) for h in hold.hitches)
    ends: list[Vec] = []
    pulls: list[float] = []
    for k, (one, two) in enumerate(pairwise(nodes)):
        for here, other in ((one, k + 1), (two, k)):
            if here.kind is PlaceKind.LOAD:
                ends.append(fixed[other] or end)
                pulls.append(taus[k])
    return ring_at_rest(a, b, hold.leg, ends, pulls)


def tensions(claim: Claim) -> list[float]:
    """Tension / pull of every run, node by node through both ropes; 0 between the ropes."""
    second = claim.second_rope
    below = [1.0]
    for eta in reversed(second.etas):
        below.insert(0, below[0] * eta)
    at_grip = sum(
        t
        for t, (a, b) in zip(below, pairwise(second.walk), strict=True)
        if PlaceKind.GRIP in (a.kind, b.kind)
    )
    above = [at_grip]
    for eta in reversed(claim.etas):
        above.insert(0, above[0] * eta)
    return [*above, 0.0, *below]


def parts_at_grip(second: RopeLine) -> int:
    return sum(PlaceKind.GRIP in (a.kind, b.kind) for a, b in pairwise(second.walk))


# ---- what hangs where -----------------------------------------------------------------------------


class TwoHanging(Hanging):
    """The pieces of both ropes."""

    def line_of(self, node: int) -> RopeLine:
        return self.claim.lines[0 if node <= grip_node(self.claim) else 1]

    def _sheaves(self) -> None:
        grip = grip_node(self.claim)
        served = sorted(node for nodes in self.blocks for node in nodes)
        turning = [n for n in range(1, self.end) if n not in (grip, grip + 1)]
        self.notes.need(served == turning, "not every turn of a rope has one sheave")
        etas = [*self.claim.etas, 1.0, 1.0, *self.claim.lines[1].etas]
        for nodes, piece in self.blocks.items():
            both = len({n <= grip for n in nodes}) > 1
            self.notes.need(not both, f"{piece.name} holds two ropes")
            for rope in {self.line_of(n).rope.gear for n in nodes}:
                self._one_block(nodes, piece, rope, etas)

    def _one_block(
        self, nodes: tuple[int, ...], piece: Owned, rope: Rope, etas: list[float]
    ) -> None:
        block, name = piece.gear, piece.name
        if not isinstance(block, Block):
            return
        one = len({self.walk[n] for n in nodes}) == 1
        self.notes.need(one and len(nodes) <= block.sheaves, f"{name} has too few sheaves there")
        for n in nodes:
            self.notes.same(f"{name}: efficiency", etas[n - 1], block.eta)
        size = block.rope_least - 1e-6 <= rope.diameter <= block.rope_most + 1e-6
        bend = block.sheave_diameter >= rope.least_bend_ratio * rope.diameter * (1 - 1e-6)
        self.notes.need(size and bend, f"{name} does not take this rope")

    def check(self) -> None:
        super().check()
        grips = self.grip_keeps() is not None
        self.notes.need(grips, "nothing that is said to grip the first rope grips it")

    def standing_nodes(self) -> tuple[int, ...]:
        return 0, grip_node(self.claim) + 1

    def all_ends(self) -> list[tuple[End, End, End]]:
        """Readings of the first rope's standing end, the second's, and the hauling end."""
        second = self.claim.lines[1].rope
        out = []
        for first in self.ends(0):
            for below in self.ends(grip_node(self.claim) + 1):
                for hauling in self.ends(self.end):
                    both = [(e.knot, e.spliced) for e in (below, hauling)]
                    loose = [(first.knot, first.spliced), (None, False)]
                    if each_end_once(second, both) and each_end_once(self.claim.rope, loose):
                        out.append((first, below, hauling))
        return out

    def grip_keeps(self) -> float | None:
        """Share of the first rope's strength kept at the grip; None where it is none."""
        node = grip_node(self.claim)
        stated = [h for h in self.claim.gear if h.role is Role.GRIP and h.nodes == (node,)]
        rope = self.claim.rope.gear
        if len(stated) != 1 or stated[0].item != self.claim.rope.name:
            return None
        kept = [
            k.keeps
            for k in self.site.preferences.knots
            if stated[0].how.startswith(k.name + ", ")
            and (k.grips_rope or k.in_bight)
            and for_rope(k, rope)
            and not rope.slippery
        ]
        return kept[0] if kept else None


class TwoStrength(Strength):
    """The account of both ropes."""

    hanging: TwoHanging

    def rope_lines(self, ends: tuple[End, ...]) -> list[Loaded]:
        hanging = self.hanging
        grip = grip_node(self.claim)
        first, second = (line.rope for line in self.claim.lines)
        at_grip, whole = self.part(grip - 1), Tension()
        keeps = hanging.grip_keeps() or 0.0
        out = [
            self._rope(first, "", at_grip),
            self._rope(second, "", whole),
            self._rope(first, "grip", at_grip, keeps),
        ]
        fast: tuple[tuple[End, Owned[Rope], Tension, str], ...] = (
            (ends[0], first, self.part(0), str(self.claim.walk[0])),
            (ends[1], second, self.part(grip + 1), str(self.claim.lines[1].walk[0])),
            (ends[2], second, whole, self.claim.puller.name),
        )
        for end, rope, tension, place in fast:
            if end.knot is not None:
                out.append(self._rope(rope, place, tension, end.knot.keeps, end.knot.name))
        return out
