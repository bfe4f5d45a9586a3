"""`bankhaul gear`: what the catalogue knows."""

from typing import TYPE_CHECKING, Any

import click

from optimiser.commands.options import form_option, print_report

if TYPE_CHECKING:
    from catalogue.book import Catalogue, Entry, Figure
    from catalogue.gear import Termination
    from shared.listing import Listing

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


@click.command("gear")
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option(
    "--units",
    type=click.Choice(("metric", "imperial")),
    default="metric",
    show_default=True,
    help="Units of tables and Markdown; CSV and JSON are SI.",
)
@form_option
def command(words: tuple[str, ...], units: str, form: str) -> None:
    """List the catalogue of gear.

    Its kinds with the ids of each, or all about what has every WORD in its id, name or kind. Markdown, CSV
    and JSON have all about everything.

    \b
    Example: bankhaul gear polyester
    """
    from catalogue.book import load_catalogue
    from shared.errors import Fault, InputError
    from shared.words import did_you_mean

    book = load_catalogue()
    word = " ".join(words)
    found = book.find(word)
    if not found:
        named = (part for entry in book.find() for part in (entry.id, *entry.name.split()))
        near = did_you_mean(word, {*book.kinds(), *named})
        raise InputError("catalogue", [Fault("", f"nothing has '{word}' in it{near}")])
    if not word and form == "table":
        print_report([("", kinds(found, book)), ("", KINDS)], form, units)
        return
    data = [record(entry, book) for entry in found] if form == "json" else None
    system = "metric" if form == "csv" else units
    print_report([("", listing(found, book, system))], form, units, data=data)


KINDS = "`bankhaul gear WORD` prints all about a kind, a name or an id: `bankhaul gear shackle`."


def kinds(entries: "tuple[Entry, ...]", book: "Catalogue") -> "Listing":
    """One row a kind: how many entries it has, and their ids."""
    from shared.listing import Column, Kind, Listing, Where

    ids: dict[str, list[str]] = {}
    for entry in entries:
        ids.setdefault(book.kind_of(entry), []).append(entry.id)
    return Listing(
        columns=(
            Column(key="kind", heading="kind"),
            Column(key="count", heading="entries", kind=Kind.COUNT),
            Column(key="ids", heading="ids", where=Where.UNDER),
        ),
        rows=tuple(
            {"kind": kind, "count": len(of), "ids": ", ".join(of)} for kind, of in ids.items()
        ),
    )


def listing(entries: "tuple[Entry, ...]", book: "Catalogue", system: str = "metric") -> "Listing":
    """One row an entry: its id, what it is, and its figures with their sources."""
    from shared.listing import Column, Listing, Where

    return Listing(
        columns=(
            Column(key="id", heading="id"),
            Column(key="kind", heading="kind"),
            Column(key="name", heading="name"),
            Column(key="figures", heading="figures", where=Where.UNDER),
        ),
        rows=tuple(
            {
                "id": entry.id,
                "kind": book.kind_of(entry),
                "name": entry.name,
                "figures": figures_worded(entry, system),
            }
            for entry in entries
        ),
    )


def figures_worded(entry: "Entry", system: str = "metric") -> str:
    """Every figure of an entry by name, with its unit; a source's key after those it gives."""
    from catalogue.book import figures

    clauses: list[str] = []
    found = list(figures(entry))
    for number, figure in enumerate(found):
        last = number + 1 == len(found) or found[number + 1].source != figure.source
        source = f" [{figure.source}]" if last else ""
        name = _SHORT.get(figure.field, figure.field.replace("_", " "))
        clauses.append(f"{name} {shown(figure, system)}{source}")
    return ", ".join([*_made(entry), *clauses])


def _made(entry: "Entry") -> list[str]:
    """What a termination is made to, what it needs of the rope and what it takes besides, in words; what a
    rope runs on, and how it rubs there."""
    from catalogue.gear import Protector, Termination

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


def _rubs(surface: str) -> "dict[tuple[float, float, tuple[str, ...]], list[str]]":
    """Friction on a surface, low and high with the sources: the materials of the catalogue's ropes."""
    from catalogue.book import load_catalogue
    from catalogue.edges import on_material

    out: dict[tuple[float, float, tuple[str, ...]], list[str]] = {}
    for material in dict.fromkeys(rope.material for rope in load_catalogue().ropes.values()):
        row = on_material(surface, material)
        out.setdefault((row.low, row.high, row.sources), []).append(material)
    return out


def _made_to(entry: "Termination") -> str:
    """Every fixture, in one order."""
    from catalogue.gear import MadeTo

    *others, last = [_FIXTURES[kind.value] for kind in MadeTo if kind in entry.made_to]
    return f"{', '.join(others)} or {last}" if others else last


def shown(figure: "Figure", system: str = "metric") -> str:
    """One figure with its unit."""
    from shared.reworded import reworded
    from shared.units import Dimension, show

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


def record(entry: "Entry", book: "Catalogue") -> dict[str, Any]:
    """An entry for JSON: its figures in SI, each with the key of its source."""
    from catalogue.book import figures
    from catalogue.gear import MadeTo, Protector, Termination

    made: dict[str, Any] = {}
    if isinstance(entry, Protector):
        made = {
            "surface": entry.surface,
            "made_on_the_spot": entry.made,
            "fixing": entry.fixing,
            "friction": [
                {"materials": materials, "low": low, "high": high, "sources": sources}
                for (low, high, sources), materials in _rubs(entry.surface).items()
            ],
        }
    if isinstance(entry, Termination):
        made = {
            "made_to": [kind.value for kind in MadeTo if kind in entry.made_to],
            "needs": entry.needs.value,
            "besides": entry.besides,
        }
    return {
        "id": entry.id,
        "kind": book.kind_of(entry),
        "name": entry.name,
        "source": entry.source,
        **made,
        "figures": [
            {
                "name": figure.field,
                "value": figure.value,
                "dimension": figure.dimension,
                "source": figure.source,
            }
            for figure in figures(entry)
        ],
    }
