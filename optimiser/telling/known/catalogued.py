"""Describes the fields of the catalogue's entries, and lists them by kind or with all their figures."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalogue.book import Catalogue, Entry, Figure, figures, load_catalogue
from catalogue.edges import on_material
from catalogue.gear import MadeTo, Protector, Termination
from catalogue.inches import called, inches_of, kinds_called, size_of
from optimiser.telling.fields.common import COUNT, FLAG, MEASURE, RATIO, TEXT, TEXTS
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.reworded import reworded
from shared.units import Dimension, show

KINDS = "`bankhaul gear WORD` prints all about a kind, a name or an id: `bankhaul gear shackle`."
_FIXTURES = {
    "eye": "a closed eye",
    "shackle": "a shackle",
    "bar": "a bar",
    "trunk": "a trunk",
    "rope": "a rope along its length",
    "rope end": "another rope's bare end",
    "hook": "a hook",
    "becket": "a becket",
}
_NEEDS = {
    "free end": "a bare end",
    "bight": "no end, it is made anywhere along the rope",
    "fitted": "to be on the rope already",
}
_SHORT = {
    "least_trunk": "least trunk / rope diameter",
    "mass_per_metre": "mass per length",
    "wll": "WLL",
    "mbs": "MBS",
}


@dataclass(frozen=True, slots=True)
class Shelf:
    """An entry in its catalogue."""

    entry: Entry
    book: Catalogue
    lines: str = ""
    """Of a site file, where somebody owns it."""


Rub = tuple[tuple[float, float, tuple[str, ...]], list[str]]
"""Friction at least and at most with its sources, and of which materials."""

KIND: Record[tuple[str, Sequence[str]]] = Record("kinds", "a kind of gear", (
    Column("kind", lambda k: k[0], TEXT, "the kind", "kind"),
    Column("count", lambda k: len(k[1]), COUNT, "entries of it", "entries"),
    Column("ids", lambda k: ", ".join(k[1]), TEXT, "their ids", "ids", where=Where.UNDER),
    Column("called", say=lambda k, system: _called(k[1], system), heading="called", where=Where.NOTE),
))  # fmt: skip

FRICTION: Record[Rub] = Record("friction", "how ropes rub on what is laid", (
    Column("materials", lambda r: r[1], TEXTS, "of which materials"),
    Column("low", lambda r: r[0][0], RATIO, "friction at least"),
    Column("high", lambda r: r[0][1], RATIO, "friction at most"),
    Column("sources", lambda r: r[0][2], TEXTS, "keys of the sources"),
))  # fmt: skip

FIGURE: Record[Figure] = Record("figure", "a figure of an entry, in SI", (
    Column("name", lambda f: f.field, TEXT, "which figure"),
    Column("value", lambda f: f.value, MEASURE, "its value; nothing: UNRATED", none=True),
    Column("dimension", lambda f: f.dimension, TEXT, "what it measures; empty: a plain number"),
    Column("source", lambda f: f.source, TEXT, "key of the source"),
))  # fmt: skip

ENTRY: Record[Shelf] = Record("entries", "an entry of the catalogue", (
    Column("id", lambda s: s.entry.id, TEXT, "its id, as site files name it", "id"),
    Column("kind", lambda s: s.book.kind_of(s.entry), TEXT, "its kind", "kind"),
    Column("name", lambda s: s.entry.name, TEXT, "what it is", "name",
           say=lambda s, system: called(s.entry, system)),
    Column("inches", lambda s: _in_inches(s.entry), TEXT, "what its size is called in inches", none=True),
    Column("nominal", lambda s: _nominal(s.entry), FLAG, "whether that is only what it is called"),
    Column("site_file", lambda s: s.lines, TEXT, "lines of a site file for it", when=lambda s: bool(s.lines)),
    Column("source", lambda s: s.entry.source, TEXT, "key of the source"),
    Column("surface", lambda s: _protector(s).surface, TEXT, "what the rope runs on",
           when=lambda s: _lies(s)),
    Column("made_on_the_spot", lambda s: _protector(s).made, FLAG, "whether it is made on the spot",
           when=lambda s: _lies(s)),
    Column("fixing", lambda s: _protector(s).fixing, TEXT, "how it is kept in place",
           when=lambda s: _lies(s)),
    Column("friction", lambda s: _rubs(_protector(s).surface).items(), Many(FRICTION), "how ropes rub there",
           when=lambda s: _lies(s)),
    Column("made_to", lambda s: [kind for kind in MadeTo if kind in _knot(s).made_to], Many(MadeTo),
           "what it is made to", when=lambda s: _ties(s)),
    Column("needs", lambda s: _knot(s).needs.value, TEXT, "what it needs of the rope",
           when=lambda s: _ties(s)),
    Column("besides", lambda s: _knot(s).besides, TEXT, "what it takes besides", when=lambda s: _ties(s)),
    Column("figures", lambda s: figures(s.entry), Many(FIGURE), "its figures"),
    Column("figures", say=lambda s, system: figures_worded(s.entry, system), heading="figures",
           where=Where.NOTE),
))  # fmt: skip


def kinds(entries: tuple[Entry, ...], book: Catalogue, system: str = "metric") -> Listing:
    """One row a kind: how many entries it has, and their ids."""
    ids: dict[str, list[str]] = {}
    for entry in entries:
        ids.setdefault(book.kind_of(entry), []).append(entry.id)
    return Listing.of(KIND, ids.items(), system)


def listing(entries: tuple[Entry, ...], book: Catalogue, system: str = "metric") -> Listing:
    """One row an entry: its id, what it is, and its figures with their sources."""
    return Listing.of(ENTRY, (Shelf(entry, book) for entry in entries), system)


def _in_inches(entry: Entry) -> str | None:
    own = inches_of(entry)
    return None if own is None else own.worded


def _nominal(entry: Entry) -> bool:
    own = inches_of(entry)
    return own is not None and own.nominal


def _nominally(entry: Entry, figure: Figure) -> str:
    """What a size is called in inches, behind it; "" where it has no such name."""
    found, own = size_of(entry), inches_of(entry)
    if found is None or own is None or found[0] != figure.field or not own.nominal:
        return ""
    return f" (nominally {own.worded})"


def _called(ids: Sequence[str], system: str) -> str | None:
    """What the sizes of a kind are called in inches, for people who read inches."""
    if system != "imperial":
        return None
    gear = load_catalogue().gear
    return kinds_called(tuple(gear[id] for id in ids if id in gear)) or None


def _lies(shelf: Shelf) -> bool:
    return isinstance(shelf.entry, Protector)


def _ties(shelf: Shelf) -> bool:
    return isinstance(shelf.entry, Termination)


def _protector(shelf: Shelf) -> Protector:
    assert isinstance(shelf.entry, Protector)
    return shelf.entry


def _knot(shelf: Shelf) -> Termination:
    assert isinstance(shelf.entry, Termination)
    return shelf.entry


def figures_worded(entry: Entry, system: str = "metric") -> str:
    """Every figure of an entry by name, with its unit; a source's key after those it gives."""
    clauses: list[str] = []
    found = list(figures(entry))
    for number, figure in enumerate(found):
        last = number + 1 == len(found) or found[number + 1].source != figure.source
        source = f" [{figure.source}]" if last else ""
        name = _SHORT.get(figure.field, figure.field.replace("_", " "))
        clauses.append(f"{name} {shown(figure, system)}{_nominally(entry, figure)}{source}")
    return ", ".join([*_made(entry), *clauses])


