"""What the setups on a stretch of the path are worth, by the enumeration."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import dist, floor

from optimiser.site.model import Site
from tests.oracle.enumeration import BAND, TIE, has_rating, rated_scene, rigs, scenes_of
from tests.oracle.fill import Rigged
from tests.oracle.ground import Station, plus, stations
from tests.oracle.mechanics import Scene
from tests.oracle.two_ropes import rigs_of_two

Worth = tuple[int, int, float]
"""(resets, band of the margin, rope needed) of one setup."""
SAME = 1e-6
"""m."""


@dataclass(frozen=True)
class Path:
    """A site whose stations are looked at stretch by stretch, with fully rated gear only. `longer`: ropes
    that a strap or chain lengthens count too; `two_ropes`: tackle on tackle too."""

    site: Site
    longer: bool = False
    two_ropes: bool = False

    @cached_property
    def rated(self) -> Site:
        return replace(self.site, gear=tuple(p for p in self.site.gear if has_rating(p)))

    @cached_property
    def _stations(self) -> list[tuple[float, Station]]:
        """All of them, with how far along the path each lies."""
        begun, done = {}, 0.0
        for leg in self.site.legs:
            begun[leg] = done
            done += dist(leg.start, leg.end)
        return [(begun[s.leg] + s.reach, s) for s in stations(self.rated)]

    def worths(self, begin: float, end: float) -> set[Worth]:
        """Of the setups that haul from `begin` to `end` m, without those that another beats or equals on all
        counts."""
        out: set[Worth] = set()
        wanted = self.site.preferences.margin_wanted - TIE
        for scene in scenes_of(self.rated, list(self.between(begin, end))):
            for rigged in self._rigs(scene):
                most = self._worth(rigged, rigged.fixed)
                if rigged.fixed < wanted or any(_as_good(one, most) for one in out):
                    continue
                margin, _ = rigged.best()
                mine = self._worth(rigged, margin)
                if margin >= wanted and not any(_as_good(one, mine) for one in out):
                    out = {one for one in out if not _as_good(mine, one)} | {mine}
        return out

    def _rigs(self, scene: Scene) -> Iterator[Rigged]:
        if rated_scene(scene):
            yield from rigs(scene, only_rated=True, longer=self.longer)
        if self.two_ropes:
            yield from rigs_of_two(scene, only_rated=True)

    def _worth(self, rigged: Rigged, margin: float) -> Worth:
        band = floor(min(margin, self.site.preferences.enough) / BAND + 1e-6)
        return rigged.rig.strokes - 1, band, round(rigged.rope_needed(), 6)

    def between(self, begin: float, end: float) -> Iterator[Station]:
        """Those of the whole path that lie inside, and one at each end: of the leg ahead where it begins, of
        the leg behind where it ends."""
        yield self._at(begin, ahead=True)
        yield from (s for at, s in self._stations if begin + SAME < at < end - SAME)
        yield self._at(end, ahead=False)

    def _at(self, at: float, *, ahead: bool) -> Station:
        left = at
        for number, leg in enumerate(self.site.legs):
            long = dist(leg.start, leg.end)
            last = number == len(self.site.legs) - 1
            if left < long - SAME or last or (not ahead and left < long + SAME):
                reach = min(max(left, 0.0), long)
                way = plus(leg.end, leg.start, -1.0)
                return Station(leg, reach, plus(leg.start, way, reach / long))
            left -= long
        raise AssertionError("a path without legs")


def _as_good(one: Worth, other: Worth) -> bool:
    """Whether the first is as good as the second or better on every count."""
    return one[0] <= other[0] and one[1] >= other[1] and one[2] <= other[2]


__all__ = ["Path", "Worth"]
