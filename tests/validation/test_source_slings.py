"""Slings: trade sheets."""

from collections.abc import Iterator
from math import radians

from optimiser.mechanics.hardware.strap import (
    basket_capacity,
    choke_angle_factor,
)
from tests.validation.checks import Check, printed, worked_example


@worked_example("trade-sheets", "hitch factors")
def test_hitch_factors() -> Iterator[Check]:
    """A sling of 1 t as a basket with parallel legs, and with its legs at 30 degrees."""
    for angle, factor in ((0, 2.0), (30, 1.9)):
        yield Check(
            quantity=f"basket, {angle}° between the legs",
            published=factor,
            ours=basket_capacity(wll=1.0, basket_factor=2.0, included_angle=radians(angle)),
            unit="",
            tolerance=0.035 if angle == 30 else printed(factor, 0.01),
            why="1.93 printed as 1.9" if angle == 30 else "printed to 0.01",
        )


@worked_example("trade-sheets", "angle of choke")
def test_angles_of_choke() -> Iterator[Check]:
    """Share of the choker rating by the angle of choke."""
    for angle, share_kept in ((130, 1.00), (100, 0.87), (75, 0.74), (45, 0.62), (15, 0.49)):
        yield Check(
            quantity=f"at {angle}°",
            published=share_kept,
            ours=choke_angle_factor(angle=radians(angle)),
            unit="",
            tolerance=1e-9,
            why="steps as printed",
        )
