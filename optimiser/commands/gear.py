"""`bankhaul gear`: what the catalogue knows."""

import click

from optimiser.commands.options import form_option, print_report


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
    from optimiser.telling.known.catalogued import ENTRY, KINDS, Shelf, kinds, listing
    from shared.errors import Fault, InputError
    from shared.words import did_you_mean

    book = load_catalogue()
    word = " ".join(words)
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
        print_report([("", kinds(found, book)), ("", KINDS)], form, units)
        return
    data = [ENTRY.json(Shelf(entry, book)) for entry in found] if form == "json" else None
    system = "metric" if form == "csv" else units
    print_report([("", listing(found, book, system))], form, units, data=data)
