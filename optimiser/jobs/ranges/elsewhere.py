"""The site where its places are with some readings off, made once for all answers about it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from optimiser.rig.ground.edging import gear_of
from optimiser.rig.ground.stations import Stations
from optimiser.rig.refit import stretch_of
from optimiser.rig.setup import Setup
from optimiser.site.measured.outcome import Movement
from optimiser.site.model import Anchor, Obstacle, Puller, Site

Off = tuple[tuple[int, float], ...]
"""Readings by number, each more by so many standard deviations."""


@dataclass(frozen=True, eq=False)
class There:
    """The site with some readings off. `why`: nothing can stand there, "" where it can."""

    site: Site | None
    why: str = ""
    _laid: dict[object, Stations] = field(default_factory=dict)

    def stations(self, setup: Setup) -> Stations:
        """The stations of a setup's stretch, `from_m` and `to_m` along the path as it is there."""
        assert self.site is not None
        gear = tuple(piece.name for piece in gear_of(self.site, setup))
        key = (setup.from_m, setup.to_m, gear)
        if key not in self._laid:
            self._laid[key] = stretch_of(self.site, setup)
        return self._laid[key]


@dataclass(frozen=True, slots=True)
class MovedBy:
    """What moves with a reading: whether the path does, and the names of what stands elsewhere."""

    path: bool
    things: tuple[str, ...]


class Elsewhere:
    """A measured site, and the same with its readings off by some of their accuracy."""

    def __init__(self, site: Site) -> None:
        assert site.surveyed is not None
        self.site = site
        self.movements: Sequence[Movement] = tuple(site.surveyed.movements())
        self._known: dict[Off, There] = {}

    def there(self, off: Off) -> There:
        """The site with some readings off. With one at a time it is kept: every answer looks there."""
        if off not in self._known:
            made = self._made(off)
            if len(off) > 1:
                return made
            self._known[off] = made
        return self._known[off]

    def _made(self, off: Off) -> There:
        origin, surveyed = self.site.origin, self.site.surveyed
        assert origin is not None
        assert surveyed is not None
        at = surveyed.moved([(self.movements[number], times) for number, times in off])
        try:
            return There(origin.moved(at))
        except ValueError as error:
            return There(None, str(error))

    def moved_by(self, number: int) -> MovedBy | None:
        """What a reading moves; None where nothing can stand there, and so nothing is known."""
        still, there = self.there(()).site, self.there(((number, 1.0),)).site
        if still is None or there is None:
            return None
        before, after = _standing(still), _standing(there)
        return MovedBy(
            path=there.legs != still.legs,
            things=tuple(name for name, thing in before.items() if thing != after[name]),
        )

    def uncertainty(self, name: str) -> float:
        """Of a place, 95 %, m; 0 for what has no place of its own, such as a puller on a track."""
        assert self.site.surveyed is not None
        places = self.site.surveyed.survey.adjusted.places
        return next((place.uncertainty for place in places if place.name == name), 0.0)


def _standing(site: Site) -> Mapping[str, object]:
    """What stands on a site, by name."""
    things: list[Puller | Obstacle | Anchor] = [*site.pullers, *site.obstacles, *site.anchors]
    return {thing.name: thing for thing in things}
