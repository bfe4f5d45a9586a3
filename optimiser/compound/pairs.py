"""The two ropes of a tackle on tackle, out of those at hand, and what they do at best."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from catalogue.gear import Rope, Termination
from optimiser.gear.fastening import both_ends
from optimiser.gear.kit import Kit, RopeEnd, rope_capacity
from optimiser.site.model import Owned


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A first and a second rope, of one piece each. `grip`: the strongest that holds on the first, and
    m that it takes; `ends`: of the second, (standing, hauling). Working strengths [N], infinite where
    unrated: of the first at the grip, of the second at its best hauling end. `eaten`: least m that the
    ends of either take, the grip among them."""

    first: Owned
    second: Owned
    grip: Termination
    grip_eats: float
    ends: tuple[tuple[RopeEnd, RopeEnd], ...]
    held: float
    hauled: float
    eaten: tuple[float, float]

    @property
    def price(self) -> float:
        """What has to be spent on both."""
        return (self.first.price or 0.0) + (self.second.price or 0.0)

    @property
    def names(self) -> tuple[str, str]:
        return self.first.name, self.second.name


def pairs(kit: Kit, *, hands: bool) -> tuple[Pair, ...]:
    """Every two ropes of the kit that can be paid for, worked out once. `hands`: people hold the second's
    hauling end."""
    return kit.once(("pairs", hands), lambda: tuple(_pairs(kit, hands=hands)))


def _pairs(kit: Kit, *, hands: bool) -> Iterator[Pair]:
    whole = [rope for rope in kit.ropes if rope.joined is None and rope.length is not None]
    spend = inf if kit.spend is None else kit.spend
    for first in whole:
        grip = next(iter(grips_on(kit, first)), None)
        standing = [end.eaten for end in kit.ends(first, hands=False)]
        kind = first.gear
        assert isinstance(kind, Rope)
        if grip is None or not standing:
            continue
        eats = grip.eats_diameters * kind.diameter + grip.eats
        for second in whole:
            ends = tuple(_ends(kit, second, hands=hands))
            if second is first or not ends:
                continue
            if (first.price or 0.0) + (second.price or 0.0) > spend:
                continue
            yield Pair(
                first=first,
                second=second,
                grip=grip,
                grip_eats=eats,
                ends=ends,
                held=_known(rope_capacity(first, keeps=grip.keeps)),
                hauled=max(_stands(second, hauling) for _, hauling in ends),
                eaten=(min(standing) + eats, min(a.eaten + b.eaten for a, b in ends)),
            )


def _ends(kit: Kit, rope: Owned, *, hands: bool) -> Iterator[tuple[RopeEnd, RopeEnd]]:
    """Ways to make the second rope's ends fast."""
    for standing in kit.ends(rope, hands=False):
        if standing.round_trunk:
            continue
        for hauling in kit.ends(rope, hands=hands):
            if not hauling.round_trunk and both_ends(rope, standing, hauling):
                yield standing, hauling


def _stands(rope: Owned, end: RopeEnd) -> float:
    keeps = 1.0 if end.termination is None else end.termination.keeps
    return _known(rope_capacity(rope, keeps=keeps))


def _known(strength: float | None) -> float:
    return inf if strength is None else strength


def grips_on(kit: Kit, rope: Owned) -> tuple[Termination, ...]:
    """What holds on the rope's hauling part, the best first: hitches and grips for that kind of rope,
    and knots tied in its bight. Nothing is trusted to grip HMPE rope: it is too slippery for a
    figure."""
    kind = rope.gear
    assert isinstance(kind, Rope)
    if "hmpe" in kind.material.casefold():
        return ()
    wire = not kind.knottable
    able = [
        knot
        for knot in kit.knots
        if (knot.grips_rope or knot.in_bight) and knot.for_wire == wire and knot.tied
    ]
    return tuple(sorted(able, key=lambda k: (-k.keeps, k.in_bight, k.id)))
