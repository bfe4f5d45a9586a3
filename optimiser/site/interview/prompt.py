"""One question of the interview, and how its answer is read: by the rules of the site file itself."""

import re
from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from catalogue.book import load_catalogue
from catalogue.spoken import candidates_for
from optimiser.site.document.part import Part
from optimiser.site.lines import Key
from optimiser.site.messages import refusal
from shared.words import did_you_mean

Values = Mapping[str, Any]
"""Keys of one table of the site file, as tomllib reads them."""
MOST_LISTED = 12
"""Ids that are listed where a word fits several."""
SHORTEST_BEGINNING = 3
"""Letters from which on the beginning of a word is enough to find it."""


SETTLE = None
"""Stands in the course of questions where a part is complete: what was answered so far is read as a site."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked for, and where in the site file the answer goes.

    `key`: the place of the answer, in the table `key[:-1]`. `example`: an answer with its unit. `skip`: what
    leaving it out means, "" where it is needed; `default`: what is written then. `about`: further places
    whose faults come from this answer. `reads`: the answer as keys of the table; it raises ValueError with
    a message.
    """

    key: Key
    text: str
    reads: Callable[[str], Values]
    example: str = ""
    skip: str = ""
    default: Values = field(default_factory=dict)
    about: tuple[Key, ...] = ()
    heading: str = ""

    @property
    def table(self) -> Key:
        return self.key[:-1]

    @property
    def prompt(self) -> str:
        """The question in one line, with its unit and what skipping it means."""
        such = f"such as {self.example}" if self.example else ""
        skip = f"Enter: {self.skip}" if self.skip else ""
        notes = "; ".join(note for note in (such, skip) if note)
        return f"{self.text} ({notes}): " if notes else f"{self.text}: "


Step = Question | None


def as_key(part: type[Part], key: str) -> Callable[[str], Values]:
    """Reads an answer as one key of a part of the site file."""

    def reads(line: str) -> Values:
        wrong = refusal(part, key, line)
        if wrong:
            raise ValueError(wrong)
        return {key: line}

    return reads


def question(
    part: Any,
    key: Key,
    text: str,
    example: str = "",
    skip: str = "",
    *,
    reads: Callable[[str], Values] | None = None,
    default: Values | None = None,
    about: tuple[Key, ...] = (),
    heading: str = "",
) -> Question:
    """A question whose answer is one key of a part, unless `reads` has another way."""
    return Question(
        key=key,
        text=text,
        example=example,
        skip=skip,
        reads=as_key(part, str(key[-1])) if reads is None else reads,
        default=default or {},
        about=about,
        heading=heading,
    )


def of(part: Any, table: Key) -> Callable[..., Question]:
    """As `question`, by the name of a key in a table of the site file."""

    def by_key(key: str, *words: str, **more: Any) -> Question:
        return question(part, (*table, key), *words, **more)

    return by_key


def as_count(part: type[Part], key: str) -> Callable[[str], Values]:
    """Reads an answer as a whole number."""

    def reads(line: str) -> Values:
        value = int(line) if line.isascii() and line.isdigit() and len(line) < 10 else line
        wrong = refusal(part, key, value)
        if wrong:
            raise ValueError(wrong.replace(" without quotes", ""))
        return {key: value}

    return reads


def as_either(part: type[Part], first: str, second: str) -> Callable[[str], Values]:
    """Reads an answer as one key of a part, or as another: a slope or a rise."""

    def reads(line: str) -> Values:
        wrong = {key: refusal(part, key, line) for key in (first, second)}
        right = next((key for key in wrong if not wrong[key]), None)
        if right is None:
            angle = any(sign in line for sign in ("deg", "°", "%"))
            raise ValueError(wrong[first if angle else second])
        return {right: line}

    return reads


def as_several(part: type[Part], key: str) -> Callable[[str], Values]:
    """Reads words with commas between them as a list."""

    def reads(line: str) -> Values:
        words = [word.strip() for word in line.split(",")]
        wrong = refusal(part, key, words)
        if wrong:
            raise ValueError(wrong)
        return {key: words}

    return reads


def as_kind(
    key: str, kinds: Iterable[str], hidden: Callable[[str], bool] = lambda _id: False
) -> Callable[[str], Values]:
    """Reads an answer as words to look for in some kinds of the catalogue: an id, or words of one entry.

    `hidden`: ids that are taken if written out and not found by words. The message lists the ids where
    several have all of the words.
    """

    def reads(line: str) -> Values:
        book = load_catalogue()
        entries = {
            entry.id: _parts(f"{kind} {entry.id} {entry.name}")
            for kind in kinds
            for entry in book.kinds()[kind].values()
        }
        id = "-".join(line.casefold().split())
        if id in entries:
            return {key: id}
        entries = {id: parts for id, parts in entries.items() if not hidden(id)}
        wanted = _parts(line)
        # "1/2 in rope" is every fibre of that size, not what has the figures 1 and 2 in its name.
        found = _of_that_size(line, entries) or [
            id for id, parts in entries.items() if all(_has(parts, word) for word in wanted)
        ]
        if len(found) == 1:
            return {key: found[0]}
        if not found:
            near = did_you_mean(id, entries) or _some(wanted, entries)
            raise ValueError(f"nothing in the catalogue has '{line[:40]}' in it{near}")
        more = len(found) - MOST_LISTED
        rest = f" and {more} more" if more > 0 else ""
        shown = ", ".join(found[:MOST_LISTED])
        raise ValueError(f"there are {shown}{rest}: give the id of one, or more words")

    return reads


def _of_that_size(line: str, entries: Container[str]) -> list[str]:
    """Ids of what somebody names by kind and size; none where no size is in it. Raises ValueError for a size
    that the catalogue has not."""
    named = candidates_for(line, load_catalogue())
    if named is None or named.spoken.metric_size is None:
        return []
    found = [entry.id for entry in named.entries if entry.id in entries]
    if found and not named.exact:
        raise ValueError(
            f"the catalogue has no {named.spoken.kind} of that size; the next are {', '.join(found)}"
        )
    return found


def _parts(text: str) -> list[str]:
    """The words and the numbers of a text."""
    return re.findall(r"[^\W\d_]+|\d+(?:\.\d+)?", text.casefold())


def _has(parts: list[str], word: str) -> bool:
    """Whether a word, or one that begins so, is among the parts; a size or a letter must be the same."""
    whole = word[0].isdigit() or len(word) < SHORTEST_BEGINNING
    return any(part == word or (not whole and part.startswith(word)) for part in parts)


def _some(wanted: list[str], entries: Mapping[str, list[str]]) -> str:
    """Ids that have at least one of the words, for the end of a message."""
    words = [word for word in wanted if len(word) >= SHORTEST_BEGINNING]
    some = [id for id, parts in entries.items() if any(_has(parts, word) for word in words)]
    return f"; there are {', '.join(some[:MOST_LISTED])}" if some else ""
