"""What the trade calls the sizes of gear in inches: exact where the catalogue has the size in inches, nominal
where a table sets an inch size beside a metric one (`data/inches.toml`)."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from catalogue.book import Entry
from catalogue.files import table
from catalogue.gear import Block, Chain, Rope, Shackle, Strap

INCH = 0.0254
_NEAR = 1e-6
"""m: sizes that differ by less are equal."""


@dataclass(frozen=True, slots=True)
class Inches:
    """A size in inches. `nominal`: what it is called, beside the metric one that is counted with."""

    size: Fraction
    nominal: bool
    source: str = ""

    @property
    def worded(self) -> str:
        return f"{mixed(self.size)} in"


def mixed(size: Fraction) -> str:
    """A size as it is said: "5/8", "1-1/4"."""
    whole, rest = divmod(size.numerator, size.denominator)
    if not rest:
        return str(whole)
    return f"{f'{whole}-' if whole else ''}{rest}/{size.denominator}"


def size_of(entry: Entry) -> tuple[str, float] | None:
    """The property that a piece is called by, and its value in m; None for what is not called by its size."""
    match entry:
        case Rope():
            return "diameter", entry.diameter
        case Shackle():
            return "bow_diameter", entry.bow_diameter
        case Block():
            return "sheave_diameter", entry.sheave_diameter
        case Strap():
            return "width", entry.width
        case Chain():
            return "size", entry.size
        case _:
            return None


def inches_of(entry: Entry) -> Inches | None:
    """What the size of a piece is called in inches; None where nothing is known of that."""
    found = size_of(entry)
    if found is None:
        return None
    _, size = found
    sixteenths = round(size / INCH * 16)
    if sixteenths and abs(sixteenths * INCH / 16 - size) < _NEAR:
        return Inches(Fraction(sixteenths, 16), nominal=False)
    kind = type(entry).__name__.casefold()
    source, sizes = _nominal().get(kind, ("", {}))
    called = sizes.get(round(size * 1000, 3))
    return None if called is None else Inches(called, nominal=True, source=source)


def read_inches(text: str) -> Fraction:
    """A number of inches: "1/2", "1-1/4", "1 1/4", "2", "0.5". Raises ValueError."""
    return sum((Fraction(part) for part in text.replace("-", " ").split()), Fraction(0))


def called(entry: Entry, system: str) -> str:
    """The name of an entry, for people who read inches with what its size is called there."""
    own, found = inches_of(entry), size_of(entry)
    if system == "metric" or own is None or found is None or not own.nominal:
        return entry.name
    return entry.name.replace(f"{found[1] * 1000:g} mm", f"{own.worded} (nominal)")


def kinds_called(entries: Iterable[Entry]) -> str:
    """What sizes of a kind are called in inches, by the figure in their ids; "" where nothing is known."""
    called: dict[str, str] = {}
    nominal = False
    for entry in entries:
        own = inches_of(entry)
        figure = next((part for part in entry.id.split("-") if part.isdigit()), "")
        if own is None or not figure:
            continue
        nominal = nominal or own.nominal
        called.setdefault(figure, mixed(own.size))
    text = ", ".join(f"{figure}: {size}" for figure, size in called.items())
    return f"Sizes in inches{' (nominal)' if nominal else ''}: {text}." if text else ""


@cache
def _nominal() -> Mapping[str, tuple[str, Mapping[float, Fraction]]]:
    """By kind: the source, and sizes in inches by those in millimetres."""
    return {
        kind: (
            entry["source"],
            {float(row["mm"]): read_inches(row["inches"]) for row in entry["sizes"]},
        )
        for kind, entry in table("inches").items()
    }
