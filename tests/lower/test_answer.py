"""The answer as a whole: against plain enumeration, and the laws it has to keep."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import exp, inf, pi

import numpy as np
import pytest

from catalogue.pullers import PulledBy
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.hold_job import ORDER
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.jobs.lower.zones import held_stretch
from optimiser.jobs.question import LowerQuestion
from optimiser.proof.notes import VerificationError
from optimiser.proof.way_down import verify_way_down
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.holders import hand, hand_limit
from optimiser.rig.gear import assign
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import Role
from optimiser.search.rules import same_setup
from optimiser.site.model import Leg, Site
from shared.sources import load_sources
from tests.lower.bank import PEOPLE, bank, rope, tree


def plain_walks(scene: Scene, sheaves: int) -> Iterator[tuple[int, ...]]:
    """Every walk by the rules as they are printed, place by place, whatever it is worth."""
    anchors = range(1, len(scene.places) - 1)

    def grown(walk: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(walk) > sheaves + 2:
            return
        if len(walk) >= 2 and 0 in walk:
            standing, after = walk[-1], walk[-2]
            if standing == 0 or after == 0:
                yield tuple(reversed(walk))
        for place in (0, *anchors):
            one_height = place and walk[-1] and scene.anchor_of[place] == scene.anchor_of[walk[-1]]
            if place != walk[-1] and not one_height and not _three(walk, place):
                yield from grown((*walk, place))

    for end in anchors:
        yield from grown((end,))


def _three(walk: tuple[int, ...], place: int) -> bool:
    """Whether the place would be a third anchor in a row, the one that holds not counted."""
    run = 0
    for number in reversed(walk[1:]):
        if number == 0:
            break
        run += 1
    return place != 0 and run >= 2


def oracle(site: Site, sheaves: int) -> list[tuple[float, ...]]:
    """Sort keys of the best of every setup, best first, by trying everything."""
    limit = hand_limit(site.preferences, None)
    order = Order(ORDER, site.preferences.enough)
    kit = kit_of(site)
    best: dict[tuple[object, ...], tuple[float, ...]] = {}
    for attachment in attachments(site):
        scene = Scene(site, lay_stations(site), attachment, hand(site))
        stretch = held_stretch(scene)
        assert stretch is not None
        scene = scene.with_stations(scene.stations.pick(stretch))
        for walk in plain_walks(scene, sheaves):
            numbers = np.array([walk])
            ev = evaluate(scene, numbers, np.full((1, len(walk) - 2), 0.9), Duty.LOWER)
            if not ev.works.all() or _backward(scene, walk):
                continue
            for variant in let_down_variants(RigRow(ev, 0), kit, limit):
                filled = assign.best([variant], order, floor_margin=site.preferences.margin_wanted)
                if filled is not None:
                    key = order.sortable(Key.of(variant, filled.margin))
                    name = (*same_setup(scene.walk(walk)), scene.puller.name)
                    best[name] = min(best.get(name, (inf,)), key)
    return sorted(best.values())


def _backward(scene: Scene, walk: tuple[int, ...]) -> bool:
    others = [b if a == 0 else a for a, b in pairwise(walk) if 0 in (a, b)]
    return any((scene.forward[other] <= 0.0).any() for other in others)


@pytest.mark.parametrize(
    "site",
    [bank(), bank(weight=9_000.0), bank(weight=14_000.0, slope=0.45), bank(rope_length=25.0)],
)
def test_list_is_that_of_plain_enumeration(site: Site) -> None:
    answer = lower(site, LowerQuestion(top=8, most_sheaves=2))

    found = [_key(setup, site) for setup in answer.setups]
    assert answer.proven
    assert found == oracle(site, 2)[:8]


def _key(setup: LoweringSetup, site: Site) -> tuple[float, ...]:
    order = Order(ORDER, site.preferences.enough)
    comfort = hand_limit(site.preferences, None).comfort
    force = max(setup.hand, comfort)
    key = Key(setup.margin, setup.resets, setup.rope_needed, setup.parts, force)
    return order.sortable(key)


def test_more_parts_than_one_hold_a_heavy_trolley() -> None:
    """By hand: 10 kN on 0.45 rad runs with 10 (0.4350 - 0.5 x 0.02 x 0.9004) = 4.26 kN; two turns of
    friction 0.2 on 150 N hold 1.85 kN: no one or two parts are enough, three are."""
    site = bank(weight=10_000.0, slope=0.45)

    answer = lower(site)

    assert answer.zones[0].force == pytest.approx(4259.6, abs=1.0)
    assert exp(0.2 * 4.0 * pi) * 150.0 * 2 < 4170.0
    assert {setup.parts for setup in answer} == {3}
    assert answer[0].hand <= 150.0
    assert answer[0].line == pytest.approx(answer[0].hand * exp(0.2 * 4.0 * pi))


def test_the_held_end_bears_the_part_it_is_in_and_no_more() -> None:
    """From the ash to a block on the trolley and back to a winch that pays out: the standing part is up to
    1 / 0.9 tighter than the one that is held. The knot at the winch bears the held part."""
    site = bank(weight=6_000.0)
    winch = replace(
        PEOPLE, name="winch", kind=PulledBy.HAND_WINCH, position=site.anchors[0].position, height=0.5,
        run=0.0, purchase=3.0, limit=20_000.0, anchor="ash", needs_termination=True, dynamic=1.0,
    )  # fmt: skip
    site = replace(site, pullers=(winch,))
    every = lower(site, LowerQuestion(top=12, most_sheaves=1))
    setup = next(s for s in every if s.walk[0].name == "ash" and s.holder is not None)
    knots = {part.place: part.demand for part in setup.components if part.role is Role.END}

    assert knots["winch"] == pytest.approx(setup.line, rel=1e-12)
    assert knots["ash@0.4 m"] > 1.01 * setup.line


def staged_bank() -> Site:
    """The bank with a birch half way up beside the path, and a rope too short for all of it."""
    site = bank(rope_length=16.0)
    return replace(site, anchors=(*site.anchors, tree("birch", 7.5, 1.3, 2.3)))


def test_count_of_walks_is_that_of_plain_enumeration() -> None:
    site = bank()
    scene = Scene(site, lay_stations(site), attachments(site)[0], hand(site))
    clear = [
        walk
        for walk in plain_walks(scene, 2)
        if all(
            scene.clear_from_load[a or b].all() if 0 in (a, b) else scene.clear[a, b]
            for a, b in pairwise(walk)
        )
    ]

    assert lower(site, LowerQuestion(most_sheaves=2)).space == len(clear) > 0


def test_every_setup_passes_the_plain_check() -> None:
    for site in (bank(), bank(weight=12_000.0), staged_bank()):
        answer = lower(site)
        for setup in (*answer.setups, *answer.stages):
            verify_way_down(site, setup)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"hand": 1.0}, "hand: "),
        ({"line": 10.0}, "line: "),
        ({"rope_needed": 3.0}, "rope needed: "),
        ({"margin": 9.9}, "margin: "),
        ({"etas": (0.5,)}, "efficiency: "),
    ],
)
def test_plain_check_finds_a_wrong_answer(change: dict[str, object], word: str) -> None:
    site = bank()
    setup = next(s for s in lower(site) if len(s.etas) == 1)

    with pytest.raises(VerificationError) as found:
        verify_way_down(site, replace(setup, **change))  # type: ignore[arg-type]

    assert any(word in fault for fault in found.value.found)


def test_plain_check_finds_a_trunk_in_the_way() -> None:
    site = bank()
    setup = lower(site)[0]
    x, _, z = site.anchors[0].position
    between = tree("thicket", x - 1.0, 0.4, z, diameter=1.2)
    changed = replace(site, anchors=(*site.anchors, between))

    with pytest.raises(VerificationError, match="meets a post"):
        verify_way_down(changed, setup)


def test_short_rope_makes_stages_that_join() -> None:
    answer = lower(staged_bank())

    assert not answer.setups
    assert answer.feasible
    assert len(answer.stages) == 2
    assert answer.stages[0].from_m == pytest.approx(answer.from_m)
    assert answer.stages[-1].to_m == pytest.approx(0.0)
    for one, other in pairwise(answer.stages):
        assert other.from_m == pytest.approx(one.to_m)
    assert all(stage.rope_needed <= 16.0 for stage in answer.stages)


def test_rope_that_ends_half_way_is_reported_with_the_place() -> None:
    """Both trees stand above: 14 m of rope less 1 m to spare, 1 m of knot and a turn of 1.26 m reach
    about 10.7 m, that is 6 m down the way."""
    answer = lower(bank(rope_length=14.0))

    assert not answer.feasible
    assert answer.stuck_at == pytest.approx(4.0, abs=0.5)


def test_a_rope_too_short_for_any_tree_is_reported_as_such() -> None:
    answer = lower(bank(rope_length=5.0))

    assert not answer.feasible
    assert answer.stuck_at == pytest.approx(answer.from_m)
    assert "too short" in answer.reasons[0]


def test_a_hand_that_may_do_too_little_is_reported_as_such() -> None:
    answer = lower(bank(weight=20_000.0, slope=0.5), LowerQuestion(hold=20.0))

    assert not answer.feasible
    assert "hand would have to hold" in answer.reasons[0]


def test_lines_that_all_pull_aside_are_reported_as_such_with_how_far() -> None:
    """Both trees stand beside the path: whichever is taken, the trolley slews."""
    site = bank()
    tight = replace(site.preferences, side_pull_rolling=0.01)
    answer = lower(replace(site, preferences=tight))

    assert not answer.feasible
    assert "the load slews: pulled too far sideways (0." in answer.reasons[0]
    assert "sideways for 1 forward, 0.01 is the limit)" in answer.reasons[0]


def test_nothing_to_turn_round_is_reported_as_such() -> None:
    site = replace(bank(), anchors=())

    answer = lower(site)

    assert not answer.feasible
    assert "no tree or post" in answer.reasons[0]


@pytest.mark.parametrize(("diameter", "held"), [(0.049, True), (0.047, False)])
def test_no_turns_round_what_is_too_thin_for_the_rope(diameter: float, held: bool) -> None:
    """A rope of 12 mm that may bend no tighter than four times its thickness goes round 48 mm."""
    thin = tuple(tree(a.name, *a.position, diameter=diameter) for a in bank(weight=500.0).anchors)
    answer = lower(replace(bank(weight=500.0), anchors=thin))

    assert answer.feasible is held


def test_load_that_rests_all_the_way_needs_no_hold() -> None:
    """Slope 0.1, least resistance 0.21: tan 0.1 is less than half of that, it rests, and is pushed with
    4000 (0.3 cos 0.1 - sin 0.1) = 795 N."""
    answer = lower(bank(slope=0.1, low=0.21, likely=0.3))

    assert not answer.needs_hold
    assert answer.feasible
    assert [zone.kind for zone in answer.zones] == ["rests"]
    assert answer.zones[0].push == pytest.approx(794.7, abs=0.5)


def test_zones_state_where_it_runs_rests_and_has_to_climb() -> None:
    site = bank(slope=0.3)
    top = site.legs[0].end
    flat = replace(site.legs[0], start=top, end=(top[0] + 4.0, 0.0, top[2]))
    dip = replace(site.legs[0], start=flat.end, end=(flat.end[0] + 3.0, 0.0, flat.end[2] - 0.5))

    answer = lower(replace(site, legs=(site.legs[0], flat, dip)))

    assert [zone.kind for zone in answer.zones] == ["climbs", "rests", "runs"]
    assert answer.zones[0].from_m == pytest.approx(answer.from_m)
    assert answer.zones[-1].to_m == 0.0


def test_only_the_stretch_that_runs_has_to_be_held() -> None:
    site = bank(slope=0.3, rope_length=60.0)
    start = site.legs[0].start
    meadow: Leg = replace(site.legs[0], start=(-6.0, 0.0, 0.0), end=start)

    setup = lower(replace(site, legs=(meadow, site.legs[0])))[0]

    assert setup.to_m == pytest.approx(6.0, abs=0.3)
    assert setup.from_m == pytest.approx(16.0)


@pytest.mark.parametrize("weight", [3_000.0, 5_000.0, 8_000.0])
def test_heavier_never_gets_easier(weight: float) -> None:
    light, heavy = lower(bank(weight=weight))[0], lower(bank(weight=weight * 1.2))[0]

    assert _key(light, bank()) <= _key(heavy, bank())


def test_more_gear_never_makes_the_best_worse() -> None:
    site = bank(weight=9_000.0)
    richer = replace(site, gear=(*site.gear, rope(90.0, name="second rope")))

    assert _key(lower(richer)[0], site) <= _key(lower(site)[0], site)


def test_more_help_from_the_ground_is_not_counted_above_its_lowest() -> None:
    """The likely resistance changes the push, not the hold."""
    one, other = lower(bank(likely=0.05))[0], lower(bank(likely=0.15))[0]

    assert one.line == other.line
    assert one.margin == other.margin


def test_synthetic_rope_never_gets_more_than_two_turns() -> None:
    assert all(s.turns in (1, 2) for s in lower(bank(weight=9_000.0)))


def test_natural_rope_holds_more_by_its_turns() -> None:
    weight = 9_000.0
    manila, polyester = (lower(bank(weight=weight, material=m))[0] for m in ("manila", "polyester"))

    assert manila.ratio > polyester.ratio or manila.turns < polyester.turns


def test_rope_that_is_let_out_and_heat_follow_from_the_geometry() -> None:
    """Straight to the trunk: what is let out is the way the load goes, less what the angle takes."""
    setup = next(s for s in lower(bank(weight=1_500.0)) if s.parts == 1)

    assert setup.paid_out == pytest.approx(10.0, abs=0.3)
    mean = sum(row.line for row in setup.profile) / len(setup.profile)
    assert setup.heat == pytest.approx(mean * setup.paid_out, rel=0.05)


def test_cautions_of_every_hold_and_their_sources() -> None:
    setup = lower(bank())[0]
    keys = {caution.key for caution in setup.cautions}

    assert {"runaway", "unload", "hand", "gloves", "heat", "bark", "always_a_turn"} <= keys
    assert {caution.source for caution in setup.cautions} <= set(load_sources())
    assert "melts at about 240" in next(c.text for c in setup.cautions if c.key == "heat")


def test_unrated_tree_is_listed_last_and_reported_to_be_unproven() -> None:
    site = bank()
    loose = replace(site.anchors[1], strength=replace(site.anchors[1].strength, capacity=None))  # type: ignore[type-var]
    answer = lower(replace(site, anchors=(site.anchors[0], loose)), LowerQuestion(top=6))

    unrated = [bool(setup.unrated) for setup in answer.setups]
    assert unrated == sorted(unrated)
    assert unrated[0] is False
    assert unrated[-1] is True


def test_hold_must_be_a_force() -> None:
    with pytest.raises(ValueError, match="positive"):
        lower(bank(), LowerQuestion(hold=0.0))


def test_a_stage_goes_as_far_as_the_rope_to_the_centimetre() -> None:
    """Straight from the load to the trunk a metre of path takes no more than a metre of rope: where the rope
    is what ends the stage, less than a centimetre and its rounding is left of it."""
    (stage,) = lower(bank(rope_length=14.0)).stages

    assert 14.0 - 0.0101 < stage.rope_needed <= 14.0


def benched_bank(rope_length: float) -> Site:
    """Two slopes of 6 m with a bench of 4 m between them, from 6 to 10 m of the path; a tree above each."""
    site = bank(slope=0.3, length=6.0, rope_length=rope_length)
    lower_leg = site.legs[0]
    (x, y, z), rise = lower_leg.end, lower_leg.end[2]
    bench = replace(lower_leg, start=lower_leg.end, end=(x + 4.0, y, z))
    top = (2.0 * x + 4.0, y, z + rise)
    upper_leg = replace(lower_leg, start=bench.end, end=top)
    trees = (tree("ash", top[0] + 4.0, 0.8, top[2]), tree("birch", x + 5.0, 1.4, z + 0.3))
    return replace(site, legs=(lower_leg, bench, upper_leg), anchors=trees)


def test_a_stage_rather_ends_where_the_load_rests() -> None:
    """The rope would reach down to the lower slope, where the load would have to be chocked."""
    upper, last = lower(benched_bank(20.0)).stages

    assert upper.rope_needed < 19.0
    assert 6.0 <= upper.to_m <= 10.0
    assert last.from_m == upper.to_m
