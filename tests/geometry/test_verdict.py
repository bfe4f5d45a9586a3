"""One verdict on a state: which fault, where it first comes, by how much, in which words; and a rig
works where there is none."""

from dataclasses import replace
from math import atan2, radians

import numpy as np
import pytest

from catalogue.ground import Motion
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.verdict import HAULING, Failure, Fault
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.site.anchors import RatedAnchor, SharedAnchor, shared_anchor
from optimiser.site.model import AnchorKind, Directions, Site
from optimiser.site.roaming.rooms import Body
from tests.geometry.plain import leg, scene, tree
from tests.geometry.test_works import GOOD, looked_at
from tests.lower.both_looks import both_looks
from tests.search.sites import site as random_site

ASIDE = replace(GOOD, anchors=(tree("oak", (16.0, 5.0, 1.0)),))
DOWN = replace(GOOD, legs=(leg((0.0, 0.0, 1.5), (4.0, 0.0, 0.7)),))
BETWEEN = replace(GOOD, anchors=(*GOOD.anchors, tree("birch", (10.0, 0.1, 0.5))))
STEPPED = replace(GOOD, legs=(replace(GOOD.legs[0], step=0.3),))
BEHIND = replace(GOOD, anchors=(tree("oak", (-8.0, 0.0, 1.0)),))
OFF = replace(GOOD, pullers=(replace(GOOD.pullers[0], position=(19.0, -4.0, 1.0)),))
LOW = replace(GOOD, pullers=(replace(GOOD.pullers[0], position=(16.0, -4.0, -6.0)),))
STEEP = replace(
    GOOD,
    legs=(leg((0.0, 0.0, 0.0), (4.0, 0.0, 3.0)),),
    anchors=(tree("mast", (-1.5, 2.0, 0.0), heights=(30.0,)),),
    preferences=replace(GOOD.preferences, side_pull_rolling=1.0),
    pullers=(
        replace(
            GOOD.pullers[0], position=(-1.5, -40.0, 0.0), rise_limit=1.5, angle_limit=3.0
        ),
    ),
)  # fmt: skip
ICE = replace(
    GOOD,
    pullers=(replace(GOOD.pullers[0], weight=9000.0, driven_weight=6000.0, traction=0.0),),
)  # fmt: skip

PICKETS = replace(
    GOOD,
    anchors=(
        RatedAnchor(
            name="pickets",
            kind=AnchorKind.PICKET_HOLDFAST,
            position=(16.0, 3.0, 1.0),
            heights=(1.0,),
            girth=0.3,
            radius=0.1,
            top=1.2,
            strength=GOOD.anchors[0].strength,
            directions=Directions(up=radians(-10.0), aside=radians(0.5)),
            uses=(("pickets", 3),),
        ),
    ),
    stock=(("pickets", 2),),
)
"""Three where two are owned, for pulls that lead 10 degrees down at least; off to the side, so that the pull
turns by more than a degree as the load comes near."""

OVER = replace(
    PICKETS,
    anchors=tuple(replace(one, position=(16.0, -7.0, 1.0)) for one in PICKETS.anchors),  # type: ignore[type-var]
    pullers=(replace(GOOD.pullers[0], body=Body(length=4.0, width=2.0, run=6.0)),),
)
"""The same where the tractor drives."""

TREES = (tree("elm", (16.0, 2.0, 1.0)), tree("ash", (16.0, 4.0, 1.0)))
TOGETHER = shared_anchor(*TREES)
assert isinstance(TOGETHER, SharedAnchor)
SHARED = replace(
    GOOD,
    anchors=(TOGETHER, *TREES),
    pullers=(replace(GOOD.pullers[0], anchor="elm"),),
)
"""Two trees that share the pull, one of which holds the winch besides."""


def failures(site: Site) -> dict[Fault, Failure]:
    """What fails of the line from the load round the first tree to the puller."""
    return {failure.fault: failure for failure in looked_at(site).verdict.failures(0)}


def test_nothing_fails_of_the_good_one() -> None:
    ev = looked_at(GOOD)
    assert failures(GOOD) == {}
    assert ev.verdict.first(0) is None
    assert ev.works.all()


