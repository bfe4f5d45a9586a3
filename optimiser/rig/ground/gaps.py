"""How near the parts of a rope come to what they must run free of: trunks, posts, bare ground, and the load's
nose to its anchors. `clearance` and `from_load` say whether they do; here is by how much."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.clearance import Runs, ground_points, over, posts
from optimiser.rig.ground.scene import Scene
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Obstacle


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Least distance [m] of a run of rope, by its number from the standing end, to what it passes, with the
    load anywhere on the stretch; negative where it runs through it. `past`: a trunk or post, "" the
    ground."""

    run: int
    past: str
    least: float


def of_runs(scene: Scene, runs: Sequence[tuple[int, int]]) -> Iterator[Gap]:
    """Of the straight runs between places of a scene, by number. From a post sideways or above its top,
    whichever is more; of the ground plumb, and not where lines may run over edges."""
    count, spots = len(scene.stations), len(scene.spots)
    station, spot = np.repeat(np.arange(count), spots), np.tile(np.arange(spots), count)
    ground = ground_points(scene.site) if scene.fixed.edges is None else ()
    for number, ends in enumerate(runs):
        one, two = sorted(ends, key=lambda place: place != 0)  # the load first
        lines = Runs.between(scene.where(one, station, spot), scene.where(two, station, spot))
        for post in posts(scene.site, (scene.post(one), scene.post(two))):
            yield Gap(run=number, past=post.name, least=float(_past(lines, post).min()))
        heights = [
            (lines.z + share * lines.along_z - z)[inside]
            for x, y, z in ground
            for share, inside in [_over(scene, lines, x, y, both_ends=one != 0)]
        ]
        least = min((float(h.min()) for h in heights if len(h)), default=None)
        if least is not None:
            yield Gap(run=number, past="", least=least)


def of_nose(scene: Scene, runs: Sequence[tuple[int, int]]) -> Iterator[tuple[str, float]]:
    """How far the load's nose stays from each anchor that a run from the load leads to, m, ahead or beside,
    whichever is more; see `Reach.nose_free`."""
    load = scene.site.load
    for place in sorted({max(run) for run in runs if 0 in run}):
        if scene.places[place].kind is not PlaceKind.ANCHOR:
            continue
        radius = scene.reach.radius(place)
        ahead, aside = scene.reach.from_nose(place)
        free = np.max(
            [aside - load.width / 2 - radius, -load.length - radius - ahead, ahead - radius], axis=0
        )
        yield scene.places[place].name, float(free.min())


def _past(lines: Runs, post: Obstacle) -> Array:
    x, y, z = post.position
    _, along = lines.off(x, y)
    share = (along / lines.squared).clip(0.0, 1.0)
    aside = np.hypot(lines.x + share * lines.along_x - x, lines.y + share * lines.along_y - y)
    above = lines.z + share * lines.along_z - (z + post.top)
    return np.asarray(np.maximum(aside - post.radius, above))


def _over(
    scene: Scene, lines: Runs, x: float, y: float, *, both_ends: bool
) -> tuple[Array, np.ndarray]:
    within = scene.site.preferences.ground_known_within
    return over(lines, x, y, within=within, both_ends=both_ends)
