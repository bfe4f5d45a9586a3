"""What a rig must not do, one thing at a time: from one that works to one that does not."""

from dataclasses import replace

import numpy as np
import pytest

from catalogue.ground import Motion
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.site.model import Hitch, Site
from tests.geometry.plain import LEVEL, SITE, leg, scene, tree

EYE = Hitch(name="eye", ahead=0.9, left=0.0, height=0.5, rating=5000.0)
GOOD = replace(
    SITE,
    legs=(replace(LEVEL, end=(4.0, 0.0, 0.4)),),
    load=replace(SITE.load, hitches=(EYE,)),
    anchors=(tree("oak", (16.0, 0.0, 1.0)),),
    pullers=(
        replace(
            SITE.pullers[0], position=(16.0, -4.0, 1.0), heading=(0.0, -1.0, 0.0), run=6.0,
            angle_limit=0.4, rise_limit=0.4,
        ),
    ),
)  # fmt: skip
"""The line from the load round a block on the oak and straight back along the tractor's run."""


def looked_at(site: Site) -> Evaluation:
    """Standing end on the load, a block on the first tree, the tractor."""
    found = scene(site)
    return evaluate(found, np.array([[0, 1, found.puller_number]]), np.array([[0.9]]))


def works(site: Site) -> bool:
    return bool(looked_at(site).works.all())


def test_the_good_one_works() -> None:
    assert works(GOOD)


def test_pulled_too_far_to_the_side_it_slews() -> None:
    """The oak 5 m aside at a distance of 11 m from the end of the path."""
    aside = replace(GOOD, anchors=(tree("oak", (16.0, 5.0, 1.0)),))
    wide = replace(aside, preferences=replace(aside.preferences, side_pull_rolling=0.6))
    assert not works(aside)
    assert works(wide)


def test_the_limit_of_side_pull_is_that_of_the_motion() -> None:
    sledge = replace(
        GOOD,
        anchors=(tree("oak", (16.0, 5.0, 1.0)),),
        legs=tuple(replace(one, motion=Motion.SLIDING) for one in GOOD.legs),
        preferences=replace(GOOD.preferences, side_pull_rolling=0.1, side_pull_sliding=0.6),
    )
    assert works(sledge)
    other = replace(sledge.preferences, side_pull_rolling=0.6, side_pull_sliding=0.1)
    assert not works(replace(sledge, preferences=other))


def test_a_load_that_would_hang_is_not_hauled() -> None:
    """On 3 : 4, a block 20 m up and a little behind: it pulls up the slope, and off the ground."""
    steep = replace(
        GOOD,
        legs=(leg((0.0, 0.0, 0.0), (4.0, 0.0, 3.0)),),
        anchors=(tree("mast", (-1.5, 2.0, 0.0), heights=(30.0,)),),
        preferences=replace(GOOD.preferences, side_pull_rolling=1.0),
        pullers=(
            replace(GOOD.pullers[0], position=(-1.5, -40.0, 0.0), rise_limit=1.5, angle_limit=3.0),
        ),
    )
    found = looked_at(steep)
    assert (found.advance > 0.0).all()
    assert (found.pull > 0.0).all()
    assert (found.reaction < 0.0).all()
    assert not works(steep)
    before = replace(steep, anchors=(tree("mast", (9.0, 2.0, 0.0), heights=(30.0,)),))
    assert (looked_at(before).reaction > 0.0).all()


def test_a_load_that_runs_downhill_by_itself_is_not_hauled() -> None:
    """1 in 5 down with resistance 0.1; with 0.3 it has to be hauled."""
    down = replace(GOOD, legs=(leg((0.0, 0.0, 1.5), (4.0, 0.0, 0.7)),))
    assert (looked_at(down).pull < 0.0).all()
    assert not works(down)
    held = replace(down, legs=(replace(down.legs[0], resistance=0.3),))
    assert works(held)


def test_a_line_through_a_trunk() -> None:
    between = replace(GOOD, anchors=(*GOOD.anchors, tree("birch", (10.0, 0.1, 0.5))))
    beside = replace(GOOD, anchors=(*GOOD.anchors, tree("birch", (10.0, 1.0, 0.5))))
    assert not works(between)
    assert works(beside)


def test_a_hauling_line_off_the_run() -> None:
    """The tractor 3 m aside of where its line comes from, 4 m away: 37 degrees."""
    aside = replace(GOOD.pullers[0], position=(19.0, -4.0, 1.0))
    assert not works(replace(GOOD, pullers=(aside,)))
    assert works(replace(GOOD, pullers=(replace(aside, angle_limit=0.7),)))


def test_the_pullers_limit_is_that_of_the_line_it_has() -> None:
    """The line comes from the block, not from where the standing end is."""
    steep = replace(GOOD.pullers[0], weight=9000.0, driven_weight=6000.0, traction=0.6)
    found = looked_at(replace(GOOD, pullers=(steep,)))
    own = found.scene.limit_last[1]
    assert found.puller_limit.reshape(-1, len(own))[0].tolist() == own.tolist()


@pytest.mark.parametrize(("share", "rest"), [(1.0, 0.0), (0.6, 0.4)])
def test_over_a_step_the_climbing_axle_and_what_still_rolls(share: float, rest: float) -> None:
    """At the step: the axle's share over the edge, and the rest of the load as on the way."""
    stepped = replace(
        GOOD,
        legs=(replace(GOOD.legs[0], step=0.05),),
        load=replace(GOOD.load, axle_share=share),
    )
    plain, found = looked_at(GOOD), looked_at(stepped)
    spots = len(found.scene.spots)
    rolling, climbing = plain.pull[0, :spots], found.pull[0, :spots]
    st = found.scene.stations
    rise, run = 0.2, (2 * 0.25 * 0.05 - 0.05**2) ** 0.5
    needed = share * 2000.0 * (st.slope_sin[0] * rise + st.slope_cos[0] * run)
    over = needed / (found.advance[0, :spots] * rise + found.lift[0, :spots] * run)
    assert climbing.tolist() == pytest.approx((over + rest * rolling).tolist())
    assert (climbing > rolling).all()
    assert found.pull[0, spots:].tolist() == plain.pull[0, spots:].tolist()


def test_what_bends_a_tree_is_level_pull_times_lever() -> None:
    """Level part of all that is hung on it, from either side, times the strap's height and 0.3 m."""
    found = looked_at(GOOD)
    force = found.node_force[1, :, 0] * found.pull[0]
    level = np.hypot(force[0], force[1])
    uses, demand = found.anchor_demand[0]
    assert uses.all()
    assert demand[0].tolist() == pytest.approx((1.3 * level).tolist())
    assert (np.abs(force[1]) > 0.5 * level).all()  # the tractor pulls across the path