@pytest.mark.parametrize(
    ("site", "fault", "words"),
    [
        (
            DOWN,
            Fault.RUNS_ON,
            "the load runs downhill by itself: it needs a holding line that bears",
        ),
        (ASIDE, Fault.SLEWS, "the load slews: pulled too far sideways"),
        (BETWEEN, Fault.LINE_BLOCKED, "a line meets"),
        (STEPPED, Fault.STEP, "the load does not get over the step of 0.30 m"),
        (OFF, Fault.OFF_RUN, "the hauling line leads off the puller's run by"),
        (LOW, Fault.OFF_LEVEL, "the hauling line leads up or down against the puller's run by"),
        (ICE, Fault.NO_GRIP, "the puller has no grip"),
    ],
)
def test_each_fault_by_itself(site: Site, fault: Fault, words: str) -> None:
    found = failures(site)
    assert list(found) == [fault]
    assert found[fault].words.startswith(words)
    assert ", first with the load at " in found[fault].text
    assert not looked_at(site).works.all()


@pytest.mark.parametrize(
    ("site", "fault", "words"),
    [
        (PICKETS, Fault.NOT_MADE, "there is not enough to make its anchors of"),
        (SHARED, Fault.SHARED, "two trees that share a pull take one block"),
    ],
)
def test_a_fault_among_others_has_its_words(site: Site, fault: Fault, words: str) -> None:
    assert failures(site)[fault].words.startswith(words)


def test_a_rig_that_pulls_back_cannot_move_the_load() -> None:
    """By as much as it pulls back, less what it takes off the ground: the oak lies 8 m behind."""
    found = failures(BEHIND)
    assert next(iter(found)) is Fault.CANNOT_MOVE
    assert Fault.LIFTS_OFF not in found  # nothing is known of the ground where nothing moves
    ev = looked_at(BEHIND)
    lacking = -(ev.advance + 0.1 * ev.lift)
    assert found[Fault.CANNOT_MOVE].amount == pytest.approx(float(lacking.max()))
    assert 0.8 < found[Fault.CANNOT_MOVE].amount < 0.9  # one part, sheave of 0.9


def test_by_how_much_it_slews() -> None:
    """The oak 5 m aside, both parts towards it from the eye at 4.9 m: 5 over 11.1 at the end."""
    found = failures(ASIDE)[Fault.SLEWS]
    limit = GOOD.preferences.side_pull_rolling
    ev = looked_at(ASIDE)
    assert found.amount == pytest.approx(float(ev.side_pull.max()) - limit)
    assert 5.0 / 11.2 - 0.03 < found.amount + limit < 5.0 / 11.1 + 0.03
    assert (
        f"({found.amount + limit:.2f} sideways for 1 forward, {limit:.2f} is the limit)"
        in found.text
    )


def test_by_how_much_the_line_leads_off_the_run() -> None:
    """The tractor 3 m aside, 4 m away: 3 in 4 at its nearest spot, of which 0.4 rad are allowed."""
    assert failures(OFF)[Fault.OFF_RUN].amount == pytest.approx(atan2(3.0, 4.0) - 0.4)


def test_by_how_much_the_line_rises() -> None:
    found = failures(LOW)[Fault.OFF_LEVEL]
    rise = 2.0 - (-6.0 + GOOD.pullers[0].height)
    assert found.amount == pytest.approx(atan2(rise, 4.0) - 0.4)


def test_by_how_much_it_lifts_off_and_that_is_in_words() -> None:
    ev, found = looked_at(STEEP), failures(STEEP)
    assert list(found) == [Fault.LIFTS_OFF]
    weight, pull = 2000.0 * 0.8, ev.pull[0]
    force = ev.on_load[:, 0] * pull
    ground = weight - (-0.6 * force[0] + 0.8 * force[2])
    assert found[Fault.LIFTS_OFF].amount == pytest.approx(float(-ground.min()))
    assert " by up to " in found[Fault.LIFTS_OFF].words


def test_the_first_place_along_the_path_is_named() -> None:
    """Level, then down: the load runs by itself from the bend on."""
    level = leg((0.0, 0.0, 1.5), (2.0, 0.0, 1.5))
    bent = replace(GOOD, legs=(level, leg((2.0, 0.0, 1.5), (4.0, 0.0, 0.9))))
    found = failures(bent)
    assert list(found) == [Fault.RUNS_ON]
    assert found[Fault.RUNS_ON].at == pytest.approx(2.0)
    assert "first with the load at 2.00 m" in found[Fault.RUNS_ON].text


