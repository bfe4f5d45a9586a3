"""Slings, shackles and chain: trade sheets and the US safety rules."""

from collections.abc import Iterator
from math import pi, radians

from optimiser.mechanics.hardware.chain import legs_capacity
from optimiser.mechanics.hardware.shackle import side_load_factor
from optimiser.mechanics.hardware.strap import (
    basket_capacity,
    choke_angle_factor,
    choker_capacity,
    leg_factor_by_lengths,
    leg_tension_factor,
)
from tests.validation.checks import Check, printed, worked_example


@worked_example("trade-sheets", "hitch factors")
def test_hitch_factors() -> Iterator[Check]:
    """A sling of 1 t: choke 0.8, basket 2, basket with its legs at 30, 60, 90 and 120 degrees."""
    yield Check(
        quantity="choke",
        published=0.8,
        ours=choker_capacity(wll=1.0, choker_factor=0.8),
        unit="",
        tolerance=1e-9,
        why="at the natural angle of choke nothing is lost on top",
    )
    for angle, factor in ((0, 2.0), (30, 1.9), (60, 1.73), (90, 1.41), (120, 1.0)):
        yield Check(
            quantity=f"basket, {angle}° between the legs",
            published=factor,
            ours=basket_capacity(wll=1.0, basket_factor=2.0, included_angle=radians(angle)),
            unit="",
            tolerance=0.035 if angle == 30 else printed(factor, 0.01),
            why="1.93 printed as 1.9" if angle == 30 else "printed to 0.01",
        )


@worked_example("trade-sheets", "angle factors")
def test_leg_angle_factors() -> Iterator[Check]:
    """Tension and capacity factors by a leg's angle from the horizontal."""
    table = {
        90: (1.000, 1.000), 75: (1.035, 0.966), 70: (1.064, 0.940), 65: (1.104, 0.906),
        60: (1.155, 0.866), 55: (1.221, 0.819), 50: (1.305, 0.766), 45: (1.414, 0.707),
        40: (1.555, 0.643), 30: (2.000, 0.500),
    }  # fmt: skip
    for angle, (tension, capacity) in table.items():
        ours = leg_tension_factor(angle=radians(angle))
        for name, published, value in (
            ("tension", tension, ours),
            ("capacity", capacity, 1.0 / ours),
        ):
            yield Check(
                quantity=f"{name} at {angle}°",
                published=published,
                ours=value,
                unit="",
                tolerance=0.00101,
                why="printed to 0.001, some cut",
            )


