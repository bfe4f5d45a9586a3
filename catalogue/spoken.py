"""Reads gear as people say what they own: "half-inch rope, 100 ft", "two 3/4 shackles", "30 m of 12 mm
rope". Nothing is guessed: what a piece may be is every entry that fits, the weakest first."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from catalogue.book import Catalogue, Entry, words_of
from catalogue.gear import AnyGear, Block, Hook, Protector, Rope, Strap
from catalogue.inches import inches_of, read_inches, size_of
from shared.units import Dimension
from shared.words import also_called
from shared.written import parse

_KINDS = {
    "rope": "rope",
    "block": "block",
    "shackle": "shackle",
    "strap": "strap",
    "sling": "strap",
    "chain": "chain",
}
_COUNTS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "pair": 2, "both": 2, "couple": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "dozen": 12,
}  # fmt: skip
_PARTS = {"half": 2, "halves": 2, "quarter": 4, "eighth": 8, "sixteenth": 16}
_FILLERS = frozenset(
    {
        *(
            "of",
            "the",
            "my",
            "our",
            "some",
            "with",
            "and",
            "in",
            "about",
            "is",
            "each",
            "x",
            "×",
            "i",
            "we",
        ),
        *(
            "have",
            "own",
            "long",
            "wide",
            "thick",
            "diameter",
            "dia",
            "size",
            "sized",
            "length",
            "lengths",
        ),
        *("piece", "pieces", "pc", "pcs", "nominal", "new", "old", "used", "good"),
    }
)
_FIBRES = frozenset({"nylon", "polyester", "polypropylene", "manila", "sisal", "hmpe"})
"""What is rope without the word."""
_MARKED = {"rated": "stamped", "marked": "stamped"}
_SAME_SIGNS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "⁄": "/", ",": " ", ";": " "}
)
_MIXED = r"\d+(?:-|\s+)\d{1,2}/[1-9]\d?|\d{1,2}/[1-9]\d?"
_LENGTH = re.compile(
    r"(?<![\d/.])(\d+(?:\.\d+)?)\s*(ft|foot|feet|'|m|met(?:re|er)s?|yd|yards?)(?![a-z\d/])"
    r"(?:\s*(\d+)\s*(?:in|inch|inches|\")(?![a-z/]))?"
)
_INCHES = re.compile(rf"(?<![\d/.])({_MIXED}|\d+(?:\.\d+)?)\s*(?:inch(?:es)?|in|\")(?![a-z])")
_METRIC = re.compile(r"(?<![\d/.])(\d+(?:\.\d+)?)\s*(mm|cm)(?![a-z])")
_BARE = re.compile(rf"(?<![\d/.])({_MIXED})(?![\d/])")
_IN_WORDS = re.compile(
    r"\b(?:(one|three|five|seven)[\s-]+)?(half|quarter|eighth|sixteenth)s?[\s-]+(?:an?\s+|of\s+an\s+)?(?=inch|in\b|\")"
)
_INCH_AND = re.compile(r"\b(?:an?|one)[\s-]inch(?:es)?\s+and\s+an?\s+(half|quarter|eighth)\b")
_NUMBERED = re.compile(
    rf"\b({'|'.join(word for word in _COUNTS if word != 'both')})[\s-]+(?=inch|foot|feet|met(?:re|er)|yard)"
)
_UNITS = r"in|inch(?:es)?|mm|cm|m|met(?:re|er)s?|ft|foot|feet|yd|yards?"
_CALLED_SO = 0.04
"""Difference of sizes, as a share, within which a size in inches is called by one in millimetres."""
_METRIC_NEAR = 0.3e-3
"""m: a metric size that is nearer is that one."""
_MOST = 50
"""Pieces: nobody owns more of one kind."""
_LONGEST = 120
"""Characters: nobody says more of one piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What was said: so many pieces of a kind. `inches` or `size` [m]: how thick, or wide, as it was said;
    `length` as it was said, `metres` the same; `words`: what else was said of them; `rope`: of a block, the
    rope that it is for, if that was said."""

    kind: str
    count: int = 1
    inches: Fraction | None = None
    size: float | None = None
    length: str = ""
    metres: float | None = None
    words: tuple[str, ...] = ()
    rope: "Spoken | None" = None

    @property
    def metric_size(self) -> float | None:
        """m."""
        return float(self.inches) * 0.0254 if self.inches is not None else self.size


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """What that may be. `entries`: all that fits, the weakest first; `exact`: they are of the size that was
    said, else of the next smaller and, behind `smaller` of them, the next larger; `unknown`: words that no
    entry of the kind has."""

    spoken: Spoken
    entries: tuple[AnyGear, ...]
    exact: bool
    smaller: int
    unknown: tuple[str, ...]

    @property
    def counted(self) -> AnyGear:
        """The weakest that it may be: of the size that was said or, where there is none, the next smaller."""
        return self.entries[0]

    @property
    def one_size(self) -> bool:
        """Whether all that it may be is of one size."""
        return len({size_of(entry) for entry in self.alike}) == 1

    @property
    def alike(self) -> tuple[AnyGear, ...]:
        """What it may be of the size that is counted."""
        return self.entries if self.exact else self.entries[: self.smaller or len(self.entries)]


def candidates_for(text: str, book: Catalogue) -> Candidates | None:
    """What somebody means who says they own this; None where no kind of gear and no size, length or number is
    in it, or nothing fits."""
    spoken = read(text)
    if spoken is None:
        return None
    candidates = _candidates(spoken, book)
    whole, part = divmod(spoken.inches or Fraction(0), 1)
    if candidates is not None and not candidates.exact and whole > 1 and part and spoken.count == 1:
        # "2 3/4 shackles": there is no such size, but two of the other.
        each = _candidates(replace(spoken, count=int(whole), inches=part), book)
        if each is not None and each.exact and f"{int(whole)}-" not in text:
            return each
    return candidates


def ids_meant(text: str, book: Catalogue) -> list[str]:
    """Ids of what somebody means who writes that in place of one, by kind and size ("1/2 in shackle"); none
    where no size is in it."""
    candidates = candidates_for(text, book)
    if candidates is None or candidates.spoken.metric_size is None:
        return []
    return [entry.id for entry in candidates.entries]


def read(text: str) -> Spoken | None:
    """What was said; None where it is not gear by size, length or number."""
    rest = _plain(text[:_LONGEST])
    block, _, rope = rest.partition(" for ")
    if rope:
        taken, own = read(rope), read(f"1 {block}")
        if taken is not None and own is not None and (own.kind, taken.kind) == ("block", "rope"):
            return replace(own, count=(read(block) or own).count, rope=taken)
    rest, length = _taken(_LENGTH, rest)
    rest, inches = _taken(_INCHES, rest)
    metric = None
    if inches is None:
        rest, metric = _taken(_METRIC, rest)
    if inches is None and metric is None:
        rest, inches = _taken(_BARE, rest)
    count, words, kinds = 0, list[str](), list[str]()
    for token in re.findall(r"[^\s()]+", rest):
        plain = token.strip("-.:x×") if token[:1].isdigit() else token.strip("-.:")
        single = plain.removesuffix("s") if plain not in _COUNTS else plain
        meant = _KINDS.get(single) or next(
            (m for m in also_called(plain) if m in (*_KINDS, "wire")), None
        )
        if plain.isdigit() and not count and not words and not kinds:
            count = int(plain)
        elif plain in _COUNTS and not kinds:
            count = max(count, 1) * _COUNTS[plain] if plain == "dozen" else _COUNTS[plain]
        elif meant == "wire":
            kinds.append("rope")
            words.append("wire")
        elif meant is not None:
            kinds.append(_KINDS[meant])
            words += ["sling"] if single == "sling" else []
        elif plain and plain not in _FILLERS:
            words.append(next(iter(also_called(plain)), _MARKED.get(plain, plain)))
    if not kinds and _FIBRES.intersection(words):
        kinds.append("rope")
    if not kinds or count > _MOST or not (count or length or inches or metric):
        return None
    stated, metres = _length(length)
    return Spoken(
        kind=kinds[-1],
        count=max(count, 1),
        inches=None if inches is None else read_inches(inches[0]),
        size=None if metric is None else float(metric[0]) * (1e-3 if metric[1] == "mm" else 1e-2),
        length=stated,
        metres=metres,
        words=(*words, *kinds[:-1]) if kinds[-1] != "rope" else tuple(words),
    )


def _plain(text: str) -> str:
    """The text in small letters, every fraction as figures."""
    spaced = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", " ", text)
    out = unicodedata.normalize("NFKC", spaced).translate(_SAME_SIGNS).casefold()
    out = _INCH_AND.sub(lambda found: f"1-1/{_PARTS[found[1]]} in", out)
    out = _IN_WORDS.sub(
        lambda found: f"{_COUNTS_OF_PARTS[found[1] or 'one']}/{_PARTS[found[2]]} ", out
    )
    out = _NUMBERED.sub(lambda found: f"{_COUNTS[found[1]]} ", out)
    return re.sub(rf"(?<=\d)-(?=(?:{_UNITS})\b)", " ", out)


_COUNTS_OF_PARTS = {"one": 1, "three": 3, "five": 5, "seven": 7}


def _taken(pattern: re.Pattern[str], text: str) -> tuple[str, tuple[str, ...] | None]:
    """The text without the first that fits, and its groups."""
    found = pattern.search(text)
    if found is None:
        return text, None
    return f"{text[: found.start()]} {text[found.end() :]}", tuple(g or "" for g in found.groups())


def _length(groups: tuple[str, ...] | None) -> tuple[str, float | None]:
    if groups is None:
        return "", None
    number, unit, inches = groups
    short = "ft" if unit[0] in "f'" else "m" if unit[0] == "m" else "yd"
    text = f"{number} {short}" + (f" {inches} in" if inches and short == "ft" else "")
    return text, parse(text, Dimension.LENGTH).stated


def _candidates(spoken: Spoken, book: Catalogue) -> Candidates | None:
    of_kind = [entry for entry in book.kinds()[spoken.kind].values() if _is_gear(entry)]
    known = {word for entry in of_kind for word in words_of(spoken.kind, entry)}
    wanted = [word for word in spoken.words if word in known or word.removesuffix("s") in known]
    fitting = [entry for entry in of_kind if _has(words_of(spoken.kind, entry), wanted)]
    if spoken.rope is not None:
        fitting = [entry for entry in fitting if _takes(entry, spoken.rope, book)]
    if spoken.kind == "rope" and "wire" not in spoken.words:
        fitting = [entry for entry in fitting if not (isinstance(entry, Rope) and entry.is_wire)]
    entries, smaller = _of_size(spoken, fitting)
    if not entries:
        return None
    return Candidates(
        spoken=spoken,
        entries=tuple(entries),
        exact=smaller is None,
        smaller=smaller or 0,
        unknown=tuple(word for word in spoken.words if word not in wanted),
    )


def _takes(entry: Entry, rope: Spoken, book: Catalogue) -> bool:
    """Whether a block takes every rope that may be meant."""
    candidates = _candidates(rope, book)
    if isinstance(entry, Block) and ("wire" in entry.id.split("-")) != ("wire" in rope.words):
        return False
    if not isinstance(entry, Block) or candidates is None or rope.metric_size is None:
        return False
    sizes = [piece.diameter for piece in candidates.alike if isinstance(piece, Rope)]
    return all(entry.rope_least - 1e-9 <= size <= entry.rope_most + 1e-9 for size in sizes)


def _is_gear(entry: Entry) -> bool:
    return isinstance(entry, AnyGear) and not isinstance(entry, Hook | Protector)


def _has(words: Sequence[str], wanted: Iterable[str]) -> bool:
    return all(word in words or word.removesuffix("s") in words for word in wanted)


def _of_size(spoken: Spoken, entries: Sequence[Entry]) -> tuple[list[AnyGear], int | None]:
    """Those of the size that was said, the weakest first; else those of the next smaller and the next larger,
    with how many are smaller."""
    size = spoken.metric_size
    gear = [entry for entry in entries if isinstance(entry, AnyGear)]
    if spoken.metres is not None:
        gear = [entry for entry in gear if _as_long(entry, spoken.metres)] or gear
    if size is None:
        return sorted(gear, key=_weakness), None
    same = [entry for entry in gear if _is_called(entry, spoken)]
    if same:
        return sorted(same, key=_weakness), None
    sizes = {found[1] for entry in gear if (found := size_of(entry)) is not None}
    below = max((each for each in sizes if each < size), default=None)
    above = min((each for each in sizes if each > size), default=None)

    def of(wanted: float | None) -> Iterator[AnyGear]:
        some = (e for e in gear if wanted is not None and (size_of(e) or ("", 0.0))[1] == wanted)
        return iter(sorted(some, key=_weakness))

    less = list(of(below))
    return [*less, *of(above)], len(less)


def _as_long(entry: AnyGear, metres: float) -> bool:
    """Whether it is a strap of that length; other things are cut to length, or come as they are."""
    return isinstance(entry, Strap) and abs(entry.length - metres) < _METRIC_NEAR


def _is_called(entry: AnyGear, spoken: Spoken) -> bool:
    """Whether the size that was said is that of the entry."""
    own, found = inches_of(entry), size_of(entry)
    if found is None:
        return False
    if spoken.inches is not None:
        return own is not None and own.size == spoken.inches
    assert spoken.size is not None
    apart = abs(found[1] - spoken.size)
    return apart <= (
        _CALLED_SO * spoken.size if own is not None and not own.nominal else _METRIC_NEAR
    )


def _weakness(gear: AnyGear) -> tuple[float, float, float, str]:
    """Less is weaker: what it is worked at at most, nothing where it is unrated; a shorter one first, and one
    whose sheaves pass on less."""
    if isinstance(gear, Rope) and gear.wll is None:
        stands = 0.0 if gear.mbs is None else gear.mbs / (gear.design_factor or 1.0)
    else:
        stands = gear.wll or 0.0
    eta = gear.eta if isinstance(gear, Block) else 0.0
    return stands, getattr(gear, "length", 0.0) or 0.0, eta, gear.id
