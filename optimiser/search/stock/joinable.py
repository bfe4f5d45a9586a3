"""Picks the ropes that are worth joining, of those owned and for sale."""

from catalogue.gear import Rope
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.site.model import Owned


def worth_joining(kit: Kit) -> list[Owned[Rope]]:
    """The ropes of a kit that are joined or lengthened, without those that another rope makes pointless:
    it costs no more, and is as long and as strong."""
    joined = [rope for rope in with_joined(kit).ropes if rope.joined is not None]
    single = kit.ropes
    out: list[Owned[Rope]] = []
    for rope in sorted(joined, key=lambda r: (r.price or 0.0, r.name)):
        if not any(_spares(other, rope) for other in (*single, *out)):
            out.append(rope)
    return out


def _spares(one: Owned[Rope], two: Owned[Rope]) -> bool:
    """Whether the first rope does whatever the second one does that is put together."""
    a, b = one.gear, two.gear
    assert two.joined is not None
    if one.ends != two.ends:
        return False  # what is on an end may be what counts
    if one.joined is not None:
        if (one.joined.bend is None) != (two.joined.bend is None):
            return False
        if two.joined.bend is None and one.joined.first is not two.joined.first:
            return False  # the strap or chain is missing elsewhere
        pairs = (
            (one.joined.first, two.joined.first),
            (one.joined.second, two.joined.second),
        )
        if any((x.length or 0.0) < (y.length or 0.0) for x, y in pairs):
            return False  # where the bend may lie counts
    return (
        (one.price or 0.0) <= (two.price or 0.0)
        and (one.length or 0.0) >= (two.length or 0.0)
        and (rope_capacity(one) or 0.0) >= (rope_capacity(two) or 0.0)
        and a.diameter == b.diameter
        and (a.knottable, a.is_wire) == (b.knottable, b.is_wire)
        and a.least_bend_ratio <= b.least_bend_ratio
    )
