"""What angles and bends take off a rating: published steps, looked up on the safe side."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A table of (limit, factor), limits rising. Between two rows the lower factor holds.

    Angles are in degrees, as in the tables; `up_to` reads tables whose factor falls with the key
    (side load of a shackle), `from_` tables whose factor rises with it (sheave ratio, choke angle).
    """

    name: str
    rows: tuple[tuple[float, float], ...]
    source: str
    note: str = ""

    def up_to(self, key: float) -> float | None:
        """Factor of the first row with limit >= key; None beyond the last row: not permitted."""
        at = bisect_left([limit for limit, _ in self.rows], key)
        return self.rows[at][1] if at < len(self.rows) else None

    def from_(self, key: float) -> float | None:
        """Factor of the last row with limit <= key; None below the first row: not permitted."""
        at = bisect_right([limit for limit, _ in self.rows], key)
        return self.rows[at - 1][1] if at else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Derating:
    """The tables of `data/derating.toml`; each says there in which unit its key is."""

    shackle_side: Steps
    shackle_two_legs: Steps
    choke: Steps
    basket: Steps
    wire_bend: Steps
    fibre_pin: Steps
    sling_from_horizontal: Steps
    wire_clips: Steps