@worked_example("trade-sheets", "examples")
def test_slings_by_their_lengths() -> Iterator[Check]:
    """1,000 lb on two slings, length 10, height 5; a choker of 6,000 lb, length 6, height 4."""
    yield Check(
        quantity="each of two slings",
        published=1000.0,
        ours=1000.0 / 2.0 * leg_factor_by_lengths(length=10.0, height=5.0),
        unit="lbf",
        tolerance=printed(1000.0, 1.0),
        why="factor 2.0",
    )
    yield Check(
        quantity="choker at an angle",
        published=4000.0,
        ours=6000.0 / leg_factor_by_lengths(length=6.0, height=4.0),
        unit="lbf",
        tolerance=3.0,
        why="from the factor 0.667",
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


@worked_example("trade-sheets", "side load")
def test_side_load_on_a_shackle() -> Iterator[Check]:
    """Share of a shackle's rating with the pull at 0, 45 and 90 degrees to its line."""
    for angle, kept in ((0.0, 1.0), (pi / 4.0, 0.70), (pi / 2.0, 0.50)):
        yield Check(
            quantity=f"at {angle * 180.0 / pi:.0f}°",
            published=kept,
            ours=side_load_factor(angle=angle),
            unit="",
            tolerance=1e-9,
            why="as printed; between these the worse one is taken",
        )


@worked_example("asme-b30", "side load, from memory")
def test_side_load_between_the_printed_angles() -> Iterator[Check]:
    """Finer table of B30.26: 85 % at 11 to 20 degrees, 75 % at 21 to 30, 60 % at 46 to 55."""
    for angle, kept in ((15, 0.85), (25, 0.75), (50, 0.60)):
        yield Check(
            quantity=f"at {angle}°",
            published=kept,
            ours=side_load_factor(angle=radians(angle)),
            unit="",
            tolerance=0.0,
            why="from memory; ours must not be above it",
            relation="at most",
        )


@worked_example("osha-slings", "tables 1 and 2")
def test_two_leg_chain_slings() -> Iterator[Check]:
    """Alloy chain, two legs at 60, 45 and 30 degrees from the horizontal."""
    for name, single, legs in (
        ("grade 80, 3/8 in", 7100.0, (12300.0, 10000.0, 7100.0)),
        ("grade 80, 1/2 in", 12000.0, (20800.0, 17000.0, 12000.0)),
        ("grade 100, 3/8 in", 8800.0, (15200.0, 12400.0, 8800.0)),
        ("grade 100, 1/2 in", 15000.0, (26000.0, 21200.0, 15000.0)),
    ):
        for angle, load in zip((60, 45, 30), legs, strict=True):
            yield Check(
                quantity=f"{name}, {angle}°",
                published=load,
                ours=legs_capacity(wll=single, legs=2, angle=radians(angle)),
                unit="lbf",
                tolerance=printed(load, 100.0),
                why="printed to 100 lb",
            )


@worked_example("cfr-1915-118", "table G-1")
def test_manila_bridles() -> Iterator[Check]:
    """Two-leg manila bridles at 60, 45 and 30 degrees by the single leg's load."""
    for name, single, legs in (
        ("1/4 in", 120.0, ((60, 204.0), (45, 170.0), (30, 120.0))),
        ("5/16 in", 200.0, ((60, 346.0), (45, 282.0), (30, 200.0))),
        ("3/8 in", 270.0, ((60, 467.0),)),
    ):
        for angle, load in legs:
            yield Check(
                quantity=f"{name}, {angle}°",
                published=load,
                ours=legs_capacity(wll=single, legs=2, angle=radians(angle)),
                unit="lbf",
                tolerance=0.02 * load,
                why="the table rounds the factor to 1.70 .. 1.73",
            )


@worked_example("cfr-1918-app2", "table 2")
def test_natural_fibre_baskets() -> Iterator[Check]:
    """Natural-fibre rope slings, factor 5: baskets, legs 0, 30, 45, 60 degrees off plumb."""
    for name, single, loads in (
        ("1/2 in", 550.0, (1100.0, 900.0, 750.0, 550.0)),
        ("5/8 in", 900.0, (1800.0, 1500.0, 1200.0, 900.0)),
        ("3/4 in", 1100.0, (2200.0, 1900.0, 1500.0, 1100.0)),
        ("7/8 in", 1500.0, (3100.0, 2700.0, 2200.0, 1500.0)),
        ("1 in", 1800.0, (3600.0, 3100.0, 2600.0, 1800.0)),
        ("1-1/8 in", 2400.0, (4800.0, 4200.0, 3400.0, 2400.0)),
        ("1-1/2 in", 3700.0, (7400.0, 6400.0, 5200.0, 3700.0)),
        ("2 in", 6200.0, (12500.0, 10500.0, 8800.0, 6200.0)),
    ):
        for angle, load in zip((0, 30, 45, 60), loads, strict=True):
            yield Check(
                quantity=f"{name}, {angle}°",
                published=load,
                ours=basket_capacity(
                    wll=single, basket_factor=2.0, included_angle=radians(2.0 * angle)
                ),
                unit="lbf",
                tolerance=max(150.0, 0.025 * load),
                why="single and basket both rounded to 50 or 100 lb",
            )


@worked_example("cfr-1918-app2", "table 2")
def test_natural_fibre_chokers() -> Iterator[Check]:
    """The same table gives chokers half of the straight sling, less than the trade's 0.75."""
    yield Check(
        quantity="5/8 in choker",
        published=450.0,
        ours=choker_capacity(wll=900.0, choker_factor=0.5),
        unit="lbf",
        tolerance=printed(450.0, 1.0),
        why="fibre rope slings take a choker factor of 0.5, webs and chain more",
    )
