"""What the pulls that were read came to, kept beside the document."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import dist
from typing import Any

from optimiser.site.lines import Key
from optimiser.site.model import Leg
from optimiser.site.pulled.narrowing import Box, Ends, Needs, Pull, counted, needs
from shared.units import Dimension, Rounding, show


def ends_shown(ends: Ends, dimension: Dimension, units: str) -> str:
    """From the one end to the other, rounded outwards; one figure where they are the same."""
    low = show(ends.low, dimension, units, Rounding.DOWN)
    high = show(ends.high, dimension, units, Rounding.UP)
    return low if low == high else f"{low} to {high}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """One pull that was read. `at`: m along the path; `written`: as the file has it; `key`: where."""

    key: Key
    at: float
    pull: Pull
    written: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One quantity of the file, before and after. `key`: as it is written for people."""

    key: str
    before: Ends
    after: Ends
    dimension: Dimension


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pulls:
    """`document` (`optimiser.site.document`): as the file has it, with nothing narrowed; `before`, `after`:
    what may be."""

    document: Any
    readings: tuple[Read, ...]
    before: Box
    after: Box

    @property
    def pulls(self) -> tuple[Pull, ...]:
        """The pulls in the order of the file."""
        return tuple(read.pull for read in self.readings)

    @property
    def legs(self) -> tuple[int, ...]:
        """The legs (from 0) on which any was read."""
        return tuple(sorted({pull.leg for pull in self.pulls}))

    def needs(self, leg: int, *, before: bool = False) -> Needs:
        """What it takes along the ground of a leg; `before`: by the file alone."""
        return needs(self.before, (), leg) if before else needs(self.after, self.pulls, leg)

    def changes(self) -> Iterator[Change]:
        """The load's weight, and of every leg on which a pull was read what there is of it."""
        yield Change(
            key="load.weight",
            before=self.before.weight,
            after=self.after.weight,
            dimension=Dimension.WEIGHT,
        )
        for leg in self.legs:
            was, now = self.before.grounds[leg], self.after.grounds[leg]
            for name in ("resistance", "breakout"):
                before: Ends = getattr(was, name)
                if not before.certain:
                    yield Change(
                        key=f"path.leg[{leg + 1}].{name}",
                        before=before,
                        after=getattr(now, name),
                        dimension=Dimension.RATIO,
                    )

    def counted(self, number: int, leg: Leg, weight: float) -> Leg:
        """A leg (from 0) of a site with what moves a load of that weight [N] along it held to what was read.

        At the worse end of both, weight and resistance together are more than any pull that agrees with
        the reading. `moved` takes that off the weight of what moves the load; with a line that lifts, the
        same need with the greatest weight, and so the least resistance to save, is worse: hence `saved`.
        """
        if number not in self.legs:
            return leg
        long = dist(leg.start, leg.end)
        sin = (
            leg.end[2] - leg.start[2]
        ) / long  # as the leg lies here: a measured one may be moved
        cos = dist(leg.start[:2], leg.end[:2]) / long
        known = self.needs(number)
        rests = weight * leg.apparent
        plain = rests * (sin + leg.resistance * cos)
        if plain <= 0.0:
            return leg
        need = counted(plain, box=known.box, known=known.moving)
        start = counted(need * leg.breakout, box=known.box_starting, known=known.starting)
        stuck = leg.breakout
        if any(pull.starting and pull.leg == number for pull in self.pulls):
            stuck = max(start / need, 1.0)
        # Either need with the greatest weight (and break-out) leaves the least resistance to save.
        least = (min(need, start / leg.breakout) / rests - sin) / cos
        saved = min(leg.resistance, max(self.after.grounds[number].resistance.low, least))
        return replace(leg, moved=need / plain, saved=saved, breakout=stuck)
