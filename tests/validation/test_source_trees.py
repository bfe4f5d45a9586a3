"""Trees: stems, bark, root plates."""

from collections.abc import Iterator

from optimiser.mechanics.anchor.stem import (
    bending_stress,
    breaking_moment,
    inside_bark,
    overturning_moment,
    section_modulus,
    stem_volume,
)
from optimiser.mechanics.published import number, row
from tests.validation.checks import Check, printed, share, worked_example

SPRUCE, OTHERS = row("tree", "volume_spruce"), row("tree", "volume_others")

TREES = (
    # name, diameter m, height m, form, density, C_reg, rupture Pa, knots; V, mass, over, break
    ("Scots pine", 0.30, 20.0, OTHERS, 850.0, 140.1, 46e6, 0.85, 0.566, 481.0, 67.4, 103.6),
    ("Norway spruce", 0.30, 20.0, SPRUCE, 850.0, 126.0, 36e6, 0.9, 0.644, 547.0, 68.9, 85.9),
    ("Sitka spruce", 0.20, 15.0, SPRUCE, 850.0, 153.2, 34e6, 1.0, 0.231, 197.0, 30.1, 26.7),
    ("Douglas fir", 0.30, 20.0, OTHERS, 850.0, 146.3, 53e6, 1.0, 0.566, 481.0, 70.4, 140.5),
    ("oak", 0.30, 20.0, OTHERS, 1158.0, 198.5, 59e6, 1.0, 0.566, 656.0, 130.0, 156.0),
)


@worked_example("wind-risk-trees", "soil A, shallow rooting", evidence="derived")
def test_stem_root_plate_and_rupture() -> Iterator[Check]:
    """Five trees of 20 and 30 cm on freely draining soil: volume, mass, overturning, breaking."""
    for name, d, h, form, density, c_reg, rupture, knots, *published in TREES:
        p0, p1, p2 = form
        volume = stem_volume(diameter=d, height=h, form=(p0, p1, p2))
        mass = volume * density
        ours = (
            volume,
            mass,
            overturning_moment(coefficient=c_reg, stem_mass=mass) / 1e3,
            breaking_moment(diameter=d, rupture=rupture, knot_factor=knots) / 1e3,
        )
        for what, unit, printed_value, value in zip(
            ("stem volume", "stem mass", "overturning", "breaking"),
            ("m³", "kg", "kN·m", "kN·m"),
            published,
            ours,
            strict=True,
        ):
            yield Check(
                quantity=f"{name} {d * 100:.0f} cm: {what}",
                published=printed_value,
                ours=value,
                unit=unit,
                tolerance=share(printed_value, 0.005),
                why="three digits; breaking over the whole diameter, as in the source",
            )


@worked_example("bark-fvs", "bark", evidence="derived")
def test_section_left_inside_the_bark() -> Iterator[Check]:
    """Section modulus inside bark over that outside it, by single bark thickness / diameter."""
    for bark, left in ((0.025, 0.86), (0.03, 0.83), (0.04, 0.78), (0.063, 0.67)):
        outside = section_modulus(diameter=0.30)
        inside = section_modulus(diameter=inside_bark(diameter=0.30, bark=bark))
        yield Check(
            quantity=f"bark {bark:g}",
            published=left,
            ours=inside / outside,
            unit="",
            tolerance=printed(left, 0.01),
            why="two decimals",
        )


@worked_example("stem-finite-elements", "cantilever")
def test_stem_under_a_strap() -> Iterator[Check]:
    """10 kN on a stem of 0.30 m, strap at 0.5 m and at 2 m: stress at the ground."""
    for height, stress in ((0.5, 1.886), (2.0, 7.545)):
        yield Check(
            quantity=f"strap at {height:g} m",
            published=stress,
            ours=bending_stress(force=10e3, lever=height, diameter=0.30) / 1e6,
            unit="MPa",
            tolerance=printed(stress, 0.002),
            why="four digits, one cut",
        )


@worked_example("detter-2023", "table A3")
def test_share_of_overturning_at_a_quarter_degree() -> Iterator[Check]:
    """The overturning moment is 2.5 times the moment at 0.25 degrees of base tilt."""
    yield Check(
        quantity="overturning / moment at 0.25°",
        published=2.5,
        ours=1.0 / number("tree", "overturning_share").value,
        unit="",
        tolerance=1e-9,
        why="the share allowed keeps the base within that tilt",
    )


@worked_example("wagener-1963", "hollow stems")
def test_most_loss_by_a_cavity() -> Iterator[Check]:
    """At most a third of the strength may be lost; the wall rule of 0.30 is stricter."""
    solid = section_modulus(diameter=0.40)
    hollow = section_modulus(diameter=0.40, hollow=0.70 * 0.40)
    yield Check(
        quantity="loss at a wall of 0.30 of the radius",
        published=1.0 / 3.0,
        ours=1.0 - hollow / solid,
        unit="",
        tolerance=0.0,
        why="the thinnest wall allowed must keep within the published loss",
        relation="at most",
    )
