"""What makes a purchase plain, and what a further step of money must bring to be named, from
`optimiser/search/buying/data/worth.toml`."""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import ceil

from catalogue.gear import AnyGear, Chain, Rope
from optimiser.rig.order import BAND


class Unusual(StrEnum):
    """A kind of thing that makes a purchase less plain; the names are those of the data file."""

    WIRE = "wire rope"
    CHAIN = "chain"
    TACKLE = "tackle on tackle"
    PUT_TOGETHER = "ropes put together"


@dataclass(frozen=True, slots=True)
class Worth:
    """The choices of the data file. `within`: share of the least money up to which plainer purchases are
    looked for. A further step brings `margin` more at least, leaves out `resets_share` of the resets, or
    saves `stages`. `reasons`: why each unusual thing is one."""

    within: float
    margin: float
    resets_share: float
    stages: int
    reasons: dict[Unusual, str]

    def next_margin(self, reached: float, enough: float) -> float | None:
        """The least margin that a step beyond `reached` must bring, in whole bands; None where no step is
        worth naming, as a margin counts only up to `enough`."""
        if enough - reached < self.margin - 1e-9:
            return None
        return min(ceil((reached + self.margin) / BAND - 1e-6) * BAND, enough)

    def next_resets(self, resets: int) -> int | None:
        """The most resets that a step from `resets` may leave; None where there are none to save."""
        return None if resets < 1 else resets - ceil(resets * self.resets_share)

    def limit(self, least: float) -> float:
        """Up to how much money plainer purchases are looked for, where the least is `least`."""
        return round(least * (1.0 + self.within), 2)


@cache
def worth() -> Worth:
    """The choices, read once. Raises ValueError for a name that the program does not know."""
    text = files("optimiser.search.buying").joinpath("data/worth.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    step = data["step"]
    return Worth(
        data["within"]["share"],
        step["margin"],
        step["resets_share"],
        step["stages"],
        {Unusual(entry["name"]): entry["why"] for entry in data["unusual"]},
    )


def unusual_gear(gear: AnyGear) -> Unusual | None:
    """What is unusual about a piece by itself."""
    if isinstance(gear, Rope):
        return Unusual.WIRE if gear.is_wire else None
    return Unusual.CHAIN if isinstance(gear, Chain) else None


def unusual_of(
    bought: Iterable[AnyGear], *, two_ropes: bool, put_together: bool
) -> frozenset[Unusual]:
    """Every unusual thing about a purchase and the rigs it is for."""
    found = {kind for gear in bought if (kind := unusual_gear(gear)) is not None}
    if two_ropes:
        found.add(Unusual.TACKLE)
    if put_together:
        found.add(Unusual.PUT_TOGETHER)
    return frozenset(found)
