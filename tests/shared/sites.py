"""Small made-up sites some of whose trees may share a pull by a sling, by number."""

from dataclasses import replace
from itertools import combinations
from math import dist, hypot, radians

import numpy as np

from catalogue.gear import MadeTo, Needs, Termination
from optimiser.mechanics.values import Vec
from optimiser.site.anchors import SharedAnchor, Tree, shared_anchor
from optimiser.site.model import Owned, Site
from tests.generated import made_up
from tests.search.sites import recipe

ROUND_TURN = Termination(
    id="round-turn",
    name="round turn",
    source="made up",
    keeps=0.7,
    eats_diameters=30.0,
    eats=0.3,
    made_to=frozenset({MadeTo.EYE, MadeTo.SHACKLE, MadeTo.BAR, MadeTo.TRUNK}),
    needs=Needs.FREE_END,
    turns=1.5,
    least_trunk=4.0,
)
PAIRS = 1
"""Pairs of trees, those that stand nearest to each other."""


def site(number: int) -> Site:
    """A site of every kind of the search's own, with weaker trees, pairs of them, and ropes for slings."""
    rng = np.random.default_rng((number, 53))
    small = replace(
        recipe(number),
        trees=3,
        heights=1,
        sheaves=2,
        items=10,
        spacing=2.0,
        ropes=1,
        pullers=1,
        ranged=False,
    )
    plain = made_up(small, number)
    weak = float(rng.uniform(0.3, 0.9))
    moved = [
        replace(
            a, position=_beside(plain, float(rng.uniform(1.5, 4.0)), float(rng.uniform(-0.5, 0.5)))
        )
        if isinstance(a, Tree) and i == 1
        else a
        for i, a in enumerate(plain.anchors)
    ]
    anchors = [_weaker(a, weak) if isinstance(a, Tree) else a for a in moved]
    trees = [a for a in anchors if isinstance(a, Tree)]
    near = sorted(combinations(trees, 2), key=lambda two: dist(two[0].position, two[1].position))
    pairs: list[SharedAnchor] = []
    for one, other in near[:PAIRS]:
        angle = radians(float(rng.choice([30.0, 60.0, 90.0, 120.0])))
        found = shared_anchor(one, other, angle=angle)
        if isinstance(found, SharedAnchor):
            pairs.append(found)
    rope = next(p for p in plain.gear if p.name.startswith("rope"))
    slings = [
        replace(
            rope,
            name=f"sling rope {i}",
            length=float(rng.uniform(4.0, 30.0)),
            ends=(None, None),
            unrated=False,
        )
        for i in range(1)
    ]
    gear: tuple[Owned, ...] = (*plain.gear, *slings)
    knots = (*plain.preferences.knots, ROUND_TURN)
    preferences = replace(plain.preferences, knots=knots)
    return replace(plain, anchors=(*anchors, *pairs), gear=gear, preferences=preferences)


def _beside(plain: Site, aside: float, ahead: float) -> Vec:
    """A place beside the first tree, square to the path but for a little."""
    leg, (x, y, z) = plain.legs[-1], plain.anchors[0].position
    tx, ty = leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]
    size = hypot(tx, ty)
    side = -1.0 if (x - leg.end[0]) * -ty + (y - leg.end[1]) * tx > 0.0 else 1.0
    out, on = side * aside / size, ahead / size
    return (x - out * ty + on * tx, y + out * tx + on * ty, z)


def _weaker(tree: Tree, share: float) -> Tree:
    known = tree.strength.capacity
    if known is None:
        return tree
    return replace(tree, strength=replace(tree.strength, capacity=share * known))
