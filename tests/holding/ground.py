"""A path that dips: down a slope the load runs down by itself, and up one it would run back on."""

from dataclasses import replace
from math import cos, pi, radians, sin

from catalogue.gear import AnyGear, Block, Rope, Shackle, Strap
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.site.anchors import Tree
from optimiser.site.model import Anchor, Hitch, Leg, Load, Owned, Preferences, Puller, Site
from tests.generated import BOWLINE, NEW, SPLICE, TRUNK_KNOT

WEIGHT = 4000.0
RESISTANCE, LOW = 0.1, 0.05
LONG = 8.0
"""m, length of each leg."""


def _leg(start: Vec, slope: float) -> Leg:
    x, y, z = start
    end = (x + LONG * cos(slope), y, z + LONG * sin(slope))
    return Leg(
        start=start, end=end, surface="made up", motion=Motion.ROLLING, resistance=RESISTANCE,
        resistance_low=LOW, edge_protected=True,
    )  # fmt: skip


def tree(name: str, x: float, y: float, z: float, capacity: float = 40_000.0) -> Anchor:
    return Tree(
        name=name, position=(x, y, z), diameter=0.4, species="made up", heights=(0.5,), top=15.0,
        strength=AnchorStrength(capacity=capacity, unit="N·m", factors=(), governs="made up"),
    )  # fmt: skip


def _piece(name: str, gear: AnyGear, count: int = 1, length: float | None = None) -> Owned:
    ends = (SPLICE, None) if isinstance(gear, Rope) else (None, None)
    return Owned(name=name, gear=gear, count=count, condition=NEW, length=length, ends=ends)


def gear(ropes: int = 2) -> tuple[Owned, ...]:
    rope = Rope(
        id="rope", name="rope", source="made up", material="manila", diameter=0.02, mbs=60_000.0,
        design_factor=5.0, stretch_at_break=0.1, mass_per_metre=0.3, least_bend_ratio=4.0,
    )  # fmt: skip
    block = Block(
        id="block", name="block", source="made up", sheaves=1, opens=True, rope_least=0.008,
        rope_most=0.022, sheave_diameter=0.15, wll=20_000.0, bearing="plain", eta=0.9, length=0.3,
        eye=0.03,
    )  # fmt: skip
    shackle = Shackle(
        id="shackle", name="shackle", source="made up", bow_diameter=0.02, pin_diameter=0.022,
        jaw=0.03, length=0.06, wll=30_000.0,
    )  # fmt: skip
    strap = Strap(
        id="strap", name="strap", source="made up", length=3.0, width=0.06, wll=30_000.0,
        choker_factor=0.8, basket_factor=2.0,
    )  # fmt: skip
    lines = [_piece(f"rope {i + 1}", rope, length=60.0) for i in range(ropes)]
    return (
        *lines,
        _piece("block", block, 2),
        _piece("shackle", shackle, 8),
        _piece("strap", strap, 3),
    )


def path(*slopes: float) -> Site:
    """Legs of the given slopes, rad; trees in line behind the start and beyond the finish, and a
    vehicle beyond those that pulls on ahead."""
    legs: list[Leg] = []
    at: Vec = (0.0, 0.0, 0.0)
    for slope in slopes:
        legs.append(_leg(at, slope))
        at = legs[-1].end
    load = Load(
        name="cart", weight=WEIGHT, wheel_radius=0.3, axle_share=0.6, overhang=0.5, length=2.0,
        hitches=(
            Hitch(name="front", ahead=0.4, left=0.0, height=0.5, rating=30_000.0, eye=0.03),
            Hitch(name="rear", ahead=-1.4, left=0.0, height=0.5, rating=30_000.0, eye=0.03),
        ),
    )  # fmt: skip
    x, _, z = at
    vehicle = Puller(
        name="tractor", kind=PulledBy.VEHICLE, position=(x + 6.0, 0.6, z), height=0.6,
        heading=(1.0, 0.0, 0.0), run=30.0, purchase=None, limit=4000.0, limit_factors=(),
        hitch_rating=20_000.0, hitch_eye=0.03, needs_termination=True, angle_limit=0.5,
        rise_limit=0.9, dynamic=1.2,
    )  # fmt: skip
    return Site(
        title="dip",
        legs=tuple(legs),
        load=load,
        anchors=(tree("behind", -6.0, 0.4, 0.5), tree("ahead", x + 5.0, -0.8, z)),
        obstacles=(),
        pullers=(vehicle,),
        gear=gear(),
        preferences=Preferences(knots=(BOWLINE, TRUNK_KNOT), side_pull_rolling=0.5),
    )


UP, DOWN = radians(15.0), radians(-15.0)


def with_weak_tree(site: Site, name: str, capacity: float) -> Site:
    """The site with one tree of that strength, N·m."""
    anchors = tuple(
        replace(a, strength=replace(a.strength, capacity=capacity)) if a.name == name else a  # type: ignore[type-var]
        for a in site.anchors
    )
    return replace(site, anchors=anchors)


TURN = 2.0 * pi
