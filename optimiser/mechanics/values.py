"""Values that formulas give and take: vectors, the factors of a capacity, the strength of an anchor."""

from dataclasses import dataclass

Vec = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One number in the derivation of a capacity, with its unit and where it comes from."""

    name: str
    value: float
    unit: str  # "" for a plain factor
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DataEnd:
    """Where the data behind a formula end: `what` is `stated` in the site file, m, and beyond them; the
    formula takes it as `taken`, m. `source`: whose limit that is."""

    what: str
    stated: float
    taken: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorStrength:
    """What an anchor stands, and what demand it is checked against: a moment about the ground line for a tree
    (horizontal pull times lever), the whole force for an anchor with a stated rating.

    `capacity` None: unrated. `unit` is "N·m" or "N".
    """

    capacity: float | None
    unit: str
    factors: tuple[Factor, ...]
    governs: str  # which of the limits is least, in words
    outside: tuple[str, ...] = ()  # what cannot be computed and must be looked at
    data_ends: tuple[DataEnd, ...] = ()
