"""Words for messages: with their article, listed, the valid one closest to a misspelt one."""

import re
import tomllib
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

_DETERMINED = re.compile(
    r"(?:a|an|the|this|that|these|those|our|my|your|his|her|its|their|no|some|\w+['\u2019]s|\w+s['\u2019])\s",
    re.IGNORECASE,
)
"""How names begin that bear no article: "our car", "Ann's winch"."""

_PROPER = re.compile(r"[^\W\d_][^\W\d_]+\b")
"""A first word of letters: somebody's own name for a thing if it begins with a capital and goes on in small
letters: "Bessie", "Big Tom", but not "HMPE rope", "S-hook"."""

_SEVERAL = re.compile(
    r"(?:two|three|four|five|six|seven|eight|nine|ten|both|several)\s", re.IGNORECASE
)
_SEVERAL_PEOPLE = re.compile(
    r"\b(?:us|them|people|men|women|children|neighbours|friends|helpers|volunteers)\b",
    re.IGNORECASE,
)
_PEOPLE = re.compile(
    _SEVERAL_PEOPLE.pattern
    + r"|\b(?:of the (?:crew|family|team|club)|man|woman|person|neighbour|friend|helper)$",
    re.IGNORECASE,
)
"""Names of people rather than things."""
_VOWEL = re.compile(r"[aeiou]|8|1[18](?!\d)|hour|honest|heir", re.IGNORECASE)
_NO_VOWEL = re.compile(r"uni|us[aeiu]|uti|eu|ewe|one\b|once\b|u\b|(?-i:U[A-Z]\b)", re.IGNORECASE)
_BY_LETTER = re.compile(r"[AEFHILMNORSX](?:[A-Z0-9]|-|$)")
"""Letters by name: "an HMPE rope", "an S-hook", "an M12 bolt"."""

_WITHIN = re.compile(r",| (?:of|with|in|on|for|to|from|at|by|round|without|whose|that|which|and) ")
"""Where the head of a name is over."""


def closest(word: str, words: Iterable[str]) -> str | None:
    """The one of `words` that `word` most likely was meant to be, or None if none is near.

    Case, and `-`, `_` or a space between the words, make no difference. Ties go to the first in
    alphabetical order, so that messages do not change from run to run.
    """
    return next(iter(nearest(word, words)), None)


def nearest(word: str, words: Iterable[str]) -> tuple[str, ...]:
    """Those of `words` that `word` most likely was meant to be, the nearest first: one, or none; two where it
    names a size between two of its kind.

    Where numbers stand in a word, the words around them say what it is and are compared as they are spelt;
    the numbers are sizes and are compared as sizes ("shackle-20" is near "shackle-19", not "shackle-25").
    A word that is known to be another name of something is that, or nothing: it is not misspelt ("car" is a
    vehicle or our car, and no cedar).
    """
    plain = {plain_form(candidate): candidate for candidate in sorted(words, reverse=True)}
    known = also_called(word)
    meant = _meant(plain_form(word), known, plain)
    if meant or (known and len(word.split()) == 1):
        return meant
    kind, sizes = _sized(plain_form(word))
    alike: dict[str, dict[tuple[float, ...], str]] = {}
    others = []
    for text in sorted(plain, reverse=True):
        of, has = _sized(text)
        if sizes and len(has) == len(sizes):
            alike.setdefault(of, {})[has] = plain[text]
        else:
            others.append(text)
    longer = [of for of in sorted(alike) if of.startswith(f"{kind}-")]
    found = [of for of in (kind, *longer) if of in alike] or get_close_matches(
        kind, sorted(alike), n=1, cutoff=_SAME_KIND
    )
    if found:
        return _by_size(sizes, alike[found[0]])
    near = get_close_matches(plain_form(word), sorted(others), n=1, cutoff=0.6)
    return tuple(plain[text] for text in near)


def also_called(word: str) -> tuple[str, ...]:
    """What a word, or the last one of several, is another name of, in the words of the catalogue and of site
    files; none where it is not known to be any."""
    table = _also_called()
    for part in (word, *word.split()[-1:]):  # the last one says what it is: "old pickup truck"
        plain = plain_form(part.strip())
        for form in (plain, plain.removesuffix("s"), plain.removesuffix("es")):
            if form in table:
                return table[form]
    return ()


@cache
def _also_called() -> Mapping[str, tuple[str, ...]]:
    text = files("shared").joinpath("data/also_called.toml").read_text(encoding="utf-8")
    return {
        word: tuple(meant)
        for group in tomllib.loads(text).values()
        for word, meant in group.items()
    }


