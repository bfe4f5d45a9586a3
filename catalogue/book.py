"""The catalogue: every generic kind of gear, ground, tree and puller by id."""

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cache
from types import MappingProxyType

from catalogue import files
from catalogue.entries import DIMENSIONS
from catalogue.gear import (
    AnyGear,
    Bearing,
    Block,
    Chain,
    Condition,
    Gear,
    Hook,
    Rope,
    Shackle,
    Strap,
    Termination,
)
from catalogue.ground import Footing, Surface
from catalogue.pullers import PullerKind
from catalogue.trees import Species

Entry = Gear | Surface | Footing | Species


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number of an entry for a listing.

    SI `value` (None: unrated), its dimension ("" for a plain number) and the key of its source.
    """

    field: str
    value: float | None
    dimension: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """All kinds, by id. Ids are unique within a kind, and among all gear."""

    ropes: Mapping[str, Rope]
    blocks: Mapping[str, Block]
    shackles: Mapping[str, Shackle]
    straps: Mapping[str, Strap]
    chains: Mapping[str, Chain]
    hooks: Mapping[str, Hook]
    terminations: Mapping[str, Termination]
    conditions: Mapping[str, Condition]
    surfaces: Mapping[str, Surface]
    footings: Mapping[str, Footing]
    species: Mapping[str, Species]
    bearings: Mapping[str, Bearing]
    pullers: Mapping[str, PullerKind]
    gear: Mapping[str, AnyGear]  # ropes, blocks, shackles, straps, chains and hooks together

    def kinds(self) -> Mapping[str, Mapping[str, Entry]]:
        """Every kind by the word a listing calls it."""
        return {
            "rope": self.ropes,
            "block": self.blocks,
            "shackle": self.shackles,
            "strap": self.straps,
            "chain": self.chains,
            "hook": self.hooks,
            "knot or end": self.terminations,
            "condition": self.conditions,
            "surface": self.surfaces,
            "footing": self.footings,
            "tree": self.species,
            "bearing": self.bearings,
            "puller": self.pullers,
        }

    def find(self, word: str | None = None) -> tuple[Entry, ...]:
        """Entries with all of the words in their kind, id or name, in the order of the files."""
        wanted = (word or "").casefold().split()
        return tuple(
            entry
            for kind, entries in self.kinds().items()
            for entry in entries.values()
            if all(part in f"{kind} {entry.id} {entry.name}".casefold() for part in wanted)
        )


def figures(entry: Entry) -> Iterator[Figure]:
    """The numbers of an entry that are not flags, with the source of each.

    A missing rating is listed as None; any other missing number is left out.
    """
    for field in fields(entry):
        value = getattr(entry, field.name)
        number = isinstance(value, int | float) and not isinstance(value, bool)
        unrated = value is None and field.name in ("wll", "mbs") and field.default is MISSING
        if number or unrated:
            if isinstance(entry, Footing):
                own = entry.person_source if field.name == "per_person" else entry.source
            else:
                own = entry.source if isinstance(entry, Surface) else entry.source_of(field.name)
            yield Figure(
                field=field.name,
                value=value,
                dimension=DIMENSIONS.get(field.name, ""),
                source=own,
            )


@cache
def load_catalogue() -> Catalogue:
    """The catalogue that ships with the program.

    Raises:
        ValueError: an id stands twice, or an entry of a data file does not describe its kind.
    """
    bearings = files.by_id(Bearing, files.singles("bearings"))
    ropes = files.by_id(Rope, files.families("ropes"))
    blocks = files.blocks(bearings)
    shackles = files.shackles()
    straps = files.by_id(Strap, files.families("straps"))
    chains = files.by_id(Chain, files.families("chains"))
    hooks = files.by_id(Hook, files.families("hooks"))
    gear: dict[str, AnyGear] = {}
    for kind in (ropes, blocks, shackles, straps, chains, hooks):
        twice = gear.keys() & kind.keys()
        if twice:
            raise ValueError(f"catalogue: {sorted(twice)} are ids of two kinds of gear")
        gear.update(kind)
    return Catalogue(
        ropes=ropes,
        blocks=blocks,
        shackles=shackles,
        straps=straps,
        chains=chains,
        hooks=hooks,
        terminations=files.by_id(Termination, files.singles("terminations")),
        conditions=files.by_id(Condition, files.singles("conditions")),
        surfaces=files.surfaces(),
        footings=files.by_id(Footing, files.singles("footings")),
        species=files.species(),
        bearings=bearings,
        pullers=files.by_id(PullerKind, files.singles("pullers")),
        gear=MappingProxyType(gear),
    )
