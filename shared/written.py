"""Quantities as people write them: "260 kg", "10 ft 6 in", "5/8 in", "500 to 650 lb".

Nothing is guessed: what can be read in two ways, or leaves open how far it may be off, is refused, and
the message shows that very value in a form that is accepted.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from shared.units import EXAMPLES, STANDARD_GRAVITY, Dimension, Interval, known_unit
from shared.words import with_article

_LONGEST = 200
"""Characters: no quantity is written in more, and matching stays quick."""

_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = rf"[+-]?(?:\d+[ -]\d{{1,3}}/\d{{1,3}}|\d{{1,3}}/\d{{1,3}}|{_DECIMAL})"
_UNIT = r"[^\s\d.,+\-±–/~<>][^\s\d.,+\-±–~<>]*"
_ONE = re.compile(rf"({_NUMBER})\s*({_UNIT})?")
_FRACTION = re.compile(r"([+-]?)(?:(\d+)[ -])?(\d+)/(\d+)")

# A larger and a smaller unit together. The larger one is whole; the smaller may want its unit, to be told.
_JOINT = r"(?:\s*(?:,|\band\b)\s*|(?<=')\s*-\s*|\s*)"
_SMALL = rf"((?:\d+[ -])?\d{{1,3}}/\d{{1,3}}|{_DECIMAL})"
_TOGETHER: tuple[tuple[re.Pattern[str], str, str, int], ...] = tuple(
    (
        re.compile(rf"([+-]?)(\d+)\s*(?:{large}){_JOINT}{_SMALL}\s*({small})?"),
        large.partition("|")[0],
        small.partition("|")[0],
        per,
    )
    for large, small, per in (
        ("ft|feet|foot|'", "in|inch|inches|''|\"", 12),
        ("yd|yards|yard", "ft|feet|foot|'", 3),
        ("m|metres|meters|metre|meter", "cm|centimetres|centimeters", 100),
    )
)

_TOLERANCE = re.compile(r"(.+?)\s*(?:\+-|\+/-|±)\s*((?:\d|\.).*)")
_BETWEEN = re.compile(r"\s*\.\.\s*|\s+to\s+|\s*–\s*|\s+-\s+|(?<=[\w'\".])-(?=[\d.])")
_FROM_TO = re.compile(r"between\s+(.+)\s+and\s+(.+)|from\s+(.+)\s+to\s+(.+)", re.IGNORECASE)
_ABOUT = re.compile(
    r"(?:about|around|roughly|nearly|almost|approximately|approx\.?|circa|ca\.?|some|maybe|perhaps"
    r"|say|[~≈])\s*(?P<after>.+)"
    r"|(?P<before>.+?)\s+(?:or so|or thereabouts|more or less|roughly|approximately|approx\.?|about)",
    re.IGNORECASE,
)
_BOUND = re.compile(
    r"(?P<most>at most|up to|(?:no|not) more than|less than|under|below|maximum|max\.?|<=?|≤)\s*(?P<high>.+)"
    r"|(?:at least|(?:no|not) less than|more than|over|above|minimum|min\.?|>=?|≥)\s*(?P<low>.+)",
    re.IGNORECASE,
)
_SPACED_DIGITS = re.compile(r"([+-]?\d{1,3})((?:[ \u00a0\u202f,]\d{3})+)((?:\.\d+)?)\s*(\D*)")
_COMMA = re.compile(r"([+-]?\d+),(\d+)\s*(\D*)")
_NOT_A_NUMBER = re.compile(r"[+-]?(?:nan|inf(?:inity)?)\b.*", re.IGNORECASE)
_TONS = re.compile(r"tons?", re.IGNORECASE)

_VULGAR = re.compile("[¼-¾⅐-⅞]")
_ABBREVIATED = re.compile(r"(?<![a-zA-Z])(ft|in|lbs?|yd)\.(?![.\d])")
_SAME_MARKS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "\u00a0": " "}
)

_COMMON = {
    Dimension.LENGTH: ("m", "ft"),
    Dimension.SIZE: ("mm", "in"),
    Dimension.MASS: ("kg", "lb"),
    Dimension.WEIGHT: ("kg", "lb"),
    Dimension.FORCE: ("kN", "lbf"),
    Dimension.ANGLE: ("deg",),
    Dimension.MOMENT: ("kN·m", "lbf·ft"),
    Dimension.MASS_PER_LENGTH: ("kg/m", "lb/ft"),
}
"""Units that a number without one is shown with."""


@dataclass(frozen=True, slots=True)
class _Written:
    """One value as it is written: its number, its unit if it has one; or a whole number of a larger unit
    (`large`, `many`) and less than one more of it in the smaller."""

    digits: str
    unit: str | None
    large: str = ""
    many: int = 0
    small: str = ""
    per: int = 0  # of the smaller unit in the larger
    sign: str = ""


def parse(text: object, dimension: Dimension, *, ranges: bool = True) -> Interval:
    """The quantity that `text` states, in SI.

    Accepted: "260 kg", "10 ft 6 in", "5/8 in", "1 1/2 in"; as a range "220..300 kg", "220 to 300 kg",
    "220-300 kg", "260 kg +- 15 %", "260 kg ± 20 kg"; for a plain number also a bare number or a
    percentage. A mass given for a weight or a force becomes its weight under standard gravity. Raises
    ValueError with what was expected, and this value in a form that is accepted, for anything else;
    where a range would not do (`ranges`), no range is proposed, but it is read all the same.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"expected {_expected(dimension)}, got {_kind_of(text)}")
    if not isinstance(text, str):
        return _bare(text, dimension)
    plain = _plain(text)
    if (ends := _ends(plain)) is not None:
        return _range(text, *ends, dimension)
    if (match := _TOLERANCE.fullmatch(plain)) is not None and _written(match[1]) is not None:
        return _tolerance(text, match[1], match[2], dimension)
    written = _written(plain)
    if written is None:
        raise ValueError(_unreadable(text, plain, dimension, ranges))
    value = _value(written, text, dimension)
    return Interval(low=value, high=value, stated=value)