def _meant(word: str, known: Iterable[str], plain: Mapping[str, str]) -> tuple[str, ...]:
    """Of the words by their plain form: those that have what was written as whole words, or what it is
    another name of; the first few, since a message names them."""
    for wanted in (word, *map(plain_form, known)) if known else ():
        if wanted in plain:
            return (plain[wanted],)
        found = [text for text in sorted(plain) if f"-{wanted}-" in f"-{text}-"]
        if found:  # "wire-13" says more of "wire" than "snatch-wire-110" does
            found.sort(key=lambda text: not text.startswith(f"{wanted}-"))
            return tuple(plain[text] for text in found[:3])
    return ()


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """The end of a message: `; did you mean 'shackle'?`, or nothing if no word is near."""
    near = nearest(word, words)
    return f"; did you mean {listed(near)}?" if near else ""


def listed(words: Iterable[str]) -> str:
    """Words as they are spoken: `'a', 'b' or 'c'`."""
    return either(f"'{word}'" for word in words)


def either(texts: Iterable[str]) -> str:
    """Texts as they are spoken: `a, b or c`."""
    each = list(texts)
    return " or ".join([", ".join(each[:-1]), each[-1]] if len(each) > 1 else each)


def with_article(text: str) -> str:
    """ "a block", "an eye", "an 8 m line"; without an article where none belongs: "our car", "two half
    hitches", "slats", "Bessie"."""
    if _DETERMINED.match(text) or _stands_for_many(text) or _proper(text):
        return text
    vowel = _BY_LETTER.match(text) or (_VOWEL.match(text) and not _NO_VOWEL.match(text))
    return f"{'an' if vowel else 'a'} {text}"


def with_the(text: str) -> str:
    """ "the block"; without the article where none belongs: "our car", "the old winch", "Ann's rope",
    "Bessie"."""
    return text if _DETERMINED.match(text) or _proper(text) else f"the {text}"


def _proper(text: str) -> bool:
    """Whether a name begins with a capital, as the proper names do that people give to things."""
    first = _PROPER.match(text)
    return first is not None and first[0].istitle()


def which(name: str, verb: str) -> str:
    """The clause behind a name, for a verb without its s: "which pulls" of a winch, "who pull" of three of
    us, "which pull" of two tractors."""
    return f"{'who' if _PEOPLE.search(name) else 'which'} {does(name, verb)}"


def does(name: str, verb: str) -> str:
    """A verb without its s as it stands behind a name: "pulls" of a winch, "pull" of three of us."""
    several = _stands_for_many(name) or _SEVERAL_PEOPLE.search(name)
    return verb if several else verb + "s"


def counted(many: int, noun: str, plural: str = "") -> str:
    """ "1 stage", "1,200 stages". `plural`: where that is not the noun with an s."""
    return f"{many:,} {noun if many == 1 else plural or noun + 's'}"


def _stands_for_many(text: str) -> bool:
    """Whether a name is one of several things, or of stuff: "two half hitches", "peeled logs", "canvas"."""
    if _SEVERAL.match(text):
        return True
    head = _WITHIN.split(text, maxsplit=1)[0].split()
    return bool(head) and bool(re.search(r"[^\W\d](?<![sui])s$", head[-1])) and head[-1].islower()


_SAME_KIND = 0.7
"""How alike the words around a size are, if they name the same kind of thing (choice of this program): more
than for a whole word, since "hmpe-10" is no misspelt "rope-10"."""
_NUMBER = re.compile(r"(?:(\d+)-)?(\d+)/(\d+)(?:-?(?:in|\"))?|(\d+(?:\.\d+)?)(?:-?mm\b)?")
_INCH = 25.4


def _sized(text: str) -> tuple[str, tuple[float, ...]]:
    """A word with `#` for each number, and the numbers. Fractions are inches, as in "shackle-1/2", and come
    out in millimetres, in which sizes are named."""
    sizes = []

    def noted(found: re.Match[str]) -> str:
        whole, over, under, number = found.groups()
        if number is not None:
            sizes.append(float(number))
        else:
            sizes.append((float(whole or 0) + float(over) / (float(under) or 1.0)) * _INCH)
        return "#"

    return _NUMBER.sub(noted, text), tuple(sizes)


def _by_size(sizes: tuple[float, ...], words: Mapping[tuple[float, ...], str]) -> tuple[str, ...]:
    """The words whose sizes are nearest: with one size the next smaller and the next larger."""

    def apart(other: tuple[float, ...]) -> float:
        return sum(abs(a - b) / max(a, b, 1e-9) for a, b in zip(sizes, other, strict=True))

    near = sorted(words, key=lambda other: (apart(other), other))
    first = near[0]
    if len(sizes) > 1 or first == sizes or apart(first) < _SAME_SIZE:
        return (words[first],)
    beyond = [other for other in near if (other > sizes) != (first > sizes)]
    return tuple(words[other] for other in (first, *beyond[:1]))


_SAME_SIZE = 0.04
"""Difference of sizes, as a share, within which an inch size is called by a metric one ("1/2 in": 13 mm)."""


def plain_form(word: str) -> str:
    """The word as it is compared: in small letters, with `-` for `_` and spaces."""
    return word.casefold().replace("_", "-").replace(" ", "-")
