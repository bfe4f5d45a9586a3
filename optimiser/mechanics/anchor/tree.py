"""What a living tree stands as an anchor: an allowed moment about its ground line.

The least of three: roots (0.40 of the published overturning moment), first yield of green wood on
the compressed side, and a fifth of the rupture strength left by knots. An estimate, never a
guarantee.
"""

from collections.abc import Mapping
from math import isfinite

from catalogue.trees import ROOTINGS, SOILS, Species
from optimiser.mechanics.anchor import stem
from optimiser.mechanics.published import number
from optimiser.mechanics.values import AnchorStrength, DataEnd, Factor

STEM = "diameter"
HEIGHT = "height"
"""What the data on overturning may end before."""

ALWAYS_OUTSIDE = (
    "roots cut, undermined or in standing water, and soil that is saturated or thawing",
    "decay, cavities, cracks, fungus, dead wood: do not use such a tree",
    "forks with a seam of bark and limbs: strap the single stem below them, never a limb",
    "a stem that leans already, above all towards the pull",
    "repeated heaves, which loosen a root plate; stop when the base tilts 0.25° (4 mm per m of a "
    "plumb line)",
)


def coefficient(
    coefficients: Mapping[str, float], *, soil: str | None, rooting: str | None
) -> float | None:
    """The overturning coefficient for a soil and rooting; the least that fits where one is unknown.

    `coefficients`: by `catalogue.trees.overturning_key` [N·m/kg]. Result: [N·m/kg], or None where
    nothing is published. ValueError for a soil or rooting that is none of the catalogue's words.
    Source: wind-risk-trees.
    """
    if soil is not None and soil not in SOILS:
        raise ValueError(f"soil {soil!r}: one of {', '.join(SOILS)}")
    if rooting is not None and rooting not in ROOTINGS:
        raise ValueError(f"rooting {rooting!r}: one of {', '.join(ROOTINGS)}")
    fitting = []
    for key, value in coefficients.items():
        its_soil, _, its_rooting = key.partition("/")
        if soil in (None, its_soil) and rooting in (None, its_rooting):
            fitting.append(value)
    return min(fitting, default=None)


def anchor_strength(
    *,
    diameter: float,
    species: Species,
    height: float | None,
    soil: str | None,
    rooting: str | None,
    hollow: float | None = None,
) -> AnchorStrength:
    """Allowed moment about the ground line, N·m = min(0.40 C_reg m, S σ_c / 1.5, S f_knot MOR / 5).

    diameter: at breast height over bark [m] (stems flare below it: safe at the ground line);
    height: of the tree [m] or None; soil, rooting: of the coefficients or None for the least;
    hollow: diameter of a cavity [m] or None for a sound stem. S is taken inside the bark.

    Stems under the least diameter get capacity 0 with that reason. Where the overturning moment
    cannot be had from the species' own data, the weakest published coefficient, the lesser volume
    function and a short tree are put in its place, and the result states it.

    Errors: ValueError for a diameter or height that is no tree's, and a cavity beyond the rules.
    Sources: wind-risk-trees, fonweban-2012, detter-2023, bark-fvs, tree-safety, wood-handbook.
    """
    if not (isfinite(diameter) and 0.0 < diameter <= 4.0):
        raise ValueError(f"tree diameter {diameter} m: must be above 0 and at most 4 m")
    if height is not None and not (isfinite(height) and 1.3 < height <= 120.0):
        raise ValueError(f"tree height {height} m: must be above 1.3 m and at most 120 m")
    wood = stem.inside_bark(diameter=diameter, bark=species.bark)
    cavity = 0.0 if hollow is None else _checked_cavity(hollow=hollow, wood=wood)
    if diameter < number("tree", "least_diameter").value:
        return _too_thin(diameter)

    overturning, roots, notes, ends = _overturning(diameter, species, height, soil, rooting)
    share = number("tree", "overturning_share")
    modulus = stem.section_modulus(diameter=wood, hollow=cavity)
    yields = number("tree", "compression_safety")
    breaks = number("tree", "rupture_safety")
    limits = {
        "overturning of the root plate": share.value * overturning,
        "green wood yields in bending": modulus * species.compression / yields.value,
        "stem breaks at its knots": modulus * species.knot_factor * species.rupture / breaks.value,
    }
    governs = min(limits, key=lambda name: limits[name])
    factors = (
        Factor(name="diameter over bark", value=diameter, unit="m", source="site"),
        *roots,
        Factor(name="overturning moment", value=overturning, unit="N·m", source="C_reg × mass"),
        Factor(name="share of it allowed", value=share.value, unit="", source=share.source),
        Factor(
            name="single bark / diameter",
            value=species.bark,
            unit="",
            source=species.source_of("bark"),
        ),
        Factor(name="cavity", value=cavity, unit="m", source="site"),
        Factor(name="section modulus in bark", value=modulus, unit="m³", source="π(d⁴−d_i⁴)/32d"),
        Factor(
            name="compression, green",
            value=species.compression,
            unit="Pa",
            source=species.source_of("compression"),
        ),
        Factor(name="safety on yield", value=yields.value, unit="", source=yields.source),
        Factor(
            name="rupture, green",
            value=species.rupture,
            unit="Pa",
            source=species.source_of("rupture"),
        ),
        Factor(
            name="knot factor",
            value=species.knot_factor,
            unit="",
            source=species.source_of("knot_factor"),
        ),
        Factor(name="safety on rupture", value=breaks.value, unit="", source=breaks.source),
        *(
            Factor(name=f"allowed: {name}", value=value, unit="N·m", source="least governs")
            for name, value in limits.items()
        ),
    )
    if diameter < number("tree", "slender_diameter").value:
        notes = (*notes, "a thin stem (under 0.20 m): use a thicker one if there is one")
    return AnchorStrength(
        capacity=limits[governs],
        unit="N·m",
        factors=factors,
        governs=governs,
        outside=(*notes, *ALWAYS_OUTSIDE),
        data_ends=ends,
    )


