"""Made-up banks with crests, by number: steep, then level, with the trees back from the crest.

Gear and pullers are those of `tests.generated`; the ground, the trees and what may be laid on the
crests are drawn by a generator of their own. Invented data.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from catalogue.gear import Protector, Rope
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import Vec
from optimiser.site.anchors import Tree
from optimiser.site.model import Leg, Obstacle, Owned, Puller, Site
from tests.generated import NEW, Recipe, made_up

ORDERS = (("margin", "resets", "rope"), ("margin",), ("rope", "margin"), ("resets",), ("pull",))


def recipe(number: int) -> Recipe:
    """Gear and puller of a numbered site."""
    rng = np.random.default_rng((number, 11))
    ropes = 2 if rng.uniform() < 0.35 else 1
    bridle = bool(rng.uniform() < 0.1)
    mixed = bool(rng.uniform() < 0.2)
    small = ropes > 1 or bridle or mixed
    loose = str(rng.choice(["block0", "strap0", "rope0", "tree01", "eye"]))
    return Recipe(
        trees=3 if small or rng.uniform() < 0.6 else 4,
        heights=1 if small and rng.uniform() < 0.5 else 2,
        sheaves=int(rng.choice([1, 2, 2, 3])) if not small else 2,
        items=int(rng.choice([12, 14])),
        regime=("easy", "easy", "anchor")[number % 3],
        ropes=ropes,
        spacing=2.0,
        mixed=mixed,
        puller=("vehicle", "vehicle", "people", "hand winch")[int(rng.integers(4))],
        bridle=bridle,
        wire=bool(rng.uniform() < 0.1),
        light=float(rng.choice([0.12, 0.18, 0.25, 0.35])),
        unrated=(loose,) if rng.uniform() < 0.15 else (),
        order=ORDERS[int(rng.integers(len(ORDERS)))],
        ranged=bool(rng.uniform() < 0.15),
    )


def site(number: int) -> Site:
    """The numbered site."""
    plain = made_up(recipe(number), number)
    rng = np.random.default_rng((number, 13))
    legs = _profile(rng, plain)
    crests = [a.end for a, b in pairwise(legs)]
    legs = tuple(_covered(rng, leg) for leg in legs) if rng.uniform() < 0.35 else legs
    edge, top = crests[-1], legs[-1].end
    anchors = tuple(
        _moved(rng, a, number, top) if isinstance(a, Tree) else a for a in plain.anchors
    )
    pullers = tuple(_behind(rng, p, anchors[0].position, top) for p in plain.pullers)
    gear = tuple(_other_material(p, number) for p in plain.gear)
    post = Obstacle(
        name="post",
        position=(float(edge[0] + rng.uniform(-1.5, 1.5)), float(rng.uniform(-1.5, 1.5)), edge[2]),
        radius=0.1,
        top=float(rng.uniform(0.1, 0.8)),
    )
    return replace(
        plain,
        legs=legs,
        anchors=anchors,
        pullers=pullers,
        gear=(*gear, *_protectors(rng)),
        obstacles=(post,) if rng.uniform() < 0.25 else (),
    )


def _profile(rng: np.random.Generator, plain: Site) -> tuple[Leg, ...]:
    """One to four crests, in every fourth a hollow before them; the last leg is nearly level."""
    many = int(rng.choice([1, 1, 1, 2, 2, 3, 4]))
    steep = sorted(rng.uniform(0.12, 0.8, many), reverse=True)
    slopes = [*steep, float(rng.uniform(-0.02, 0.08))]
    if rng.uniform() < 0.25:
        slopes.insert(0, float(rng.uniform(0.0, 0.1)))
    long = rng.uniform(1.5, 4.0, len(slopes)) * (1.3 if many == 1 else 0.9)
    if rng.uniform() < 0.2:
        long = np.maximum(np.round(long), 1.0)
    points: list[Vec] = [(0.0, 0.0, 0.0)]
    for flat, slope in zip(long, slopes, strict=True):
        x, y, z = points[-1]
        points.append((x + float(flat), y, z + float(flat * slope)))
    model = plain.legs[0]
    return tuple(
        replace(
            model, start=a, end=b, motion=Motion.ROLLING, resistance=float(c),
            resistance_low=float(c) / 2, edge_protected=False,
            resistance_least=None if model.resistance_least is None else 0.5 * float(c),
        )
        for a, b, c in zip(points, points[1:], rng.uniform(0.08, 0.2, len(slopes)), strict=False)
    )  # fmt: skip


def _covered(rng: np.random.Generator, leg: Leg) -> Leg:
    """Something lies on most legs already."""
    if rng.uniform() < 0.2:
        return leg
    kinds = (None, None, kind("hose", "hose", 0.02), kind("pole", "peeled log", 0.12))
    return replace(leg, edge_protected=True, protector=kinds[int(rng.integers(len(kinds)))])


def kind(
    name: str, surface: str, clearance: float, *, length: float = 2.0, covers: float = 0.5,
    friction: tuple[float, float] | None = None,
) -> Protector:  # fmt: skip
    """A kind of edge protector."""
    return Protector(
        id=name, name=name, source="made up", surface=surface, clearance=clearance,
        bend_radius=max(clearance, 0.03), length=length, covers=covers, fixing="stakes",
        friction=friction,
    )  # fmt: skip


def _protectors(rng: np.random.Generator) -> tuple[Owned, ...]:
    """None in every tenth; kinds of every size, few of each."""
    chosen = rng.permutation(3)[: int(rng.choice([0, 1, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3]))]
    models = (("log", "bark", 0.1), ("roller", "steel roller", 0.06), ("mat", "mat", 0.02))
    return tuple(
        Owned(
            name=models[i][0],
            gear=kind(
                *models[i],
                length=float(rng.choice([0.5, 1.0, 2.0])),
                covers=float(rng.choice([0.2, 0.5, 1.0, 2.0])),
                friction=(0.15, 0.35) if rng.uniform() < 0.15 else None,
            ),
            count=int(rng.choice([1, 2, 3, 4, 6])),
            condition=NEW,
        )
        for i in sorted(chosen)
    )


def _moved(rng: np.random.Generator, tree: Tree, number: int, top: Vec) -> Tree:
    """Back from the crest, some of them off to the side; with a low strap."""
    far = 1.2 if tree.name.endswith("0") or rng.uniform() < 0.6 else 5.0
    heights = ((0.25, 1.1), (0.4, 1.6), (0.3, 2.6))[number % 3]
    return replace(
        tree,
        position=(
            float(top[0] + rng.uniform(1.2, 7.0)),
            float(rng.uniform(-far, far)),
            top[2] + float(rng.uniform(-0.4, 0.2)),
        ),
        heights=heights[: len(tree.heights)],
    )


def _behind(rng: np.random.Generator, puller: Puller, tree: Vec, top: Vec) -> Puller:
    """Behind the crest, going straight on or off to the side."""
    if puller.anchor is not None:
        return replace(puller, position=tree, height=float(rng.choice([0.3, 0.6])))
    if puller.kind is PulledBy.PEOPLE:
        return replace(
            puller, position=(top[0] + 1.5, float(rng.uniform(-2.0, 2.0)), top[2]), height=0.9
        )
    side = float(rng.choice([-1.0, 1.0]))
    if rng.uniform() < 0.5:
        return replace(
            puller, position=(top[0] + 2.0, float(rng.uniform(-1.5, 1.5)), top[2]),
            heading=(1.0, 0.0, 0.0),
        )  # fmt: skip
    return replace(
        puller, position=(top[0] + 2.0, side * float(rng.uniform(4.0, 9.0)), top[2]),
        heading=(0.0, side, 0.0),
    )  # fmt: skip


def _other_material(piece: Owned, number: int) -> Owned:
    """The second rope is of another material."""
    rope = piece.gear
    if not isinstance(rope, Rope) or piece.name != "rope1":
        return piece
    return replace(
        piece, gear=replace(rope, material=("nylon", "polypropylene", "polyester")[number % 3])
    )
