"""What an anchor that people make stands: pickets, a buried log, a boulder, a parked vehicle.

Each gives the force that it is allowed to bear, with every number that went into it, and never more
than the least of what can fail.
"""

from collections.abc import Mapping

from catalogue.trees import Species
from optimiser.mechanics.anchor import anchorage, on_ground, stem
from optimiser.mechanics.published import number, source_of
from optimiser.mechanics.values import AnchorStrength, Factor

IN_THE_GROUND = (
    "soil that was dug or filled before, is saturated, frozen or thawing, or has roots and stones in it",
    "a crest, ditch or hole within twice the depth in front of it",
)
ON_THE_GROUND = ("wet, icy or loose ground under it, and a bed of loose stones",)


def holdfast(*, system: str, steel: bool, soil: str) -> AnchorStrength:
    """Force [N] allowed on a picket holdfast.

    system: number of pickets in each group from the load backwards, "3-2-1"; steel: steel pickets, whose
    published figure is a safe load, in place of wooden ones, whose figures are what they held.
    ValueError for a system or soil that is not published. Sources: see `anchorage`.
    """
    if steel:
        share = anchorage.soil_share(soil)
        count = sum(anchorage.groups(system))
        load = anchorage.steel_pickets(count=count)
        return _least(
            {"the steel pickets' safe load": load * share},
            Factor(name="pickets", value=count, unit="", source="site"),
            Factor(name="safe load in good ground", value=load, unit="N", source="disaster-rescue"),
            Factor(name="soil", value=share, unit="", source="fm-5-125"),
            outside=IN_THE_GROUND,
        )
    holds = anchorage.picket_holdfast(system=system, soil=soil)
    factor = number("anchorage", "holding_factor")
    return _least(
        {"the ground before the pickets": holds / factor.value},
        Factor(
            name=f"{system} pickets hold in {soil}",
            value=holds,
            unit="N",
            source=anchorage.source_of_holdfast(system),
        ),
        Factor(name="holding / allowed", value=factor.value, unit="", source=factor.source),
        outside=IN_THE_GROUND,
    )


def deadman(
    *, diameter: float, length: float, depth: float, run: float, soil: str, wood: Species,
    sling: float | None,
) -> AnchorStrength:  # fmt: skip
    """Force [N] allowed on a buried log, pulled at its middle along a trench that rises 1 in `run`.

    The ground holds HP d (L − 1 ft). The log bends as a beam under even pressure: M = F L / 8, against
    green wood of the species. diameter d, length L, mean depth [m]; sling: what the sling round it is
    rated for [N], None: unrated, and then so is the anchor. ValueError for what the tables do not cover
    and for a log more than 5 times as long as it is thick. Sources: tm-5-5420-278-10; wood-handbook.
    """
    pressure = anchorage.deadman_pressure(depth=depth, run=run, soil=soil)
    trench = number("anchorage", "deadman_trench")
    most = number("anchorage", "deadman_log_ratio").value
    if length / diameter > most + 1e-9:
        raise ValueError(
            f"a log {length:g} m long and {diameter:g} m thick: more than {most:g} times as long as "
            "thick; take a thicker or a shorter one"
        )
    if length <= trench.value:
        raise ValueError(
            f"a log {length:g} m long: the trench of the line takes {trench.value:g} m of it"
        )
    factor = number("anchorage", "holding_factor")
    holds = pressure * diameter * (length - trench.value)
    modulus = stem.section_modulus(diameter=stem.inside_bark(diameter=diameter, bark=wood.bark))
    yields, breaks = number("tree", "compression_safety"), number("tree", "rupture_safety")
    limits = {
        "the ground before the log": holds / factor.value,
        "green wood yields in bending": 8.0 * modulus * wood.compression / yields.value / length,
        "the log breaks at its knots": 8.0
        * modulus
        * wood.knot_factor
        * wood.rupture
        / breaks.value
        / length,
    }
    if sling is not None:
        limits["the sling round the log"] = sling
    strength = _least(
        limits,
        Factor(
            name=f"holding power in {soil}, line rising 1 in {run:g}",
            value=pressure, unit="Pa", source=source_of("anchorage", "deadman"),
        ),
        Factor(name="trench of the line", value=trench.value, unit="m", source=trench.source),
        Factor(name="the ground holds", value=holds, unit="N", source="derived"),
        Factor(name="holding / allowed", value=factor.value, unit="", source=factor.source),
        Factor(name="section modulus in bark", value=modulus, unit="m³", source="gilman"),
        Factor(name="safety on yield", value=yields.value, unit="", source=yields.source),
        Factor(name="safety on rupture", value=breaks.value, unit="", source=breaks.source),
        outside=(*IN_THE_GROUND, "rot in the log"),
    )  # fmt: skip
    if sling is None:
        return AnchorStrength(
            capacity=None, unit="N", factors=strength.factors,
            governs="the sling round the log has no rating", outside=strength.outside,
        )  # fmt: skip
    return strength


def by_weight(
    *, weight: float, held: float, friction: float, friction_source: str, half_foot: float,
    height: float, centre: float, slope: float, rise: float,
) -> AnchorStrength:  # fmt: skip
    """Force [N] allowed on a boulder or a parked vehicle, of any rise up to `rise`.

    weight [N]; held: share of it on what cannot roll; the rest as in `on_ground`.
    """
    factor = number("anchorage", "resting_factor")
    slides = on_ground.sliding_pull(weight=weight * held, friction=friction, slope=slope, rise=rise)
    tips = on_ground.tipping_pull(
        weight=weight, half_foot=half_foot, height=height, centre=centre, slope=slope, rise=rise
    )
    return _least(
        {"it slides": slides / factor.value, "it tips": tips / factor.value},
        Factor(name="weight", value=weight, unit="N", source="site"),
        Factor(name="share that cannot roll", value=held, unit="", source="site"),
        Factor(name="friction", value=friction, unit="", source=friction_source),
        Factor(name="slides at", value=slides, unit="N", source="derived"),
        Factor(name="tips at", value=tips, unit="N", source="derived"),
        Factor(
            name="against sliding and tipping", value=factor.value, unit="", source=factor.source
        ),
        outside=ON_THE_GROUND,
    )


def _least(
    limits: Mapping[str, float], *factors: Factor, outside: tuple[str, ...]
) -> AnchorStrength:
    governs = min(limits, key=lambda name: limits[name])
    allowed = (
        Factor(name=f"allowed: {name}", value=value, unit="N", source="least governs")
        for name, value in limits.items()
    )
    return AnchorStrength(
        capacity=limits[governs], unit="N", factors=(*factors, *allowed), governs=governs,
        outside=outside,
    )  # fmt: skip