def _overturning(
    diameter: float, species: Species, height: float | None, soil: str | None, rooting: str | None
) -> tuple[float, tuple[Factor, ...], tuple[str, ...], tuple[DataEnd, ...]]:
    """Overturning moment, the factors it came from, what was put in for want of data, and where the data
    end before what the site states."""
    notes: list[str] = []
    ends: list[DataEnd] = []
    counted: tuple[Factor, ...] = ()
    most = number("tree", "overturning_most_diameter")
    tallest = number("tree", "overturning_most_height")
    slenderness = number("tree", "assumed_slenderness")
    reckoned = min(diameter, most.value)
    if diameter > most.value:
        notes.append(
            f"overturning: thicker than the trees that were pulled; reckoned as {most.value:g} m"
        )
        ends.append(DataEnd(what=STEM, stated=diameter, taken=most.value, source=most.source))
        counted = (
            Factor(
                name="diameter counted against overturning (the data end there)",
                value=reckoned,
                unit="m",
                source=most.source,
            ),
        )
    if height is None:
        tall, tall_source = slenderness.value * reckoned, slenderness.source
        notes.append(
            f"overturning: height of the tree not given; reckoned as {tall:.1f} m, a short tree of "
            "that thickness (project choice). Give the height for a better figure"
        )
    else:
        tall, tall_source = min(height, tallest.value), "site"
        if height > tallest.value:
            notes.append(
                f"overturning: taller than the trees pulled; reckoned as {tallest.value:g} m"
            )
            ends.append(
                DataEnd(what=HEIGHT, stated=height, taken=tallest.value, source=tallest.source)
            )
    known = coefficient(species.overturning, soil=soil, rooting=rooting)
    if known is None:
        weakest = number("tree", "overturning_least_coefficient")
        factor, factor_source = weakest.value, weakest.source
        notes.append(
            f"overturning: nothing published for {species.name} in this ground; the weakest "
            "published coefficient of any tree is used in its place (project choice)"
        )
    else:
        factor, factor_source = known, species.source_of("overturning")
        if soil is None or rooting is None:
            notes.append("overturning: soil or rooting depth not known; the weakest published used")
    lightest = number("tree", "least_stem_density")
    density, density_source = species.stem_density, species.source_of("stem_density")
    if density <= 0.0:
        density, density_source = lightest.value, lightest.source
    if species.volume is None:
        volume = stem.least_volume(diameter=reckoned, height=tall)
    else:
        volume = stem.stem_volume(diameter=reckoned, height=tall, form=species.volume)
    mass = density * volume
    factors = (
        *counted,
        Factor(name="height of the tree", value=tall, unit="m", source=tall_source),
        Factor(name="stem volume", value=volume, unit="m³", source="fonweban-2012"),
        Factor(name="stem density, green", value=density, unit="kg/m³", source=density_source),
        Factor(name="stem mass", value=mass, unit="kg", source="density × volume"),
        Factor(name="overturning coefficient", value=factor, unit="N·m/kg", source=factor_source),
    )
    moment = stem.overturning_moment(coefficient=factor, stem_mass=mass)
    return moment, factors, tuple(notes), tuple(ends)


def _checked_cavity(*, hollow: float, wood: float) -> float:
    """The cavity, if the rules for hollow stems let it pass."""
    if not (isfinite(hollow) and 0.0 <= hollow < wood):
        raise ValueError(f"hollow {hollow} m: must be at least 0 and under the wood, {wood:.3f} m")
    wall = number("tree", "hollow_least_wall").value
    loss = number("tree", "hollow_most_loss").value
    if 1.0 - hollow / wood < wall or (hollow / wood) ** 4 > loss:
        raise ValueError(
            f"hollow {hollow} m of {wood:.3f} m of wood: a sound wall of at least {wall:.0%} of "
            "the radius is needed; do not use this tree"
        )
    return hollow


def _too_thin(diameter: float) -> AnchorStrength:
    least = number("tree", "least_diameter")
    return AnchorStrength(
        capacity=0.0,
        unit="N·m",
        factors=(
            Factor(name="diameter over bark", value=diameter, unit="m", source="site"),
            Factor(name="least diameter", value=least.value, unit="m", source=least.source),
        ),
        governs=f"thinner than {least.value:g} m: not used as an anchor ({least.source})",
        outside=ALWAYS_OUTSIDE,
    )
