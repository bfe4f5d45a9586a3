"""Trees: stems, bark, root plates."""

from collections.abc import Iterator

from optimiser.mechanics.anchor.stem import (
    inside_bark,
    overturning_moment,
    section_modulus,
    stem_volume,
)
from optimiser.mechanics.published import row
from tests.validation.checks import Check, printed, share, worked_example

SPRUCE, OTHERS = row("tree", "volume_spruce"), row("tree", "volume_others")

TREES = (
    # name, diameter m, height m, form, density, C_reg; V, mass, overturning
    ("Scots pine", 0.30, 20.0, OTHERS, 850.0, 140.1, 0.566, 481.0, 67.4),
    ("Norway spruce", 0.30, 20.0, SPRUCE, 850.0, 126.0, 0.644, 547.0, 68.9),
    ("Sitka spruce", 0.20, 15.0, SPRUCE, 850.0, 153.2, 0.231, 197.0, 30.1),
    ("Douglas fir", 0.30, 20.0, OTHERS, 850.0, 146.3, 0.566, 481.0, 70.4),
    ("oak", 0.30, 20.0, OTHERS, 1158.0, 198.5, 0.566, 656.0, 130.0),
)


@worked_example("wind-risk-trees", "soil A, shallow rooting", evidence="derived")
def test_stem_root_plate_and_rupture() -> Iterator[Check]:
    """Five trees of 20 and 30 cm on freely draining soil: volume, mass, overturning, by hand from
    the published form of the stem, density and coefficient."""
    for name, d, h, form, density, c_reg, *published in TREES:
        p0, p1, p2 = form
        volume = stem_volume(diameter=d, height=h, form=(p0, p1, p2))
        mass = volume * density
        ours = (
            volume,
            mass,
            overturning_moment(coefficient=c_reg, stem_mass=mass) / 1e3,
        )
        for what, unit, printed_value, value in zip(
            ("stem volume", "stem mass", "overturning"),
            ("m³", "kg", "kN·m"),
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
                why="three digits",
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
