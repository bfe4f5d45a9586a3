"""Makes ropes longer: joins two by a bend, or lengthens one by a strap or chain.

A strap or chain takes the place of the standing end at the load or the anchor, pulled straight,
and the rope is made fast to it. Both are one rope to the search, with a join somewhere along it. A
bend cannot pass a block, so it has to stay in one and the same part of the line all along the
stretch. A strap or chain takes the standing end's place at the load or the anchor; it has to stay
within the first part of the line.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from catalogue.gear import Chain, Rope, Strap, Termination
from optimiser.rig.gear.ends import LINK, SHACKLED, STRAP, RopeEnd
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Join, Variant
from optimiser.site.model import Fixture, Joined, Owned

CLEAR = 0.5
"""m that a bend keeps from the nearest block: its own length and the tails (project choice)."""
SAME_SIZE = 1e-4
"""m: ropes are joined by a bend only where their diameters are the same (common practice)."""


def with_joined(kit: Kit) -> Kit:
    """The kit with every two of its ropes joined and every rope lengthened, besides them singly. Owned or
    for sale makes no difference; two equal ropes are joined where there are two."""
    return Kit((*kit.pieces, *_bent(kit), *_lengthened(kit)), kit.knots, also=kit.also)


def may_be_joined(kit: Kit) -> bool:
    """Whether any of its ropes can be joined, or lengthened."""
    return len(with_joined(kit).pieces) > len(kit.pieces)


def join_eats(rope: Rope, bend: Termination) -> float:
    """m of each of the two ropes that go into the bend."""
    return bend.eats_diameters * rope.diameter + bend.eats


def _bent(kit: Kit) -> list[Owned[Rope]]:
    bends = [knot for knot in kit.knots if knot.joins_ropes and knot.tied and not knot.for_wire]
    if not bends:
        return []
    out = []
    for first in kit.ropes:
        for second in kit.ropes:
            if first is second and first.count < 2:
                continue
            if not _alike(first, second):
                continue
            kind = first.gear
            bend = max(bends, key=lambda b: (b.keeps, -join_eats(kind, b), b.id))
            whole = _whole(first, second, bend)
            if whole is not None:
                out.append(whole)
    return out


def _alike(first: Owned[Rope], second: Owned[Rope]) -> bool:
    a, b = first.gear, second.gear
    return a.knottable and b.knottable and abs(a.diameter - b.diameter) <= SAME_SIZE


def _whole(first: Owned[Rope], second: Owned[Rope], bend: Termination) -> Owned[Rope] | None:
    """Two ropes as one that is as strong as the weaker. The bend takes a bare end of either; what is on
    the other end of the first is at the standing end. None where there is no such end."""
    if first.length is None or second.length is None:
        return None
    if None not in first.ends or None not in second.ends:
        return None
    outer = _other_end(first), _other_end(second)
    weak = min((first, second), key=lambda r: (rope_capacity(r) or 0.0, r.name))
    other = second if weak is first else first
    kind, also = weak.gear, other.gear
    gear = replace(kind, least_bend_ratio=max(kind.least_bend_ratio, also.least_bend_ratio))
    return Owned(
        name=f"{first.name} + {second.name}",
        gear=gear,
        count=1,
        condition=weak.condition,
        ends=outer,
        length=first.length + second.length - 2.0 * join_eats(kind, bend),
        unrated=first.unrated or second.unrated or rope_capacity(weak) is None,
        price=_together(first.price, second.price),
        joined=Joined(first=first, second=second, bend=bend),
    )


def _other_end(rope: Owned[Rope]) -> Termination | None:
    """What is on the end of the rope that is left when a bare one goes into a bend."""
    one, other = rope.ends
    return other if one is None else one


def _together(*prices: float | None) -> float | None:
    known = [price for price in prices if price is not None]
    return sum(known) if known else None


def bought_parts(piece: Owned) -> int:
    """Number of its pieces that would have to be bought."""
    return sum(part.price is not None for part in piece.parts)


def _lengthened(kit: Kit) -> list[Owned[Rope]]:
    out = []
    for piece in kit.straps:
        gear = piece.gear
        for rope in kit.ropes:
            if rope.length is None:
                continue
            whole = replace(
                rope,
                name=f"{piece.name} + {rope.name}",
                count=1,
                length=rope.length + gear.length,
                price=_together(piece.price, rope.price),
                joined=Joined(first=piece, second=rope, bend=None),
            )
            if standing_ends(kit, whole, (STRAP,)):
                out.append(whole)
    return out


def extension_of(rope: Owned[Rope]) -> float:
    """Length of the strap or chain between the standing end and its place, m, at most; 0 without one."""
    gear = None if rope.joined is None else rope.joined.first.gear
    if not isinstance(gear, Strap | Chain):
        return 0.0
    return gear.length if gear.length_most is None else gear.length_most


def standing_ends(kit: Kit, rope: Owned[Rope], to: tuple[Fixture, ...]) -> tuple[RopeEnd, ...]:
    """Ways to make the standing end of such a rope fast to any of some fixtures. On a strap or chain
    that lengthens it, it is tied with a knot that needs no shackle, and a shackle holds the strap or
    chain itself."""
    if rope.joined is None or rope.joined.bend is not None:
        return tuple(end for fixture in to for end in kit.ends(rope, fixture))
    if not any(fixture.kind in SHACKLED for fixture in to):
        return ()
    tied = (e for e in kit.ends(rope, LINK) if not e.spliced and not e.needs_shackle)
    return tuple(replace(end, needs_shackle=True) for end in tied)


def kit_beside(kit: Kit, rope: Owned[Rope]) -> Kit:
    """Returns the kit that is left to hang: without the one strap or chain that lengthens the rope."""
    if rope.joined is None or rope.joined.bend is not None:
        return kit
    name = rope.joined.first.name
    return kit.once(("beside", name), lambda: _without_one(kit, name))


def _without_one(kit: Kit, name: str) -> Kit:
    pieces = [replace(p, count=p.count - 1) if p.name == name else p for p in kit.pieces]
    return Kit(tuple(p for p in pieces if p.count > 0), kit.knots, also=kit.also)


def place_joins(
    row: RigRow, rope: Owned[Rope], *, standing_takes: float, needed: float
) -> Iterator[Join]:
    """Where the join may lie: for each part of the line in which it can stay over the whole stretch, were
    there nothing hung between its places (`Variant.room` checks it against what is). `standing_takes`: m of
    rope in the standing end's knot; `needed`: rope needed in all, m."""
    joined = rope.joined
    assert joined is not None
    if joined.bend is None:
        extension = extension_of(rope)
        yield Join(segment=0, least=extension, most=extension, reach=extension)
        return
    kind = rope.gear
    assert joined.first.length is not None
    assert rope.length is not None
    first = joined.first.length - join_eats(kind, joined.bend) - standing_takes
    beyond = rope.length - joined.first.length + join_eats(kind, joined.bend)  # of the second
    for segment, (low, high) in enumerate(windows(row.line_to)):
        least = max(low, needed - standing_takes - beyond)
        # A knot would jam on an edge.
        if least <= min(high, first) and not row.bends_in(segment):
            yield Join(segment=segment, least=least, most=high, reach=first)


def joins_of(variant: Variant) -> list[Join]:
    """Where the join of a variant's rope may lie, by `place_joins`."""
    takes, needed = variant.standing.eaten, variant.rope_needed
    return list(place_joins(variant.row, variant.rope, standing_takes=takes, needed=needed))


def windows(line_to: npt.NDArray[np.float64]) -> list[tuple[float, float]]:
    """For each part of the line between which distances from the standing end a bend keeps clear of
    what is at its ends in every state. `line_to` (m + 2, X): m of line from the standing end's place to
    each place. The line is shorter than that by what hangs at the places, twice where it passes a block."""
    out = []
    for k in range(len(line_to) - 1):
        low = float(line_to[k].max()) + CLEAR
        high = float(line_to[k + 1].min()) - CLEAR
        out.append((low, high))
    return out
