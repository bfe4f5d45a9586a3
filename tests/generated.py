"""Sites made up by a seeded generator, for oracle, properties and benchmark. Invented data."""

from dataclasses import dataclass, replace
from math import pi

import numpy as np

from catalogue.gear import Block, Condition, MadeTo, Needs, Rope, Shackle, Strap, Termination
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.counts import counts_of
from optimiser.site.model import (
    Anchor,
    AnchorKind,
    Hitch,
    Leg,
    Load,
    Obstacle,
    Owned,
    Preferences,
    Puller,
    Site,
)
from optimiser.site.rules import RULES

NEW = Condition(id="new", name="new", source="made up", keeps=1.0)
BOWLINE = Termination(
    id="bowline",
    name="bowline",
    source="made up",
    keeps=0.6,
    eats_diameters=40.0,
    eats=0.2,
    made_to=frozenset({MadeTo.EYE, MadeTo.SHACKLE, MadeTo.BAR, MadeTo.HOOK}),
    needs=Needs.FREE_END,
    turns=1.0,
)
SPLICE = Termination(
    id="eye-splice",
    name="eye splice",
    source="made up",
    keeps=0.95,
    eats_diameters=0.0,
    eats=0.0,
    made_to=frozenset({MadeTo.SHACKLE, MadeTo.HOOK}),
    needs=Needs.FITTED,
)
WIRE_EYE = Termination(
    id="wire-eye",
    name="wire eye",
    source="made up",
    keeps=0.9,
    eats_diameters=0.0,
    eats=0.0,
    made_to=frozenset({MadeTo.SHACKLE, MadeTo.HOOK}),
    needs=Needs.FITTED,
    for_wire=True,
)
TRUNK_KNOT = Termination(
    id="trunk-knot",
    name="trunk knot",
    source="made up",
    keeps=0.7,
    eats_diameters=30.0,
    eats=0.3,
    made_to=frozenset({MadeTo.EYE, MadeTo.SHACKLE, MadeTo.BAR, MadeTo.TRUNK}),
    needs=Needs.FREE_END,
    turns=2.0,
    least_trunk=4.0,
)


@dataclass(frozen=True)
class Recipe:
    """How large a made-up site is, and what is scarce in it."""

    trees: int
    heights: int
    sheaves: int
    items: int
    regime: str = "easy"  # easy, puller, anchor
    ropes: int = 1
    pullers: int = 1
    spacing: float = 0.25
    mixed: bool = False  # blocks of several bearings and sheave counts
    puller: str = "vehicle"  # or "people", "hand winch" (made fast to the first tree)
    mirrored: bool = False  # trees in pairs to the left and right of the path, the puller between
    twins: bool = False  # every kind of block and shackle is listed as two entries of equal pieces
    bridle: bool = False  # two hitch points that may be bridled with two of the shortest straps
    wire: bool = False  # the first rope is a wire rope with a fitting at both ends
    boulder: bool = False  # a rated anchor with an eye, besides the trees
    light: float = 1.0  # share of the load's weight
    protected: bool = False  # a roller lies at every crest
    rough: bool = False  # a step, a stuck first metre and a post in the way
    unrated: tuple[str, ...] = ()  # names of pieces, trees, or "eye" (the hitch), without a rating
    off: frozenset[str] = frozenset()  # rules that are off
    order: tuple[str, ...] = ("margin", "resets", "rope")
    ranged: bool = False  # sheaves, straps, trees and ground are known to lie between two ends only


HOME = Recipe(trees=6, heights=3, sheaves=4, items=20)
MID = Recipe(trees=20, heights=4, sheaves=5, items=40)
YARD = Recipe(trees=60, heights=4, sheaves=6, items=80, ropes=3, pullers=2)


