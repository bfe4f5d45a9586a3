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
    ground = ground_points(scene.site) if scene.fixed.edges is None else np.zeros((0, 3))
    for number, ends in enumerate(runs):
        one, two = sorted(ends, key=lambda place: place != 0)  # the load first
        lines = Runs.between(scene.where(one, station, spot), scene.where(two, station, spot))
        standing = posts(scene.site, (scene.post(one), scene.post(two)))
        for post, past in zip(standing, _past(lines, standing), strict=True):
            yield Gap(run=number, past=post.name, least=float(past.min()))
        if len(ground):
            x, y, z = ground.T[:, :, None]
            within = scene.site.preferences.ground_known_within
            share, inside = over(lines, x, y, within=within, both_ends=one != 0)
            if inside.any():
                heights = (lines.z + share * lines.along_z - z)[inside]
                yield Gap(run=number, past="", least=float(heights.min()))


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


def _past(lines: Runs, standing: Sequence[Obstacle]) -> Array:
    """(P, n) from each post to each line."""
    x, y, z = np.array([post.position for post in standing]).reshape(-1, 3).T[:, :, None]
    radius = np.array([post.radius for post in standing])[:, None]
    top = np.array([post.top for post in standing])[:, None]
    _, along = lines.off(x, y)
    share = (along / lines.squared).clip(0.0, 1.0)
    aside = np.hypot(lines.x + share * lines.along_x - x, lines.y + share * lines.along_y - y)
    above = lines.z + share * lines.along_z - (z + top)
    return np.asarray(np.maximum(aside - radius, above))