def one_of(text: str) -> str:
    """A single value that stands in the text of a range, for messages; "" where there is none."""
    plain = _plain(text)
    if (ends := _ends(plain)) is not None:
        return ends[0]
    match = _TOLERANCE.fullmatch(plain)
    return match[1] if match is not None else ""


def _plain(text: str) -> str:
    """`text` with one kind of each mark, and fractions written out: `1½ in.` is `1 1/2 in`."""
    text = _VULGAR.sub(_written_out, text[: _LONGEST + 1].translate(_SAME_MARKS))
    text = _ABBREVIATED.sub(r"\1", text).strip()
    return text if len(text) <= _LONGEST else "?"


def _written_out(match: re.Match[str]) -> str:
    fraction = Fraction(unicodedata.numeric(match[0])).limit_denominator(10)
    return f" {fraction.numerator}/{fraction.denominator}"


def _written(text: str) -> _Written | None:
    """One value, or None where `text` is none."""
    if (match := _ONE.fullmatch(text)) is not None:
        return _Written(match[1], match[2])
    for pattern, large, small, per in _TOGETHER:
        if (match := pattern.fullmatch(text)) is not None:
            sign, many, digits, unit = match.groups()
            return _Written(digits, unit, large, int(many), small, per, sign)
    return None


def _ends(text: str) -> tuple[str, str] | None:
    """The two ends of a range as they are written, a unit that stands at the second alone at both; None
    where `text` is no range."""
    if _written(text) is not None:  # 1-1/2 in and 10'-6" are one value
        return None
    cuts = [(text[: cut.start()], text[cut.end() :]) for cut in _BETWEEN.finditer(text)]
    if (match := _FROM_TO.fullmatch(text)) is not None:
        low, high = (end for end in match.groups() if end is not None)
        cuts = [(low, high)]
    for low, high in cuts:
        first, second = _written(low), _written(high)
        if first is None or second is None:
            continue
        if first.unit is None and not first.large and second.unit is not None and not second.large:
            low = f"{low} {second.unit}"
        return low, high
    return None


def _range(text: str, low: str, high: str, dimension: Dimension) -> Interval:
    first, second = _written(low), _written(high)
    assert first is not None
    assert second is not None
    shown = _clipped(text)
    if first.unit is None and not first.large and second.large:
        raise ValueError(
            f"{shown}: write the unit at both ends, "
            f'"{low} {second.large} to {high}" or "{low} {second.small} to {high}"'
        )
    if second.unit is None and not second.large and first.unit is not None:
        raise ValueError(
            f"{shown}: the unit has to stand at the larger end, "
            f'"{first.digits}..{second.digits} {first.unit}"'
        )
    ends = _value(first, text, dimension), _value(second, text, dimension)
    if ends[0] > ends[1]:
        raise ValueError(
            f"the range {shown} goes from high to low: write the smaller end first, "
            f'"{high} to {low}"'
        )
    return Interval(low=ends[0], high=ends[1], stated=(ends[0] + ends[1]) / 2)


