"""The re-check of a setup: right ones pass, and every way of being wrong is reported."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from catalogue.gear import Block, Rope, Shackle, Strap
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.setup import Component, Hung, Setup
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Obstacle, Owned, Site
from tests.generated import Recipe
from tests.long import cases
from tests.proof.rigs import BRIDLED, DOUBLE, PLAIN, WINCH, WIRE, found

Tampered = tuple[Site, Setup]


@pytest.mark.parametrize("recipe", [PLAIN, DOUBLE, BRIDLED, WIRE, WINCH])
@pytest.mark.parametrize("number", cases([1, 2, 3], quick=[1]))
def test_right_setups_pass(recipe: Recipe, number: int) -> None:
    site, setups = found(recipe, number)
    assert setups
    for setup in setups:
        verify(site, setup)


# ---- ways of being wrong: each takes a right site and setup and spoils one thing ----------------


def _piece(setup: Setup, role: str) -> Hung:
    return next(h for h in setup.gear if h.role == role)


def _hung(setup: Setup, old: Hung, new: Hung) -> Setup:
    return replace(setup, gear=tuple(new if h == old else h for h in setup.gear))


def _owned(site: Site, name: str, change: Callable[[Owned], Owned]) -> Site:
    return replace(site, gear=tuple(change(p) if p.name == name else p for p in site.gear))


def _gear(site: Site, name: str, **changes: Any) -> Site:
    return _owned(site, name, lambda p: replace(p, gear=replace(p.gear, **changes)))


def _component(setup: Setup, change: Callable[[Component], Component], item: str) -> Setup:
    parts = tuple(change(c) if c.item == item else c for c in setup.components)
    return replace(setup, components=parts)


def margin_too_high(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, margin=setup.margin * 1.0001)


def margin_too_low(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, margin=setup.margin * 0.999)


def pull_too_low(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, pull=setup.pull * 0.999)


def pull_elsewhere(site: Site, setup: Setup) -> Tampered:
    other = setup.from_m if setup.pull_at > setup.from_m + 0.1 else setup.to_m
    return site, replace(setup, pull_at=other)


def weakest_misnamed(site: Site, setup: Setup) -> Tampered:
    strongest = max(setup.components, key=lambda c: c.margin)
    return site, replace(setup, weakest=strongest.name)


def strap_weaker_than_stated(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "strap").item
    piece = next(p for p in site.gear if p.name == name)
    assert piece.gear.wll is not None
    return _gear(site, name, wll=piece.gear.wll * 0.9), setup


def strap_too_short(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "strap").item, length=0.5), setup


def strap_left_out(site: Site, setup: Setup) -> Tampered:
    strap = _piece(setup, "strap")
    return site, replace(setup, gear=tuple(h for h in setup.gear if h != strap))


def another_hitch_of_the_strap(site: Site, setup: Setup) -> Tampered:
    strap = _piece(setup, "strap")
    other = "choker" if strap.how == "basket" else "basket"
    return site, _hung(setup, strap, replace(strap, how=other))


def one_shackle_fewer_owned(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "shackle").item
    used = sum(h.item == name for h in setup.gear)
    return _owned(site, name, lambda p: replace(p, count=used - 1)), setup


def shackle_left_out(site: Site, setup: Setup) -> Tampered:
    shackle = _piece(setup, "shackle")
    return site, replace(setup, gear=tuple(h for h in setup.gear if h != shackle))


def shackle_that_holds_nothing(site: Site, setup: Setup) -> Tampered:
    shackle = _piece(setup, "shackle")
    idle = replace(shackle, nodes=(77,))
    return site, replace(setup, gear=(*setup.gear, idle))


def pin_too_thick(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "shackle").item, pin_diameter=0.05), setup


def shackle_as_block(site: Site, setup: Setup) -> Tampered:
    block, shackle = _piece(setup, "block"), _piece(setup, "shackle")
    return site, _hung(setup, block, replace(block, item=shackle.item))


def block_not_owned(site: Site, setup: Setup) -> Tampered:
    block = _piece(setup, "block")
    return site, _hung(setup, block, replace(block, item="a borrowed block"))


def block_too_small_for_the_rope(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "block").item, rope_most=0.008), setup


def sheave_too_small_for_the_rope(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "block").item, sheave_diameter=0.02), setup


def block_of_another_efficiency(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "block").item, eta=0.8), setup


def efficiency_better_than_owned(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, etas=(0.99, *setup.etas[1:]))


def one_turn_without_a_sheave(site: Site, setup: Setup) -> Tampered:
    block = _piece(setup, "block")
    return site, replace(setup, gear=tuple(h for h in setup.gear if h != block))


def block_too_long_for_the_room(site: Site, setup: Setup) -> Tampered:
    return _gear(site, _piece(setup, "block").item, length=40.0), setup


def rope_too_short(site: Site, setup: Setup) -> Tampered:
    short = replace(setup.rope, length=setup.rope_needed - 0.01)
    return _owned(site, short.name, lambda _: short), replace(setup, rope=short)


def another_rope_than_owned(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, rope=replace(setup.rope, length=500.0), rope_owned=500.0)


def less_rope_than_needed(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, rope_needed=setup.rope_needed - 0.5)


def rope_weaker(site: Site, setup: Setup) -> Tampered:
    assert isinstance(setup.rope.gear, Rope)
    weak = replace(setup.rope, gear=replace(setup.rope.gear, mbs=1_000.0))
    return _owned(site, weak.name, lambda _: weak), replace(setup, rope=weak)


def a_knot_nobody_ties(site: Site, setup: Setup) -> Tampered:
    end = next(h for h in setup.gear if h.role in ("end", "tie"))
    return site, _hung(setup, end, replace(end, how="granny"))


def parts_miscounted(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, parts=setup.parts - 1)


def ideal_advantage_by_parts(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, ideal_advantage=float(setup.parts))


def advantage_without_friction(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, actual_advantage=setup.ideal_advantage)


def one_reset_fewer(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, resets=setup.resets - 1, strokes=setup.strokes - 1)


def resets_that_are_not_strokes_less_one(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, resets=setup.resets - 1)


def hauled_by_part_count(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, hauled=setup.parts * (setup.to_m - setup.from_m))


def anchor_moved(site: Site, setup: Setup) -> Tampered:
    name = next(p.name for p in setup.walk if p.kind is PlaceKind.ANCHOR)
    anchors = []
    for a in site.anchors:
        x, y, z = a.position
        moved = replace(a, position=(x + 0.3, y, z)) if a.name == name else a  # type: ignore[type-var]
        anchors.append(moved)
    return replace(site, anchors=tuple(anchors)), setup


def strap_where_none_may_go(site: Site, setup: Setup) -> Tampered:
    high = tuple(
        Place(PlaceKind.ANCHOR, p.name, p.height + 3.0) if p.kind is PlaceKind.ANCHOR else p
        for p in setup.walk
    )
    return site, replace(setup, walk=high)


def tree_half_as_strong(site: Site, setup: Setup) -> Tampered:
    anchors = tuple(
        replace(a, strength=replace(a.strength, capacity=(a.strength.capacity or 0.0) / 2))  # type: ignore[type-var]
        for a in site.anchors
    )
    return replace(site, anchors=anchors), setup


def hitch_weaker(site: Site, setup: Setup) -> Tampered:
    hitches = tuple(replace(h, rating=100.0) for h in site.load.hitches)
    return replace(site, load=replace(site.load, hitches=hitches)), setup


def load_heavier(site: Site, setup: Setup) -> Tampered:
    return replace(site, load=replace(site.load, weight=site.load.weight * 1.01)), setup


def ground_rougher(site: Site, setup: Setup) -> Tampered:
    legs = tuple(replace(leg, resistance=leg.resistance + 0.01) for leg in site.legs)
    return replace(site, legs=legs), setup


def post_in_the_way(site: Site, setup: Setup) -> Tampered:
    anchor = site.anchor(next(p.name for p in setup.walk if p.kind is PlaceKind.ANCHOR))
    start = site.legs[0].start
    x, y, z = ((a + b) / 2 for a, b in zip(start, anchor.position, strict=True))
    post = Obstacle(name="post", position=(x, y, z - 5.0), radius=0.4, top=20.0)
    return replace(site, obstacles=(post,)), setup


def crest_without_a_roller(site: Site, setup: Setup) -> Tampered:
    """The line would have to stay a metre above ground."""
    legs = tuple(replace(leg, edge_protected=False) for leg in site.legs)
    high = replace(site.preferences, clearance=2.0)
    return replace(site, legs=legs, preferences=high), setup


def side_pull_not_allowed(site: Site, setup: Setup) -> Tampered:
    return replace(site, preferences=replace(site.preferences, side_pull_rolling=1e-4)), setup


def puller_cannot(site: Site, setup: Setup) -> Tampered:
    weak = replace(setup.puller, limit=setup.pull * 0.9)
    pullers = tuple(weak if p == setup.puller else p for p in site.pullers)
    return replace(site, pullers=pullers), replace(setup, puller=weak)


def puller_of_another_site(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, puller=replace(setup.puller, limit=1e6))


def line_off_the_pullers_run(site: Site, setup: Setup) -> Tampered:
    stiff = replace(setup.puller, angle_limit=1e-3)
    pullers = tuple(stiff if p == setup.puller else p for p in site.pullers)
    return replace(site, pullers=pullers), replace(setup, puller=stiff)


def unrated_piece_not_named(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "shackle").item
    return _owned(site, name, lambda p: replace(p, unrated=True)), setup


def unrated_piece_made_up(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, unrated=("the old shackle",))


def component_left_out(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, components=setup.components[:-1])


def component_twice(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, components=(*setup.components, setup.components[-1]))


def demand_too_low(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "block").item
    return site, _component(setup, lambda c: replace(c, demand=c.demand * 0.99), name)


def capacity_too_high(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "block").item
    return site, _component(setup, lambda c: replace(c, capacity=(c.capacity or 0.0) * 2.0), name)


def worst_load_elsewhere(site: Site, setup: Setup) -> Tampered:
    name = _piece(setup, "block").item
    return site, _component(setup, lambda c: replace(c, at=setup.to_m - c.at - 0.123), name)


def row_with_a_lighter_ground(site: Site, setup: Setup) -> Tampered:
    row = replace(setup.profile[3], ground_reaction=setup.profile[3].ground_reaction * 0.9)
    return site, replace(setup, profile=(*setup.profile[:3], row, *setup.profile[4:]))


def stations_left_out(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, profile=setup.profile[:5] + setup.profile[9:])


def stretch_not_reached(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, to_m=setup.to_m + 1.0)


def load_never_touched(site: Site, setup: Setup) -> Tampered:
    walk = tuple(p for p in setup.walk if p.kind is not PlaceKind.LOAD)
    return site, replace(setup, walk=walk, etas=setup.etas[: len(walk) - 2])


def hitch_that_is_not_there(site: Site, setup: Setup) -> Tampered:
    return site, replace(setup, attachment="tow ball")


SPOILED = [
    margin_too_high, margin_too_low, pull_too_low, pull_elsewhere, weakest_misnamed,
    strap_weaker_than_stated, strap_too_short, strap_left_out, another_hitch_of_the_strap,
    one_shackle_fewer_owned, shackle_left_out, shackle_that_holds_nothing, pin_too_thick,
    shackle_as_block, block_not_owned, block_too_small_for_the_rope, sheave_too_small_for_the_rope,
    block_of_another_efficiency, efficiency_better_than_owned, one_turn_without_a_sheave,
    block_too_long_for_the_room, rope_too_short, another_rope_than_owned, less_rope_than_needed,
    rope_weaker, a_knot_nobody_ties, parts_miscounted, ideal_advantage_by_parts,
    advantage_without_friction, one_reset_fewer, resets_that_are_not_strokes_less_one,
    hauled_by_part_count, anchor_moved, strap_where_none_may_go, tree_half_as_strong, hitch_weaker,
    load_heavier, ground_rougher, post_in_the_way, crest_without_a_roller, side_pull_not_allowed,
    puller_cannot, puller_of_another_site, line_off_the_pullers_run, unrated_piece_not_named,
    unrated_piece_made_up, component_left_out, component_twice, demand_too_low, capacity_too_high,
    worst_load_elsewhere, row_with_a_lighter_ground, stations_left_out, stretch_not_reached,
    load_never_touched, hitch_that_is_not_there,
]  # fmt: skip


@pytest.mark.parametrize("spoil", SPOILED, ids=lambda spoil: spoil.__name__)
def test_a_spoiled_setup_is_refused(spoil: Callable[[Site, Setup], Tampered]) -> None:
    site, setups = found(PLAIN, 1)
    wrong_site, wrong = spoil(site, setups[0])
    assert (wrong_site, wrong) != (site, setups[0])
    with pytest.raises(VerificationError) as result:
        verify(wrong_site, wrong)
    assert result.value.found


def test_a_wire_rope_over_a_smaller_sheave_is_weaker() -> None:
    site, setups = found(WIRE, 1)
    setup = next(s for s in setups if s.rope.name == "rope0")
    with pytest.raises(VerificationError, match="capacity"):
        verify(_gear(site, _piece(setup, "block").item, sheave_diameter=0.06), setup)


def test_two_turns_do_not_go_on_one_sheave() -> None:
    """A double block carries two turns; the same block with one sheave does not."""
    for number in (1, 2, 3, 5, 7):
        site, setups = found(DOUBLE, number)
        for setup in setups:
            for hung in setup.gear:
                if hung.role == "block" and len(hung.nodes) == 2:
                    with pytest.raises(VerificationError, match="2 turns on 1 sheaves"):
                        verify(_gear(site, hung.item, sheaves=1), setup)
                    return
    pytest.fail("no made-up site uses both sheaves of a double block")


def test_bridle_legs_are_equal_and_long_enough() -> None:
    site, setups = found(BRIDLED, 2)
    setup = next(s for s in setups if s.attachment.startswith("bridle"))
    leg = _piece(setup, "bridle leg")
    one = replace(setup, gear=tuple(h for h in setup.gear if h != leg))
    with pytest.raises(VerificationError):
        verify(site, one)
    with pytest.raises(VerificationError, match="wrong length"):
        verify(_gear(site, leg.item, length=3.0), setup)


def test_pieces_to_be_bought_are_owned_when_named() -> None:
    site, setups = found(PLAIN, 1)
    name = _piece(setups[0], "block").item
    piece = next(p for p in site.gear if p.name == name)
    less = replace(site, gear=tuple(p for p in site.gear if p.name != name))
    with pytest.raises(VerificationError, match="is not owned"):
        verify(less, setups[0])
    verify(less, setups[0], extra=(piece,))


def test_the_kinds_of_gear_in_the_rigs_are_what_the_tests_spoil() -> None:
    site, setups = found(PLAIN, 1)
    owned = {p.name: p.gear for p in site.gear}
    kinds = {type(owned[h.item]) for h in setups[0].gear}
    assert {Block, Shackle, Strap} <= kinds
