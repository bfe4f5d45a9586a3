"""Decides whether a search looks at tackle on tackle, and counts what of it is in the space."""

from collections.abc import Sequence
from typing import NamedTuple

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.search.rules import Rules


class Scope(NamedTuple):
    """`on`: tackle on tackle is in the search; `left`: it is not, since there is too much of it to look at
    unless somebody requests it or nothing simpler is found."""

    on: bool
    left: bool


def scope(requested: bool | None, scenes: Sequence[Scene], kit: Kit, rules: Rules) -> Scope:
    """What is looked at. `requested` None: where there is some tackle on tackle but no more than `FEW`."""
    if requested is not None:
        return Scope(on=requested, left=False)
    if len(kit.ropes) < 2:
        return Scope(on=False, left=False)
    from optimiser.search.two_ropes.search import FEW  # start-up time: most sites have one rope
    from optimiser.search.two_ropes.search import compounds_in_space as counted

    pairs = counted(scenes, kit, rules, upto=FEW)
    return Scope(on=0 < pairs <= FEW, left=pairs > FEW)


def in_space(scenes: Sequence[Scene], kit: Kit, rules: Rules) -> int | None:
    """Pairs of walks of two ropes in the space; None where the rules leave tackle on tackle out."""
    if not rules.compound:
        return None
    from optimiser.search.two_ropes.search import compounds_in_space  # start-up time, as above

    return compounds_in_space(scenes, kit, rules)
