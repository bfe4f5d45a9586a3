"""`bankhaul words`: what the words of the answers mean."""

import click

from optimiser.commands.options import form_option, print_report


@click.command("words")
@click.argument("word", nargs=-1, metavar="[WORD]...")
@form_option
def command(word: tuple[str, ...], form: str) -> None:
    """Explain the words that answers use.

    All of them, or the one named.

    Example: bankhaul words margin
    """
    from catalogue.glossary import named, nearest, words
    from optimiser.telling.known.words import WORD, listing
    from shared.errors import Fault, InputError

    text = " ".join(word).strip()
    found = named(text) if text else words()
    if not found:
        near = nearest(text)
        hint = "; `bankhaul words` lists them" if near is None else f"; did you mean '{near}'?"
        raise InputError("words", [Fault("", f"'{text}' is not explained{hint}")])
    data = [WORD.json(w) for w in found] if form == "json" else None
    print_report([("", listing(found, pointing=bool(text)))], form, data=data)
