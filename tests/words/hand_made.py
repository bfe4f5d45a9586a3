"""A small job made by hand: a trailer up a straight bank, the rope rove to advantage over one tree.

The load goes 10 m along x, up a slope of 3 in 10. `ash` stands ahead of it, `oak` to the left, the
winch hangs on `oak`. Three parts of line pull on the load: the standing end, and two at its block.
"""

from dataclasses import replace
from math import atan2, hypot

from catalogue.gear import Block, Condition, MadeTo, Needs, Rope, Shackle, Strap, Termination
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.resting import Rest
from optimiser.mechanics.values import AnchorStrength, Factor
from optimiser.rig.setup import Change, Component, Hung, Miss, Ranking, Role, Setup, StationRow
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.anchors import Tree
from optimiser.site.counts import USUAL
from optimiser.site.model import Hitch, Leg, Load, Owned, Preferences, Puller, Site

SOUND = Condition(id="sound", name="sound", source="choice", keeps=1.0)
BOWLINE = Termination(
    id="bowline",
    name="bowline",
    source="knot-tables",
    keeps=0.6,
    eats_diameters=40.0,
    eats=0.0,
    made_to=frozenset({MadeTo.EYE, MadeTo.SHACKLE, MadeTo.BAR, MadeTo.HOOK}),
    needs=Needs.FREE_END,
    turns=1.0,
)
NYLON = Owned(
    name="long rope",
    gear=Rope(
        id="nylon-12",
        name="nylon 12 mm",
        source="rope-table-3strand",
        material="nylon",
        diameter=0.012,
        mbs=25_000.0,
        design_factor=5.0,
        stretch_at_break=0.30,
        mass_per_metre=0.09,
        least_bend_ratio=4.0,
    ),
    count=1,
    condition=SOUND,
    length=50.0,
)


def tree(name: str, x: float, y: float, z: float = 3.0, diameter: float = 0.4) -> Tree:
    return Tree(
        name=name,
        position=(x, y, z),
        diameter=diameter,
        species="ash",
        heights=(0.2, 0.4, 0.8),
        strength=AnchorStrength(
            capacity=12_000.0,
            unit="N·m",
            factors=(Factor(name="diameter over bark", value=diameter, unit="m", source="site"),),
            governs="roots",
        ),
        top=15.0,
    )


WINCH = Puller(
    name="winch",
    kind=PulledBy.HAND_WINCH,
    position=(14.0, 6.0, 3.0),
    height=0.4,
    heading=(1.0, 0.0, 0.0),
    run=0.0,
    purchase=10.0,
    limit=8_000.0,
    limit_factors=(),
    hitch_rating=8_000.0,
    hitch_eye=None,
    needs_termination=True,
    anchor="oak",
)

SITE = Site(
    title="trailer up the bank",
    legs=(
        Leg(
            start=(0.0, 0.0, 0.0),
            end=(10.0, 0.0, 3.0),
            surface="meadow",
            motion=Motion.ROLLING,
            resistance=0.1,
            resistance_low=0.05,
        ),
    ),
    load=Load(
        name="trailer",
        weight=2_500.0,
        wheel_radius=0.3,
        axle_share=1.0,
        overhang=0.5,
        length=2.0,
        hitches=(Hitch(name="drawbar", ahead=0.5, left=0.0, height=0.4, rating=10_000.0),),
    ),
    anchors=(tree("ash", 14.0, 0.0), tree("oak", 14.0, 6.0)),
    obstacles=(),
    pullers=(WINCH,),
    gear=(
        NYLON,
        Owned(
            name="green strap",
            gear=Strap(
                id="strap-2m",
                name="strap 2 m",
                source="memory",
                length=2.0,
                width=0.05,
                wll=20_000.0,
                choker_factor=0.8,
                basket_factor=2.0,
            ),
            count=2,
            condition=SOUND,
        ),
        Owned(
            name="big shackle",
            gear=Shackle(
                id="shackle-13",
                name="shackle 13 mm",
                source="rr-c-271",
                bow_diameter=0.013,
                pin_diameter=0.016,
                jaw=0.02,
                length=0.05,
                wll=20_000.0,
            ),
            count=4,
            condition=SOUND,
        ),
        Owned(
            name="red block",
            gear=Block(
                id="block-75",
                name="snatch block 75 mm",
                source="memory",
                sheaves=1,
                opens=True,
                rope_least=0.010,
                rope_most=0.013,
                sheave_diameter=0.075,
                wll=10_000.0,
                bearing="bushed",
                eta=0.9,
                length=0.2,
                eye=0.02,
            ),
            count=2,
            condition=SOUND,
        ),
    ),
    preferences=Preferences(knots=(BOWLINE,)),
)

