"""Lists the pairs of ropes at hand for a tackle on tackle, and what they do at best."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from catalogue.gear import Rope, Termination
from optimiser.rig.gear.ends import STRAP, RopeEnd, both_ends, can_be_made_of
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.site.model import Fixture, Owned


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A first and a second rope, of one piece each. `grip`: the strongest that holds on the first, and
    m that it takes; `ends`: of the second, (standing, hauling), the standing one in a strap or in the
    grip. Working strengths [N], infinite where unrated: of the first at the grip, of the second at its
    best hauling end. `eaten`: least m that the ends of either take, the grip among them."""

    first: Owned[Rope]
    second: Owned[Rope]
    grip: Termination
    grip_eats: float
    ends: tuple[tuple[RopeEnd, RopeEnd], ...]
    kept: float
    hauled: float
    eaten: tuple[float, float]

    @property
    def price(self) -> float:
        """What has to be spent on both."""
        return (self.first.price or 0.0) + (self.second.price or 0.0)

    @property
    def names(self) -> tuple[str, str]:
        return self.first.name, self.second.name


def pairs(kit: Kit, to: Fixture | None) -> tuple[Pair, ...]:
    """Every two ropes of the kit that can be paid for, worked out once. `to`: what the second's hauling
    end is made fast to; None: people hold it."""
    return kit.once(("pairs", to), lambda: tuple(_pairs(kit, to)))


def _pairs(kit: Kit, to: Fixture | None) -> Iterator[Pair]:
    whole = [rope for rope in kit.ropes if rope.joined is None and rope.length is not None]
    spend = inf if kit.spend is None else kit.spend
    for first in whole:
        grip = next(iter(grips_on(kit, first)), None)
        kind = first.gear
        if grip is None:
            continue
        eats = grip.eats_diameters * kind.diameter + grip.eats
        for second in whole:
            ends = tuple(second_ends(kit, second, STRAP, to))
            if (second is first and first.count < 2) or not ends:
                continue
            if (first.price or 0.0) + (second.price or 0.0) > spend:
                continue
            yield Pair(
                first=first,
                second=second,
                grip=grip,
                grip_eats=eats,
                ends=ends,
                kept=_known(rope_capacity(first, keeps=grip.keeps)),
                hauled=max(_stands(second, hauling) for _, hauling in ends),
                eaten=(
                    _least_eaten(kit, first) + eats,
                    min(a.eaten + b.eaten for a, b in ends),
                ),
            )


def _least_eaten(kit: Kit, rope: Owned[Rope]) -> float:
    """The least that any standing end takes of the rope, wherever it is made fast, m."""
    kind = rope.gear
    if any(end is not None for end in rope.ends):
        return 0.0
    eaten = (
        knot.eats_diameters * kind.diameter + knot.eats
        for knot in kit.knots
        if knot.tied and knot.ends_rope and can_be_made_of(knot, kind)
    )
    return min(eaten, default=0.0)


def second_ends(
    kit: Kit, rope: Owned[Rope], at: Fixture, to: Fixture | None
) -> Iterator[tuple[RopeEnd, RopeEnd]]:
    """Ways to make the second rope's ends fast: the standing one `at`, the hauling one `to`."""
    for standing in kit.ends(rope, at):
        for hauling in kit.ends(rope, to):
            if both_ends(rope, standing, hauling):
                yield standing, hauling


def _stands(rope: Owned[Rope], end: RopeEnd) -> float:
    keeps = 1.0 if end.termination is None else end.termination.keeps
    return _known(rope_capacity(rope, keeps=keeps))


def _known(strength: float | None) -> float:
    return inf if strength is None else strength


def grips_on(kit: Kit, rope: Owned[Rope]) -> tuple[Termination, ...]:
    """Lists what holds on the rope's hauling part, the best first: hitches and grips for that kind of rope,
    and knots tied in its bight. Nothing is trusted to grip slippery rope: there
    is no figure for it."""
    kind = rope.gear
    if kind.slippery:
        return ()
    able = [
        knot
        for knot in kit.knots
        if (knot.grips_rope or knot.in_bight) and knot.tied and can_be_made_of(knot, kind)
    ]
    return tuple(sorted(able, key=lambda k: (-k.keeps, k.in_bight, k.id)))
