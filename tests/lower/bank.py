"""A straight bank, a trolley on it and two trees above: small enough to go through by hand."""

from dataclasses import replace
from math import cos, sin

from catalogue.gear import Block, MadeTo, Needs, Rope, Shackle, Strap, Termination
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength
from optimiser.site.anchors import Tree
from optimiser.site.model import Hitch, Leg, Load, Owned, Preferences, Puller, Site
from optimiser.site.rules import RULES
from tests.generated import NEW

KNOT = Termination(
    id="knot",
    name="knot",
    source="made up",
    keeps=0.7,
    eats_diameters=0.0,
    eats=1.0,
    made_to=frozenset({MadeTo.EYE, MadeTo.SHACKLE, MadeTo.BAR, MadeTo.HOOK}),
    needs=Needs.FREE_END,
    turns=1.0,
)


def tree(name: str, x: float, y: float, z: float, diameter: float = 0.4) -> Tree:
    return Tree(
        name=name,
        position=(x, y, z),
        diameter=diameter,
        species="made up",
        heights=(0.4,),
        strength=AnchorStrength(capacity=6_000.0, unit="N·m", factors=(), governs="made up"),
        top=12.0,
    )


def rope(length: float, material: str = "polyester", name: str = "rope") -> Owned:
    kind = Rope(
        id="rope",
        name="rope",
        source="made up",
        material=material,
        diameter=0.012,
        mbs=30_000.0,
        design_factor=5.0,
        stretch_at_break=0.2,
        mass_per_metre=0.1,
        least_bend_ratio=4.0,
    )
    return Owned(name=name, gear=kind, count=1, condition=NEW, length=length)


BLOCKS = Owned(
    name="block",
    gear=Block(
        id="block",
        name="block",
        source="made up",
        sheaves=1,
        opens=True,
        rope_least=0.008,
        rope_most=0.016,
        sheave_diameter=0.1,
        wll=10_000.0,
        bearing="plain",
        eta=0.9,
        length=0.2,
        eye=None,
    ),
    count=2,
    condition=NEW,
)
STRAPS = Owned(
    name="strap",
    gear=Strap(
        id="strap",
        name="strap",
        source="made up",
        length=3.0,
        width=0.05,
        wll=10_000.0,
        choker_factor=0.8,
        basket_factor=2.0,
    ),
    count=3,
    condition=NEW,
)
SHACKLES = Owned(
    name="shackle",
    gear=Shackle(
        id="shackle",
        name="shackle",
        source="made up",
        bow_diameter=0.016,
        pin_diameter=0.019,
        jaw=0.03,
        length=0.06,
        wll=20_000.0,
    ),
    count=6,
    condition=NEW,
)


def bank(
    *,
    weight: float = 4_000.0,
    slope: float = 0.3,
    length: float = 10.0,
    low: float = 0.02,
    likely: float = 0.05,
    rope_length: float = 60.0,
    material: str = "polyester",
    eta: float = 0.9,
) -> Site:
    """The bank at `slope` [rad], the trolley's way `length` metres along it."""
    top = (length * cos(slope), 0.0, length * sin(slope))
    leg = Leg(
        start=(0.0, 0.0, 0.0),
        end=top,
        surface="made up",
        motion=Motion.ROLLING,
        resistance=likely,
        resistance_low=low,
        edge_protected=True,  # a log lies on the crest
    )
    load = Load(
        name="trolley",
        weight=weight,
        wheel_radius=0.2,
        axle_share=0.6,
        overhang=0.5,
        length=1.5,
        hitches=(Hitch(name="eye", ahead=0.5, left=0.0, height=0.4, rating=20_000.0),),
    )
    assert isinstance(BLOCKS.gear, Block)
    block = replace(BLOCKS, gear=replace(BLOCKS.gear, eta=eta))
    x, _, z = top
    return Site(
        title="bank",
        legs=(leg,),
        load=load,
        anchors=(tree("ash", x + 4.0, 0.8, z), tree("oak", x + 5.0, -1.2, z, diameter=0.45)),
        obstacles=(),
        pullers=(PEOPLE,),
        gear=(rope(rope_length, material), block, STRAPS, SHACKLES),
        preferences=Preferences(knots=(KNOT,), rules=frozenset(RULES), side_pull_rolling=0.4),
    )


PEOPLE = Puller(
    name="people",
    kind=PulledBy.PEOPLE,
    position=(20.0, 4.0, 3.0),
    height=0.9,
    heading=(1.0, 0.0, 0.0),
    run=5.0,
    purchase=None,
    limit=400.0,
    limit_factors=(),
    hitch_rating=None,
    hitch_eye=None,
    needs_termination=False,
)