def _tolerance(text: str, value: str, tolerance: str, dimension: Dimension) -> Interval:
    written, spread = _written(value), _written(tolerance)
    assert written is not None
    if spread is None:
        raise ValueError(_unreadable(text, "", dimension, ranges=True))
    stated = _value(written, text, dimension)
    if spread.unit is None and not spread.large and dimension is not Dimension.RATIO:
        unit = written.unit or written.small
        raise ValueError(
            f"{_clipped(text)}: the tolerance has no unit; write "
            f'"{value} +- {spread.digits} {unit}" or "{value} +- {spread.digits} %"'
        )
    # For a plain number "0.35 +- 20 %" is a share of it, not 0.35 ± 0.2.
    share = spread.unit == "%"
    size = _value(spread, text, Dimension.RATIO if share else dimension)
    size = abs(stated) * size if share else size
    return Interval(low=stated - size, high=stated + size, stated=stated)


def _value(written: _Written, text: str, dimension: Dimension) -> float:
    """One value in SI; `text` is what was written, for messages."""
    if not written.large:
        return _converted(written.digits, written.unit, text, dimension)
    shown = f"{written.sign}{written.many} {written.large} {written.digits} {written.small}"
    if written.unit is None:
        raise ValueError(
            f"expected {_expected(dimension)}, got {_clipped(text)}, which has no unit at its end: "
            f'write one number and one unit, or "{shown}" if that is meant'
        )
    smaller = _number(written.digits, text)
    if smaller >= written.per:
        more, rest = divmod(smaller, written.per)
        form = f"{written.sign}{written.many + int(more)} {written.large} {rest:g} {written.small}"
        raise ValueError(
            f"{_clipped(text)}: {written.per} {written.small} are one {written.large}; "
            f'write "{form}" if that is meant'
        )
    total = _converted(str(written.many), written.large, text, dimension)
    total += _converted(written.digits, written.small, text, dimension)
    return -total if written.sign == "-" else total


def _bare(value: float, dimension: Dimension) -> Interval:
    if dimension is not Dimension.RATIO:
        raise ValueError(
            f"expected {_expected(dimension)}, got the number {_clipped(value)} alone"
            f"{_with_unit(_shown(value), dimension)}"
        )
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(f"expected {_expected(dimension)}, got {_clipped(value)}")
    return Interval(low=number, high=number, stated=number)


def _converted(digits: str, unit: str | None, text: str, dimension: Dimension) -> float:
    if unit is None:
        if dimension is not Dimension.RATIO:
            raise ValueError(
                f"expected {_expected(dimension)}, got {_clipped(text)}, which has no unit"
                f"{_with_unit(digits, dimension)}"
            )
        factor = 1.0
    else:
        factor = _factor(digits, unit, text, dimension)
    value = _number(digits, text, unit) * factor
    if not math.isfinite(value):
        raise ValueError(f"expected {_expected(dimension)}, got {_clipped(text)}, which is too big")
    return value


def _number(digits: str, text: str, unit: str | None = None) -> float:
    """A decimal number, a fraction, or a whole number and a fraction."""
    match = _FRACTION.fullmatch(digits)
    if match is None:
        return float(digits)
    sign, whole, above, below = match[1], int(match[2] or 0), int(match[3]), int(match[4])
    if below == 0:
        raise ValueError(f"{_clipped(text)}: a fraction over 0 is no number")
    if above >= below:
        more, rest = divmod(above, below)
        mixed = f"{sign}{whole + more}" + (f" {rest}/{below}" if rest else "")
        form = f'"{_with(mixed, unit or "")}"'
        raise ValueError(
            f"{_clipped(text)}: a fraction is less than one; write {form} if that is meant"
        )
    value = whole + above / below
    return -value if sign == "-" else value


def _factor(digits: str, unit: str, text: str, dimension: Dimension) -> float:
    """What a number in `unit` is multiplied with to be in SI of `dimension`."""
    if _TONS.fullmatch(unit):  # of 907, 1000 or 1016 kg
        tons = _number(digits, text)
        raise ValueError(
            f"{_clipped(text)}: there are three kinds of '{unit}'; write "
            f'"{tons:.10g} t" of 1000 kg, "{2000 * tons:.10g} lb" of 2000 lb, '
            f'or "{2240 * tons:.10g} lb" of 2240 lb'
        )
    factor, measured = known_unit(unit, _clipped(text), _clipped(unit))
    if measured is _kept_as(dimension):
        return factor
    if dimension in (Dimension.WEIGHT, Dimension.FORCE) and measured is Dimension.MASS:
        return factor * STANDARD_GRAVITY
    raise ValueError(
        f"expected {_expected(dimension)}, got {_clipped(text)}, which is {with_article(measured.value)}"
    )


def _kept_as(dimension: Dimension) -> Dimension:
    if dimension is Dimension.SIZE:
        return Dimension.LENGTH
    return Dimension.FORCE if dimension is Dimension.WEIGHT else dimension


