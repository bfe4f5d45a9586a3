"""Formulas refuse what they are not valid for, and are monotone where people rely on it."""

from collections.abc import Callable

import numpy as np
import pytest

from catalogue.book import load_catalogue
from optimiser.mechanics import puller
from optimiser.mechanics.anchor import anchorage, built
from optimiser.mechanics.hardware import strap
from optimiser.mechanics.line import capstan, rope

REFUSED: list[tuple[str, Callable[[], object]]] = [
    ("design factor under 1", lambda: rope.working_strength(
        mbs=1e4, design_factor=0.5, wll=None, condition=1.0)),
    ("condition over 1", lambda: rope.working_strength(
        mbs=1e4, design_factor=5, wll=None, condition=1.2)),
    ("sheave smaller than the wire", lambda: rope.wire_bend(
        sheave_diameter=0.005, rope_diameter=0.01)),
    ("negative tension in a rope", lambda: rope.elongation(
        tension=-1.0, length=1.0, stiffness=1.0)),
    ("basket too wide", lambda: strap.basket_capacity(
        wll=1.0, basket_factor=2.0, included_angle=2.2)),
    ("wraps without number", lambda: capstan.hold_ratio(friction=0.3, turns=-1.0)),
    ("log too deep", lambda: anchorage.deadman_pressure(depth=3.0, run=2.0)),
    ("log too shallow", lambda: anchorage.deadman_pressure(depth=0.6, run=2.0)),
    ("guy too flat", lambda: anchorage.deadman_pressure(depth=1.2, run=6.0)),
    ("log too slender", lambda: built.deadman(
        diameter=0.3048, length=6 * 0.3048, depth=5 * 0.3048, run=3.0, soil="loam",
        wood=load_catalogue().species["unknown"], sling=None)),
    ("unknown soil", lambda: anchorage.picket_holdfast(system="1", soil="concrete")),
    ("unknown holdfast", lambda: anchorage.picket_holdfast(system="9-9")),
    ("driven weight over weight", lambda: puller.vehicle_pull(
        traction=0.5, driven_weight=2e4, weight=1e4)),
]  # fmt: skip


@pytest.mark.parametrize(("what", "formula"), REFUSED, ids=[what for what, _ in REFUSED])
def test_refused(what: str, formula: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=r"\S"):
        formula()


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
