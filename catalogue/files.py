"""Reads the catalogue's own data files into value objects, one reader per kind of entry."""

import tomllib
from collections.abc import Callable, Iterator, Mapping
from importlib.resources import files
from types import MappingProxyType
from typing import Any, TypeVar

from catalogue.amounts import amount
from catalogue.entries import build, expand
from catalogue.gear import Bearing, Block, MadeTo, Needs, Shackle, Termination
from catalogue.ground import Surface
from catalogue.trees import ROOTINGS, SOILS, Species, overturning_key

T = TypeVar("T")
Entries = Iterator[dict[str, Any]]

FIBRE_SATURATION = 0.30
"""Moisture, by mass of dry wood, below which no living stem falls: textbook wood physics."""


def table(name: str) -> dict[str, Any]:
    """One data file as it stands."""
    return tomllib.loads(files("catalogue").joinpath(f"data/{name}.toml").read_text("utf-8"))


def families(name: str) -> Entries:
    """Entries of a file that is made of families."""
    for family in table(name).values():
        yield from expand(family)


def singles(name: str) -> Entries:
    """Entries of a file in which each table is one entry and its name the id."""
    for key, entry in table(name).items():
        yield {"id": key, **entry}


def by_id(kind: type[T], entries: Entries) -> Mapping[str, T]:
    """The value objects of the entries by id.

    Raises:
        ValueError: two entries have the same id, or one does not describe its kind.
    """
    found: dict[str, T] = {}
    for entry in entries:
        name = entry["id"]
        if name in found:
            raise ValueError(f"catalogue: {name!r} is there twice")
        try:
            found[name] = build(kind, entry)
        except ValueError as bad:
            raise ValueError(f"catalogue: {name!r}: {bad}") from bad
    return MappingProxyType(found)


def blocks(bearings: Mapping[str, Bearing]) -> Mapping[str, Block]:
    """Blocks, each with the eta of its bearing."""

    def entries() -> Entries:
        for entry in families("blocks"):
            bearing = bearings[entry["bearing"]]
            yield {**entry, "eta": bearing.eta, "eta_source": bearing.source}

    return by_id(Block, entries())


def shackles() -> Mapping[str, Shackle]:
    """Shackles; an unmarked one is rated by the field rule, so much per bow diameter squared."""

    def entries() -> Entries:
        for entry in families("shackles"):
            rule = entry.pop("wll_per_square", None)
            if rule is not None:
                diameter = amount(entry["bow_diameter"], "length")
                entry["wll_si"] = amount(rule, "force per square length") * diameter**2
            yield entry

    return by_id(Shackle, entries())


def terminations() -> Mapping[str, Termination]:
    """Knots, splices and fittings."""
    return by_id(
        Termination,
        (
            {
                **entry,
                "made_to": frozenset(MadeTo(word) for word in entry["made_to"]),
                "needs": Needs(entry["needs"]),
            }
            for entry in singles("terminations")
        ),
    )


def surfaces() -> Mapping[str, Surface]:
    """Surfaces."""
    return by_id(Surface, singles("surfaces"))


def species() -> Mapping[str, Species]:
    """Species, and "unknown": the weakest of every number in the list."""
    file = table("species")
    volumes = file.pop("volume")

    def entries() -> Entries:
        for family in file.values():
            for row in family["rows"]:
                entry = {key: value for key, value in family.items() if key != "rows"} | row
                gravity = entry.pop("specific_gravity", None)
                if gravity is not None:
                    entry["stem_density_si"] = 1000.0 * gravity * (1 + FIBRE_SATURATION)
                form = entry.get("volume")
                entry["volume"] = tuple(volumes[form]) if form else None
                if form:
                    entry["volume_source"] = volumes["source"]
                entry["overturning"] = _overturning(entry.get("overturning"))
                yield entry

    known = by_id(Species, entries())
    unknown = _weakest(known, tuple(volumes["other"]), volumes["source"])
    return MappingProxyType({**known, unknown.id: unknown})


def _overturning(given: float | Mapping[str, list[float]] | None) -> dict[str, float]:
    """Coefficients by soil and rooting; one number serves for all of them."""
    if given is None:
        return {}
    if isinstance(given, float):
        return {overturning_key(soil, root): given for soil in SOILS for root in ROOTINGS}
    return {
        overturning_key(soil, root): value
        for soil, row in given.items()
        for root, value in zip(ROOTINGS, row, strict=True)
    }


def _weakest(
    known: Mapping[str, Species], volume: tuple[float, float, float], volume_source: str
) -> Species:
    """A tree nobody can name: every number the weakest in the list, whatever species it is from."""

    def least(of: Callable[[Species], float]) -> float:
        return min(map(of, known.values()))

    pulled = [each.overturning for each in known.values() if each.overturning]
    return Species(
        id="unknown",
        name="species not known: the weakest of all in the list",
        rupture=least(lambda each: each.rupture),
        compression=least(lambda each: each.compression),
        knot_factor=least(lambda each: each.knot_factor),
        bark=max(each.bark for each in known.values()),
        stem_density=least(lambda each: each.stem_density),
        overturning={key: min(row[key] for row in pulled) for key in pulled[0]},
        volume=volume,
        source="derived",
        bark_source="derived",
        overturning_source="derived",
        note="The volume form is the lesser of the two from a diameter of about 15 cm on.",
        value_sources=(("volume", volume_source),),
    )
