"""Small rules of which gear goes where, by hand; common practice, no source."""

from dataclasses import replace
from math import pi
from types import SimpleNamespace
from typing import Any

import pytest

from catalogue.gear import MadeTo
from optimiser.rig.gear import solver
from optimiser.rig.gear.ends import STRAP, can_be_made_of, fixtures
from optimiser.rig.gear.fastening import every_fixture
from optimiser.rig.gear.fill import match
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.over_edges import covered
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.edging import Edging
from optimiser.rig.two_ropes.pairs import Pair, grips_on, pairs
from optimiser.rig.two_ropes.second_rope import tackles
from optimiser.rig.two_ropes.work import _hangs as hangs
from optimiser.site.model import Fixture
from optimiser.site.reading import read_site
from tests.gear.test_kit import BLOCK, GRIP, ROPE, SHACKLE, WIRE, owned
from tests.generated import BOWLINE, SPLICE, WIRE_EYE
from tests.geometry.plain import SITE, scene, tree
from tests.lower.slope_site import on_a_post, site_text


def test_as_many_sheaves_as_all_blocks_have() -> None:
    """Two double blocks of one kind turn the rope four times."""
    kit = Kit((replace(owned(replace(BLOCK, sheaves=2)), count=2),), ())
    assert list(eta_patterns(kit, 4)) == [(0.9, 0.9, 0.9, 0.9)]
    assert list(eta_patterns(kit, 5)) == []


def test_what_is_made_of_wire_is_made_of_nothing_else() -> None:
    fitting = replace(WIRE_EYE, for_wire=True)
    assert can_be_made_of(fitting, replace(WIRE, material="steel wire")) == WIRE.is_wire
    assert not can_be_made_of(fitting, ROPE)
    assert not can_be_made_of(replace(fitting, needs=BOWLINE.needs), ROPE)


def test_a_rope_is_tied_round_a_post_and_not_round_a_boulder() -> None:
    text = on_a_post(site_text(3.0, "0.1"), "1.2 m")
    (post,) = read_site(text).anchors
    (boulder,) = read_site(text.replace('kind = "post"', 'kind = "boulder"')).anchors
    assert [fixture.kind for fixture in fixtures(post)] == [STRAP.kind, MadeTo.TRUNK]
    assert fixtures(boulder) == (STRAP,)


def test_what_is_used_elsewhere_is_not_hung_again() -> None:
    one, two = owned(SHACKLE), replace(owned(SHACKLE), name="other shackle")
    slots = [[one], [one, two]]
    assert match(slots) == [0, 1]
    assert match(slots, {"shackle": 1}) is None
    assert match([[two]], {"shackle": 1}) == [0]


def test_of_two_joined_ropes_the_wider_bend_is_needed() -> None:
    """Whichever of them is the weaker."""
    bend = replace(BOWLINE, id="bend", made_to=frozenset({MadeTo.ROPE_END}))
    stiff = replace(
        owned(replace(ROPE, id="stiff", least_bend_ratio=9.0), length=20.0, ends=(None, None)),
        name="stiff",
    )
    for mbs in (20_000.0, 40_000.0):
        soft = owned(replace(ROPE, mbs=mbs), length=20.0, ends=(None, None))
        joined = [p for p in with_joined(Kit((soft, stiff), (bend,))).ropes if p.joined]
        assert len(joined) == 2
        assert all(p.gear.least_bend_ratio == 9.0 for p in joined)


def test_two_ropes_cost_what_either_costs() -> None:
    first, second = owned(ROPE, price=30.0), owned(ROPE, price=12.0)
    pair = Pair(
        first=first, second=second, grip=GRIP, grip_eats=1.0, ends=(), kept=1.0, hauled=1.0,
        eaten=(0.0, 0.0),
    )  # fmt: skip
    assert pair.price == 42.0


def test_a_grip_is_tied() -> None:
    """What has to be fitted where a rope is made grips no rope that is taken as it is."""
    kit = Kit((owned(ROPE),), (GRIP, replace(GRIP, id="clamp", needs=SPLICE.needs)))
    assert [knot.id for knot in grips_on(kit, kit.ropes[0])] == ["grip"]


@pytest.mark.parametrize("most", [2, 3, 4, 9])
def test_a_second_rope_turns_no_more_often_than_it_may(most: int) -> None:
    found = [one.sheaves for one in tackles(5, (6, 7), straight=True, most=most)]
    upto = min(most, 4)
    assert max(found) == upto
    # Straight one of each number from two on, and with either lead block one sheave more.
    assert len(found) == (upto - 1) + 2 * (upto - 2)


def test_what_is_long_enough_for_every_trunk_counts_the_thinnest() -> None:
    """For all of them one: as thick as the thickest, and round which the least rope goes."""
    thin, thick = tree("thin", (30.0, 5.0, 3.0)), tree("thick", (30.0, -5.0, 3.0), radius=0.3)
    for order in ((thin, thick), (thick, thin)):
        there = scene(replace(SITE, anchors=order))
        (trunk,) = (f for f in every_fixture(there) if f.kind is MadeTo.TRUNK)
        assert trunk.girth == pytest.approx(2.0 * pi * 0.2)
        assert trunk.width == pytest.approx(0.6)


def test_no_pair_of_ropes_where_nothing_is_made_of_the_second_s_ends() -> None:
    """Both bare, and no knot for the hook that hauls it."""
    kit = Kit((replace(owned(ROPE, length=30.0, ends=(None, None)), count=2),), (GRIP,))
    assert pairs(kit, Fixture(kind=MadeTo.HOOK)) == ()
    able = Kit(kit.pieces, (GRIP, BOWLINE))
    assert len(pairs(able, Fixture(kind=MadeTo.HOOK))) == 1


def test_the_longest_block_and_the_longest_shackle_hang_in_each_other() -> None:
    blocks = [replace(owned(replace(BLOCK, length=long)), name=f"{long}") for long in (0.3, 0.5)]
    shackles = [replace(owned(replace(SHACKLE, length=v)), name=f"{v}") for v in (0.05, 0.09)]
    for order in (1, -1):
        kit = Kit((*blocks[::order], *shackles[::order]), ())
        assert hangs(kit) == pytest.approx(0.59)


def test_things_within_the_reach_of_one_protector_are_covered_by_one() -> None:
    laid: Any = SimpleNamespace(covers=1.0)
    found = covered([2.2, 0.0, 0.9, 1.1, 3.2], lambda at: (at, 0), laid)
    assert list(found) == [[0.0, 0.9], [1.1], [2.2, 3.2]]


def test_the_friction_of_what_is_laid_is_its_own_where_it_is_stated() -> None:
    stated = SimpleNamespace(friction=(0.1, 0.15), surface="wood")
    assert Edging().friction(stated) == (0.1, 0.15)  # type: ignore[arg-type]


@pytest.mark.parametrize("presolve", [True, False])
def test_what_is_called_impossible_is_solved_the_other_way(
    presolve: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    ways = []
    monkeypatch.setattr(solver, "solver", lambda *, presolve: ways.append(presolve))
    monkeypatch.setattr(solver, "solved", lambda *_: solver.cp_sat().INFEASIBLE)
    solver.surely_infeasible(None, presolve=presolve)
    assert ways == [not presolve]
    monkeypatch.setattr(solver, "solved", lambda *_: solver.cp_sat().OPTIMAL)
    with pytest.raises(RuntimeError, match="contradicts itself"):
        solver.surely_infeasible(None, presolve=presolve)