def test_what_comes_first_along_the_path_is_named_first() -> None:
    """The line leads off the run from the start, the load runs by itself from the bend on."""
    level = leg((0.0, 0.0, 1.5), (2.0, 0.0, 1.5))
    both = replace(OFF, legs=(level, leg((2.0, 0.0, 1.5), (4.0, 0.0, 0.9))))
    assert list(failures(both)) == [Fault.RUNS_ON, Fault.OFF_RUN]
    first = looked_at(both).verdict.first(0)
    assert first is not None
    assert (first.fault, first.at) == (Fault.OFF_RUN, 0.0)


def test_a_load_that_is_kept_does_not_run_by_itself() -> None:
    """A holding line keeps it: what else fails on the way is named, not that."""
    blocked = replace(DOWN, anchors=(*DOWN.anchors, tree("birch", (10.0, 0.1, 0.5))))
    loose = scene(blocked)
    kept = Scene(blocked, loose.stations, loose.attachment, loose.puller, kept=True)
    ev = evaluate(kept, np.array([[0, 1, kept.puller_number]]), np.array([[0.9]]))
    assert (ev.pull == 0.0).all()
    first = ev.verdict.first(0)
    assert first is not None
    assert first.fault is Fault.LINE_BLOCKED


def test_a_slack_line_letting_down_pulls_nobody_aside() -> None:
    """On the level the load rests, whatever the line's way; down the bank it slews."""
    over = replace(GOOD, preferences=replace(GOOD.preferences, side_pull_rolling=0.001))
    level = leg((0.0, 0.0, 0.0), (2.0, 0.0, 0.0))
    bank = leg((2.0, 0.0, 0.0), (5.0, 0.0, 2.0))
    found = scene(replace(over, legs=(level, bank), anchors=(tree("oak", (16.0, 3.0, 6.0)),)))
    rated, _ = both_looks(found, np.array([[0, 1]]), np.empty((1, 0)))
    at = found.stations.at[rated.states.station]
    slews = rated.verdict.fails(Fault.SLEWS)[0]
    assert not slews[at < 2.0 - 1e-9].any()
    assert slews[at > 2.0 + 1e-9].all()
    blocked = rated.verdict.fails(Fault.LINE_BLOCKED)[0]  # low down by the bank's edge
    assert not blocked.all()
    assert (rated.works[0] == ~(slews | blocked)).all()
    assert Fault.RUNS_ON not in rated.faults


def walks_of(found: Scene, many: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Any walks over the places of a scene, sensible or not, with any sheaves."""
    sheaves = int(rng.integers(0, 4))
    places = rng.integers(0, found.puller_number, (many, sheaves + 1))
    ends = np.full((many, 1), found.puller_number)
    return np.concatenate([places, ends], axis=1), rng.uniform(0.7, 0.98, (many, sheaves))


@pytest.mark.parametrize("number", range(12))
def test_it_works_where_there_is_no_fault(number: int) -> None:
    """Any walks on random sites, hauling and letting down."""
    rng = np.random.default_rng(number)
    site = random_site(number)
    for found in scenes(site, lay_stations(site)):
        walks, etas = walks_of(found, 40, rng)
        looks: list[Evaluation] = [evaluate(found, walks, etas)]
        looks += both_looks(found, walks[:, :-1], etas[:, 1:]) if etas.shape[1] else ()
        for ev in looks:
            failing = np.any([ev.verdict.fails(fault) for fault in ev.faults], axis=0)
            assert (ev.works == ~failing).all()
            for fault in ev.faults:
                bad = ev.verdict.fails(fault)
                assert (ev.verdict.amount(fault)[bad] >= 0.0).all()


def test_every_fault_of_a_haul_comes_up() -> None:
    """The sites above show each of them, so that none is a dead word."""
    every = (DOWN, ASIDE, BETWEEN, STEPPED, BEHIND, OFF, LOW, ICE, STEEP, PICKETS, OVER, SHARED)
    assert {fault for site in every for fault in failures(site)} == set(HAULING)


def test_the_limit_that_it_goes_beyond_is_that_of_the_motion() -> None:
    sledge = replace(ASIDE, legs=tuple(replace(x, motion=Motion.SLIDING) for x in ASIDE.legs))
    ev = looked_at(sledge)
    over = ev.verdict.amount(Fault.SLEWS)
    assert over.max() == pytest.approx(ev.side_pull.max() - ASIDE.preferences.side_pull_sliding)