def made_up(recipe: Recipe, seed: int) -> Site:
    """A site of the recipe. Equal seeds give equal sites."""
    rng = np.random.default_rng(seed)
    climb = rng.uniform(0.15, 0.45)
    lengths = rng.uniform(3.0, 6.0, 3)
    slopes = (
        climb * rng.uniform(0.3, 0.9),
        climb * rng.uniform(0.9, 1.3),
        climb * rng.uniform(0.1, 0.5),
    )
    points = [(0.0, 0.0, 0.0)]
    for length, slope in zip(lengths, slopes, strict=True):
        x, y, z = points[-1]
        points.append((x + float(length), y, z + float(length * slope)))
    legs = tuple(
        Leg(
            start=a,
            end=b,
            surface="made up",
            motion=Motion.ROLLING,
            resistance=float(c),
            resistance_low=float(c) / 2,
            edge_protected=bool(rng.uniform() < 0.85),
        )
        for a, b, c in zip(points[:-1], points[1:], rng.uniform(0.08, 0.2, 3), strict=True)
    )
    top = points[-1]
    extra = np.random.default_rng((seed, 1))  # apart, so that a recipe's plain part stays as it is
    weight = {"easy": 5000.0, "puller": 13_000.0, "anchor": 9000.0}[recipe.regime] * float(
        rng.uniform(0.8, 1.25)
    )
    load = Load(
        name="made-up load",
        weight=weight,
        wheel_radius=0.2,
        axle_share=1.0,
        overhang=0.5,
        length=1.5,
        hitches=(Hitch(name="eye", ahead=0.3, left=0.0, height=0.4, rating=40_000.0, eye=0.03),),
    )
    site = Site(
        title="made up",
        legs=legs,
        load=load,
        anchors=tuple(_tree(rng, i, recipe, top) for i in range(recipe.trees)),
        obstacles=(),
        pullers=tuple(_puller(rng, i, top, recipe) for i in range(recipe.pullers)),
        gear=_gear(rng, recipe),
        preferences=Preferences(
            most_sheaves=recipe.sheaves,
            knots=(BOWLINE, TRUNK_KNOT),
            rules=frozenset(RULES),
            side_pull_rolling=0.5,
            station_spacing=recipe.spacing,
        ),
    )
    return varied(site, recipe, extra)


def _tree(
    rng: np.random.Generator, number: int, recipe: Recipe, top: tuple[float, float, float]
) -> Tree:
    x = float(top[0] + rng.uniform(2.0, 10.0))
    y = float(rng.uniform(-6.0, 6.0))
    thin = recipe.regime == "anchor"
    diameter = float(rng.uniform(0.12, 0.25) if thin else rng.uniform(0.2, 0.5))
    heights = tuple(round(float(h), 2) for h in np.linspace(0.3, 1.5, recipe.heights))
    moment = pi * (0.94 * diameter) ** 3 / 32 * 9.0e6
    return Tree(
        name=f"tree{number:02d}",
        position=(x, y, top[2] + float(rng.uniform(-0.2, 0.3))),
        diameter=diameter,
        species="made up",
        heights=heights,
        top=15.0,
        strength=AnchorStrength(capacity=moment, unit="N·m", factors=(), governs="made up"),
    )


def _puller(
    rng: np.random.Generator, number: int, top: tuple[float, float, float], recipe: Recipe
) -> Puller:
    limit = 1500.0 if recipe.regime != "puller" else 1800.0
    side = 1.0 if number % 2 == 0 else -1.0
    return Puller(
        name=f"puller{number}",
        kind=PulledBy.VEHICLE,
        position=(top[0] + 2.0, side * float(rng.uniform(10.0, 14.0)), top[2]),
        height=0.5,
        heading=(0.0, side, 0.0),
        run=float(rng.uniform(8.0, 20.0)),
        purchase=None,
        limit=limit * float(rng.uniform(0.9, 1.2)),
        limit_factors=(),
        hitch_rating=20_000.0,
        hitch_eye=0.03,
        needs_termination=True,
        angle_limit=0.9,
        rise_limit=0.6,
        dynamic=1.2,
    )