def _expected(dimension: Dimension) -> str:
    what = with_article(dimension.value)
    if dimension is Dimension.RATIO:
        return f'{what} (such as 0.35 or "35 %")'
    return f'{what} with its unit (such as "{EXAMPLES[dimension]}")'


def _unreadable(text: str, plain: str, dimension: Dimension, ranges: bool) -> str:
    """Why `text` is not taken, with this value as it would be."""
    message = f"expected {_expected(dimension)}, got {_clipped(text)}"
    if not text.strip():
        return f"expected {_expected(dimension)}, got an empty text"
    if _NOT_A_NUMBER.fullmatch(plain):
        return f"{message}, which is not a number"
    if (match := _ABOUT.fullmatch(plain)) is not None:
        value = _written(match["after"] or match["before"])
        if value is not None:
            return f"{_clipped(text)}: {_how_far(value, dimension, ranges)}"
    if (match := _BOUND.fullmatch(plain)) is not None:
        value = _written(match["high"] or match["low"])
        if value is not None:
            return f"{_clipped(text)}: {_other_end(value, match['most'], dimension, ranges)}"
    if (match := _SPACED_DIGITS.fullmatch(plain)) is not None:
        first, groups, rest, unit = match.groups()
        form = _with(f"{first}{re.sub(r'[^0-9]', '', groups)}{rest}", unit)
        words = f'{message}: write the number without spaces or commas, "{form}"'
        if re.fullmatch(r",\d{3}", groups) and not rest:
            words += f' (or "{_with(f"{first}.{groups[1:]}", unit)}", if the comma marks decimals)'
        return words
    if (match := _COMMA.fullmatch(plain)) is not None:
        return f'{message}: write a decimal point, "{_with(f"{match[1]}.{match[2]}", match[3])}"'
    return f"{message}: write one number and one unit"


def _how_far(value: _Written, dimension: Dimension, ranges: bool) -> str:
    """What to write instead of "about" a value."""
    whole = _rewritten(value, dimension)
    if not ranges:
        return f'has to be one value; write the one to plan with, "{whole}"'
    share = f'"{whole} +- 10 %"'
    if value.large:
        return f"say how far it may be off, as in {share}"
    low, high = _tenth_off(value, -1), _tenth_off(value, +1)
    return f'say how far it may be off, as in "{_with(f"{low}..{high}", _unit(value, dimension))}" or {share}'


def _other_end(value: _Written, most: str | None, dimension: Dimension, ranges: bool) -> str:
    """What to write instead of one end of a range."""
    whole = _rewritten(value, dimension)
    if not ranges:
        return f'has to be one value; write the one to plan with, "{whole}"'
    missing = "least" if most else "most"
    if value.large:
        return f"say also what it is at {missing}: write both ends, joined by 'to'"
    ends = (_tenth_off(value, -1), value.digits) if most else (value.digits, _tenth_off(value, +1))
    form = _with("..".join(ends), _unit(value, dimension))
    return f'say also what it is at {missing}: write both ends, as in "{form}"'


def _tenth_off(value: _Written, way: int) -> str:
    """The number a tenth less or more, short."""
    try:
        return f"{_number(value.digits, value.digits) * (1 + 0.1 * way):.3g}"
    except ValueError:
        return value.digits


def _unit(value: _Written, dimension: Dimension) -> str:
    return value.unit or _COMMON.get(dimension, ("",))[0]


def _rewritten(value: _Written, dimension: Dimension) -> str:
    if value.large:
        return f"{value.sign}{value.many} {value.large} {value.digits} {value.small}"
    return _with(value.digits, _unit(value, dimension))


def _with(number: str, unit: str) -> str:
    return f"{number} {unit.strip()}".strip()


def _with_unit(digits: str, dimension: Dimension) -> str:
    """The same number with the usual units, after what is wrong with it."""
    if not digits:
        return ""
    forms = " or ".join(f'"{digits} {unit}"' for unit in _COMMON[dimension])
    return f": write {forms}"


def _shown(value: float) -> str:
    """A number without a unit as text, "" where it is no ordinary one."""
    try:
        return f"{value:.10g}" if math.isfinite(value) else ""
    except OverflowError:
        return ""


def _kind_of(value: object) -> str:
    kinds = {bool: "true or false", list: "a list", dict: "a table", type(None): "nothing"}
    return kinds.get(type(value), "a date or time")


def _clipped(value: object) -> str:
    """The text as it was given, cut where it is absurdly long, without control characters."""
    text = value if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else ""
    if not text and isinstance(value, int):
        text = str(value) if abs(value) < 10**15 else "a number of many digits"
    shown = "".join(char if char.isprintable() else "?" for char in text[:40])
    return f"'{shown}...'" if len(text) > 40 else f"'{shown}'"
