"""Marks the path every centimetre, and gives the scenes of any stretch between two marks."""

from collections.abc import Sequence
from copy import copy

import numpy as np
import numpy.typing as npt

from optimiser.rig.ground.scene import Scene, at_stand, scenes
from optimiser.rig.ground.stations import Stations, lay_stations, leg_lengths, station_at
from optimiser.site.model import Site

GRAIN = 0.01
"""m between the marks at which a stage may end."""
_SAME = 1e-6


def with_vertices(
    site: Site, grain: float, between: tuple[float, float] | None = None
) -> npt.NDArray[np.float64]:
    """Distances along the path, m: every multiple of `grain`, every vertex and the finish; of a part of the
    path those `between` its ends, and these."""
    ends = np.concatenate([[0.0], np.cumsum(leg_lengths(site))])
    if between is not None:
        low, high = between
        inside = ends[(ends > low + _SAME) & (ends < high - _SAME)]
        return _marks(np.concatenate([[low], inside, [high]]), grain, low)
    return _marks(ends, grain, 0.0)


def _marks(ends: npt.NDArray[np.float64], grain: float, low: float) -> npt.NDArray[np.float64]:
    """The given distances, and the multiples of `grain` between them."""
    steps = np.arange(int(np.floor(ends[-1] / grain)) + 1) * grain
    near = np.abs(steps[:, None] - ends[None, :]).min(axis=1) < max(_SAME, grain * 1e-3)
    return np.sort(np.concatenate([steps[~near & (steps > low)], ends]))


class Track:
    """Scenes of one site over stretches between marks.

    A stretch has the stations of the whole path that lie inside it and one at each of its ends.
    Where it begins at a bend only the leg ahead counts, where it ends at one only the leg behind:
    the load stands still there and is turned between the stages.
    """

    def __init__(
        self,
        site: Site,
        scenes: Sequence[Scene],
        grain: float = GRAIN,
        between: tuple[float, float] | None = None,
    ) -> None:
        self.site = site
        self.scenes = tuple(scenes)
        self.marks = with_vertices(site, grain, between)
        self._points: dict[tuple[int, int, bool], Scene] = {}
        self._stations: dict[tuple[int, bool], Stations] = {}
        self._stretches: dict[tuple[int, int, int], Scene] = {}

    @property
    def end(self) -> int:
        """The last mark: at the finish, or at the upper end of the part that is looked at."""
        return len(self.marks) - 1

    def at(self, mark: int) -> float:
        """Distance of a mark along the path, m."""
        return float(self.marks[mark])

    def with_stand_of(self, scene: Scene) -> "Track":
        """The same; where the puller of `scene` stands between the candidates, over its stand only."""
        if any(own.stands_for(scene) for own in self.scenes):
            return self
        alike = next(
            own
            for own in self.scenes
            if own.puller.name == scene.puller.name
            and at_stand(own, scene.puller).stands_for(scene)
        )
        one = copy(self)
        one.scenes = (at_stand(alike, scene.puller),)
        one._points, one._stretches = {}, {}
        return one

    def stations(self, begin: int, end: int) -> Stations:
        """The stations of a stretch."""
        return self.scene(0, begin, end).stations

    def stretch(self, begin: int, end: int) -> tuple[Scene, ...]:
        """Every scene over a stretch."""
        return tuple(self.scene(i, begin, end) for i in range(len(self.scenes)))

    def scene(self, index: int, begin: int, end: int) -> Scene:
        """One scene over the stretch from one mark to a later one."""
        key = (index, begin, end)
        if key not in self._stretches:
            if len(self._stretches) > 400:
                self._stretches.clear()
            whole = self.scenes[index]
            at = whole.stations.at
            first = int(np.searchsorted(at, self.at(begin) + _SAME))
            last = int(np.searchsorted(at, self.at(end) - _SAME))
            every = slice(None)
            pieces = [(self._point(index, begin, True), every)]
            if last > first:
                pieces.append((whole, slice(first, last)))
            pieces.append((self._point(index, end, False), every))
            self._stretches[key] = Scene.spliced(pieces)
        return self._stretches[key]

    def _point(self, index: int, mark: int, ahead: bool) -> Scene:
        key = (index, mark, ahead)
        if key not in self._points:
            self._points[key] = self.scenes[index].with_stations(self._station(mark, ahead))
        return self._points[key]

    def _station(self, mark: int, ahead: bool) -> Stations:
        key = (mark, ahead)
        if key not in self._stations:
            found = station_at(self.site, self.at(mark))
            self._stations[key] = found.pick(slice(-1, None) if ahead else slice(0, 1))
        return self._stations[key]


def track(site: Site, scenes_over: Sequence[Scene] | None = None, grain: float = GRAIN) -> Track:
    """The track of a site over all its scenes, or over some of them."""

    chosen = list(scenes(site, lay_stations(site))) if scenes_over is None else scenes_over
    return Track(site, chosen, grain)