ASH = Place(PlaceKind.ANCHOR, "ash", 0.4)
PULLER = Place(PlaceKind.PULLER, "winch")
WALK = (LOAD, ASH, LOAD, PULLER)

_SLOPE = atan2(3.0, 10.0)
_LENGTH = hypot(10.0, 3.0)


def row(at: float, pull: float, runs_back: float = 600.0) -> StationRow:
    return StationRow(
        at=at,
        slope=_SLOPE,
        surface="meadow",
        pull=pull,
        ground_reaction=2_300.0,
        side_pull=0.05,
        advantage=2.5,
        ideal_advantage=2.9,
        runs_back=runs_back,
        rest=Rest.RUNS if runs_back > 0.0 else Rest.RESTS,
    )


SETUP = Setup(
    rank=1,
    walk=WALK,
    from_m=0.0,
    to_m=_LENGTH,
    rope=NYLON,
    attachment="drawbar",
    puller=WINCH,
    etas=(0.9, 0.9),
    parts=3,
    ideal_advantage=2.9,
    actual_advantage=2.5,
    pull=420.0,
    pull_at=_LENGTH,
    margin=3.149,
    weakest="standing end",
    unrated=(),
    rope_needed=43.219,
    rope_owned=50.0,
    hauled=30.276,
    strokes=4,
    resets=3,
    gear=(
        Hung(place="load", role=Role.END, item="long rope", how="bowline", nodes=(0,)),
        Hung(place="ash@0.4 m", role=Role.STRAP, item="green strap", how="basket", nodes=(1,)),
        Hung(place="ash@0.4 m", role=Role.SHACKLE, item="big shackle", how="", nodes=(1,)),
        Hung(place="ash@0.4 m", role=Role.BLOCK, item="red block", how="", nodes=(1,)),
        Hung(place="load", role=Role.BLOCK, item="red block", how="", nodes=(2,)),
        Hung(place="winch", role=Role.SHACKLE, item="big shackle", how="", nodes=(-1,)),
        Hung(place="winch", role=Role.END, item="long rope", how="bowline", nodes=(3,)),
    ),
    components=(
        Component(
            role=Role.BLOCK,
            name="block at ash",
            item="red block",
            place="ash@0.4 m",
            demand=760.0,
            at=_LENGTH,
            capacity=10_000.0,
            unit="N",
            factors=(Factor(name="WLL", value=10_000.0, unit="N", source="memory"),),
        ),
        Component(
            role=Role.END,
            name="standing end",
            item="bowline in long rope",
            place="load",
            demand=952.0,
            at=_LENGTH,
            capacity=3_000.0,
            unit="N",
            factors=(
                Factor(name="breaking strength", value=25_000.0, unit="N", source="ci-1308"),
                Factor(name="design factor", value=5.0, unit="", source="ci-1401"),
                Factor(name="bowline", value=0.6, unit="", source="knot-tables"),
            ),
        ),
    ),
    profile=tuple(row(_LENGTH * i / 42, 400.0 + 20.0 * i / 42) for i in range(43)),
    cautions=(),
    stops=(10 / 2.9, 20 / 2.9, 30 / 2.9),
)

MISS = Miss(
    walk=(LOAD, PULLER),
    limit="puller",
    text="the winch pulls 8.00 kN, it would take 9.60 kN",
    short_by=1.2,
    change=Change(text="a puller of 9.60 kN", amount=1_600.0, unit="N"),
)

RANKING = Ranking(
    setups=(SETUP, replace(SETUP, rank=2, walk=(ASH, LOAD, PULLER), parts=2)),
    proven=True,
    order=USUAL,
    rules=("one-height", "no-tail"),
    space=1_234,
    looked_at=1_234,
    confirmed=1_234,
)

NOTHING = replace(RANKING, setups=(), misses=(MISS,))
