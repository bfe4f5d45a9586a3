"""A case by its number: a site file that was sound, changed, and the command that reads it."""

from dataclasses import dataclass
from random import Random

from tests.fuzz import bases
from tests.fuzz.changes import change
from tests.fuzz.toml_text import written

LIMIT = "2"
"""s given to `--time-limit`."""
SEARCHES = ("rank", "show", "stages", "lower", "sheet", "buy", "sweep", "why")
COMMANDS: tuple[tuple[tuple[str, ...], int], ...] = (
    (("rank", "--top", "2"), 30),
    (("rank",), 4),
    (("rank", "--top", "2", "--format", "json"), 22),
    (("rank", "--format", "json"), 4),
    (("rank", "--all", "--top", "3", "--format", "markdown"), 4),
    (("rank", "--by", "rope,pull", "--format", "csv"), 4),
    (("rank", "--guesses", "best"), 4),
    (("rank", "--without-rule", "no-backward-part", "--top", "2"), 3),
    (("check",), 8),
    (("check", "--format", "json"), 4),
    (("show", "1"), 8),
    (("lower",), 6),
    (("lower", "--format", "json"), 2),
    (("lever",), 5),
    (("stages",), 5),
    (("stages", "--format", "json"), 2),
    (("sweep", "load.weight=200..700 kg", "--steps", "2", "--processes", "1"), 2),
    (("sheet", "--output", "OUT.html"), 1),
    (("rank", "--hold"), 5),
    (("rank", "--compound", "--top", "3"), 3),
    (("show", "1", "--hold"), 2),
    (("buy",), 2),
    (("why",), 3),
    (("why", "load > oak@1 m > load > tractor"), 1),
    (("why", "--hold"), 1),
    (("why", "--down", "--format", "json"), 1),
    (("buy", "--stages", "2", "--format", "json"), 1),
    (("buy", "SITE"), 1),
    (("buy", "--hold", "--whole-ropes"), 1),
    (("stages", "--hold"), 1),
    (("stages", "--compound", "--most-stages", "2", "--format", "csv"), 1),
    (("lower", "--show", "1"), 2),
    (("lower", "--output", "OUT.html"), 1),
    (("lower", "--hold", "200 N", "--format", "markdown"), 1),
    (("lever", "--hand", "400 N", "--format", "json"), 1),
    (("rank", "--samples", "20", "--whole-ropes"), 2),
    (("show", "1", "--samples", "20", "--format", "json"), 2),
    (("check", "--output", "OUT.html"), 2),
    (("check", "--format", "csv", "--table", "gear"), 1),
    (("sheet", "stages", "--output", "OUT.html"), 1),
    (("sweep", "load.weight=200..700 kg", "--steps", "2", "--processes", "1", "--down"), 1),
)
"""With how often each is taken; the site file comes after the command's name. Most rankings list two setups:
the further ones take most of the time and are printed by the same words."""


@dataclass(frozen=True)
class Case:
    """What is run: the arguments with "SITE" in place of the file and "OUT" of one to
    be written, and what is in the file."""

    number: int
    arguments: tuple[str, ...]
    text: bytes
    done: tuple[str, ...]  # what was done to which base


def arguments_of(words: tuple[str, ...], limit: str) -> tuple[str, ...]:
    """The arguments of a command, the site file and a time limit included."""
    name, *rest = words
    limited = ("--time-limit", limit) if name in SEARCHES else ()
    return (name, "SITE", *rest, *limited)


def case(number: int, seed: int = 0, limit: str = LIMIT) -> Case:
    """The case of that number. Equal numbers give equal cases, whatever ran before."""
    rng = Random(f"{seed}/{number}")
    base = rng.choice(sorted(bases.texts()))
    document = bases.document(base)
    found = [base]
    for _ in range(rng.choices((1, 2, 3, 6), (60, 22, 12, 6))[0]):
        if document:
            found.append(change(rng, document))
    text = written(document).encode("utf-8", errors="surrogatepass")
    if rng.random() < 0.08:
        text, what = scribbled(rng, bases.texts()[base].encode())
        found = [base, what]
    words, weights = zip(*COMMANDS, strict=True)
    return Case(number, arguments_of(rng.choices(words, weights)[0], limit), text, tuple(found))


def scribbled(rng: Random, text: bytes) -> tuple[bytes, str]:
    """A text changed without regard to what it says."""
    at, length = rng.randrange(len(text)), rng.choice((1, 1, 3, 20, 200))
    lines = text.split(b"\n")
    line = rng.randrange(len(lines))
    odd = rng.choice(
        (b"\x00", b"\xff", b'"', b"[", b"]]", b"\r", b"\t", b"=", b"\xe2\x80\xae", b"'''")
    )
    ways = {
        "bytes cut out": text[:at] + text[at + length :],
        "cut short": text[:at],
        "odd bytes put in": text[:at] + odd + text[at:],
        "a piece twice": text[: at + length] + text[at:],
        "a line twice": b"\n".join(lines[: line + 1] + lines[line:]),
        "a line left out": b"\n".join(lines[:line] + lines[line + 1 :]),
        "two lines changed about": b"\n".join(
            lines[:line] + lines[line : line + 2][::-1] + lines[line + 2 :]
        ),
        "line ends of another system": text.replace(b"\n", b"\r\n"),
        "a mark of the byte order": b"\xef\xbb\xbf" + text,
        "sixteen bits a sign": text.decode().encode("utf-16"),
        "upside down": b"\n".join(reversed(lines)),
        "nothing": b"",
    }  # fmt: skip
    what = rng.choice(sorted(ways))
    return ways[what], what
