"""Values that a site file may come to have: good ones, odd ones, and hopeless ones."""

from datetime import date
from random import Random
from re import compile as pattern
from typing import Any

NUMBER = pattern(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?")
LIKE = (
    ("mm", "cm", "m", "in", "ft", "yd", "km"),
    ("g", "kg", "t", "lb", "N", "kN", "kgf", "lbf", "daN"),
    ("deg", "rad", "°"),
    ("%", ""),
    ("kg/m", "g/m", "lb/ft"),
)
UNITS = sorted(
    {unit for kind in LIKE for unit in kind} | {"ton", "ft in", "s", "K", "m²", "µm", "Mg"}
)
FACTORS = (1e-300, 1e-9, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 3.0, 10.0, 1e3, 1e6, 1e12, 1e300)
MILD = (0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1.05, 1.1, 1.25, 1.5, 2.0, 4.0)
COUNTS: tuple[Any, ...] = (
    0, 1, 1, 2, 2, 3, 4, 6, 7, 12, 50, 200, 201, 1000, 10**12, 10**400, -1, -7, 1.0, 1.5, True, "2",
    "two", [], None,
)  # fmt: skip
ODD_TEXTS = (
    "", " ", "  two  spaces ", "Ünï-çödé", "松の木", "дуб", "🌲", "e\u0301", "\u202eright to left",
    "zero\u200bwidth", "tab\there", "line\nbreak", "\r", "\x00", "\x1b[31mred\x1b[0m", "\x7f", "\ufeff",
    "load", "Load", "puller", "1", "42", "-1", "a" * 40, "a" * 41, "x" * 5000, "a>b", "a@b", "a,b",
    "a;b", "[a]", '"', "'", "`", "|", "a|b", "<b>bold</b>", "<script>alert(1)</script>", "&amp;",
    "{{ 7 * 7 }}", "{0}", "%s%n", "$x^2$", "$", "\\frac{1}{2}", "\\", "*bold* _it_", "# heading",
    "../../up", "unknown", "bare", "None", "true", "oak", "rope 1", "A", "a.b", "a/b", "=1+1",
)  # fmt: skip
HOPELESS: tuple[Any, ...] = (
    None, True, False, 0, 1, -1, 3.5, 10**40, -0.0, 1e308, float("inf"), float("-inf"), float("nan"),
    "", "unknown", "nan kg", "inf m", "-inf", "NaN", "1e400 m", "-1e400 N", "1e-400 m", "5", "5 m m",
    "5,5 m", "1 000 N", "10 ft 6 in", "--5 m", "5 m..", "..5 m", "5 m +-", "+- 5 m", "3..2..1 m",
    "0x10 m", "٣ m", "1_000 m", "5 furlong", "5 m/s", "999999999999 m", "9" * 400 + " kg", [], [[]],
    {}, {"a": 1}, ["1 m"], ["1 m", "2 m", "3 m"], ["1 m", "2 m", "3 m", "4 m"], date(2030, 2, 28),
)  # fmt: skip
"""None stands for a value that TOML has not: it is written as an empty table."""


def hopeless(rng: Random) -> Any:
    """Something that is hardly ever right."""
    found = rng.choice(HOPELESS)
    return {} if found is None else found


def rescaled(text: str, factor: float) -> str:
    """The text with every number in it multiplied."""
    return NUMBER.sub(lambda m: f"{float(m[0]) * factor:.9g}", text)


def renumbered(rng: Random, text: str) -> str:
    """The text with one of its numbers replaced."""
    found = list(NUMBER.finditer(text))
    if not found:
        return text + " " + rng.choice(("0", "5 m", "-1"))
    one = rng.choice(found)
    new = rng.choice(
        (
            "0",
            "-0",
            "1",
            "-1",
            "0.0001",
            "1e9",
            "1e300",
            "1e400",
            "nan",
            "inf",
            "-5",
            "999",
            "",
            "1,5",
        )
    )
    return text[: one.start()] + new + text[one.end() :]


def other_unit(rng: Random, text: str) -> str:
    """The text with its unit replaced, more often by one of the same kind."""
    value = NUMBER.match(text)
    if value is None:
        return text + rng.choice(UNITS)
    unit = text[value.end() :].strip().split(" ")[-1].lstrip("0123456789.")
    kind = next((kind for kind in LIKE if unit in kind), None)
    new = rng.choice(kind) if kind is not None and rng.random() < 0.7 else rng.choice(UNITS)
    return (text[: len(text) - len(unit)] if unit else text + " ") + new


def ranged(rng: Random, text: str) -> str:
    """A value as a range or with a tolerance, or a range the wrong way round."""
    value = NUMBER.match(text)
    if value is None:
        return text
    number, rest = float(value[0]), text[value.end() :]
    low, high = sorted((number * rng.choice(MILD), number * rng.choice(MILD)))
    return rng.choice(
        (
            f"{low:.6g}..{high:.6g}{rest}",
            f"{low:.6g} .. {high:.6g}{rest}",
            f"{high:.6g}..{low:.6g}{rest}",
            f"{number:g}{rest} +- {rng.choice((0, 5, 15, 60, 100, 150))} %",
            f"{number:g}{rest} ± {abs(number) * 0.2:.4g}{rest}",
        )
    )
