"""The words that answers use, explained: read from `data/words.toml`, the one place of these texts."""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from shared.words import closest, plain_form


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word of the trade. `short`: its text where it stands among an answer. `also`: other forms of it.
    `see`: words that go with it."""

    name: str
    text: str
    short: str
    also: tuple[str, ...] = ()
    see: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def words() -> tuple[Word, ...]:
    """Every word, in the order of the file."""
    path = files("catalogue").joinpath("data", "words.toml")
    return tuple(
        Word(
            name=name,
            text=entry["text"],
            short=entry.get("short", entry["text"]),
            also=tuple(entry.get("also", ())),
            see=tuple(entry.get("see", ())),
        )
        for name, entry in tomllib.loads(path.read_text(encoding="utf-8")).items()
    )


def named(text: str) -> tuple[Word, ...]:
    """The words of that name or form, else those that have it in their name; none where nothing does.
    Case, and `-`, `_` or a space, make no difference."""
    plain = plain_form(" ".join(text.split()))
    found = [w for w in words() if plain == plain_form(w.name)]
    found = found or [w for w in words() if plain in map(plain_form, w.also)]
    return tuple(found or [w for w in words() if plain in plain_form(w.name)])


def nearest(text: str) -> str | None:
    """The name of the word that `text` most likely was meant to be; None where none is near."""
    forms = {form: word.name for word in words() for form in (word.name, *word.also)}
    near = closest(text, forms)
    return None if near is None else forms[near]


def explained(names: Iterable[str]) -> str:
    """These words with their texts as one line of an answer: "Margin: ... Reset: ..."; "" without any.
    Raises KeyError for a word that is not there."""
    known = {word.name: word.short for word in words()}
    return " ".join(f"{name[:1].upper()}{name[1:]}: {_lowered(known[name])}" for name in names)


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def of(text: str, names: Iterable[str]) -> str:
    """As `explained`, of those of the words that stand in `text` by their name or another form."""
    plain = plain_form(text)
    forms = {word.name: (word.name, *word.also) for word in words()}
    return explained(
        name
        for name in names
        if any(re.search(rf"\b{re.escape(plain_form(form))}s?\b", plain) for form in forms[name])
    )
