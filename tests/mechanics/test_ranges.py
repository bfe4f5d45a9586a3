"""Formulas refuse what they are not valid for, and are monotone where people rely on it."""

from collections.abc import Callable
from math import inf, nan, pi

import numpy as np
import pytest

from optimiser.mechanics import puller
from optimiser.mechanics.anchor import anchorage
from optimiser.mechanics.ground import bars, buoyancy, rolling
from optimiser.mechanics.hardware import chain, shackle, strap
from optimiser.mechanics.line import capstan, rope, tackle

REFUSED: list[tuple[str, Callable[[], object]]] = [
    ("sheave passes on more than all", lambda: tackle.tensions(passed=[1.1])),
    ("sheave passes on nothing", lambda: tackle.tensions(passed=[0.9, 0.0])),
    ("no parts", lambda: tackle.parallel_advantage(eta=0.9, parts=0)),
    ("too few sheaves", lambda: tackle.parallel_advantage(eta=0.9, parts=4, sheaves=2)),
    ("angle over 180°", lambda: tackle.block_load(first=1, second=1, included_angle=3.5)),
    ("negative tension", lambda: tackle.block_load(first=-1, second=1, included_angle=1.0)),
    ("no tackle will do", lambda: tackle.parts_for_linear(load=1000.0, available=10.0)),
    ("jammed pin", lambda: tackle.sheave_eta(sheave_radius=0.01, pin_radius=0.02, friction=0.6)),
    ("design factor under 1", lambda: rope.working_strength(
        mbs=1e4, design_factor=0.5, wll=None, condition=1.0)),
    ("condition over 1", lambda: rope.working_strength(
        mbs=1e4, design_factor=5, wll=None, condition=1.2)),
    ("sheave smaller than the wire", lambda: rope.wire_bend(
        sheave_diameter=0.005, rope_diameter=0.01)),
    ("sheave too small for fibre", lambda: rope.fibre_bend(
        sheave_diameter=0.05, rope_diameter=0.02, least_ratio=4.0)),
    ("negative tension in a rope", lambda: rope.elongation(
        tension=-1.0, length=1.0, stiffness=1.0)),
    ("side load past square", lambda: shackle.side_load_factor(angle=pi / 2 + 0.01)),
    ("side load not a number", lambda: shackle.side_load_factor(angle=nan)),
    ("three chain legs", lambda: chain.legs_capacity(wll=1.0, legs=3, angle=1.0)),
    ("flat chain legs", lambda: chain.legs_capacity(wll=1.0, legs=2, angle=0.4)),
    ("basket too wide", lambda: strap.basket_capacity(
        wll=1.0, basket_factor=2.0, included_angle=2.2)),
    ("wraps without number", lambda: capstan.hold_ratio(friction=0.3, turns=-1.0)),
    ("friction below 1:1", lambda: capstan.friction_from(ratio=0.5, turns=1.0)),
    ("log too deep", lambda: anchorage.deadman_pressure(depth=3.0, run=2.0)),
    ("log too shallow", lambda: anchorage.deadman_pressure(depth=0.6, run=2.0)),
    ("guy too flat", lambda: anchorage.deadman_pressure(depth=1.2, run=6.0)),
    ("log too slender", lambda: anchorage.deadman_length(
        strength=20000 * 4.448, depth=5 * 0.3048, run=3.0, face=0.3048)),
    ("unknown soil", lambda: anchorage.picket_holdfast(system="1", soil="concrete")),
    ("unknown holdfast", lambda: anchorage.picket_holdfast(system="9-9")),
    ("axle that tips back", lambda: bars.axle_shares(
        wheelbase=1.0, ahead_of_rear=0.1, height=1.0, slope_sin=0.5, slope_cos=0.866)),
    ("more than all under water", lambda: buoyancy.apparent_factor(
        density=2000.0, water=1000.0, immersed=1.1)),
    ("stone that floats", lambda: buoyancy.immersed_fraction(density=2700.0, water=1000.0)),
    ("nobody", lambda: puller.people_pull(count=0, per_person=200.0)),
    ("down pull without a weight", lambda: puller.people_pull(
        count=1, per_person=900.0, downward=True)),
    ("driven weight over weight", lambda: puller.vehicle_pull(
        traction=0.5, driven_weight=2e4, weight=1e4)),
    ("rut over the axle", lambda: rolling.haul_road(sinking=0.5)),
    ("infinite wheel", lambda: rolling.hard_wheel(arm=0.003, wheel_radius=inf)),
]  # fmt: skip


