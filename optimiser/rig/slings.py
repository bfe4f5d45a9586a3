"""Lists the ropes that may be tied as a sling between two trees, each as strongly as it can be.

A sling is a rope of one piece with an end tied round either trunk; it may be longer than it has to be. On it
runs the bow of a shackle, which bends it: that keeps half of its strength (`mechanics/data/shared.toml`), and
the bow must be as thick as the rope.
"""

from collections.abc import Iterable, Iterator
from math import inf

from catalogue.gear import MadeTo, Rope
from optimiser.mechanics.published import number
from optimiser.mechanics.values import Factor
from optimiser.rig.gear.ends import RopeEnd, both_ends, fixtures
from optimiser.rig.gear.kit import Hanging, Kit, rope_capacity
from optimiser.rig.setup import SLING
from optimiser.site.model import Anchor, Fixture, Owned, Site


def between(kit: Kit, site: Site, anchor: Anchor) -> tuple[Hanging, ...]:
    """Every rope at hand that reaches, strongest first; empty for an anchor that is no two trees."""
    sling = anchor.sling
    if sling is None:
        return ()
    trunks = tuple(_trunk(site.anchor(name)) for name in sling.trees)
    return kit.once(("slings", sling, trunks), lambda: _between(kit, anchor, trunks))


def plainest(slings: Iterable[Hanging]) -> tuple[Hanging, ...]:
    """Without those in whose place a shorter rope does as well: as strong, as thick and no dearer. So nobody
    is told to tie 60 m of rope between two trees where 8 m lie beside it."""
    out: dict[tuple[float | None, float | None], list[Hanging]] = {}
    for sling in slings:
        out.setdefault((sling.capacity, sling.bow), []).append(sling)
    return tuple(sling for alike in out.values() for sling in _undercut(alike))


def _undercut(alike: Iterable[Hanging]) -> Iterator[Hanging]:
    """The shortest of some slings, and longer ones only where each is cheaper than all before it."""
    least = inf
    for sling in sorted(alike, key=lambda h: (h.piece.length or 0.0, _cost(h), h.piece.name)):
        if _cost(sling) < least:
            least = _cost(sling)
            yield sling


def _cost(sling: Hanging) -> float:
    """What the rope would cost; nothing where it is owned."""
    return sling.piece.price or 0.0


def _trunk(tree: Anchor) -> Fixture:
    """What a rope is tied round at a tree."""
    return next(f for f in fixtures(tree) if f.kind is MadeTo.TRUNK)


def _between(kit: Kit, anchor: Anchor, trunks: tuple[Fixture, ...]) -> tuple[Hanging, ...]:
    out = []
    for rope in kit.slings:
        found = _tied(kit, rope, anchor, trunks)
        if found is not None:
            out.append(found)
    return tuple(sorted(out, key=lambda h: (-(h.capacity or 0.0), h.piece.name)))


def _tied(
    kit: Kit, rope: Owned[Rope], anchor: Anchor, trunks: tuple[Fixture, ...]
) -> Hanging | None:
    """The rope with the knots that leave most of it; of those the ones that take least."""
    sling = anchor.sling
    assert sling is not None
    if rope.length is None:
        return None
    ways = []
    for first in kit.ends(rope, trunks[0]):
        for second in kit.ends(rope, trunks[1]):
            needed = sling.legs + first.eaten + second.eaten
            if needed <= rope.length + 1e-9 and both_ends(rope, first, second):
                ways.append((-_keeps(first, second), needed, _named(first, second)))
    if not ways:
        return None
    keeps, _, how = min(ways)
    bend = number("shared", "bend")
    left = min(-keeps, bend.value)
    return Hanging(
        piece=rope,
        how=f"{SLING}{how}",
        capacity=rope_capacity(rope, keeps=left),
        standoff=sling.legs / 2.0,
        factors=(
            Factor(
                name="bent over a shackle, tied at both ends",
                value=left,
                unit="",
                source=bend.source,
            ),
        ),
        bow=rope.gear.diameter,
    )


def _keeps(first: RopeEnd, second: RopeEnd) -> float:
    assert first.termination is not None
    assert second.termination is not None
    return min(first.termination.keeps, second.termination.keeps)


def _named(first: RopeEnd, second: RopeEnd) -> str:
    """The knots in words."""
    assert first.termination is not None
    assert second.termination is not None
    one, other = first.termination.name, second.termination.name
    return f"{one} at each end" if one == other else f"{one}, {other}"
