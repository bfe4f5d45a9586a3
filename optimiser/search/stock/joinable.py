"""Picks the ropes that are worth joining, of those owned and for sale."""

from collections import defaultdict

from catalogue.gear import Rope
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.site.model import Owned


def worth_joining(kit: Kit) -> list[Owned[Rope]]:
    """The ropes of a kit that are joined or lengthened, without those that another rope makes pointless:
    it costs no more, and is as long and as strong."""
    joined = [rope for rope in with_joined(kit).ropes if rope.joined is not None]
    like: dict[object, list[Owned[Rope]]] = defaultdict(list)
    for rope in sorted(joined, key=lambda r: (r.price or 0.0, r.name)):
        others = like[_put_together(rope)]
        if not any(_spares(other, rope) for other in (*kit.ropes, *others)):
            others.append(rope)
    return [rope for others in like.values() for rope in others]


def _put_together(rope: Owned[Rope]) -> object:
    """How: one put together otherwise does not do what it does. Of one that is lengthened, by what: the strap
    or chain is missing elsewhere."""
    assert rope.joined is not None
    return None if rope.joined.bend is not None else rope.joined.first.name


def _spares(one: Owned[Rope], two: Owned[Rope]) -> bool:
    """Whether the first rope, of one piece or put together likewise, does whatever the second one does, which
    is put together."""
    a, b = one.gear, two.gear
    assert two.joined is not None
    if (one.length or 0.0) < (two.length or 0.0) or one.ends != two.ends:
        return False  # what is on an end may be what counts
    if one.joined is not None:
        pairs = (
            (one.joined.first, two.joined.first),
            (one.joined.second, two.joined.second),
        )
        if any((x.length or 0.0) < (y.length or 0.0) for x, y in pairs):
            return False  # where the bend may lie counts
    return (
        (one.price or 0.0) <= (two.price or 0.0)
        and (rope_capacity(one) or 0.0) >= (rope_capacity(two) or 0.0)
        and a.diameter == b.diameter
        and (a.knottable, a.is_wire) == (b.knottable, b.is_wire)
        and a.least_bend_ratio <= b.least_bend_ratio
    )