@pytest.mark.parametrize(("what", "formula"), REFUSED, ids=[what for what, _ in REFUSED])
def test_refused(what: str, formula: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=r"\S"):
        formula()


def test_tension_falls_towards_the_standing_end_when_hauling() -> None:
    hauling = tackle.tensions(passed=[0.9, 0.8])
    np.testing.assert_allclose(hauling, [0.72, 0.8, 1.0])
    lowering = tackle.tensions(passed=[0.9, 0.8], lowering=True)
    np.testing.assert_allclose(lowering, [1 / 0.72, 1 / 0.8, 1.0])
    many = tackle.tensions(passed=np.array([[0.9, 0.8], [1.0, 0.5]]))
    np.testing.assert_allclose(many, [[0.72, 0.8, 1.0], [0.5, 0.5, 1.0]])


def test_stated_rating_is_never_exceeded() -> None:
    ours = rope.working_strength(mbs=100e3, design_factor=5.0, wll=8e3, condition=1.0)
    assert ours == pytest.approx(8e3)
    unrated = rope.working_strength(mbs=None, design_factor=5.0, wll=None, condition=0.5)
    assert unrated is None
    knotted = rope.working_strength(
        mbs=100e3, design_factor=5.0, wll=None, condition=0.5, termination=0.6
    )
    assert knotted == pytest.approx(6e3)


def test_vehicle_loses_on_a_slope_and_with_a_rising_line() -> None:
    kw = {"traction": 0.4, "driven_weight": 12e3, "weight": 20e3}
    level = float(puller.vehicle_pull(**kw))
    assert level == pytest.approx(4800.0)
    uphill = float(puller.vehicle_pull(**kw, slope_sin=0.1, slope_cos=0.995))
    assert uphill == pytest.approx(0.4 * 12e3 * 0.995 - 2000.0)
    assert float(puller.vehicle_pull(**kw, slope_sin=-0.1, slope_cos=0.995)) <= level
    rising = puller.vehicle_pull(**kw, rise_sin=np.array([-0.3, 0.0, 0.3]))
    np.testing.assert_allclose(rising, [4800.0, 4800.0, 4800.0 / 1.12])
    assert float(puller.vehicle_pull(**kw, slope_sin=0.5, slope_cos=0.866)) == 0.0
    stated = puller.stated_pull(limit=5e3, weight=20e3, slope_sin=0.1, rise_sin=0.25)
    assert float(stated) == pytest.approx(3000.0 / 1.25)
    assert float(puller.stated_pull(limit=5e3, weight=None, slope_sin=0.3)) == 5000.0


def test_corners_share_the_weight() -> None:
    """Weight 0.9 m ahead of the rear of 1.5 m and 0.3 m left of the right of 1.0 m: 0.6 × 0.3."""
    shares = bars.corner_shares(length=1.5, width=1.0, ahead=0.9, left=0.3)
    assert shares == pytest.approx((0.18, 0.42, 0.12, 0.28))
    assert sum(shares) == pytest.approx(1.0)
    front, rear = bars.axle_shares(
        wheelbase=1.5, ahead_of_rear=0.9, height=0.5, slope_sin=0.6, slope_cos=0.8
    )
    assert (front, rear) == pytest.approx((0.28, 0.52))