def _made(entry: Entry) -> list[str]:
    """What a termination is made to, what it needs of the rope and what it takes besides, in words; what a
    rope runs on, and how it rubs there."""
    if isinstance(entry, Protector):
        out = ["made on the spot"] if entry.made else []
        out.append(f"the rope runs on: {entry.surface} [{entry.source_of('surface')}]")
        out += [
            f"friction {low:.2f}..{high:.2f} for {', '.join(materials)} [{', '.join(sources)}]"
            for (low, high, sources), materials in _rubs(entry.surface).items()
        ]
        return [*out, f"{entry.fixing} [{entry.source_of('fixing')}]"]
    if not isinstance(entry, Termination):
        return []
    out = [f"made to {_made_to(entry)} [{entry.source_of('made_to')}]"]
    out.append(f"needs {_NEEDS[entry.needs.value]} [{entry.source_of('needs')}]")
    if entry.besides:
        out.append(f"takes {entry.besides} [{entry.source_of('besides')}]")
    return out


def _rubs(surface: str) -> dict[tuple[float, float, tuple[str, ...]], list[str]]:
    """Friction on a surface, low and high with the sources: the materials of the catalogue's ropes."""
    out: dict[tuple[float, float, tuple[str, ...]], list[str]] = {}
    for material in dict.fromkeys(rope.material for rope in load_catalogue().ropes.values()):
        row = on_material(surface, material)
        out.setdefault((row.low, row.high, row.sources), []).append(material)
    return out


def _made_to(entry: Termination) -> str:
    """Every fixture, in one order."""
    *others, last = [_FIXTURES[kind.value] for kind in MadeTo if kind in entry.made_to]
    return f"{', '.join(others)} or {last}" if others else last


def shown(figure: Figure, system: str = "metric") -> str:
    """One figure with its unit."""
    value = figure.value
    if value is None:
        return "UNRATED"
    if figure.dimension == "length":
        return show(value, Dimension.SIZE if value < 0.3 else Dimension.LENGTH, system)
    if figure.dimension == "stress":
        return reworded(f"{value / 1e6:.1f} MPa", system)
    if figure.dimension == "density":
        return reworded(f"{value:.0f} kg/m³", system)
    return show(value, Dimension(figure.dimension), system) if figure.dimension else f"{value:.3g}"
