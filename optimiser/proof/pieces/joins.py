"""Checks ropes that are put together: their parts are there, and the join keeps clear of every block."""

from collections.abc import Mapping
from dataclasses import replace

from catalogue.edges import rubbing
from catalogue.gear import Chain, Rope, Strap, Termination
from optimiser.proof.claim import Claim
from optimiser.proof.loads.forces import ends_of, fixed_places
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.hanging import Hanging
from optimiser.proof.pieces.ratings import rope_strength
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold, Point, carried
from optimiser.rig.setup import Hung, Role
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Joined, Owned, Site, is_of, is_strap

NEAR_BLOCK = 0.5
"""m a bend must keep from the blocks at the ends of its part of the line."""
ALIKE = 1e-4
"""m by which the diameters of ropes joined by a bend may differ."""


def check(
    site: Site, ground: Ground, claim: Claim, grip: Hold, hanging: Hanging, line: list[Point],
    takes: list[float], found: Found, notes: Notes,
) -> None:  # fmt: skip
    """`takes`: m of hardware at each node."""
    joined = claim.rope.joined
    stated = [h for h in claim.gear if h.role in (Role.BEND, Role.EXTENSION)]
    if joined is None:
        notes.need(not stated, "a join in a rope of one piece")
        return
    if not notes.need(len(stated) == 1, f"{len(stated)} joins in one rope"):
        return
    for part in (joined.first, joined.second):
        notes.need(hanging.owned.get(part.name) == part, f"{part.name} is not owned")
    if joined.bend is None:
        _extension(claim, joined, stated[0], hanging, notes)
    else:
        _edges(joined, stated[0], found, notes)
        _bend(site, ground, claim, joined, stated[0], grip, hanging, line, takes, notes)


def _edges(joined: Joined, stated: Hung, found: Found, notes: Notes) -> None:
    """The knot would jam on an edge, and both ropes have to run over one alike."""
    over = {part for part, _ in found.touched}
    notes.need(
        not over & set(stated.nodes[:1]), "a bend in a part of the rope that runs over an edge"
    )
    for here in found.touched.values():
        protector = here.spot.protector
        assert protector is not None
        kinds = [part.gear for part in (joined.first, joined.second)]
        rubs = [rubbing(protector, kind) for kind in kinds if isinstance(kind, Rope)]
        same = len({(mu.low, mu.high) for mu in rubs}) == 1
        notes.need(same, f"ropes that rub differently on {protector.name} are joined")


def lengthened_by(rope: Owned, *, at_most: bool = False) -> float:
    """Length of the strap or chain between the standing end and its place, m."""
    joined = rope.joined
    if joined is None or joined.bend is not None:
        return 0.0
    gear = joined.first.gear
    if not isinstance(gear, Strap | Chain):
        return 0.0
    return gear.length if gear.length_most is None or not at_most else gear.length_most


def of_parts(rope: Owned[Rope], owned: Mapping[str, Owned]) -> Owned[Rope] | None:
    """The rope as these pieces make it, by their names: itself, or put together of its two parts. None
    where one is not there."""
    joined = rope.joined
    if joined is None:
        whole = owned.get(rope.name)
        return whole if whole is not None and is_of(whole, Rope) else None
    first, second = owned.get(joined.first.name), owned.get(joined.second.name)
    if first is None or second is None or not is_of(second, Rope) or second.length is None:
        return None
    if joined.bend is None:
        if not is_strap(first):
            return None
        parts = replace(joined, first=first, second=second)
        whole = replace(second, name=rope.name, count=1, price=rope.price, joined=parts)
        return replace(whole, length=second.length + lengthened_by(whole))
    if first.length is None or not is_of(first, Rope):
        return None
    weak, strong = sorted((first, second), key=lambda part: rope_strength(part) or 0.0)
    a, b = weak.gear, strong.gear
    eats = joined.bend.eats_diameters * a.diameter + joined.bend.eats
    return replace(
        rope,
        gear=replace(a, least_bend_ratio=max(a.least_bend_ratio, b.least_bend_ratio)),
        condition=weak.condition,
        length=first.length + second.length - 2.0 * eats,
        joined=replace(joined, first=first, second=second),
    )


