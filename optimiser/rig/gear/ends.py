"""Decides how a rope's end can be made fast to what is there: straight, by a shackle, or not at all.

The one place that checks a termination against a fixture. A fixture is what an end is made fast to: a
hitch of the load or of a vehicle, the strap on a trunk, the trunk itself, a winch's hook.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, pi

from catalogue.gear import MadeTo, Needs, Rope, Termination
from optimiser.site.model import Anchor, Fixture, Owned

STRAP = Fixture(kind=MadeTo.SHACKLE)
"""A strap or chain round a trunk, a sling between two, or a grip on a rope: a shackle hangs in it, whatever
the end is."""
LINK = Fixture(kind=MadeTo.EYE)
"""The end of a strap or chain that lengthens a rope, pulled straight: a closed eye or link."""
SHACKLED = frozenset({MadeTo.EYE, MadeTo.BAR, MadeTo.HOOK, MadeTo.SHACKLE})
"""Fixtures that take a shackle."""
SLACK = 1e-9


END_LENGTH = 0.2
"""m from the bearing point of an end to where the plain rope begins: a bowline's loop or a thimble
(project choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeEnd:
    """One way to make a rope's end fast."""

    termination: Termination | None  # None: hands hold the bare rope
    spliced: bool  # True: the termination is on the rope already
    needs_shackle: bool
    round_trunk: bool
    eaten: float  # m of rope, turns round a trunk included


IN_HAND = RopeEnd(
    termination=None, spliced=False, needs_shackle=False, round_trunk=False, eaten=0.0
)
"""The end that people hold."""


def fixtures(anchor: Anchor) -> tuple[Fixture, ...]:
    """Returns what a standing end can be made fast to at an anchor: its eye; or the strap round it, and the
    trunk or post itself."""
    if anchor.sling is not None:
        return (STRAP,)
    if anchor.girth is None:
        return (Fixture(kind=MadeTo.EYE, width=anchor.eye),)
    if not anchor.ties_round:
        return (STRAP,)
    thick = 2.0 * anchor.least_radius if anchor.radius > 0.0 else anchor.girth / pi
    return STRAP, Fixture(kind=MadeTo.TRUNK, width=thick, girth=anchor.girth)


def can_be_made_of(knot: Termination, rope: Rope) -> bool:
    """Whether a termination can be made in a kind of rope, or be on it."""
    if knot.for_wire or rope.is_wire:
        return knot.for_wire and rope.is_wire
    return rope.knottable or not knot.tied


def fasten(
    termination: Termination, rope: Rope, to: Fixture, *, on_rope: bool = False
) -> RopeEnd | None:
    """Returns how the termination makes a rope's end fast to the fixture; None where it cannot.
    `on_rope`: it is on the rope's end already."""
    if not termination.ends_rope or not can_be_made_of(termination, rope):
        return None
    if not on_rope and not termination.tied:
        return None
    holds_on = termination.made_to_when_on_rope if on_rope else termination.made_to
    straight = to.kind in holds_on and _goes_round(termination, rope, to)
    if to.kind is MadeTo.TRUNK and not straight:
        return None
    by_shackle = to.kind is MadeTo.SHACKLE or not straight
    if by_shackle and not (to.kind in SHACKLED and MadeTo.SHACKLE in holds_on):
        return None
    eaten = 0.0
    if not on_rope:
        eaten = termination.eats_diameters * rope.diameter + termination.eats
        if to.kind is MadeTo.TRUNK:
            eaten += termination.turns * to.girth
    return RopeEnd(
        termination=termination,
        spliced=on_rope,
        needs_shackle=by_shackle,
        round_trunk=to.kind is MadeTo.TRUNK,
        eaten=eaten,
    )


def _goes_round(termination: Termination, rope: Rope, to: Fixture) -> bool:
    """Whether the fixture is wide enough: a knot's turns lie side by side in an eye, and a trunk is not
    too thin for them. What is put on as it is (a hook, a spliced eye) is not measured."""
    if to.width is None:
        return True
    if to.kind is MadeTo.EYE:
        return ceil(termination.turns) * rope.diameter <= to.width + SLACK
    if to.kind is MadeTo.TRUNK:
        return to.width >= termination.least_trunk * rope.diameter - SLACK
    return True


def ways(
    knots: Iterable[Termination], rope: Owned[Rope], to: Fixture | None
) -> tuple[RopeEnd, ...]:
    """Ways to make one end of the rope fast to the fixture, None: people hold it. What is on the rope
    comes first; of the knots those that no other one beats there."""
    if to is None:
        return (IN_HAND,)
    kind = rope.gear
    there = [fasten(end, kind, to, on_rope=True) for end in dict.fromkeys(rope.ends) if end]
    tied = [fasten(knot, kind, to) for knot in sorted(knots, key=lambda k: k.id)]
    found = [end for end in there if end is not None]
    return (*found, *_worth_tying([end for end in tied if end is not None], to))


def _worth_tying(ends: Sequence[RopeEnd], to: Fixture) -> list[RopeEnd]:
    """Those without the ones that another beats: it keeps as much, eats no more round however thick a
    trunk, needs no shackle where the other needs none, and no bare end where the other needs none."""

    def cost(end: RopeEnd) -> tuple[float, ...]:
        knot = end.termination
        assert knot is not None
        plain = end.eaten - (knot.turns * to.girth if end.round_trunk else 0.0)
        turns = (knot.turns, knot.least_trunk) if end.round_trunk else (0.0, 0.0)
        return (
            -knot.keeps,
            round(plain, 9),
            end.needs_shackle,
            knot.needs is Needs.FREE_END,
            *turns,
        )

    out: list[tuple[tuple[float, ...], RopeEnd]] = []
    for mine, end in sorted(((cost(end), end) for end in ends), key=lambda e: e[0]):
        if not any(all(o <= m for o, m in zip(cost, mine, strict=True)) for cost, _ in out):
            out.append((mine, end))
    return [end for _, end in out]


def both_ends(rope: Owned[Rope], standing: RopeEnd, hauling: RopeEnd) -> bool:
    """Whether the rope's two ends can be made fast like this: each end is there once. Which is the
    standing one is free, but for a rope that is joined of two."""
    one, other = rope.ends
    ways_round = [(one, other)]
    if rope.joined is None or rope.joined.bend is None:
        ways_round.append((other, one))
    return any(_suits(a, standing) and _suits(b, hauling) for a, b in ways_round)


def _suits(there: Termination | None, end: RopeEnd) -> bool:
    """Whether that end of a rope can be made fast like this."""
    if end.termination is None:
        return True
    if end.spliced:
        return end.termination == there
    return there is None or end.termination.needs is Needs.BIGHT
