"""Checks whether a rope's end holds on what the answer makes it fast to, read from the site file's
words."""

from collections.abc import Sequence
from itertools import permutations

from catalogue.gear import MadeTo, Needs, Rope, Termination
from optimiser.site.model import Owned, Puller

Spot = tuple[MadeTo, float | None]
"""What is there, and the clear width of it, m, where that is known."""
HUNG: Spot = (MadeTo.SHACKLE, None)
"""Where only a shackle goes: a strap, the grip on a rope, the chain that lengthens one."""


def of_puller(puller: Puller) -> Spot:
    """What a puller offers its line."""
    if puller.purchase is not None and puller.hitch_eye is None:
        return MadeTo.HOOK, None
    return puller.hitch_kind, puller.hitch_eye


def for_rope(knot: Termination, rope: Rope) -> bool:
    """Whether the knot or fitting is for that kind of rope: wire, rope that takes knots, or neither."""
    if knot.for_wire:
        return rope.is_wire
    if rope.is_wire:
        return False
    return rope.knottable or knot.needs is Needs.FITTED


def shackled(knot: Termination, rope: Rope, spot: Spot, *, spliced: bool) -> bool | None:
    """Whether a shackle has to hold it there; None where it does not hold at all."""
    what, wide = spot
    fits = set(knot.made_to)
    if spliced and knot.needs is not Needs.FITTED:
        fits &= {MadeTo.SHACKLE, MadeTo.HOOK}  # its loop is closed
    if knot.made_to & {MadeTo.ROPE, MadeTo.ROPE_END} or not for_rope(knot, rope):
        return None
    if what is not MadeTo.SHACKLE and what in fits:
        turns = int(knot.turns) + (knot.turns > int(knot.turns))
        if what is not MadeTo.EYE or wide is None or turns * rope.diameter <= wide + 1e-6:
            return False
    return True if MadeTo.SHACKLE in fits else None


def each_end_once(rope: Owned, made: Sequence[tuple[Termination | None, bool]]) -> bool:
    """Whether the rope has its ends for what is made of them: (knot or None: held, on the rope). One
    that is joined of two ropes has its standing end first."""
    joined = rope.joined is not None and rope.joined.bend is not None
    orders = [rope.ends] if joined else list(permutations(rope.ends))
    return any(
        all(_suits(there, *one) for there, one in zip(ends, made, strict=False)) for ends in orders
    )


def _suits(there: Termination | None, knot: Termination | None, spliced: bool) -> bool:
    if knot is None:
        return True
    if spliced:
        return there == knot
    return there is None or knot.needs is Needs.BIGHT