def _extension(claim: Claim, joined: Joined, stated: Hung, hanging: Hanging, notes: Notes) -> None:
    piece, rope = joined.first, claim.rope
    notes.need(
        stated.role is Role.EXTENSION and stated.item == piece.name, "it is not what lengthens it"
    )
    notes.need(stated.nodes == (0,), "the rope is not lengthened at its standing end")
    notes.need(isinstance(piece.gear, Strap | Chain), f"{piece.name} is no strap or chain")
    same = [(r.gear, r.condition, r.unrated, r.ends) for r in (rope, joined.second)]
    notes.need(same[0] == same[1], "it is not the rope it is put together of")
    notes.same("length", rope.length or 0.0, (joined.second.length or 0.0) + lengthened_by(rope))
    notes.need(bool(hanging.ends(0)), "its standing end is not tied straight to the strap or chain")


def _bend(
    site: Site, ground: Ground, claim: Claim, joined: Joined, stated: Hung, grip: Hold, hanging: Hanging,
    line: list[Point], takes: list[float], notes: Notes,
) -> None:  # fmt: skip
    first, second, bend, whole = joined.first, joined.second, joined.bend, claim.rope
    if not (is_of(first, Rope) and is_of(second, Rope) and is_of(whole, Rope) and bend):
        notes.differ(f"{whole.name} is not put together of two ropes")
        return
    a, b, kind = first.gear, second.gear, whole.gear
    twice = first.name != second.name or first.count >= 2
    notes.need(twice, "a rope joined to itself")
    bare = None in first.ends and None in second.ends
    notes.need(bare, "a bend in an end that is not bare")
    outer = (_left_over(first), _left_over(second))
    notes.need(whole.ends == outer, f"{whole.name} has other ends than its ropes")
    notes.need(abs(a.diameter - b.diameter) <= ALIKE, "ropes of two sizes joined")
    notes.need(a.knottable and b.knottable, "wire rope joined by a knot")
    notes.need(bend.joins_ropes and bend.tied, f"{bend.name} joins no ropes")
    weak = [rope_strength(first), rope_strength(second)]
    known = [strength for strength in weak if strength is not None]
    own = rope_strength(whole)
    fits = own is None if len(known) < 2 else own is not None and own <= min(known) * (1 + 1e-9)
    notes.need(fits, f"{whole.name} is said to stand more than the weaker of its ropes")
    eats = bend.eats_diameters * a.diameter + bend.eats
    assert first.length is not None
    assert second.length is not None
    notes.same("length", whole.length or 0.0, first.length + second.length - 2.0 * eats)
    segment = stated.nodes[0]
    if not notes.need(stated.nodes == (segment, segment + 1), "a join at no part of the line"):
        return
    low, high, longest = _room(site, ground, claim, grip, line, takes, segment)
    needs = []
    for standing, hauling in hanging.both_ends():
        at_end = standing.eats(kind, hanging.anchor(0))
        other = longest + hauling.eats(kind, None) + site.preferences.rope_spare
        needs.append(
            (max(low, other - (second.length - eats)), min(high, first.length - eats - at_end))
        )
    free = any(least <= most + 1e-6 for least, most in needs)
    notes.need(free, "the bend does not keep clear of the blocks all along the stretch")


def _left_over(rope: Owned) -> Termination | None:
    """What is on the end that does not go into the bend."""
    there = [end for end in rope.ends if end is not None]
    return there[0] if there else None


def _room(
    site: Site, ground: Ground, claim: Claim, grip: Hold, line: list[Point], takes: list[float],
    segment: int,
) -> tuple[float, float, float]:  # fmt: skip
    """Between which distances from the standing end the bend keeps clear, and the longest line, m."""
    fixed, spots = fixed_places(site, claim.walk), ends_of(site, claim)
    low, high, longest = NEAR_BLOCK, float("inf"), 0.0
    shorter = takes[0] + 2.0 * sum(takes[1 : segment + 1]) + takes[segment + 1]
    for point in (p for p in line if p.row is not None):
        hitch = carried(point, grip.ahead, grip.left, grip.height)
        for number, spot in enumerate(spots):
            where = [
                hitch if place.kind is PlaceKind.LOAD else spot if at is None else at
                for place, at in zip(claim.walk, fixed, strict=True)
            ]
            to = [0.0]
            for k in range(len(where) - 1):
                loads = [claim.walk[n].kind is PlaceKind.LOAD for n in (k, k + 1)]
                string = ground.string(*where[k : k + 2], from_load=loads[0], to_load=loads[1])
                to.append(to[-1] + string.length)
            low = max(low, to[segment] + NEAR_BLOCK)
            high = min(high, to[segment + 1] - NEAR_BLOCK - shorter)
            if number == 0:
                longest = max(longest, to[-1])
    return low, high, longest
