"""Ropes joined by a bend or lengthened by a strap: only where that saves a stage, and shown as such."""

from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.book import load_catalogue
from catalogue.gear import Chain, Rope, Strap, Termination
from optimiser import plan_stages, read_site
from optimiser.jobs.question import StagesQuestion
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.gear.joined import CLEAR, join_eats, windows, with_joined
from optimiser.rig.gear.kit import Kit, kit_of, rope_capacity
from optimiser.site.model import Owned, Site
from optimiser.telling.stages import plan_json
from optimiser.telling.words import put_together

SHORT = str(Path(__file__).parents[2] / "examples" / "short-rope.toml")
BENDS = tuple(k for k in load_catalogue().terminations.values() if k.joins_ropes and k.tied)


def meadow(*, rope: float, straps: int, end: float | None = None) -> Site:
    """The easy leg of the short rope's example, which takes 27.2 m of rope through one lead block,
    with other lengths of rope and so many straps (the lead block takes one)."""
    site = read_site(SHORT)
    gear: list[Owned] = []
    for piece in site.gear:
        if isinstance(piece.gear, Rope):
            gear.append(replace(piece, name="rope", length=rope))
            if end is not None:
                gear.append(replace(piece, name="short end", length=end))
        elif isinstance(piece.gear, Strap):
            gear.append(replace(piece, count=straps))
        else:
            gear.append(piece)
    preferences = replace(site.preferences, knots=(*site.preferences.knots, *BENDS))
    return replace(site, legs=site.legs[:1], gear=tuple(gear), preferences=preferences)


def bend_of(kit: Kit) -> Termination:
    joined = next(r.joined for r in kit.ropes if r.joined is not None and r.joined.bend is not None)
    assert joined.bend is not None
    return joined.bend


def test_nothing_is_joined_where_the_rope_is_long_enough() -> None:
    plan = plan_stages(meadow(rope=30.0, straps=2, end=6.0))

    assert [setup.rope.name for setup in plan.stages] == ["rope"]


def test_a_rope_too_short_alone_does_not_do() -> None:
    plan = plan_stages(meadow(rope=26.0, straps=1), StagesQuestion(explain=False))

    assert not plan.stages
    assert plan.proven


def test_a_strap_at_the_load_lengthens_the_rope() -> None:
    plan = plan_stages(meadow(rope=26.0, straps=2))
    (setup,) = plan.stages
    longer = [hung for hung in setup.gear if hung.role == "extension"]

    assert plan.proven
    assert [(h.item, h.place) for h in longer] == [("tree strap", "load")]
    assert setup.rope_owned == pytest.approx(28.0)
    assert 26.0 < setup.rope_needed <= 28.0
    assert any(c.name.startswith("tree strap: lengthens") for c in setup.components)
    assert "reaches on from its standing end to the load" in put_together(setup, "metric")


def test_two_ropes_are_joined_and_judged_by_the_knot() -> None:
    site = meadow(rope=26.0, straps=1, end=6.0)
    plan = plan_stages(site)
    (setup,) = plan.stages
    bend = bend_of(with_joined(kit_of(site)))
    component = next(c for c in setup.components if c.place == "the join")
    whole = rope_capacity(next(p for p in kit_of(site).ropes if p.name == "rope"))

    assert setup.rope.joined is not None
    assert setup.rope.joined.bend == bend
    assert whole is not None
    assert component.capacity == pytest.approx(whole * bend.keeps)
    assert "must not come to a block" in put_together(setup, "metric")
    assert plan_json(plan)["stages"][0]["joined"]["bend"] == bend.name


def test_a_bend_takes_rope_from_both() -> None:
    kit = with_joined(kit_of(meadow(rope=26.0, straps=1, end=6.0)))
    joined = next(r for r in kit.ropes if r.name == "rope + short end")
    assert isinstance(joined.gear, Rope)

    assert joined.length == pytest.approx(32.0 - 2 * join_eats(joined.gear, bend_of(kit)))


def test_ropes_of_two_sizes_are_not_joined() -> None:
    site = meadow(rope=26.0, straps=1, end=6.0)
    thicker = [
        replace(p, gear=replace(p.gear, diameter=0.014))
        if p.name == "short end" and isinstance(p.gear, Rope)
        else p
        for p in site.gear
    ]
    ropes = with_joined(Kit(tuple(thicker), site.preferences.knots)).ropes

    assert not [r for r in ropes if r.joined is not None and r.joined.bend is not None]


def test_the_bend_keeps_clear_of_blocks_in_every_state() -> None:
    """Two parts: from the standing end 20 m shrink to 5 m, the next from 18 m to 4 m: the bend may lie
    in the first part up to 4.5 m (less the gear at both its ends), and nowhere in the second, which at
    the start begins at 20 m and at the end is over at 9 m."""
    from_end = windows(_lengths([[20.0, 5.0], [18.0, 4.0]]))

    assert from_end[0] == pytest.approx((CLEAR, 5.0 - CLEAR))
    assert from_end[1][0] > from_end[1][1]


def _lengths(parts: list[list[float]]):  # type: ignore[no-untyped-def]
    import numpy as np

    steps = np.array(parts)
    return np.concatenate([np.zeros((1, steps.shape[1])), np.cumsum(steps, axis=0)])


def test_the_strap_that_lengthens_is_one_strap_less_to_hang() -> None:
    plan = plan_stages(meadow(rope=26.0, straps=2))
    (setup,) = plan.stages
    straps = [h for h in setup.gear if h.role in ("strap", "extension")]

    assert len(straps) == 2


@pytest.mark.parametrize("spoiled", ["not owned", "too near", "stronger"])
def test_a_join_that_is_not_as_stated_is_refused(spoiled: str) -> None:
    site = meadow(rope=26.0, straps=1, end=6.0)
    (setup,) = plan_stages(site).stages
    rope = setup.rope
    assert rope.joined is not None
    verify(site, setup, extra=(rope,))

    if spoiled == "not owned":
        site = replace(site, gear=tuple(p for p in site.gear if p.name != "short end"))
        bad = setup
    elif spoiled == "too near":
        gear = [replace(h, nodes=(1, 2)) if h.role == "bend" else h for h in setup.gear]
        bad = replace(setup, gear=tuple(gear))
    else:
        assert isinstance(rope.gear, Rope)
        assert rope.gear.mbs is not None
        strong = replace(rope, gear=replace(rope.gear, mbs=2.0 * rope.gear.mbs))
        bad = replace(setup, rope=strong)
    with pytest.raises(VerificationError):
        verify(site, bad, extra=(bad.rope,))


def test_a_chain_lengthens_as_a_strap_does() -> None:
    chain = Chain(
        id="chain", name="chain", source="made up", grade="8", size=0.008, length=3.0,
        wll=20_000.0, choker_factor=0.8, basket_factor=2.0,
    )  # fmt: skip
    site = meadow(rope=25.0, straps=1)
    condition = site.gear[0].condition
    owned = Owned(name="chain", gear=chain, count=1, condition=condition)
    plan = plan_stages(replace(site, gear=(*site.gear, owned)))
    (setup,) = plan.stages

    assert setup.rope.name == "chain + rope"
    assert setup.rope_owned == pytest.approx(28.0)