def _gear(rng: np.random.Generator, recipe: Recipe) -> tuple[Owned, ...]:
    out: list[Owned] = []
    for i in range(recipe.ropes):
        rope = Rope(
            id=f"rope{i}",
            name="rope",
            source="made up",
            material="polyester",
            diameter=(0.012, 0.014, 0.01)[i % 3],
            mbs=(25_000.0, 32_000.0, 18_000.0)[i % 3],
            design_factor=5.0,
            stretch_at_break=0.2,
            mass_per_metre=0.1,
            least_bend_ratio=4.0,
        )
        out.append(
            Owned(
                name=f"rope{i}",
                gear=rope,
                count=1,
                condition=NEW,
                length=float(rng.uniform(60.0, 110.0)),
                ends=(SPLICE, None),
            )
        )
    kinds = max((recipe.items - recipe.ropes) // 6, 2)
    left = recipe.sheaves
    for i in range(kinds):
        sheaves = 2 if recipe.mixed and i == 0 and recipe.sheaves >= 3 else 1
        count = (
            max(min(left // sheaves, 2 if i else 1), 0)
            if i < kinds - 1
            else max(left // sheaves, 1)
        )
        if count == 0:
            continue
        left -= count * sheaves
        eta = (0.92, 0.96)[i % 2] if recipe.mixed else 0.9
        block = Block(
            id=f"block{i}",
            name="block",
            source="made up",
            sheaves=sheaves,
            opens=True,
            rope_least=0.008,
            rope_most=0.016,
            sheave_diameter=0.1,
            wll=float(rng.choice([4_000.0, 6_000.0, 10_000.0])) * sheaves,
            bearing="plain",
            eta=eta,
            length=0.25,
            eye=0.02 if i % 2 else 0.026,
        )
        out.append(Owned(name=f"block{i}", gear=block, count=count, condition=NEW))
    for i in range(kinds):
        out.append(
            Owned(
                name=f"shackle{i}",
                gear=Shackle(
                    id=f"shackle{i}",
                    name="shackle",
                    source="made up",
                    bow_diameter=0.016,
                    pin_diameter=(0.019, 0.024)[i % 2],
                    jaw=0.03,
                    length=0.06,
                    wll=float(rng.choice([7_000.0, 10_000.0, 20_000.0])),
                ),
                count=max(recipe.items // kinds // 2, 2),
                condition=NEW,
            )
        )
    for i in range(kinds):
        strap = Strap(
            id=f"strap{i}",
            name="strap",
            source="made up",
            length=(1.6, 2.5, 3.5)[i % 3],
            width=0.05,
            wll=float(rng.choice([5_000.0, 10_000.0])),
            choker_factor=0.8,
            basket_factor=2.0,
        )
        out.append(
            Owned(
                name=f"strap{i}", gear=strap, count=max(recipe.sheaves // kinds, 1), condition=NEW
            )
        )
    return tuple(out)


# ---- what a recipe calls for besides -------------------------------------------------------------


def varied(site: Site, recipe: Recipe, rng: np.random.Generator) -> Site:
    """The plain site with what else the recipe calls for."""
    top = site.legs[-1].end
    if recipe.mirrored:
        site = _mirrored(site, top)
    if recipe.puller != "vehicle":
        site = replace(site, pullers=(_other_puller(site, recipe, rng, top), *site.pullers[1:]))
    if recipe.boulder:
        site = replace(site, anchors=(*site.anchors, _boulder(rng, top)))
    if recipe.protected:
        site = replace(site, legs=tuple(replace(leg, edge_protected=True) for leg in site.legs))
    site = replace(site, load=replace(site.load, weight=site.load.weight * recipe.light))
    if recipe.bridle:
        weak = 0.45 * site.load.weight  # as a rule too weak for one, enough for two
        left, right = (
            Hitch(name=name, ahead=0.3, left=side, height=0.4, rating=weak, eye=0.03)
            for name, side in (("eye", 0.5), ("right eye", -0.5))
        )
        load = replace(site.load, hitches=(left, right), may_bridle=True, bridle_leg=1.5)
        gear = tuple(
            replace(p, count=p.count + 2) if p.name == "strap0" else p for p in site.gear
        )  # long enough for a leg
        site = replace(site, load=load, gear=gear)
    if recipe.rough:
        site = _rough(site, rng)
    gear = tuple(
        _wire(piece) if recipe.wire and piece.name == "rope0" else piece for piece in site.gear
    )
    gear = tuple(replace(piece, unrated=piece.name in recipe.unrated) for piece in gear)
    if recipe.ranged:
        gear = tuple(_ranged(piece, number) for number, piece in enumerate(gear))
        anchors = tuple(
            replace(a, least_diameter=0.85 * a.diameter) if isinstance(a, Tree) else a
            for a in site.anchors
        )
        legs = tuple(replace(leg, resistance_least=0.5 * leg.resistance) for leg in site.legs)
        site = replace(site, anchors=anchors, legs=legs)
    if recipe.twins:
        gear = tuple(twin for piece in gear for twin in _twins(piece))
    anchors = tuple(_loose(a) if a.name in recipe.unrated else a for a in site.anchors)
    hitches = tuple(
        replace(h, rating=None) if h.name in recipe.unrated else h for h in site.load.hitches
    )
    rules = site.preferences.rules - recipe.off
    return replace(
        site, gear=gear, anchors=anchors, load=replace(site.load, hitches=hitches),
        preferences=replace(site.preferences, rules=rules, order=counts_of(recipe.order)),
    )  # fmt: skip


def on_unknown_ground(site: Site) -> Site:
    """The site where nothing is known of the ground and nothing lies on it: every line is straight."""
    return replace(
        site,
        legs=tuple(replace(leg, edge_protected=False) for leg in site.legs),
        preferences=replace(site.preferences, ground_known_within=0.0),
    )


def _ranged(piece: Owned, number: int) -> Owned:
    """The same piece, its efficiency or length known between two ends only (of every other block)."""
    gear = piece.gear
    if isinstance(gear, Block) and number % 2:
        return replace(piece, gear=replace(gear, eta=gear.eta - 0.1, eta_most=gear.eta + 0.03))
    if isinstance(gear, Strap):
        return replace(piece, gear=replace(gear, length_most=gear.length + 0.2))
    return piece


def _loose(anchor: Anchor) -> Anchor:
    """The same anchor without a rating."""
    assert isinstance(anchor, Tree | RatedAnchor)
    return replace(anchor, strength=replace(anchor.strength, capacity=None))


def _mirrored(site: Site, top: tuple[float, float, float]) -> Site:
    """Trees in equal pairs to either side of the path, and a puller that goes straight on."""
    out: list[Tree] = []
    for i, tree in enumerate(site.anchors):
        assert isinstance(tree, Tree)
        if i % 2 == 1:
            other = out[-1]
            x, y, z = other.position
            out.append(replace(other, name=tree.name, position=(x, -y, z)))
        else:
            out.append(tree)
    straight = replace(
        site.pullers[0],
        position=(top[0] + 2.0, 0.0, top[2]),
        heading=(1.0, 0.0, 0.0),
        rise_limit=0.9,
    )
    return replace(site, anchors=tuple(out), pullers=(straight, *site.pullers[1:]))


def _other_puller(
    site: Site, recipe: Recipe, rng: np.random.Generator, top: tuple[float, float, float]
) -> Puller:
    plain = site.pullers[0]
    if recipe.puller == "people":
        return replace(
            plain, kind=PulledBy.PEOPLE, position=(top[0] + 1.5, float(rng.uniform(-2.0, 2.0)), top[2]),
            height=1.0, heading=(1.0, 0.0, 0.0), run=float(rng.uniform(4.0, 8.0)), limit=1200.0,
            hitch_rating=None, hitch_eye=None, needs_termination=False, dynamic=1.0,
        )  # fmt: skip
    tree = site.anchors[0]
    return replace(
        plain, kind=PulledBy.HAND_WINCH, position=tree.position, height=0.5, heading=(1.0, 0.0, 0.0),
        run=0.0, purchase=float(rng.uniform(2.0, 4.0)), limit=float(rng.uniform(2000.0, 5000.0)),
        hitch_rating=None, hitch_eye=None, anchor=tree.name, dynamic=1.0,
    )  # fmt: skip


def _boulder(rng: np.random.Generator, top: tuple[float, float, float]) -> RatedAnchor:
    x, y = float(top[0] + rng.uniform(3.0, 8.0)), float(rng.uniform(-4.0, 4.0))
    return RatedAnchor(
        name="boulder", position=(x, y, top[2]), kind=AnchorKind.BOULDER, heights=(0.4,), girth=None,
        strength=AnchorStrength(
            capacity=float(rng.uniform(4e3, 1e4)), unit="N", factors=(), governs="stated"
        ),
        radius=0.3, top=0.5, eye=float(rng.choice([0.02, 0.03])),
    )  # fmt: skip


def _rough(site: Site, rng: np.random.Generator) -> Site:
    first, second, *rest = site.legs
    legs = (replace(first, breakout=1.4, apparent=0.8), replace(second, step=0.05), *rest)
    along = float(rng.uniform(0.3, 0.9))
    x, y, z = (a + along * (b - a) for a, b in zip(second.start, second.end, strict=True))
    side = float(rng.choice([-1.0, 1.0]) * rng.uniform(0.8, 2.0))
    post = Obstacle(
        name="post", position=(x, y + side, z), radius=0.15, top=float(rng.uniform(0.4, 1.5))
    )
    return replace(site, legs=legs, obstacles=(post,))


def _wire(piece: Owned) -> Owned:
    assert isinstance(piece.gear, Rope)
    rope = replace(piece.gear, material="wire", diameter=0.01, mbs=50_000.0, knottable=False)
    return replace(piece, gear=rope, ends=(WIRE_EYE, WIRE_EYE))


def _twins(piece: Owned) -> tuple[Owned, ...]:
    """A kind with a count of several as two entries."""
    if piece.count < 2:
        return (piece,)
    half = piece.count // 2
    return (
        replace(piece, count=half),
        replace(piece, name=f"{piece.name} again", count=piece.count - half),
    )
