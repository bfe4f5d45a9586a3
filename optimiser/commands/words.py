"""`bankhaul words`: what the words of the answers mean."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import form_option, print_report

if TYPE_CHECKING:
    from catalogue.glossary import Word
    from shared.listing import Listing


@click.command("words")
@click.argument("word", nargs=-1, metavar="[WORD]...")
@form_option
def command(word: tuple[str, ...], form: str) -> None:
    """Explain the words that answers use.

    All of them, or the one named.

    Example: bankhaul words margin
    """
    from catalogue.glossary import named, nearest, words
    from shared.errors import Fault, InputError

    text = " ".join(word).strip()
    found = named(text) if text else words()
    if not found:
        near = nearest(text)
        hint = "; `bankhaul words` lists them" if near is None else f"; did you mean '{near}'?"
        raise InputError("words", [Fault("", f"'{text}' is not explained{hint}")])
    data = None
    if form == "json":
        data = [{"word": w.name, "text": w.text, "also": w.also, "see": w.see} for w in found]
    print_report([("", listing(found, pointing=bool(text)))], form, data=data)


def listing(found: "tuple[Word, ...]", *, pointing: bool) -> "Listing":
    """One row a word. `pointing`: tables name the words that go with it too."""
    from shared.listing import Column, Listing, Where

    return Listing(
        columns=(
            Column(key="word", heading="word"),
            Column(key="text", heading="what it means"),
            Column(key="also", heading="also", where=Where.DATA),
            Column(key="see", heading="see also", where=Where.UNDER if pointing else Where.DATA),
        ),
        rows=tuple(
            {
                "word": w.name,
                "text": w.text,
                "also": "; ".join(w.also),
                "see": _see(w, pointing=pointing),
            }
            for w in sorted(found, key=lambda w: w.name.casefold())
        ),
    )


def _see(word: "Word", *, pointing: bool) -> str:
    """The words that go with it."""
    found = "; ".join(word.see)
    return f"See also: {found}." if pointing and found else found
