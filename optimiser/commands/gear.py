"""`bankhaul gear`: what the catalogue knows."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import form_option, print_report

if TYPE_CHECKING:
    from catalogue.book import Catalogue
    from catalogue.spoken import Candidates


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
    and JSON have all about everything. What you own may be named as you would say it, with its size, number
    or length, such as half-inch rope, 100 ft: then it says what that may be, and gives the lines of a site
    file for it.

    Example: bankhaul gear half-inch rope, 100 ft
    """
    from catalogue.book import load_catalogue
    from catalogue.spoken import candidates_for
    from optimiser.telling.known.catalogued import ENTRY, KINDS, Shelf, kinds, listing
    from shared.errors import Fault, InputError
    from shared.words import did_you_mean

    book = load_catalogue()
    word = " ".join(words)
    candidates = candidates_for(word, book)
    if candidates is not None:
        print_candidates(candidates, book, units, form)
        return
    found = book.find(word)
    if not found:
        named = (
            part
            for entry in book.find()
            for part in (entry.id, *entry.name.replace(",", " ").split())
        )
        near = did_you_mean(word, {*book.kinds(), *named})
        raise InputError("catalogue", [Fault("", f"nothing has '{word}' in it{near}")])
    if not word and form == "table":
        print_report([("", kinds(found, book, units)), ("", KINDS)], form, units)
        return
    data = [ENTRY.json(Shelf(entry, book)) for entry in found] if form == "json" else None
    system = "metric" if form == "csv" else units
    print_report([("", listing(found, book, system))], form, units, data=data)


def print_candidates(candidates: "Candidates", book: "Catalogue", units: str, form: str) -> None:
    """Print what something may be that somebody owns, and the lines of a site file for it. Raises InputError
    where too little was said."""
    from optimiser.telling.known.catalogued import ENTRY, Shelf, listing
    from optimiser.telling.known.owned_words import lines, sentences, too_little
    from shared.errors import Fault, InputError
    from shared.listing import READABLE, wrapped
    from shared.terminal import terminal_width

    more = too_little(candidates)
    if more:
        raise InputError("catalogue", [Fault("", more)])
    text = lines(candidates, book)
    listed = candidates.entries
    if form in ("csv", "json"):
        counted = text and candidates.counted
        shelves = [Shelf(e, book, text if e is counted else "") for e in listed]
        data = [ENTRY.json(shelf) for shelf in shelves] if form == "json" else None
        print_report([("", listing(listed, book, "metric"))], form, units, data=data)
        return
    width = min(terminal_width(), READABLE)
    # What was said stays in its own units, whatever the table is in.
    for sentence in sentences(candidates):
        click.echo("\n".join(wrapped(sentence, width)) if form == "table" else f"{sentence}\n")
    if form == "table":
        click.echo()
    print_report([("", listing(listed, book, units))], form, units)
    if text:
        look = (
            "For the site file; look at yours for its condition, its ends and what is marked on it:"
        )
        click.echo("\n".join(["", *wrapped(look, width), ""]))
        click.echo(text if form == "table" else f"```toml\n{text}\n```")
