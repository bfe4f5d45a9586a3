"""Words for messages: with their article, listed, the valid one closest to a misspelt one."""

from collections.abc import Iterable
from difflib import get_close_matches


def closest(word: str, words: Iterable[str]) -> str | None:
    """The one of `words` that `word` most likely was meant to be, or None if none is near.

    Case, and `-`, `_` or a space between the words, make no difference. Ties go to the first in
    alphabetical order, so that messages do not change from run to run.
    """
    plain = {_plain(candidate): candidate for candidate in sorted(words, reverse=True)}
    near = get_close_matches(_plain(word), sorted(plain), n=1, cutoff=0.6)
    return plain[near[0]] if near else None


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """The end of a message: `; did you mean 'shackle'?`, or nothing if no word is near."""
    near = closest(word, words)
    return "" if near is None else f"; did you mean '{near}'?"


def listed(words: Iterable[str]) -> str:
    """Words as they are spoken: `'a', 'b' or 'c'`."""
    quoted = [f"'{word}'" for word in words]
    return " or ".join([", ".join(quoted[:-1]), quoted[-1]] if len(quoted) > 1 else quoted)


def with_article(text: str) -> str:
    """ "a block", "an eye"."""
    return f"{'an' if text[:1].lower() in 'aeiou' else 'a'} {text}"


def _plain(word: str) -> str:
    return word.casefold().replace("_", "-").replace(" ", "-")
