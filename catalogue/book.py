"""The catalogue: every generic kind of gear, ground, tree and puller by id."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cache, cached_property
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
    Protector,
    Rope,
    Shackle,
    Strap,
    Termination,
)
from catalogue.ground import Footing, Surface
from catalogue.pullers import PullerKind
from catalogue.trees import Species

LAID = "laid"
"""The id of what lies on an edge already; never that of a piece of gear."""
NO_GEAR = (
    f"'{LAID}' is what lies on an edge already, no gear: write edge_protected = true on the legs of the path "
    "where it lies"
)
"""What to say to somebody who takes it for gear."""

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


class Catalogue:
    """All kinds, by id. Ids are unique within a kind, and among all gear.

    A kind is read from its file when it is first requested: most commands need a few of them.

    Raises (where a kind is first requested):
        ValueError: an id stands twice, or an entry of a data file does not describe its kind.
    """

    @cached_property
    def ropes(self) -> Mapping[str, Rope]:
        return files.by_id(Rope, files.families("ropes"))

    @cached_property
    def blocks(self) -> Mapping[str, Block]:
        return files.blocks(self.bearings)

    @cached_property
    def shackles(self) -> Mapping[str, Shackle]:
        return files.shackles()

    @cached_property
    def straps(self) -> Mapping[str, Strap]:
        return files.by_id(Strap, files.families("straps"))

    @cached_property
    def chains(self) -> Mapping[str, Chain]:
        return files.by_id(Chain, files.families("chains"))

    @cached_property
    def hooks(self) -> Mapping[str, Hook]:
        return files.by_id(Hook, files.families("hooks"))

    @cached_property
    def protectors(self) -> Mapping[str, Protector]:
        """What somebody lays on an edge; not `laid_already`."""
        return MappingProxyType({id: own for id, own in self._laid.items() if id != LAID})

    @property
    def laid_already(self) -> Protector:
        """What lies on a protected edge of a site already, where nobody says what it is: no gear."""
        return self._laid[LAID]

    @cached_property
    def _laid(self) -> Mapping[str, Protector]:
        return files.by_id(Protector, files.families("protectors"))

    @cached_property
    def terminations(self) -> Mapping[str, Termination]:
        return files.terminations()

    @cached_property
    def conditions(self) -> Mapping[str, Condition]:
        return files.by_id(Condition, files.singles("conditions"))

    @cached_property
    def surfaces(self) -> Mapping[str, Surface]:
        return files.surfaces()

    @cached_property
    def footings(self) -> Mapping[str, Footing]:
        return files.by_id(Footing, files.singles("footings"))

    @cached_property
    def species(self) -> Mapping[str, Species]:
        return files.species()

    @cached_property
    def bearings(self) -> Mapping[str, Bearing]:
        return files.by_id(Bearing, files.singles("bearings"))

    @cached_property
    def pullers(self) -> Mapping[str, PullerKind]:
        return files.by_id(PullerKind, files.singles("pullers"))

    @cached_property
    def gear(self) -> Mapping[str, AnyGear]:
        """Ropes, blocks, shackles, straps, chains, hooks and edge protectors together."""
        gear: dict[str, AnyGear] = {}
        for kind in (
            self.ropes, self.blocks, self.shackles, self.straps, self.chains, self.hooks,
            self.protectors,
        ):  # fmt: skip
            twice = gear.keys() & kind.keys()
            if twice:
                raise ValueError(f"catalogue: {sorted(twice)} are ids of two kinds of gear")
            gear.update(kind)
        return MappingProxyType(gear)

    def kind_of(self, entry: Entry) -> str:
        """The word a listing calls the kind of an entry. KeyError for one that is not of this catalogue."""
        for kind, of in self.kinds().items():
            if of.get(entry.id) is entry:
                return kind
        raise KeyError(entry.id)

    def kinds(self) -> Mapping[str, Mapping[str, Entry]]:
        """Every kind by the word a listing calls it."""
        return {
            "rope": self.ropes,
            "block": self.blocks,
            "shackle": self.shackles,
            "strap": self.straps,
            "chain": self.chains,
            "hook": self.hooks,
            "edge protector": self.protectors,
            "knot or end": self.terminations,
            "condition": self.conditions,
            "surface": self.surfaces,
            "footing": self.footings,
            "tree": self.species,
            "bearing": self.bearings,
            "puller": self.pullers,
        }

    def find(self, word: str | None = None) -> tuple[Entry, ...]:
        """Entries with all of the words in their kind, id or name, in the order of the files. Words are whole
        ones, also in the plural; a part of an id between its hyphens is one, and 12mm is two."""
        wanted = _words(_UNIT.sub(r"\1 \2", (word or "").replace('"', " in")))
        return tuple(
            entry
            for kind, entries in self.kinds().items()
            for entry in entries.values()
            if _has(words_of(kind, entry), wanted)
        )


_UNIT = re.compile(r"(\d)(mm|cm|m|in|ft)\b", re.IGNORECASE)


def words_of(kind: str, entry: Entry) -> list[str]:
    """The words of an entry: of its kind, its id and the parts of that, and its name."""
    return _words(f"{kind} {entry.id} {entry.id.replace('-', ' ')} {entry.name}")


def _words(text: str) -> list[str]:
    return [word.strip(",;:()") for word in text.casefold().split()]


def _has(words: list[str], wanted: list[str]) -> bool:
    """Whether every wanted word is there, as it is or without the s of a plural."""
    return all(word in words or (word[-1:] == "s" and word[:-1] in words) for word in wanted)


def figures(entry: Entry) -> Iterator[Figure]:
    """The numbers of an entry that are not flags, with the source of each.

    A missing rating is listed as None; any other missing number is left out.
    """
    for field in fields(entry):
        value = getattr(entry, field.name)
        number = isinstance(value, int | float) and not isinstance(value, bool)
        unrated = value is None and field.name in ("wll", "mbs") and field.default is MISSING
        if isinstance(entry, Termination) and field.name in ("turns", "least_trunk") and not value:
            continue  # it is not led round anything
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
    """The catalogue that ships with the program."""
    return Catalogue()
