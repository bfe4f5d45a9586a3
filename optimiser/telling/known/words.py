"""Describes the fields of the words that answers use, and lists them."""

from dataclasses import replace

from catalogue.glossary import Word
from optimiser.telling.fields.common import TEXT, TEXTS
from shared.columns import Column, Record, Where
from shared.listing import Listing

WORD: Record[Word] = Record("words", "a word that answers use", (
    Column("word", lambda w: w.name, TEXT, "the word", "word"),
    Column("text", lambda w: w.text, TEXT, "what it means", "what it means"),
    Column("also", lambda w: w.also, TEXTS, "what else it is called"),
    Column("see", lambda w: w.see, TEXTS, "words that go with it"),
    Column("also", lambda w: "; ".join(w.also), where=Where.CSV),
    Column("see", lambda w: "; ".join(w.see), heading="see also", where=Where.CSV),
))  # fmt: skip

_POINTING = replace(
    WORD.columns[-1], where=Where.NOTE,
    say=lambda w, _: f"See also: {'; '.join(w.see)}." if w.see else None,
)  # fmt: skip


def listing(found: tuple[Word, ...], *, pointing: bool) -> Listing:
    """One row a word. `pointing`: tables name the words that go with it too."""
    last = _POINTING if pointing else WORD.columns[-1]
    record = Record(WORD.name, WORD.means, (*WORD.columns[:-1], last))
    return Listing.of(record, sorted(found, key=lambda w: w.name.casefold()))
