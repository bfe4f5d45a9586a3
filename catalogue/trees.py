"""Tree species as anchors. Strengths are green (unseasoned) wood, Pa."""

from dataclasses import dataclass

SOILS = ("free-draining", "gleyed", "peaty", "deep-peat")
"""Freely draining mineral, waterlogged (gleyed) mineral, peaty mineral, deep peat."""

ROOTINGS = ("shallow", "medium", "deep")
"""Rooting less than 0.8 m deep, about that, and more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """Green-wood strength and root-plate coefficient of one species.

    `rupture`: modulus of rupture of clear wood. `compression`: strength along the grain.
    `knot_factor`: share of rupture left by knots. `bark`: single bark thickness / diameter.
    `overturning`: N·m per kg of stem mass by `overturning_key(soil, rooting)`, or empty where none
    is published; `volume`: (p0, p1, p2) of V = p0 d^p1 h^p2 (m³; d in cm, h in m), None where none
    is published; `stem_density` kg/m³. Where one is missing that of species "unknown", the lowest
    of all, stands in for it. `value_sources`: (field, source key) of the other values.
    """

    id: str
    name: str
    rupture: float
    compression: float
    knot_factor: float
    bark: float
    stem_density: float
    overturning: dict[str, float]
    volume: tuple[float, float, float] | None
    source: str
    bark_source: str
    overturning_source: str
    note: str = ""
    value_sources: tuple[tuple[str, str], ...] = ()

    def source_of(self, field: str) -> str:
        """Key of the source of one field's value."""
        own = {"bark": self.bark_source, "overturning": self.overturning_source}
        return (own | dict(self.value_sources)).get(field, self.source)


def overturning_key(soil: str, rooting: str) -> str:
    """Key into `Species.overturning` for one of `SOILS` and one of `ROOTINGS`."""
    return f"{soil}/{rooting}"
